package programme

import (
	"slices"
	"sort"
	"time"
)

// Judging is what a record is judged by, beside its facts.
type Judging struct {
	At      time.Time                 // the moment; zero: when the last fact was recorded
	Zone    *time.Location            // where the programme is; nil: UTC
	Numbers Numbers                   // of the programme, at that moment
	Tires   func(finding string) bool // has the finding a tired value; nil: every one
}

// RecordOf computes a student's record from facts in rising Seq. It is pure:
// the same facts judged the same way give the same record, so a card can be
// made again from the facts it named.
//
// A correction stands in the place of the fact it names: it replaces the
// content, and the place keeps its rank among later facts. A retraction empties
// the place for good.
func RecordOf(student ID, facts []Fact, j Judging) Record {
	if j.Zone == nil {
		j.Zone = time.UTC
	}
	if j.Tires == nil {
		j.Tires = func(string) bool { return true }
	}
	r := Record{Student: student, numbers: j.Numbers, place: j.Zone, Facts: len(facts), Findings: map[FindingKey]Seen{}, history: map[FindingKey][]Seen{}}
	if n := len(facts); n > 0 {
		r.UpTo = facts[n-1].Seq
		if j.At.IsZero() {
			j.At = facts[n-1].RecordedAt
		}
	}
	r.At = j.At
	r.Day = DateOf(j.At.In(j.Zone))

	places := r.takePlaces(facts)
	p := projection{r: &r, j: j, places: places}
	for _, pl := range places {
		if pl.retracted {
			p.emptied(pl)
			continue
		}
		p.take(pl)
	}
	p.finish()
	return r
}

// place is where a fact, its corrections and its retraction meet.
type place struct {
	root      Fact
	chain     []Fact // corrections, oldest first
	retracted bool
	by        Fact // the retraction
}

func (p *place) current() Fact {
	if n := len(p.chain); n > 0 {
		return p.chain[n-1]
	}
	return p.root
}

func (p *place) from() Provenance { return provenance(p.current(), p.root.ID) }

func provenance(f Fact, first ID) Provenance {
	return Provenance{Fact: f.ID, First: first, Seq: f.Seq, By: f.Author, MadeAt: f.MadeAt, RecordedAt: f.RecordedAt}
}

// takePlaces sorts the facts into places, in the order of their first facts,
// and writes the log of everything.
func (r *Record) takePlaces(facts []Fact) []*place {
	var places []*place
	of := map[ID]*place{}
	for _, f := range facts {
		switch at := of[f.Names]; {
		case f.Kind == KindRetraction:
			if at != nil && !at.retracted {
				at.retracted, at.by = true, f
			}
		case f.Names != "" && at != nil && at.root.Kind == f.Kind:
			if !at.retracted {
				at.chain = append(at.chain, f)
			}
			of[f.ID] = at
		default:
			pl := &place{root: f}
			places = append(places, pl)
			of[f.ID] = pl
		}
	}
	r.Log = make([]Entry, 0, len(facts))
	for _, f := range facts {
		e := Entry{Provenance: provenance(f, f.ID), Kind: f.Kind, Standing: Stands}
		if at := of[f.ID]; at != nil {
			e.First = at.root.ID
			switch {
			case at.retracted:
				var why Retraction
				_ = at.by.Read(&why) // a forgotten reason stays empty
				e.Standing, e.ByFact, e.Reason = Retracted, at.by.ID, why.Reason
			case at.current().ID != f.ID:
				e.Standing, e.ByFact = Corrected, at.current().ID
			}
		}
		r.Log = append(r.Log, e)
	}
	return places
}

// projection fills a record place by place.
type projection struct {
	r          *Record
	j          Judging
	consents   map[ConsentKind]ConsentState
	clearances []ClearanceState
	closings   map[ID]closing
	places     []*place
	gear       gear
}

type closing struct {
	from Provenance
	EvaluationClosed
}

// emptied notes what must still be shown of a retracted place.
func (p *projection) emptied(pl *place) {
	if pl.root.Kind != KindHold {
		return
	}
	h := HoldState{ID: pl.root.ID, Provenance: pl.from(), Status: HoldWithdrawn}
	var why Retraction
	if pl.current().Read(&h.Hold) == nil && pl.by.Read(&why) == nil {
		h.Withdrawn = why.Reason
		h.Why = "Withdrawn as recorded in error: " + why.Reason
		p.r.Holds = append(p.r.Holds, h)
	}
}

// take adds one standing place. A later place of the same thing replaces an
// earlier one because places come in the order of their first facts.
func (p *projection) take(pl *place) {
	f, from := pl.current(), pl.from()
	if f.Forgotten {
		p.r.Forgotten = true
		return
	}
	ok := true
	switch f.Kind {
	case KindStudent:
		var d StudentDetails
		if ok = f.Read(&d) == nil; ok {
			p.r.StudentDetails, p.r.DetailsFrom = d, from
		}
	case KindGuardian:
		var g GuardianDetails
		if ok = f.Read(&g) == nil; ok {
			p.guardian(GuardianState{from, g})
		}
	case KindConsent:
		var c Consent
		if ok = f.Read(&c) == nil; ok {
			if p.consents == nil {
				p.consents = map[ConsentKind]ConsentState{}
			}
			p.consents[c.Consent] = ConsentState{Kind: c.Consent, Recorded: true, Provenance: from, Consent: c}
		}
	case KindHold:
		h := HoldState{ID: pl.root.ID, Provenance: from}
		if ok = f.Read(&h.Hold) == nil; ok {
			p.r.Holds = append(p.r.Holds, h)
		}
	case KindClearance:
		var c Clearance
		if ok = f.Read(&c) == nil; ok {
			p.clearances = append(p.clearances, ClearanceState{Provenance: from, Clearance: c})
		}
	case KindEvaluationBegun:
		e := EvaluationState{ID: pl.root.ID, Provenance: from}
		if ok = f.Read(&e.EvaluationBegun) == nil; ok {
			p.r.Evaluations = append(p.r.Evaluations, e)
		}
	case KindEvaluationClosed:
		c := closing{from: from}
		if ok = f.Read(&c.EvaluationClosed) == nil; ok {
			if p.closings == nil {
				p.closings = map[ID]closing{}
			}
			p.closings[c.Evaluation] = c
		}
	case KindFinding:
		var v Finding
		if ok = f.Read(&v) == nil; ok {
			p.finding(Seen{from, v})
		}
	case KindNote:
		n := NoteState{Provenance: from}
		if ok = f.Read(&n.Note) == nil; ok {
			p.r.Notes = append(p.r.Notes, n)
		}
	case KindCard:
		c := CardState{Provenance: from}
		if ok = f.Read(&c.Card) == nil; ok {
			p.r.Cards = append(p.r.Cards, c)
		}
	default:
		var mine bool
		if ok, mine = p.takeGear(pl.root.ID, f, from); !mine {
			ok, mine = p.takeHill(f, from)
		}
		if !mine {
			ok, mine = p.takePhone(f, from)
		}
		if !mine {
			ok, mine = p.takeLesson(pl.root.ID, f, from)
		}
		if !mine {
			ok, mine = p.takeAssignment(f, from)
		}
		ok = ok && mine
	}
	if !ok {
		p.r.Unread++
	}
}

func (p *projection) guardian(g GuardianState) {
	for i := range p.r.Guardians {
		if p.r.Guardians[i].Guardian == g.Guardian {
			p.r.Guardians[i] = g
			return
		}
	}
	p.r.Guardians = append(p.r.Guardians, g)
}

func (p *projection) finding(s Seen) {
	states := []string{s.State}
	if s.State == "both" {
		states = []string{"fresh"}
		if p.j.Tires(s.Finding.Finding) {
			states = append(states, "tired")
		}
	}
	for _, st := range states {
		k := FindingKey{s.Finding.Finding, s.Side, st}
		p.r.Findings[k] = s
		p.r.history[k] = append(p.r.history[k], s)
	}
	for i := range p.r.Evaluations {
		if p.r.Evaluations[i].ID == s.Evaluation {
			p.r.Evaluations[i].Findings++
		}
	}
}

// finish judges what depends on the whole: consents, holds, evaluations.
func (p *projection) finish() {
	r := p.r
	r.AgeNow, r.AgeKnown = r.Age(r.Day)
	for i := range r.Evaluations {
		e := &r.Evaluations[i]
		if c, ok := p.closings[e.ID]; ok {
			e.Closed, e.Closing, e.Complete, e.Summary = true, c.from, c.Complete, c.Summary
		}
	}
	for _, rule := range ConsentRules {
		c, ok := p.consents[rule.Kind]
		c.Kind, c.Needed = rule.Kind, rule.Needed
		if ok {
			c.Valid, c.Why = p.judgeConsent(rule, c.Consent)
		} else {
			c.Why = "Nothing is recorded."
		}
		r.Consents = append(r.Consents, c)
	}
	for i := range r.Holds {
		p.judgeHold(&r.Holds[i])
	}
	sort.SliceStable(r.Holds, func(a, b int) bool { return r.Holds[a].Seq < r.Holds[b].Seq })
	p.judgeSetUps()
	p.judgeBindings()
}

func (p *projection) judgeConsent(rule ConsentRule, c Consent) (bool, string) {
	switch {
	case c.Answer == ConsentRefused:
		return false, "Refused on " + c.SignedOn.String() + "."
	case c.Answer == ConsentWithdrawn:
		return false, "Withdrawn on " + c.SignedOn.String() + "."
	case c.SignedOn.After(p.r.Day):
		return false, "Signed for a later day, " + c.SignedOn.String() + "."
	case !c.Expires.IsZero() && c.Expires.Before(p.r.Day):
		return false, "Ran out on " + c.Expires.String() + "."
	}
	for _, s := range c.SignedBy {
		if s.Guardian != "" && !slices.ContainsFunc(p.r.Guardians, func(g GuardianState) bool { return g.Guardian == s.Guardian }) {
			return false, "Signed by a guardian who is no longer in the record."
		}
	}
	if ok, why := signedEnough(rule, c, p.r.StudentDetails, p.j.Numbers.AdultAgeYears); !ok {
		return false, "Not signed by everybody who must: " + why + "."
	}
	if c.Expires.IsZero() {
		return true, "Given on " + c.SignedOn.String() + "."
	}
	return true, "Valid until " + c.Expires.String() + "."
}

func (p *projection) judgeHold(h *HoldState) {
	if h.Status == HoldWithdrawn {
		return
	}
	h.Status, h.Why = HoldOpen, "Not cleared."
	for _, c := range p.clearances {
		if c.Hold != h.ID {
			continue
		}
		c.Counts = c.InWriting && !c.ClearedOn.After(p.r.Day) && !c.ValidUntil.Before(p.r.Day)
		h.Clearances = append(h.Clearances, c)
		label, licensed := clearerLabel(c.Licence)
		if c.Counts && licensed && !c.ValidUntil.Before(h.Until) {
			h.Status, h.Until = HoldCleared, c.ValidUntil
			h.Why = "Cleared in writing (" + label + ", " + c.ClearedOn.String() + ") until " + c.ValidUntil.String() + "."
		}
	}
	if h.Status == HoldOpen && len(h.Clearances) > 0 {
		last := h.Clearances[len(h.Clearances)-1]
		if last.ValidUntil.Before(p.r.Day) {
			h.Lapsed = true
			h.Why = "The clearance ran out on " + last.ValidUntil.String() + "; the hold is back."
		}
	}
}

// OpenHolds returns the holds that stop the student at the record's moment.
func (r Record) OpenHolds() []HoldState {
	var open []HoldState
	for _, h := range r.Holds {
		if h.Status == HoldOpen {
			open = append(open, h)
		}
	}
	return open
}

// HoldByID finds a hold.
func (r Record) HoldByID(id ID) (HoldState, bool) {
	for _, h := range r.Holds {
		if h.ID == id {
			return h, true
		}
	}
	return HoldState{}, false
}

// ConsentOf returns how a kind of consent stands.
func (r Record) ConsentOf(k ConsentKind) ConsentState {
	for _, c := range r.Consents {
		if c.Kind == k {
			return c
		}
	}
	return ConsentState{Kind: k, Why: "Nothing is recorded."}
}

// MissingConsents returns those without which nobody takes part and that are
// not valid.
func (r Record) MissingConsents() []ConsentState {
	var missing []ConsentState
	for _, c := range r.Consents {
		if c.Needed && !c.Valid {
			missing = append(missing, c)
		}
	}
	return missing
}

// Current returns the current value of a finding and whether anything was ever
// recorded for it. state is "fresh" or "tired".
func (r Record) Current(finding, side, state string) (Seen, bool) {
	s, ok := r.Findings[FindingKey{finding, side, state}]
	return s, ok
}

// LastChange returns when the current value of a finding became what it is: the
// oldest standing value since which nothing else was recorded. state is "fresh"
// or "tired".
func (r Record) LastChange(finding, side, state string) (Seen, bool) {
	all := r.history[FindingKey{finding, side, state}]
	for i := len(all) - 1; i >= 0; i-- {
		if i == 0 || all[i-1].Value != all[i].Value {
			return all[i], true
		}
	}
	return Seen{}, false
}

// OpenEvaluation returns the evaluation that is open.
func (r Record) OpenEvaluation() (EvaluationState, bool) {
	for i := len(r.Evaluations) - 1; i >= 0; i-- {
		if !r.Evaluations[i].Closed {
			return r.Evaluations[i], true
		}
	}
	return EvaluationState{}, false
}

// LastEvaluation returns the evaluation that was closed complete last.
func (r Record) LastEvaluation() (EvaluationState, bool) {
	var last EvaluationState
	for _, e := range r.Evaluations {
		if e.Closed && e.Complete && e.Closing.Seq > last.Closing.Seq {
			last = e
		}
	}
	return last, last.Closed
}

// FindingHistory returns every value ever recorded for a key, oldest first,
// with retracted and replaced ones, from facts in rising Seq. state is "fresh"
// or "tired"; values recorded for both belong to either.
func FindingHistory(facts []Fact, key FindingKey) []Seen {
	var out []Seen
	for _, f := range facts {
		var v Finding
		if f.Kind != KindFinding || f.Read(&v) != nil {
			continue
		}
		if v.Finding == key.Finding && v.Side == key.Side && (v.State == key.State || v.State == "both") {
			out = append(out, Seen{provenance(f, f.ID), v})
		}
	}
	return out
}
