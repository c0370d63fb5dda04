package demo

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"firnhand/core/binding"
	"firnhand/programme"
)

// The minutes of a set-up, from its proposal.
const (
	setAfter  = 15 * time.Minute
	signAfter = 20 * time.Minute
	nextSigns = 5 * time.Minute
)

// sides is one thing for the student's left and one for the right.
type sides[T any] struct {
	L *T `yaml:"L"`
	R *T `yaml:"R"`
}

// setUpFile is one version of a set-up sheet: proposed at the event's moment
// by its person, set a quarter of an hour later, signed after that.
type setUpFile struct {
	CreaseCM sides[float64] `yaml:"crease_cm"`
	HipsCM   *float64       `yaml:"hips_cm"`
	Holes    *struct {
		FirstCM float64 `yaml:"first_cm"`
		StepCM  float64 `yaml:"step_cm"`
		Count   int     `yaml:"count"`
	} `yaml:"holes"`
	// Set is what was set on the person, by line and side: "brake L": 3. Lines
	// that are not named are set as proposed.
	Set      map[string]any `yaml:"set"`
	Only     bool           `yaml:"only"`      // only the named lines are set yet
	SignedBy []string       `yaml:"signed_by"` // two sign a sheet that is in force
}

// measuresFile is what was measured on the person: "leg_most_kg L": 30.
type measuresFile struct {
	Values map[string]any `yaml:"values"`
	How    string         `yaml:"how"`
}

type gearChangeFile struct {
	What string `yaml:"what"`
	Side string `yaml:"side"`
	Note string `yaml:"note"`
}

// bindingFile is a request to the technician; both sides are alike.
type bindingFile struct {
	SoleMM   float64 `yaml:"sole_mm"`
	Standard string  `yaml:"standard"`
	Boot     string  `yaml:"boot"`
	Binding  string  `yaml:"binding"`
	Ski      string  `yaml:"ski"`
	Plate    string  `yaml:"plate"`
	Type     string  `yaml:"skier_type"`
	LastTest string  `yaml:"last_test"`
	Lent     *bool   `yaml:"lent"`
	Line     *bool   `yaml:"line"`
}

// bindingTestFile is what the technician wrote down; both sides are alike.
type bindingTestFile struct {
	Indicator  float64   `yaml:"indicator"`
	TwistNM    []float64 `yaml:"twist_nm"`
	LeanNM     []float64 `yaml:"forward_lean_nm"`
	Instrument string    `yaml:"instrument"`
	ValidUntil string    `yaml:"valid_until"`
	Note       string    `yaml:"note"`
}

// before returns the record as it was just before the event, as its person
// reads it.
func (p *pupil) before(at time.Time, by Staff) func(context.Context, programme.UseCases) (programme.Record, error) {
	return func(ctx context.Context, uc programme.UseCases) (programme.Record, error) {
		return uc.StudentAt(ctx, by.Actor(), p.ID, programme.AsOf{Time: at.Add(-time.Millisecond)})
	}
}

var tablesOfDemo programme.Tables

func (p *pupil) setUp(f *setUpFile) error {
	fit := programme.Fitting{CreaseLeftCM: f.CreaseCM.L, CreaseRightCM: f.CreaseCM.R, HipBreadthCM: f.HipsCM}
	if h := f.Holes; h != nil {
		fit.Holes = &programme.HoleRow{FirstCM: h.FirstCM, StepCM: h.StepCM, Count: h.Count}
	}
	at, by := p.at, p.by
	read := p.before(at, by)
	sheet := p.step("set-up", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		r, err := read(ctx, uc)
		if err != nil {
			return programme.Receipt{}, err
		}
		signed, err := uc.Settings(ctx, by.Actor(), programme.AsOf{Time: at.Add(-time.Millisecond)})
		if err != nil {
			return programme.Receipt{}, err
		}
		t, err := tablesOfDemo.For(signed)
		if err != nil {
			return programme.Receipt{}, err
		}
		v, err := programme.ProposalOf(t, r, fit)
		if err != nil {
			return programme.Receipt{}, err
		}
		return uc.ProposeSetUp(ctx, by.Actor(), m, p.ID, v)
	})
	if len(f.Set) == 0 && f.Only {
		return nil
	}
	p.facts["set-up"] = sheet
	set := p.made("set-up set")
	when := at.Add(setAfter)
	p.add(when, p.where("set-up set"), func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		r, err := p.before(when, by)(ctx, uc)
		if err != nil {
			return programme.Receipt{}, err
		}
		s, ok := r.SetUpByID(sheet)
		if !ok {
			return programme.Receipt{}, programme.Refuse(programme.CodeNotFound, "There is no set-up sheet to set.")
		}
		v, err := f.values(s)
		if err != nil {
			return programme.Receipt{}, err
		}
		return uc.MeasureSetUp(ctx, by.Actor(), m, p.ID, v)
	}, set)
	for i, key := range f.SignedBy {
		who, err := p.person(key)
		if err != nil {
			return err
		}
		p.add(at.Add(signAfter+time.Duration(i)*nextSigns), p.where("set-up signed by "+key), func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
			return uc.SignSetUp(ctx, who.Actor(), m, p.ID, programme.SetUpSignature{SetUp: sheet})
		}, p.made("set-up signed by "+key))
	}
	return nil
}

// values are what was set on each line of a sheet.
func (f *setUpFile) values(s programme.SetUpState) (programme.SetUpMeasures, error) {
	out := programme.SetUpMeasures{SetUp: s.ID}
	used := 0
	for _, it := range s.Items {
		name := it.Item + map[string]string{"left": " L", "right": " R"}[it.Side]
		given, named := f.Set[name]
		if named {
			used++
		} else if f.Only {
			continue
		}
		v := programme.SetUpValue{SetUpKey: it.SetUpKey}
		switch {
		case it.Unit != "" && named:
			n, err := number(given)
			if err != nil {
				return out, fmt.Errorf("%s: %w", name, err)
			}
			v.Value = &n
		case it.Unit != "" && it.Value != nil:
			n := *it.Value
			v.Value = &n
		case it.Unit == "" && named:
			v.Words = fmt.Sprint(given)
		case it.Unit == "" && it.Words != "":
			v.Words = it.Words
		default:
			return out, fmt.Errorf("%s has to be set; the sheet proposes nothing", name)
		}
		for i, h := range it.Holes {
			if v.Value != nil && h == *v.Value {
				v.Hole = i + 1
			}
		}
		out.Values = append(out.Values, v)
	}
	if used != len(f.Set) {
		return out, fmt.Errorf("of %d lines that are set the sheet has %d", len(f.Set), used)
	}
	return out, nil
}

func number(v any) (float64, error) {
	switch n := v.(type) {
	case float64:
		return n, nil
	case uint64:
		return float64(n), nil
	case int64:
		return float64(n), nil
	case int:
		return float64(n), nil
	}
	return 0, fmt.Errorf("%v is no number", v)
}

func (p *pupil) measures(f *measuresFile) error {
	t := programme.MeasuresTaken{How: f.How}
	for _, name := range slices.Sorted(maps.Keys(f.Values)) {
		key, side := place(name)
		t.Values = append(t.Values, programme.MeasureTaken{MeasureKey: programme.MeasureKey{Measure: key, Side: side}, Value: fmt.Sprint(f.Values[name])})
	}
	by := p.by
	p.step("measures", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.RecordMeasures(ctx, by.Actor(), m, p.ID, t)
	})
	return nil
}

func (p *pupil) gearChange(f *gearChangeFile) error {
	by := p.by
	g := programme.GearChange{What: f.What, Side: f.Side, Note: f.Note}
	p.step("gear changed", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.RecordGearChange(ctx, by.Actor(), m, p.ID, g)
	})
	return nil
}

func (p *pupil) askBinding(f *bindingFile) error {
	last, err := programme.ParseDate(f.LastTest)
	if err != nil {
		return err
	}
	s := binding.Side{SoleMM: f.SoleMM, Standard: binding.Standard(f.Standard), Boot: f.Boot, Binding: f.Binding, Ski: f.Ski, Plate: f.Plate}
	if s.Plate == "" {
		s.Plate = binding.NoPlate
	}
	g := programme.BindingGear{Left: s, Right: s, Type: binding.Type(f.Type), LastTest: last, Lent: f.Lent, Line: f.Line}
	by := p.by
	p.facts["binding"] = p.step("binding asked", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.AskBinding(ctx, by.Actor(), m, p.ID, g)
	})
	return nil
}

func (p *pupil) bindingTest(f *bindingTestFile) error {
	request, ok := p.facts["binding"]
	if !ok {
		return fmt.Errorf("no technician was asked before")
	}
	until, err := programme.ParseDate(f.ValidUntil)
	if err != nil {
		return err
	}
	s := programme.BindingSki{Toe: f.Indicator, Heel: f.Indicator, TwistNM: f.TwistNM, LeanNM: f.LeanNM}
	by := p.by
	b := programme.BindingRecord{Request: request, Left: s, Right: s, Technician: by.FullName, Instrument: f.Instrument,
		TestedOn: programme.DateOf(p.at), ValidUntil: until, Signed: true, Note: f.Note}
	p.step("binding tested", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.RecordBindingTest(ctx, by.Actor(), m, p.ID, b)
	})
	return nil
}
