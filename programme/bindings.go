package programme

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"firnhand/core/binding"
	"firnhand/core/decide"
	"firnhand/core/finding"
)

// The kinds of fact about bindings. The program asks and keeps what comes
// back; it gives no setting.
const (
	KindBindingRequested Kind = "binding_requested" // BindingRequest; the fact's id is the request's id
	KindBindingRecorded  Kind = "binding_recorded"  // BindingRecord of one request, by a technician
)

// BindingGear is what the person who asks read off boots, bindings and skis,
// and what the skier declares.
type BindingGear struct {
	Left     binding.Side `json:"left"`
	Right    binding.Side `json:"right"`
	Type     binding.Type `json:"skier_type,omitempty"`
	LastTest Date         `json:"last_test"`
	Lent     *bool        `json:"lent_by_programme,omitempty"`
	Line     *bool        `json:"line_used,omitempty"`
}

// BindingRequest is the payload of a KindBindingRequested fact: the complete
// sheet as it was asked.
type BindingRequest struct {
	Gear  BindingGear     `json:"gear"`
	Sheet binding.Request `json:"sheet"`
	Rules string          `json:"rules,omitempty"` // version of the rule table
}

// BindingSki is what a technician recorded of one ski.
type BindingSki struct {
	Toe     float64   `json:"toe_indicator"`
	Heel    float64   `json:"heel_indicator"`
	TwistNM []float64 `json:"twist_nm"`        // three tests
	LeanNM  []float64 `json:"forward_lean_nm"` // three tests
	SoleMM  float64   `json:"sole_mm,omitempty"`
}

// BindingRecord is the payload of a KindBindingRecorded fact: what a certified
// technician set, measured and signed. The author is the technician.
type BindingRecord struct {
	Request    ID              `json:"request"`
	Left       BindingSki      `json:"left"`
	Right      BindingSki      `json:"right"`
	Technician string          `json:"technician"` // name as signed
	Instrument string          `json:"instrument"`
	TestedOn   Date            `json:"tested_on"`
	ValidUntil Date            `json:"valid_until"` // last day
	Signed     bool            `json:"signed"`      // must be true
	Note       string          `json:"note,omitempty"`
	Verdict    binding.Verdict `json:"verdict"` // whether it is plausible; filled in when it is recorded
}

// BindingStatus says how a request stands.
type BindingStatus string

// The states of a request.
const (
	BindingWaits    BindingStatus = "waits"    // for the technician
	BindingInUse    BindingStatus = "in_use"   // recorded, plausible, not run out
	BindingReadjust BindingStatus = "readjust" // in use; readjust and test again
	BindingOnWord   BindingStatus = "on_word"  // the table says nothing: on the technician's word alone
	BindingNoUse    BindingStatus = "no_use"   // beyond, or tests are missing
	BindingLapsed   BindingStatus = "lapsed"   // the technician's date has passed
	BindingVoid     BindingStatus = "void"     // something it rests on has changed
	BindingReplaced BindingStatus = "replaced" // a later request stands in its place
)

// BindingRecordState is a technician's record.
type BindingRecordState struct {
	Provenance
	BindingRecord
}

// BindingState is one request with what came back.
type BindingState struct {
	ID ID
	Provenance
	BindingRequest
	Record *BindingRecordState // nil before a technician recorded one; the latest otherwise
	Status BindingStatus
	Why    string       // one sentence: what the status rests on
	Void   []VoidReason // what changed since it was asked, oldest first
}

// Usable tells whether nothing in the record speaks against skiing on the
// bindings: a certified technician recorded and signed them, and nothing has
// changed or run out. It is not the technician's word itself.
func (b BindingState) Usable() bool {
	return b.Status == BindingInUse || b.Status == BindingReadjust || b.Status == BindingOnWord
}

// Binding returns the newest request.
func (r Record) Binding() (BindingState, bool) {
	if len(r.Bindings) == 0 {
		return BindingState{}, false
	}
	return r.Bindings[len(r.Bindings)-1], true
}

// BindingByID finds a request.
func (r Record) BindingByID(id ID) (BindingState, bool) {
	for _, b := range r.Bindings {
		if b.ID == id {
			return b, true
		}
	}
	return BindingState{}, false
}

// BindingSheetOf composes the request for a record with the gear that was read
// off, as of the record's day. It is pure.
func BindingSheetOf(t *decide.Table, r Record, g BindingGear, askedBy string) binding.Request {
	d := DecisionOf(t, r)
	return binding.Compose(d.Input.Findings, t.Decide(d.Input), binding.Gear{Left: g.Left, Right: g.Right, Type: g.Type,
		LastTest: g.LastTest.String(), Lent: g.Lent, Line: g.Line, AskedBy: askedBy})
}

// judgeBindings says how each request stands.
func (p *projection) judgeBindings() {
	for i := range p.r.Bindings {
		b := &p.r.Bindings[i]
		for _, rec := range p.gear.records {
			if rec.Request == b.ID {
				b.Record = &rec
			}
		}
		b.Void = p.bindingVoided(b.Provenance)
		b.Status, b.Why = p.bindingStatus(*b)
		if i < len(p.r.Bindings)-1 {
			b.Status, b.Why = BindingReplaced, "A later request stands in its place."
		}
	}
}

// bindingVoided lists what voids a setting: boot, sole, plate, binding or ski
// changed, another weight class, a height or an age that leads to another row
// of the printed table.
func (p *projection) bindingVoided(since Provenance) []VoidReason {
	out := slices.DeleteFunc(p.voided(since), func(v VoidReason) bool {
		k, _ := gearChangeOf(v.Code)
		return !k.Binding && v.Code != "weight"
	})
	before := p.valuesAt(since.Seq)
	number := func(text string) (float64, bool) {
		v, err := strconv.ParseFloat(text, 64)
		return v, err == nil
	}
	was, known := number(before[finding.Key{ID: "height_cm"}])
	kg, weighed := number(before[finding.Key{ID: "mass_kg"}])
	if seen, ok := p.r.Current("height_cm", "none", "fresh"); ok && known && weighed && seen.Seq > since.Seq {
		if now, ok := number(seen.Value); ok && !binding.SameHeightClass(kg, was, now) {
			out = append(out, VoidReason{"height", "Another height class: " + finding.FormatNumber(was) + " cm before, " + seen.Value + " cm now (" + DateOf(seen.MadeAt).String() + ").", seen.Provenance})
		}
	}
	if then, ok := p.r.Age(DateOf(since.MadeAt.In(p.j.Zone))); ok && p.r.AgeKnown {
		if years, passed := binding.AgePassed(float64(then), float64(p.r.AgeNow)); passed {
			say, made := "Is "+strconv.Itoa(years)+" now", p.r.At
			if !p.r.BirthDate.IsZero() {
				day := p.r.BirthDate.AddMonths(12 * years)
				say, made = "Turned "+strconv.Itoa(years)+" on "+day.String(), day.utc()
			}
			out = append(out, VoidReason{"age", say + ": from that age on another row counts.", Provenance{MadeAt: made, Seq: p.r.UpTo}})
		}
	}
	return out
}

func (p *projection) bindingStatus(b BindingState) (BindingStatus, string) {
	switch {
	case b.Record == nil && len(b.Void) > 0:
		return BindingWaits, b.Void[0].Say + " Ask again with what holds now."
	case b.Record == nil:
		return BindingWaits, "Waits for a certified technician. There is no setting before one recorded it."
	case len(b.Void) > 0:
		return BindingVoid, b.Void[0].Say + " The setting is void: ask the technician again."
	case b.Record.ValidUntil.Before(p.r.Day):
		return BindingLapsed, "The technician's date passed on " + b.Record.ValidUntil.String() + ": ask again."
	}
	until := " Valid until " + b.Record.ValidUntil.String() + "."
	switch b.Record.Verdict.Word {
	case binding.Accepted:
		return BindingInUse, "Recorded and signed by the technician, and plausible." + until
	case binding.Readjust:
		return BindingReadjust, "In use; the technician readjusts and tests again." + until
	case binding.Refer:
		return BindingOnWord, "On the technician's word alone: the table at hand says nothing here." + until
	}
	return BindingNoUse, "Not in use: " + lowerFirst(b.Record.Verdict.Word.Says())
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// Limits of a request and a record.
const (
	maxPlateMM   = 100
	maxSoleMM    = 400
	leastSoleMM  = 150
	bindingYears = 2 // a test is asked for again at the latest after this; common practice, no source
)

func (g *BindingGear) check(today Date) error {
	for _, side := range []struct {
		name string
		s    *binding.Side
	}{{"left", &g.Left}, {"right", &g.Right}} {
		s := side.s
		for _, err := range []error{
			text("The model of the "+side.name+" boot", &s.Boot, MaxName, false, false),
			text("The model of the "+side.name+" binding", &s.Binding, MaxName, false, false),
			text("The "+side.name+" ski", &s.Ski, MaxName, false, false),
			text("What lies under the "+side.name+" boot or binding", &s.Plate, MaxName, false, false),
		} {
			if err != nil {
				return err
			}
		}
		standard, err := binding.ParseStandard(string(s.Standard))
		switch {
		case err != nil:
			return Refuse(CodeInvalid, "%s", err)
		case s.SoleMM != 0 && !soleIsSane(s.SoleMM):
			return Refuse(CodeInvalid, "The sole length of the %s boot is a whole number of millimetres between %d and %d, as printed on it.", side.name, leastSoleMM, maxSoleMM)
		case math.IsNaN(s.PlateMM) || s.PlateMM < 0 || s.PlateMM > maxPlateMM:
			return Refuse(CodeInvalid, "The height of a plate on the %s cannot be right.", side.name)
		case s.PlateMM > 0 && (s.Plate == "" || s.Plate == binding.NoPlate):
			return Refuse(CodeInvalid, "There is a height but no plate on the %s.", side.name)
		}
		s.Standard = standard
	}
	typ, err := binding.ParseType(string(g.Type))
	if err != nil {
		return Refuse(CodeInvalid, "%s", err)
	}
	g.Type = typ
	if g.LastTest.After(today) {
		return Refuse(CodeInvalid, "The day of the last test, %s, is in the future.", g.LastTest)
	}
	return nil
}

func soleIsSane(mm float64) bool {
	return mm >= leastSoleMM && mm <= maxSoleMM && mm == math.Trunc(mm)
}

// skier is what a technician's record is compared with; ok is false where the
// sheet lacks what that needs.
func (b BindingRequest) skier(rec BindingRecord) (s binding.Skier, missing []string) {
	s = binding.Skier{Type: b.Sheet.Type, SoleLeftMM: b.Sheet.Left.SoleMM, SoleRightMM: b.Sheet.Right.SoleMM}
	for _, n := range []struct {
		what string
		from *float64
		into *float64
	}{{"mass", b.Sheet.MassKG, &s.MassKG}, {"height", b.Sheet.HeightCM, &s.HeightCM}, {"age", b.Sheet.AgeYears, &s.AgeYears}} {
		if n.from == nil {
			missing = append(missing, n.what)
			continue
		}
		*n.into = *n.from
	}
	for _, one := range []struct {
		side string
		read float64 // by the technician
		into *float64
	}{{"left", rec.Left.SoleMM, &s.SoleLeftMM}, {"right", rec.Right.SoleMM, &s.SoleRightMM}} {
		if b.Sheet.OnlySki != "" && b.Sheet.OnlySki != one.side {
			*one.into = 0
			continue
		}
		if one.read != 0 {
			*one.into = one.read
		}
		if *one.into == 0 {
			missing = append(missing, "sole length of the "+one.side+" boot")
		}
	}
	return s, missing
}

// judge fills in the verdict.
func (rec *BindingRecord) judge(b BindingRequest) error {
	s, missing := b.skier(*rec)
	if len(missing) > 0 {
		return Refuse(CodeInvalid, "The request lacks what a record is compared with: %s. Ask again with a complete sheet.", strings.Join(missing, ", "))
	}
	ski := func(s BindingSki) binding.Ski {
		return binding.Ski{Toe: s.Toe, Heel: s.Heel, Twist: s.TwistNM, Lean: s.LeanNM}
	}
	v, err := binding.Check(s, binding.Record{Technician: rec.Technician, Instrument: rec.Instrument, TestedOn: rec.TestedOn.String(),
		Left: ski(rec.Left), Right: ski(rec.Right)})
	if err != nil {
		return Refuse(CodeInvalid, "%s", err)
	}
	rec.Verdict = v
	return nil
}

func (rec *BindingRecord) check(today Date) error {
	if err := rec.Request.Check(); err != nil {
		return err
	}
	for _, err := range []error{
		text("The technician's name", &rec.Technician, MaxName, true, false),
		text("The instrument", &rec.Instrument, MaxName, true, false),
		text("The note", &rec.Note, MaxText, false, true),
	} {
		if err != nil {
			return err
		}
	}
	for _, s := range []BindingSki{rec.Left, rec.Right} {
		if s.SoleMM != 0 && !soleIsSane(s.SoleMM) {
			return Refuse(CodeInvalid, "A sole length is a whole number of millimetres between %d and %d, as printed on the boot.", leastSoleMM, maxSoleMM)
		}
	}
	switch {
	case rec.TestedOn.IsZero():
		return Refuse(CodeInvalid, "The day of the test is missing.")
	case rec.TestedOn.After(today):
		return Refuse(CodeInvalid, "The day of the test, %s, is in the future.", rec.TestedOn)
	case rec.ValidUntil.IsZero():
		return Refuse(CodeInvalid, "Until when it is valid is missing.")
	case rec.ValidUntil.Before(rec.TestedOn):
		return Refuse(CodeInvalid, "It would be valid until %s, before the test on %s.", rec.ValidUntil, rec.TestedOn)
	case rec.ValidUntil.After(rec.TestedOn.AddMonths(12 * bindingYears)):
		return Refuse(CodeInvalid, "A test is valid for at most %d years, here until %s.", bindingYears, rec.TestedOn.AddMonths(12*bindingYears))
	case !rec.Signed:
		return Refuse(CodeInvalid, "The technician signs what was set and measured.")
	}
	return nil
}
