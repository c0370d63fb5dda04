package programme

import (
	"slices"
	"strconv"

	"firnhand/core/binding"
	"firnhand/core/finding"
)

// gear holds the facts of set-up and bindings while a record is put together.
type gear struct {
	measures []setUpMeasures
	signs    []setUpSign
	changes  []GearChangeState
	records  []BindingRecordState
	taken    []measuresTaken
}

type setUpMeasures struct {
	from Provenance
	SetUpMeasures
}

type setUpSign struct {
	from Provenance
	SetUpSignature
}

// GearChangeState is one recorded change of gear.
type GearChangeState struct {
	Provenance
	GearChange
}

// takeGear takes a fact of set-up or bindings; ok is false where it cannot be
// read, and mine where it is of another kind.
func (p *projection) takeGear(root ID, f Fact, from Provenance) (ok, mine bool) {
	switch f.Kind {
	case KindSetUpProposed:
		s := SetUpState{ID: root, Provenance: from}
		if ok = f.Read(&s.SetUpProposal) == nil && s.SetUpProposal.check() == nil; ok {
			s.Measured = make([]MeasuredItem, len(s.Items))
			s.Version = len(p.r.SetUps) + 1
			p.r.SetUps = append(p.r.SetUps, s)
		}
	case KindSetUpMeasured:
		m := setUpMeasures{from: from}
		if ok = f.Read(&m.SetUpMeasures) == nil; ok {
			p.gear.measures = append(p.gear.measures, m)
		}
	case KindSetUpSigned:
		s := setUpSign{from: from}
		if ok = f.Read(&s.SetUpSignature) == nil; ok {
			p.gear.signs = append(p.gear.signs, s)
		}
	case KindGearChanged:
		c := GearChangeState{Provenance: from}
		if ok = f.Read(&c.GearChange) == nil; ok {
			p.r.GearChanges = append(p.r.GearChanges, c)
		}
	case KindMeasured:
		var t MeasuresTaken
		if ok = f.Read(&t) == nil && t.check() == nil; ok {
			p.takeMeasures(t, from)
		}
	case KindBindingRequested:
		b := BindingState{ID: root, Provenance: from}
		if ok = f.Read(&b.BindingRequest) == nil; ok {
			p.r.Bindings = append(p.r.Bindings, b)
		}
	case KindBindingRecorded:
		b := BindingRecordState{Provenance: from}
		if ok = f.Read(&b.BindingRecord) == nil; ok {
			p.gear.records = append(p.gear.records, b)
		}
	default:
		return true, false
	}
	return ok, true
}

// judgeSetUps says how each version of the sheet stands.
func (p *projection) judgeSetUps() {
	r := p.r
	signed := -1 // the newest version that two people signed
	for i := range r.SetUps {
		s := &r.SetUps[i]
		last := p.fillIn(s)
		s.Void = p.voided(last)
		switch {
		case len(s.Signatures) == 2:
			signed = i
		case s.Complete():
			s.Status = SetUpMeasured
		default:
			s.Status = SetUpDraft
		}
	}
	for i := range r.SetUps {
		s := &r.SetUps[i]
		switch {
		case i < signed || i < len(r.SetUps)-1 && len(s.Signatures) < 2:
			s.Status, s.Why = SetUpReplaced, "A later version stands in its place."
		case len(s.Void) > 0:
			s.Status, s.Why = SetUpVoid, s.Void[0].Say+" Measure and sign anew."
		case i == signed:
			s.Status, s.Why = SetUpSigned, "Signed by two people on "+DateOf(s.Signatures[1].MadeAt).String()+"."
		case s.Status == SetUpMeasured && len(s.Signatures) == 1:
			s.Why = "Everything is measured; a second person signs."
		case s.Status == SetUpMeasured:
			s.Why = "Everything is measured; two people sign."
		default:
			s.Why = "Not everything is measured on the person yet."
		}
	}
}

// fillIn puts in what was measured for a version and the signatures that
// count, and returns the fact from which on a change makes it void.
func (p *projection) fillIn(s *SetUpState) Provenance {
	last := s.Provenance
	for _, m := range p.gear.measures {
		if m.SetUp != s.ID {
			continue
		}
		for _, v := range m.Values {
			for i, it := range s.Items {
				if it.SetUpKey == v.SetUpKey {
					s.Measured[i] = MeasuredItem{true, m.from, v}
				}
			}
		}
		if m.from.Seq > last.Seq {
			last = m.from
		}
	}
	for _, sg := range p.gear.signs {
		signedBefore := slices.ContainsFunc(s.Signatures, func(o Provenance) bool { return o.By == sg.from.By })
		if sg.SetUp == s.ID && sg.from.Seq > last.Seq && !signedBefore && len(s.Signatures) < 2 && s.Complete() {
			s.Signatures = append(s.Signatures, sg.from)
		}
	}
	return last
}

// voided lists what was recorded after a measurement and makes it void: growth
// over the setting, a new brace or leg, a plate, other soles, another weight
// class, anything of gate G13 (injections, pump), and gear recorded as changed.
func (p *projection) voided(since Provenance) []VoidReason {
	var out []VoidReason
	grown := map[ID]float64{}
	before := p.valuesAt(since.Seq)
	for _, seen := range p.r.AllFindings() {
		if seen.Seq <= since.Seq {
			continue
		}
		code, say := p.change(seen, before[keyOf(seen)], since, grown)
		if code != "" {
			out = append(out, VoidReason{code, say, seen.Provenance})
		}
	}
	for _, c := range p.r.GearChanges {
		if c.Seq > since.Seq {
			out = append(out, VoidReason{c.What, c.Says(), c.Provenance})
		}
	}
	out = append(out, p.newLimb(since)...)
	slices.SortStableFunc(out, func(a, b VoidReason) int { return int(a.Seq - b.Seq) })
	return out
}

// Says tells the change in one sentence.
func (c GearChangeState) Says() string {
	kind, _ := gearChangeOf(c.What)
	side := ""
	if c.Side == "left" || c.Side == "right" {
		side = ", " + c.Side
	}
	s := kind.Label + side + ": changed on " + DateOf(c.MadeAt).String()
	if c.Note != "" {
		s += " (" + c.Note + ")"
	}
	return s + "."
}

func keyOf(s Seen) finding.Key {
	side, _ := coreKey(s.FindingKey)
	return finding.Key{ID: s.Finding.Finding, Side: side}
}

// valuesAt returns the fresh findings as the record showed them up to a
// sequence number: a correction or retraction made later does not count yet.
func (p *projection) valuesAt(seq int64) map[finding.Key]string {
	out := map[finding.Key]string{}
	for _, pl := range p.places {
		if pl.root.Kind != KindFinding || pl.root.Seq > seq || pl.retracted && pl.by.Seq <= seq {
			continue
		}
		f := pl.root
		for _, c := range pl.chain {
			if c.Seq <= seq {
				f = c
			}
		}
		var v Finding
		if !f.Forgotten && f.Read(&v) == nil && v.State != "tired" {
			out[keyOf(Seen{Finding: v})] = v.Value
		}
	}
	return out
}

// change says whether a finding recorded after a measurement makes it void.
// was is the value known at the measurement, "" where there was none.
func (p *projection) change(seen Seen, was string, since Provenance, grown map[ID]float64) (code, say string) {
	on := " (" + DateOf(seen.MadeAt).String() + ")."
	n, err := strconv.ParseFloat(seen.Value, 64)
	number := err == nil
	old, err := strconv.ParseFloat(was, 64)
	known := err == nil
	side := ""
	if seen.Side == "left" || seen.Side == "right" {
		side = ", " + seen.Side
	}
	switch seen.Finding.Finding {
	case "growth_cm":
		if !number {
			return "", ""
		}
		grown[seen.Evaluation] = max(grown[seen.Evaluation], n)
		sum := 0.0
		for _, cm := range grown {
			sum += cm
		}
		if sum > p.j.Numbers.growth() {
			return "growth", "Grew " + finding.FormatNumber(sum) + " cm" + on
		}
	case "height_cm":
		if number && known && n-old > p.j.Numbers.growth() {
			return "growth", "Grew from " + was + " to " + seen.Value + " cm" + on
		}
	case "mass_kg":
		if number && known && !binding.SameWeightClass(old, n) {
			return "weight", "Another weight class: " + was + " kg before, " + seen.Value + " kg now" + on
		}
	case "boot_sole_mm":
		if number && known && n != old {
			return "soles", "Other boots or soles: " + was + " mm before, " + seen.Value + " mm now" + on
		}
	case "leg_short_mm":
		if number && known && n != old {
			return "leg_length", "Another leg-length difference" + side + ": " + was + " mm before, " + seen.Value + " mm now" + on
		}
	case "new_brace":
		if seen.Value == "yes" {
			return "brace", "A new brace" + on
		}
	case "brace":
		if was != "" && was != "unknown" && seen.Value != was {
			return "brace", "Another brace" + side + on
		}
	case "leg":
		if was != "" && was != "unknown" && seen.Value != was {
			return "leg", "Another leg or prosthesis" + side + on
		}
	case "pump_change":
		if seen.Value == "yes" {
			return "g13", "A medicine pump was changed" + on
		}
	case "botulinum_months":
		given, measured := DateOf(seen.MadeAt).AddMonths(-int(n)), DateOf(since.MadeAt)
		if number && (given.After(measured) || given == measured && seen.Value != was) {
			return "g13", "Injections since the measuring" + on
		}
	}
	return "", ""
}
