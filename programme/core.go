package programme

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"firnhand/core/decide"
	"firnhand/core/finding"
)

// CoreVocabulary puts core behind the Vocabulary port, and turns a record into
// what core decides on. Most callers want [DecisionOf], which builds on it.
type CoreVocabulary struct {
	Table *decide.Table // the rule table in force
}

var _ Vocabulary = CoreVocabulary{}

// paperFindings say that a licensed person's paper is on file. Recorded by
// anybody they would be a way around a hold.
var paperFindings = []string{"neck_exam", "release_letter", "seizure_letter", "bone_letter", "hip_surgeon_word", "ad_plan"}

// passingGates hold only as long as the finding says so: the student's own
// plan, not a letter, ends them.
var passingGates = []string{"G10S"}

// NeedsPaper implements [Vocabulary].
func (CoreVocabulary) NeedsPaper(id, value string) bool {
	return value == "yes" && slices.Contains(paperFindings, id)
}

// Tires implements [Vocabulary].
func (CoreVocabulary) Tires(id string) bool {
	d, ok := finding.Lookup(id)
	return ok && d.Tiring
}

// CheckFinding implements [Vocabulary].
func (CoreVocabulary) CheckFinding(k FindingKey, value string) (string, error) {
	if FromRecord(k.Finding) {
		return "", Refuse(CodeInvalid, "%s is not recorded as a finding: it follows from the birth date, the consents and the evaluations in the record.", k.Finding)
	}
	side, state := coreKey(k)
	v, err := finding.Parse(k.Finding, side, state, value)
	if err != nil {
		var e *finding.Error
		if !errors.As(err, &e) {
			return "", Fail(CodeInvalid, err, "The finding was not understood.")
		}
		code := CodeInvalid
		if e.Code == "unknown_finding" {
			code = CodeUnknown
		}
		return "", Refuse(code, "%s", e.Sentence)
	}
	d, _ := finding.Lookup(k.Finding)
	return finding.Format(d, v), nil
}

func coreKey(k FindingKey) (finding.Side, finding.State) {
	side, state := finding.NoSide, finding.Fresh
	switch k.Side {
	case "left":
		side = finding.Left
	case "right":
		side = finding.Right
	}
	if k.State == "tired" {
		state = finding.Tired
	}
	return side, state
}

// CheckSetting implements [Vocabulary].
func (v CoreVocabulary) CheckSetting(name, value string) (string, error) {
	for _, s := range v.Table.Settings() {
		if s.Name != name {
			continue
		}
		x, err := strconv.ParseFloat(strings.TrimSpace(value), 64)
		if err != nil || math.IsNaN(x) || x < s.Min || x > s.Max {
			return "", Refuse(CodeInvalid, "%s takes a number between %s and %s %s, not %q.", name,
				finding.FormatNumber(s.Min), finding.FormatNumber(s.Max), s.Unit, clip(value))
		}
		return strconv.FormatFloat(x, 'f', -1, 64), nil
	}
	if s, ok := countSetting(name); ok {
		return checkCount(s, value)
	}
	return "", Refuse(CodeUnknown, "There is no setting called %q.", clip(name))
}

// CheckGate implements [Vocabulary].
func (v CoreVocabulary) CheckGate(rule string) error {
	for _, g := range v.Table.Gates() {
		if g.ID == rule {
			return nil
		}
	}
	return Refuse(CodeUnknown, "There is no gate rule called %q.", clip(rule))
}

// Holds returns the holds that the gate rules ask for on the record's findings
// alone, whatever was cleared. Gates that only want a new evaluation or a
// waiver, and passing ones, are not among them: those follow from the record
// each time.
func (v CoreVocabulary) Holds(r Record) []Hold {
	var out []Hold
	for _, g := range v.active(r) {
		if slices.Contains(passingGates, g.ID) {
			continue
		}
		h := Hold{Rule: g.ID, Reason: g.Because, Clearer: g.Clears, StandingOnly: g.Effect == decide.HoldStanding.String()}
		for _, s := range reasons(r, g) {
			if !slices.Contains(h.Because, s.Fact) && len(h.Because) < MaxBecause {
				h.Because = append(h.Because, s.Fact)
			}
		}
		out = append(out, h)
	}
	return out
}

// active returns the holding gates that are active on the record's findings
// alone.
func (v CoreVocabulary) active(r Record) []decide.GateAnswer {
	a := v.Table.Decide(decide.Input{Findings: r.Set()})
	return slices.DeleteFunc(a.Gates, func(g decide.GateAnswer) bool {
		return g.Open || g.Effect != decide.Hold.String() && g.Effect != decide.HoldStanding.String()
	})
}

// reasons returns the recorded values that a gate read, each as of its last
// change: recording the same value again is no new reason.
func reasons(r Record, g decide.GateAnswer) []Seen {
	var out []Seen
	for _, rd := range g.Read {
		side, states := rd.Side, []string{rd.State}
		if side == "" {
			side = "none"
		}
		if rd.State == "" {
			states = []string{"fresh", "tired"}
		}
		for _, state := range states {
			if s, ok := r.LastChange(rd.Finding, side, state); ok {
				out = append(out, s)
			}
		}
	}
	return out
}

// Input returns what core decides on: the record's findings, the gates for
// which a written clearance counts today, and the holds that do not follow from
// the findings. A clearance recorded before a value that its gate reads last
// changed does not count.
func (v CoreVocabulary) Input(r Record) decide.Input {
	in := decide.Input{Findings: r.Set()}
	newest := map[string]int64{}
	for _, g := range v.active(r) {
		newest[g.ID] = 1
		for _, s := range reasons(r, g) {
			newest[g.ID] = max(newest[g.ID], s.Seq)
		}
	}
	effect := map[string]decide.Effect{}
	for _, g := range v.Table.Gates() {
		effect[g.ID] = g.Effect
	}
	open, cleared := map[string]bool{}, map[string]bool{}
	for _, h := range r.Holds {
		switch {
		case h.Status == HoldOpen && h.Rule == "" && h.StandingOnly:
			in.Held = append(in.Held, decide.HoldStanding)
		case h.Status == HoldOpen && (h.Rule == "" || effect[h.Rule] == decide.NoEffect):
			in.Held = append(in.Held, decide.Hold)
		case h.Status == HoldOpen:
			open[h.Rule] = true
			if newest[h.Rule] == 0 { // held, though the findings no longer say so
				in.Held = append(in.Held, max(effect[h.Rule], decide.HoldStanding))
			}
		case h.Status == HoldCleared:
			for _, c := range h.Clearances {
				cleared[h.Rule] = cleared[h.Rule] || c.Counts && c.Seq > newest[h.Rule]
			}
		}
	}
	for _, g := range v.Table.Gates() { // in a fixed order
		if cleared[g.ID] && !open[g.ID] {
			in.Cleared = append(in.Cleared, g.ID)
		}
	}
	return in
}

// Set returns the record's current findings for core, with those that follow
// from the record itself: age, waiver, days since the last evaluation. Values
// that core no longer knows are left out, which makes them unknown.
func (r Record) Set() finding.Set {
	set := finding.Set{}
	for k, s := range r.Findings {
		side, state := coreKey(k)
		_ = set.Put(k.Finding, side, state, s.Value) // refused: unknown
	}
	put := func(id, value string) {
		delete(set, finding.Key{ID: id})
		_ = set.Put(id, finding.NoSide, finding.Fresh, value)
	}
	if r.AgeKnown {
		put("age_years", strconv.Itoa(r.AgeNow))
	}
	waiver := "missing"
	switch c := r.ConsentOf(ConsentWaiver); {
	case c.Valid:
		waiver = "valid"
	case c.Recorded && c.Answer == ConsentGiven && !c.Expires.IsZero() && c.Expires.Before(r.Day):
		waiver = "expired"
	}
	put("waiver", waiver)
	if days, ok := r.evaluationDays(); ok {
		put("evaluation_age_days", strconv.Itoa(days))
	}
	return set
}

// evaluationDays returns how long ago the student was last evaluated; an
// evaluation that is open counts from its beginning.
func (r Record) evaluationDays() (days int, ok bool) {
	var last time.Time
	if e, done := r.LastEvaluation(); done {
		last = e.Closing.RecordedAt
	}
	if e, open := r.OpenEvaluation(); open && e.RecordedAt.After(last) {
		last = e.RecordedAt
	}
	if last.IsZero() {
		return 0, false
	}
	return max(0, int(r.At.Sub(last)/(24*time.Hour))), true
}
