package programme

import (
	"fmt"
	"slices"
	"strings"

	"firnhand/core/finding"
	"firnhand/core/progress"
)

// changed lists what is different since the lesson before: help, terrain, gear,
// findings, and what happened.
func (h *handing) changed() []string {
	var out []string
	out = append(out, h.levels()...)
	if n := len(h.before); n > 0 && len(h.today) > 0 {
		if last := h.before[n-1]; last.Aids != h.today[0].Aids {
			out = append(out, "Aids: "+last.Aids.Words()+" before, "+h.today[0].Aids.Words()+" now")
		}
	}
	for _, c := range h.r.GearChanges {
		if k, ok := gearChangeOf(c.What); ok && h.ofToday(c.Provenance) {
			text := k.Label
			if c.Side != "none" {
				text += ", " + c.Side
			}
			out = append(out, text+" changed")
		}
	}
	if s, ok := h.r.SetUp(); ok && h.ofToday(s.Signatures[1]) {
		out = append(out, "Set-up measured and signed anew")
	}
	if f := h.findings(); f != "" {
		out = append(out, f)
	}
	out = append(out, h.happened()...)
	if len(out) == 0 {
		out = append(out, "Nothing")
	}
	return out
}

func (h *handing) ofToday(p Provenance) bool { return DateOf(p.MadeAt.In(h.r.zone())) == h.l.Day }

// levels compares the least help of a clean attempt of each record with that of
// all lessons before.
func (h *handing) levels() []string {
	least := func(list []progress.Attempt, t progress.Track) (int, bool) {
		n, ok := 8, false
		for _, a := range list {
			if a.Skill == t.Skill && a.Side == t.Side && a.Aids == t.Aids && a.Outcome == progress.Clean && a.Help < n {
				n, ok = a.Help, true
			}
		}
		return n, ok
	}
	var out []string
	for _, s := range ladderOf().Skills() {
		for _, l := range h.linesOf(s.ID) {
			now, ok := least(h.today, l.Track)
			was, ever := least(h.before, l.Track)
			what := strings.TrimSpace(s.ID + " " + s.SideWords(l.Side))
			switch {
			case ok && !ever:
				out = append(out, fmt.Sprintf("%s: first clean, help level %d", what, now))
			case ok && now < was:
				out = append(out, fmt.Sprintf("%s: clean at help level %d, before %d", what, now, was))
			}
		}
	}
	return out
}

// findings names what was evaluated differently that day.
func (h *handing) findings() string {
	var names []string
	for k, s := range h.r.Findings {
		if !h.ofToday(s.Provenance) || FromRecord(k.Finding) || ofTheDay[k.Finding] != 0 {
			continue
		}
		last, ok := h.r.LastChange(k.Finding, k.Side, k.State)
		d, known := finding.Lookup(k.Finding)
		if !ok || !known || last.Fact != s.Fact || len(h.r.history[k]) < 2 {
			continue
		}
		name := strings.ToLower(d.Label)
		if k.Side != "none" {
			name += " " + k.Side
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	switch {
	case len(names) == 0:
		return ""
	case len(names) > 4:
		names = append(names[:3], fmt.Sprintf("%d more", len(names)-3))
	}
	return "Evaluated anew: " + strings.Join(names, ", ")
}

// happened counts falls and says stops and near misses.
func (h *handing) happened() []string {
	falls := 0
	var out []string
	for _, s := range h.r.Snow {
		if !h.ofToday(s.Provenance) {
			continue
		}
		switch s.Event {
		case SnowFall:
			falls++
			if s.Hurt == "yes" || s.Head == "yes" {
				out = append(out, "A fall in which something hurt: look at it before the next run")
			}
		case SnowStop:
			for _, r := range StopReasons {
				if r[0] == s.Reason {
					out = append(out, "Stopped: "+strings.ToLower(r[1]))
				}
			}
		case SnowNearMiss:
			out = append(out, "A near miss was written down")
		}
	}
	if falls > 0 {
		out = append(out, fmt.Sprintf("Falls: %d", falls))
	}
	return out
}
