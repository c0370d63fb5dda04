package programme

import (
	"math"
	"slices"

	"firnhand/core/decide"
	"firnhand/core/effort"
	"firnhand/core/finding"
	"firnhand/core/quantity"
)

// EffortLine is what one way of moving costs this student.
type EffortLine struct {
	Code  string
	Words string
	Rate  effort.Rate // of this student, where the multiplier is known
	Power quantity.Range[quantity.Watt]
	// Rest owed after WorkedMin minutes of it, at the value and at the high end.
	WorkedMin      float64
	Rest, RestHigh quantity.Second
	Share          *effort.Share // of the greatest uptake; nil where nobody measured it
	Done           bool          // false: this student does not do it, and Why says so
	Why            string
}

// OnEffort is what moving costs a student on a slope.
type OnEffort struct {
	Needs      []string // findings without which there is no power
	Multiplier effort.Multiplier
	Measured   bool // the multiplier is this student's own
	HasMult    bool // there is one at all; else the figures are those of healthy adults
	Capacity   *effort.Capacity
	Standard   effort.Standard
	Lines      []EffortLine
	// EnduranceMin is how long the student was upright before quality dropped,
	// and BlockMin the longest block before a rest by the programme's share of
	// it; zero where it is not known.
	EnduranceMin, BlockMin float64
	Outside                []string
}

// What is tried, as common in a first lesson (common practice, no source).
const (
	workedMin      = 10  // minutes
	stepWidthM     = 0.4 // of a side step up the slope
	stepsPerMinute = 12  // side steps
	flatMS         = 0.5 // on the flat, where nothing was timed
	upMS           = 0.4 // walking up
	downhillCode   = "19150"
	minuteS        = 60.0
)

// EffortOn says what moving costs the student of a record on a slope. It is
// pure. The figures are limits of a model, never a target.
func EffortOn(t *decide.Table, r Record, h Hill, on ID) (*OnEffort, error) {
	d := DecisionOf(t, r)
	a := t.Decide(d.Input)
	fs := d.Input.Findings
	out := &OnEffort{Standard: effort.Murrell()}
	var basis EffortBasis
	if n := len(r.Hill.Efforts); n > 0 {
		basis = r.Hill.Efforts[n-1].EffortBasis
	}
	var err error
	if out.Multiplier, out.HasMult, err = basis.multiplier(); err != nil {
		return nil, err
	}
	out.Measured = out.HasMult && basis.WalkM > 0
	if m := fs.Get("endurance_min", finding.NoSide, finding.Fresh); m.Kind == finding.Known {
		out.EnduranceMin = m.X
	}
	if b := a.Numbers.BlockMin; b != nil {
		out.BlockMin = *b
	}
	mass := fs.Get("mass_kg", finding.NoSide, finding.Fresh)
	if mass.Kind != finding.Known {
		out.Needs = append(out.Needs, "mass_kg")
		return out, nil
	}
	kg := quantity.Kilogram(mass.X)
	if c, ok, err := basis.capacity(); err != nil {
		return nil, err
	} else if ok {
		out.Capacity = &c
		if out.Standard, out.Outside, err = effort.StandardOf(c, kg); err != nil {
			return nil, hillFault(err)
		}
	}
	grade := 0.0
	if s, ok := h.SlopeByID(on); ok {
		grade = s.MeanPct()
	}
	way, tied := "", false
	if x, ok := a.Axis("way"); ok && !x.Open {
		way = x.Value
	}
	if x, ok := a.Axis("tie"); ok && !x.Open {
		tied = slices.Contains([]string{"elastic", "rigid", "rigid_spacer"}, x.Value)
	}
	for _, l := range out.lines(r, grade) {
		if l.Code == "side_steps" && (tied || way == "slider" || way == "one_ski_left" || way == "one_ski_right" || way == "sitting") {
			l.Done, l.Why = false, "Not with a tie, in a slider or on one ski."
		}
		if err := out.cost(&l, kg); err != nil {
			return nil, err
		}
		out.Lines = append(out.Lines, l)
	}
	return out, nil
}

// lines are the ways of moving with their rates.
func (o *OnEffort) lines(r Record, grade float64) []EffortLine {
	flat, words := flatMS, "On the flat at 0.5 m/s (walking; nobody timed this student)"
	if n := len(r.Hill.LiftTimes); n > 0 {
		if s, ok := spread(r.Hill.LiftTimes[n-1].PushS); ok && s.Value > 0 {
			flat = r.Hill.LiftTimes[n-1].PushM / s.Value
			words = "On the flat at " + quantity.Decimals(2).Text(flat) + " m/s, the pushes that were timed (walking stands for pushing)"
		}
	}
	var out []EffortLine
	add := func(code, words string, rate effort.Rate, err error) {
		if err != nil {
			rate = effort.Rate{Outside: []string{SentenceOf(hillFault(err))}}
		}
		if o.HasMult && code != "sliding" {
			rate = o.Multiplier.Apply(rate)
		}
		out = append(out, EffortLine{Code: code, Words: words, Rate: rate, WorkedMin: workedMin, Done: true})
	}
	rate, err := effort.Walk(speedMS(flat), 0)
	add("flat", words, rate, err)
	if grade > 0 {
		one := quantity.Decimals(0)
		rate, err = effort.Walk(upMS, grade)
		add("walk_up", "Walking up this slope ("+one.Text(grade)+" % on average) at 0.4 m/s", rate, err)
		climb, err := effort.SideStep(stepWidthM, quantity.Radian(math.Atan(grade/100)), stepsPerMinute)
		add("side_steps", "Side steps up this slope, 40 cm wide, 12 a minute", climb.Rate, err)
	}
	rate, _, err = effort.Activity(downhillCode)
	add("sliding", "Sliding downhill with light effort, the time in motion only", rate, err)
	return out
}

// cost adds power, rest and share to a line.
func (o *OnEffort) cost(l *EffortLine, kg quantity.Kilogram) error {
	if !l.Rate.Known {
		return nil
	}
	l.Power = l.Rate.Power(kg)
	work := quantity.Second(l.WorkedMin * minuteS)
	var err error
	if l.Rest, err = effort.Rest(work, l.Power.Value(), o.Standard); err != nil {
		return hillFault(err)
	}
	if l.RestHigh, err = effort.Rest(work, l.Power.High(), o.Standard); err != nil {
		return hillFault(err)
	}
	if o.Capacity != nil {
		s, err := effort.ShareOf(l.Rate, *o.Capacity)
		if err != nil {
			return hillFault(err)
		}
		l.Share = &s
	}
	return nil
}
