package effort

import (
	"math"
	"strconv"
	"strings"

	"firnhand/core/entry"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Multiplier is what a student's walking costs over that of a healthy adult at
// the same speed.
type Multiplier struct {
	Words  string // whose it is
	Ratio  quantity.Range[quantity.Ratio]
	How    string // how it was found, in words
	Ref    string // table or work
	Status source.Status
	// Verified is false where the figure was not read in the work itself or
	// rests on an assumption.
	Verified bool
	Notes    []string
}

// Apply returns the rate of this student. The limits multiply.
func (m Multiplier) Apply(r Rate) Rate {
	if !r.Known {
		return r
	}
	v := func(p quantity.WattPerKilogram, k quantity.Ratio) quantity.WattPerKilogram {
		return p * quantity.WattPerKilogram(k)
	}
	per, err := quantity.NewRange(v(r.PerKg.Value(), m.Ratio.Value()), v(r.PerKg.Low(), m.Ratio.Low()), v(r.PerKg.High(), m.Ratio.High()))
	if err != nil {
		return unknown("With this multiplier the rate is too large to use.", r.Refs...)
	}
	r.PerKg = per
	if m.Ref != "" {
		r.Refs = append(r.Refs[:len(r.Refs):len(r.Refs)], m.Ref)
	}
	words := "Multiplied by " + m.Ratio.Text(quantity.Decimals(2)) + ": " + m.How
	if !m.Verified {
		words += " Not verified."
	}
	return r.note(words)
}

// Given returns a multiplier somebody else has found.
func Given(ratio float64) (Multiplier, error) {
	if err := entry.First(boundRatio.Check(ratio)); err != nil {
		return Multiplier{}, err
	}
	r := quantity.Must(quantity.Exactly(quantity.Ratio(ratio)))
	return Multiplier{Words: "given", Ratio: r, How: "as given.", Verified: true}, nil
}

// FromWalk returns this student's multiplier from a timed walk on the level,
// such as six minutes. With the oxygen measured on that walk, in mL/(kg min),
// it is that over the LCDA equation at the same speed. Without (nil) it takes
// it that people choose the pace at which they use about the oxygen everybody
// uses at theirs, and is never below one: an assumption, so not verified.
func FromWalk(distance quantity.Metre, time quantity.Second, measured *float64) (Multiplier, error) {
	if err := entry.First(boundWalk.Check(float64(distance)), boundWalkTime.Check(float64(time))); err != nil {
		return Multiplier{}, err
	}
	c := figures()
	speed := float64(distance) / float64(time)
	if err := entry.First(boundSpeed.Check(speed)); err != nil {
		return Multiplier{}, err
	}
	level := lcda(speed, 0)
	m := Multiplier{Words: "this student, walked " + text(float64(distance), 0) + " m in " + text(time.Minutes(), 1) + " min"}
	if speed > c.speedMost {
		m.Notes = append(m.Notes, "Faster than the walks the equation was measured on.")
	}
	if measured != nil {
		if err := entry.First(boundOxygen.Check(*measured)); err != nil {
			return Multiplier{}, err
		}
		m.Ratio = ratioOver(*measured, *measured, *measured, level)
		m.How, m.Ref, m.Status, m.Verified = "oxygen measured on this student's own walk.", "Looney2019", source.Derived, true
		return m, nil
	}
	m.Ratio = atLeastOne(c.ownPace/OxygenOf(quantity.WattPerKilogram(level)), c.ownPaceLow/OxygenOf(quantity.WattPerKilogram(level)), c.ownPaceHigh/OxygenOf(quantity.WattPerKilogram(level)))
	m.How, m.Ref, m.Status = "from the speed alone, taking it that this pace costs what a chosen pace costs other people.", "own_pace_oxygen", source.Derived
	m.Notes = append(m.Notes, "A walk in which the student went all out, or held back, gives a wrong multiplier.")
	return m, nil
}

// ratioOver returns oxygen over a level rate in W/kg, with the standard error
// of the equation in its limits.
func ratioOver(value, low, high, level float64) quantity.Range[quantity.Ratio] {
	c := figures()
	w := c.wattsPerOxygen
	return quantity.Must(quantity.NewRange(quantity.Ratio(value*w/level), quantity.Ratio(low*w/(level+c.levelError)), quantity.Ratio(high*w/(level-c.levelError))))
}

func atLeastOne(value, low, high float64) quantity.Range[quantity.Ratio] {
	return quantity.Must(quantity.NewRange(quantity.Ratio(max(value, 1)), quantity.Ratio(max(low, 1)), quantity.Ratio(max(high, 1))))
}

// Published lists the multipliers of groups of people: first the ratios that
// are printed, then the oxygen of groups over the LCDA equation at their
// speed.
func Published() []Multiplier {
	var list []Multiplier
	for _, r := range source.Table("gait_ratios").Rows() {
		v, _ := r.Number("ratio")
		low, ok := r.Number("low")
		if !ok {
			low = v
		}
		high, ok := r.Number("high")
		if !ok {
			high = v
		}
		span := quantity.Must(quantity.NewRange(quantity.Ratio(v), quantity.Ratio(low), quantity.Ratio(high)))
		list = append(list, Multiplier{Words: r.Text("group"), Ratio: span, How: "published at the " + r.Text("at") + ", " + r.Text("note") + ".",
			Ref: r.Ref(), Status: r.Status(), Verified: r.Status() == source.Seen})
	}
	for _, r := range source.Table("pathological_gait").Rows() {
		if m, ok := ofGroup(r); ok {
			list = append(list, m)
		}
	}
	return list
}

// ofGroup makes the multiplier of a row that has a speed and an uptake.
func ofGroup(r source.Row) (Multiplier, bool) {
	speed, ok := r.Number("speed_m_s")
	vo2, ok2 := r.Number("vo2_ml_kg_min")
	if !ok || !ok2 {
		return Multiplier{}, false
	}
	level := lcda(speed, 0)
	m := Multiplier{Words: r.Text("group"), Ref: r.Ref(), Status: r.Status(), Verified: r.Status() == source.Seen,
		How: "the group's oxygen over the LCDA equation at " + strconv.FormatFloat(speed, 'f', -1, 64) + " m/s."}
	high := vo2
	if cost, ok := r.Number("o2_cost_ml_kg_m"); ok {
		const minute = 60
		// The cost is printed to the last digit of the cell.
		if from := vo2 / (speed * minute); math.Abs(from-cost) > rounding(r.Text("o2_cost_ml_kg_m")) {
			high = max(high, cost*speed*minute)
			m.Verified = false
			m.Notes = append(m.Notes, "The printed rate over the printed speed gives "+text(from, 2)+" mL/(kg m), the printed cost is "+r.Text("o2_cost_ml_kg_m")+"; the high end follows the cost.")
		}
	}
	m.Ratio = ratioOver(vo2, vo2, high, level)
	return m, true
}

// rounding is one unit of the last printed digit.
func rounding(printed string) float64 {
	_, decimals, _ := strings.Cut(printed, ".")
	return math.Pow10(-len(decimals))
}

// OfGroup returns the multiplier of a group of [Published].
func OfGroup(words string) (Multiplier, error) {
	for _, m := range Published() {
		if m.Words == words {
			return m, nil
		}
	}
	return Multiplier{}, entry.Refuse("unknown_group", "There is no published multiplier for that group.")
}
