package programme

import (
	"context"
	"maps"
	"slices"
	"strings"

	"firnhand/core/body"
	"firnhand/core/finding"
	"firnhand/core/fit"
)

// KindMeasured is the kind of fact of what was measured on a person and their
// gear for body, fit and stance: MeasuresTaken. The latest of each value stands.
const KindMeasured Kind = "measured"

// MeasuresTaken is the payload of a KindMeasured fact. The person who measured
// is the fact's author.
type MeasuresTaken struct {
	Values []MeasureTaken `json:"values"`
	How    string         `json:"how,omitempty"` // in words
}

// MeasureTaken is one value. An empty value says that it is not known any more.
type MeasureTaken struct {
	MeasureKey
	Value string `json:"value"` // as written: "815" in the unit of its key, "yes", "transtibial"
}

// MeasureSeen is the current value of one measure with where it comes from.
type MeasureSeen struct {
	Provenance
	Value string
}

// maxMeasures is how many values one fact holds.
const maxMeasures = 200

func (t *MeasuresTaken) check() error {
	switch {
	case len(t.Values) == 0:
		return Refuse(CodeInvalid, "There is nothing to record.")
	case len(t.Values) > maxMeasures:
		return Refuse(CodeInvalid, "At most %d values are recorded at once.", maxMeasures)
	}
	seen := map[MeasureKey]bool{}
	for i := range t.Values {
		v := &t.Values[i]
		kind, ok := MeasureKindOf(v.Measure)
		switch {
		case !ok:
			return Refuse(CodeInvalid, "There is no measure called %q.", clip(v.Measure))
		case kind.Sided && v.Side != "left" && v.Side != "right":
			return Refuse(CodeInvalid, "%s is measured left or right.", kind.Label)
		case !kind.Sided && v.Side != "none":
			return Refuse(CodeInvalid, "%s has no sides.", kind.Label)
		case seen[v.MeasureKey]:
			return Refuse(CodeInvalid, "%s (%s) is given twice. Nothing was saved.", kind.Label, v.Side)
		}
		seen[v.MeasureKey] = true
		value, err := kind.Parse(v.Value)
		if err != nil {
			return err
		}
		v.Value = value
	}
	return text("How it was measured", &t.How, MaxShort, false, false)
}

// over returns the measures with what was taken now.
func (t MeasuresTaken) over(m Measures) Measures {
	out := maps.Clone(m)
	if out == nil {
		out = Measures{}
	}
	for _, v := range t.Values {
		if out[v.MeasureKey] = v.Value; v.Value == "" {
			delete(out, v.MeasureKey)
		}
	}
	return out
}

// Measured returns the current measures without where they come from.
func (r Record) Measured() Measures {
	out := Measures{}
	for k, v := range r.Measures {
		out[k] = v.Value
	}
	return out
}

// takeMeasures takes a fact of measures.
func (p *projection) takeMeasures(t MeasuresTaken, from Provenance) {
	p.gear.taken = append(p.gear.taken, measuresTaken{from, t})
	if p.r.Measures == nil {
		p.r.Measures = map[MeasureKey]MeasureSeen{}
	}
	for _, v := range t.Values {
		if p.r.Measures[v.MeasureKey] = (MeasureSeen{from, v.Value}); v.Value == "" {
			delete(p.r.Measures, v.MeasureKey)
		}
	}
}

type measuresTaken struct {
	from Provenance
	MeasuresTaken
}

// newLimb returns why a measure that was taken since makes a set-up void:
// another leg or arm, residual or prosthesis than was known before. What was
// not known before is no change.
func (p *projection) newLimb(since Provenance) []VoidReason {
	before := Measures{}
	for k, value := range p.valuesAt(since.Seq) {
		if l, ok := legLosses[value]; ok && k.ID == "leg" {
			before[MeasureKey{"leg_level", sideWord(k.Side)}] = string(l.level)
		}
	}
	var out []VoidReason
	for _, t := range p.gear.taken {
		if t.from.Seq > since.Seq {
			said := map[string]bool{}
			for _, v := range t.Values {
				was, known := before[v.MeasureKey]
				limb := v.Measure[:min(3, len(v.Measure))]
				if !limbMeasure(v.Measure) || !known || was == v.Value || said[limb+v.Side] {
					continue
				}
				said[limb+v.Side] = true
				out = append(out, VoidReason{"leg", "Another " + limb + " or prosthesis, " + v.Side + " (" + DateOf(t.from.MadeAt).String() + ").", t.from})
			}
		}
		before = t.over(before)
	}
	return out
}

// limbMeasure tells the measures of a limb that ends early.
func limbMeasure(key string) bool {
	k, ok := MeasureKindOf(key)
	return ok && k.Topic == "limbs" && k.Sided
}

// MeasureFlag is something measured that stands out. It is told, never refused.
type MeasureFlag struct {
	MeasureKey
	Sentence string
}

// FlagsOf tells what stands out among the findings and measures of a person:
// against other people, and of the stance against what is usual. It needs a
// body, and is empty while nobody was weighed.
func FlagsOf(set finding.Set, m Measures) []MeasureFlag {
	var out []MeasureFlag
	p, ok := PersonOf(set, m)
	if !ok {
		return nil
	}
	for _, s := range body.Sides {
		for _, key := range []string{"leg_most_kg", "arm_most_kg"} {
			k, _ := MeasureKindOf(key)
			if kg, ok := m.Number(key, s); ok && kg > float64(p.Mass) {
				out = append(out, MeasureFlag{MeasureKey{key, sideWord(s)}, "The " + s.Word() + ": " + strings.ToLower(k.Label[:1]) + k.Label[1:] + " is " + finding.FormatNumber(kg) +
					" kg, more than the student weighs. Was the student pulling on the rail? Measure again; if it comes out the same, keep it."})
			}
		}
	}
	b, err := body.New(p)
	if err != nil {
		return out
	}
	in := m.input()
	in.Body = b
	flags, err := fit.Flags(in)
	if err != nil {
		return out
	}
	for _, f := range flags {
		out = append(out, MeasureFlag{MeasureKey{f.Measure, sideWord(f.Side)}, f.Sentence})
	}
	return out
}

// RecordMeasures implements [UseCases].
func (s *Service) RecordMeasures(ctx context.Context, a Actor, m Made, student ID, t MeasuresTaken) (Receipt, error) {
	if err := allow(a, WriteSetUp); err != nil {
		return Receipt{}, err
	}
	if err := t.check(); err != nil {
		return Receipt{}, err
	}
	slices.SortFunc(t.Values, func(x, y MeasureTaken) int { return strings.Compare(x.Measure+x.Side, y.Measure+y.Side) })
	f, err := s.fact(a, m, student, KindMeasured, "", t)
	if err != nil {
		return Receipt{}, err
	}
	return s.putOn(ctx, f, func(r Record) error { return checkMeasures(r.Set(), t.over(r.Measured())) })
}
