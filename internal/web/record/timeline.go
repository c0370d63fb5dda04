package record

import (
	"net/http"
	"slices"
	"strings"
	"time"

	"firnhand/core/finding"
	"firnhand/internal/web/answer"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// event is one fact in words.
type event struct {
	programme.Entry
	What    string
	About   string // what, in a head of several
	Says    string
	By      string
	Correct string // address of the page that corrects it, or ""
	Retract bool
}

// moment is what was recorded at once: one fact, or several findings or
// attempts.
type moment struct {
	Events []event
	What   []string // for several: what they are about
}

// dayOf is one day of the record, newest first.
type dayOf struct {
	Day     programme.Date
	Moments []moment
}

type timelineBody struct {
	Days  []dayOf
	Upto  int64 // an earlier moment is shown
	Facts int
	On    *page.Field
}

var kindWords = map[programme.Kind]string{programme.KindStudent: "Details", programme.KindGuardian: "Guardian or contact", programme.KindConsent: "Consent",
	programme.KindHold: "Hold", programme.KindClearance: "Written clearance", programme.KindEvaluationBegun: "Evaluation begun", programme.KindEvaluationClosed: "Evaluation closed",
	programme.KindFinding: "Finding", programme.KindNote: "Note", programme.KindCard: "Card", programme.KindRetraction: "Taken out",
	programme.KindAssignment:    "Medical details opened to somebody",
	programme.KindSetUpProposed: "Set-up proposed", programme.KindSetUpMeasured: "Set-up measured", programme.KindSetUpSigned: "Set-up signed", programme.KindGearChanged: "Gear changed", programme.KindMeasured: "Measured",
	programme.KindBindingRequested: "Binding technician asked", programme.KindBindingRecorded: "Binding test recorded"}

func timeline(v *page.Visit) error {
	at, past := answer.AsOf(v)
	var problems page.Problems
	on := &page.Field{Kind: "date", Name: "on", Label: "Show it as it was at the end of a day", Value: v.R.URL.Query().Get("on")}
	if on.Value != "" {
		d, err := programme.ParseDate(on.Value)
		if err != nil {
			problems.Add("on", programme.SentenceOf(err))
			on.Problem = programme.SentenceOf(err)
		} else {
			at.Time = time.Date(d.Year, d.Month, d.Day, 23, 59, 59, int(time.Second-time.Millisecond), v.Kit.Zone)
			past = true
		}
	}
	r, err := v.Kit.Cases.StudentAt(v.R.Context(), v.Actor, v.StudentID(), at)
	if err != nil {
		if programme.CodeOf(err) == programme.CodeNotFound && on.Value != "" {
			err = programme.Refuse(programme.CodeNotFound, "Nothing was recorded about this student by the end of that day.")
		}
		return err
	}
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	body := timelineBody{Facts: r.Facts, On: on}
	values := valuesOf(r)
	for i := len(r.Log) - 1; i >= 0; i-- {
		e := describe(r, r.Log[i], values)
		e.By = names[e.Entry.By]
		if past || e.Standing != programme.Stands {
			e.Correct, e.Retract = "", false
		} else {
			mayChange(v.Actor, r, &e)
		}
		d := programme.DateOf(e.MadeAt.In(v.Kit.Zone))
		if n := len(body.Days); n == 0 || body.Days[n-1].Day != d {
			body.Days = append(body.Days, dayOf{Day: d})
		}
		body.Days[len(body.Days)-1].add(e)
	}
	h := v.HeadingOf(r)
	if past {
		body.Upto = r.UpTo
		h.AsOf = v.When(r.At)
	}
	st := http.StatusOK
	if len(problems) > 0 {
		st = http.StatusUnprocessableEntity
	}
	return v.Render(st, "record", page.View{Title: "Record", Student: h, Here: "record", Problems: problems, Body: body})
}

// add puts an event into the day; findings made in one go stay together.
func (d *dayOf) add(e event) {
	if n := len(d.Moments); n > 0 && (e.Kind == programme.KindFinding || e.Kind == programme.KindAttempt) {
		m := &d.Moments[n-1]
		first := m.Events[0]
		if first.Kind == e.Kind && first.MadeAt.Equal(e.MadeAt) && first.Entry.By == e.Entry.By || sameLesson(first, e) {
			m.Events = append(m.Events, e)
			if !slices.Contains(m.What, e.About) {
				m.What = append(m.What, e.About)
			}
			return
		}
	}
	d.Moments = append(d.Moments, moment{Events: []event{e}, What: []string{e.About}})
}

// Many says what the events of a moment are.
func (m moment) Many() string {
	if m.Events[0].Kind == programme.KindAttempt {
		return "attempts"
	}
	return "findings"
}

// Few names the first things of a moment.
func (m moment) Few() string {
	const few = 4
	names := m.What
	if len(names) > few {
		return strings.Join(names[:few], ", ") + " and more"
	}
	return strings.Join(names, ", ")
}

// valuesOf lists the standing values by their fact.
func valuesOf(r programme.Record) map[programme.ID]programme.Seen {
	values := map[programme.ID]programme.Seen{}
	for _, s := range r.AllFindings() {
		values[s.Fact] = s
	}
	return values
}

// describe says what a fact says, as far as it stands.
func describe(r programme.Record, e programme.Entry, values map[programme.ID]programme.Seen) event {
	out := event{Entry: e, What: kindWords[e.Kind]}
	if out.What == "" {
		out.What = string(e.Kind)
	}
	switch e.Kind {
	case programme.KindFinding:
		if s, ok := values[e.Fact]; ok {
			out.What, out.Says = sayFinding(s)
		}
	case programme.KindNote:
		for _, n := range r.Notes {
			if n.Fact == e.Fact {
				out.Says = n.Text
			}
		}
	case programme.KindHold:
		for _, h := range r.Holds {
			if h.Fact == e.Fact {
				out.Says = h.Reason
			}
		}
	case programme.KindClearance:
		for _, h := range r.Holds {
			for _, c := range h.Clearances {
				if c.Fact == e.Fact {
					out.Says = "Of the hold: " + page.HoldWord(h.Rule) + ", until " + page.Day(c.ValidUntil)
				}
			}
		}
	case programme.KindConsent:
		for _, c := range r.Consents {
			if c.Recorded && c.Fact == e.Fact {
				rule, _ := programme.ConsentRuleOf(c.Kind)
				out.Says = rule.Label + ": " + string(c.Answer)
			}
		}
	case programme.KindEvaluationBegun, programme.KindEvaluationClosed:
		for _, ev := range r.Evaluations {
			if ev.Closing.Fact == e.Fact {
				out.Says = ev.Summary
				if !ev.Complete {
					out.Says = strings.TrimSpace("Broken off. " + ev.Summary)
				}
			}
		}
	case programme.KindCard:
		for _, c := range r.Cards {
			if c.Fact == e.Fact {
				out.Says = "For " + page.Day(c.ForDay)
			}
		}
	default:
		if out.Says = gearSays(r, e); isHill(e.Kind) {
			out.What, out.Says = hillWords[e.Kind], hillSays(r, e)
		} else if lessonWords[e.Kind] != "" {
			out.What, out.Says = lessonWords[e.Kind], lessonSays(r, e)
		}
	}
	if out.About = out.What; e.Kind == programme.KindAttempt {
		out.About = aboutAttempt(r, e)
	}
	return out
}

func sayFinding(s programme.Seen) (what, says string) {
	what = s.Finding.Finding
	if d, ok := finding.Lookup(what); ok {
		what = d.Label
	}
	var about []string
	if s.Side == "left" || s.Side == "right" {
		about = append(about, s.Side)
	}
	if s.State == "tired" || s.State == "fresh" {
		about = append(about, s.State)
	}
	if len(about) > 0 {
		what += " (" + strings.Join(about, ", ") + ")"
	}
	says = answer.SayFinding(s.Finding)
	if s.Note != "" {
		says += ". " + s.Note
	}
	return what, says
}

// mayChange says what the person may do with a fact that stands.
func mayChange(a programme.Actor, r programme.Record, e *event) {
	base := "/students/" + string(r.Student)
	switch e.Kind {
	case programme.KindFinding:
		if a.May(programme.Evaluate) {
			e.Correct, e.Retract = base+"/facts/"+string(e.Fact)+"/correct", true
		}
	case programme.KindNote:
		i := slices.IndexFunc(r.Notes, func(n programme.NoteState) bool { return n.Fact == e.Fact })
		if i >= 0 && (r.Notes[i].Class == programme.NoteMedical && a.May(programme.WriteMedical) || r.Notes[i].Class == programme.NoteWork && a.May(programme.WriteNote)) {
			e.Correct, e.Retract = base+"/notes/"+string(e.Fact), true
		}
	case programme.KindConsent:
		if a.May(programme.WriteConsent) {
			e.Retract = true
			for _, c := range r.Consents {
				if c.Fact == e.Fact {
					e.Correct = base + "/consents/" + string(c.Kind) + "?correct=1"
				}
			}
		}
	case programme.KindGuardian:
		e.Retract = a.May(programme.WriteStudent)
	case programme.KindClearance, programme.KindHold:
		e.Retract = a.May(programme.RecordClears)
	case programme.KindEvaluationBegun, programme.KindEvaluationClosed:
		e.Retract = a.May(programme.Evaluate)
	default:
		e.Retract = mayRetractGear(a, r, e.Entry) || isHill(e.Kind) && a.May(programme.PlanHill) || e.Kind == programme.KindAttempt && a.May(programme.LogSnow)
	}
}
