package cli

import (
	"errors"
	"slices"
	"strings"

	"firnhand/core/entry"
	"firnhand/core/quantity"
	"firnhand/internal/terrain"
)

// hillFault gives a refusal of slope, lift, effort and cold, or of a terrain
// file, the one shape.
func hillFault(err error) error {
	var e *entry.Error
	var t *terrain.Error
	switch {
	case errors.As(err, &e):
		return refuse(e.Code, "%s", e.Sentence)
	case errors.As(err, &t):
		f := refuse(t.Code, "%s", t.Sentence)
		f.cause = t.Cause
		return f
	case errors.Is(err, quantity.ErrNotANumber), errors.Is(err, quantity.ErrInfinite), errors.Is(err, quantity.ErrOrder):
		return refuse("not_a_number", "%s.", sentenceOf(err.Error()))
	}
	return err
}

// written is one way to write a quantity.
type written[T quantity.Scalar] struct {
	flag string
	v    *float64
	make func(float64) (T, error)
}

// one returns the quantity that was given in one of several units; given is
// false where none was.
func one[T quantity.Scalar](ways ...written[T]) (q T, given bool, err error) {
	var used string
	for _, w := range ways {
		if w.v == nil {
			continue
		}
		if given {
			return 0, false, refuse("given_twice", "Give --%s or --%s, not both.", used, w.flag)
		}
		if q, err = w.make(*w.v); err != nil {
			return 0, false, refuse("not_a_number", "--%s: %s.", w.flag, err)
		}
		given, used = true, w.flag
	}
	return q, given, nil
}

// speedIn takes a speed in any of its units. Embed it with a prefix.
type speedIn struct {
	MS    *float64 `name:"m-s" placeholder:"N" help:"Metres a second."`
	Kmh   *float64 `name:"kmh" placeholder:"N" help:"Kilometres an hour."`
	Mph   *float64 `name:"mph" placeholder:"N" help:"Miles an hour."`
	Knots *float64 `name:"knots" placeholder:"N" help:"Knots."`
	MMin  *float64 `name:"m-min" placeholder:"N" help:"Metres a minute."`
	FtMin *float64 `name:"ft-min" placeholder:"N" help:"Feet a minute."`
}

func (s speedIn) get(prefix string) (quantity.MetrePerSecond, bool, error) {
	type w = written[quantity.MetrePerSecond]
	return one(w{prefix + "m-s", s.MS, quantity.MetresPerSecond}, w{prefix + "kmh", s.Kmh, quantity.KilometresPerHour}, w{prefix + "mph", s.Mph, quantity.MilesPerHour},
		w{prefix + "knots", s.Knots, quantity.Knots}, w{prefix + "m-min", s.MMin, quantity.MetresPerMinute}, w{prefix + "ft-min", s.FtMin, quantity.FeetPerMinute})
}

// airIn takes the air temperature.
type airIn struct {
	C *float64 `name:"temp-c" placeholder:"N" help:"Air temperature in degrees Celsius."`
	F *float64 `name:"temp-f" placeholder:"N" help:"Air temperature in degrees Fahrenheit."`
}

func (t airIn) get() (quantity.Celsius, bool, error) {
	type w = written[quantity.Celsius]
	return one(w{"temp-c", t.C, quantity.DegreesCelsius}, w{"temp-f", t.F, quantity.DegreesFahrenheit})
}

// massIn takes the body mass.
type massIn struct {
	Kg *float64 `name:"mass-kg" placeholder:"N" help:"Body mass in kilograms."`
	Lb *float64 `name:"mass-lb" placeholder:"N" help:"Body mass in pounds."`
}

func (m massIn) get() (quantity.Kilogram, bool, error) {
	type w = written[quantity.Kilogram]
	return one(w{"mass-kg", m.Kg, quantity.Kilograms}, w{"mass-lb", m.Lb, quantity.Pounds})
}

// gradeIn takes a gradient.
type gradeIn struct {
	Pct *float64 `name:"pct" placeholder:"N" help:"Percent, the rise over the horizontal run."`
	Deg *float64 `name:"deg" placeholder:"N" help:"Degrees."`
}

// percent returns the gradient in percent, as it was written where it was
// written in percent.
func (g gradeIn) percent(prefix string) (pct float64, given bool, err error) {
	type w = written[quantity.Radian]
	angle, given, err := one(w{prefix + "pct", g.Pct, quantity.GradePercent}, w{prefix + "deg", g.Deg, quantity.Degrees})
	if err != nil || !given {
		return 0, given, err
	}
	if g.Pct != nil {
		return *g.Pct, true, nil
	}
	return angle.GradePercent(), true, nil
}

// spanned reads "2..3", a value with its range "2,1.5..3", several values
// "2.1,2.4,2.0" (their mean, least and greatest) or one value.
func spanned[T quantity.Scalar](flag, text string) (quantity.Range[T], error) {
	var none quantity.Range[T]
	low, high, ranged := strings.Cut(text, "..")
	all := text
	if ranged {
		all = low + "," + high
	}
	numbers, err := numberList(flag, all)
	if err != nil {
		return none, err
	}
	value, least, most := mean(numbers), slices.Min(numbers), slices.Max(numbers)
	switch n := strings.Count(low, ","); {
	case ranged && (n > 1 || strings.Contains(high, ",")):
		return none, refuse("usage", "--%s takes a number, LOW..HIGH, VALUE,LOW..HIGH or a list of numbers; not %q.", flag, text)
	case ranged && n == 1:
		value, least, most = numbers[0], numbers[1], numbers[2]
	case ranged:
		least, most = numbers[0], numbers[1]
	}
	r, err := quantity.NewRange(T(value), T(least), T(most))
	if err != nil {
		return none, refuse("order", "--%s: %s.", flag, err)
	}
	return r, nil
}

func numberList(flag, text string) ([]float64, error) {
	var out []float64
	for part := range strings.SplitSeq(text, ",") {
		v, err := real("--"+flag, part)
		if err != nil {
			return nil, err
		}
		if _, err := quantity.Of[quantity.Ratio](v); err != nil {
			return nil, refuse("not_a_number", "--%s: %s.", flag, err)
		}
		out = append(out, v)
	}
	return out, nil
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return min(max(sum/float64(len(v)), slices.Min(v)), slices.Max(v))
}

// tell prints what stands beside every figure of the hill: where it does not
// count, what else to know, and the cautions.
func (p *sheet) tell(outside, notes, cautions []string) {
	for _, part := range []struct {
		heading string
		lines   []string
	}{{"OUTSIDE WHAT WAS STUDIED", outside}, {"TO KNOW", notes}, {"CAUTIONS", cautions}} {
		if len(part.lines) == 0 {
			continue
		}
		p.heading(part.heading)
		for _, s := range part.lines {
			p.bullet(s)
		}
	}
}

// fixed prints a number with so many decimals, as it is printed anywhere.
func fixed(v float64, decimals int) string { return quantity.Decimals(decimals).Text(v) }
