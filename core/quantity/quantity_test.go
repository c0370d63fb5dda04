package quantity_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"firnhand/core/quantity"
)

// near is the agreement asked between two ways to the same number, relative.
const near = 1e-12

func close2(a, b float64) bool {
	return math.Abs(a-b) <= near*math.Max(1, math.Max(math.Abs(a), math.Abs(b)))
}

// conversion is a unit's way in and out, with one pair of figures from outside.
type conversion struct {
	unit    string
	in      func(float64) (float64, error) // unit to SI
	out     func(float64) float64          // SI to unit; nil where nothing reads it back
	given   float64                        // in the unit
	want    float64                        // in SI, as the source prints it
	half    float64                        // half of the last printed digit, 0 for exact
	sources string
}

func conv[T quantity.Scalar](f func(float64) (T, error)) func(float64) (float64, error) {
	return func(v float64) (float64, error) {
		q, err := f(v)
		return float64(q), err
	}
}

const (
	sp811 = "NIST SP 811 (2008), appendix B.8"
	bipm  = "SI brochure, 9th edition, tables 2, 7 and 8"
)

var conversions = []conversion{
	{"kg", conv(quantity.Kilograms), nil, 20, 20, 0, bipm},
	{"lb", conv(quantity.Pounds), func(v float64) float64 { return quantity.Kilogram(v).Pounds() }, 1, 0.45359237, 0, sp811},
	{"m", conv(quantity.Metres), nil, 2, 2, 0, bipm},
	{"cm", conv(quantity.Centimetres), func(v float64) float64 { return quantity.Metre(v).Centimetres() }, 128, 1.28, 0, bipm},
	{"mm", conv(quantity.Millimetres), func(v float64) float64 { return quantity.Metre(v).Millimetres() }, 315, 0.315, 0, bipm},
	{"in", conv(quantity.Inches), func(v float64) float64 { return quantity.Metre(v).Inches() }, 1, 0.0254, 0, sp811},
	{"ft", conv(quantity.Feet), func(v float64) float64 { return quantity.Metre(v).Feet() }, 1, 0.3048, 0, sp811},
	{"s", conv(quantity.Seconds), nil, 60, 60, 0, bipm},
	{"min", conv(quantity.Minutes), func(v float64) float64 { return quantity.Second(v).Minutes() }, 1, 60, 0, bipm},
	{"rad", conv(quantity.Radians), nil, 1, 1, 0, bipm},
	{"deg", conv(quantity.Degrees), func(v float64) float64 { return quantity.Radian(v).Degrees() }, 1, 1.745329e-2, 0.5e-8, sp811},
	// A grade of 30 % is 16.70 degrees: FIS wiki, Trail designation; 0.2915 rad is its half-digit image.
	{"% grade", conv(quantity.GradePercent), func(v float64) float64 { return quantity.Radian(v).GradePercent() }, 30, 16.70 * math.Pi / 180, 0.005 * math.Pi / 180, "FIS wiki, Trail designation"},
	{"N", conv(quantity.Newtons), nil, 10, 10, 0, bipm},
	{"N m", conv(quantity.NewtonMetres), nil, 43, 43, 0, bipm},
	{"m/s", conv(quantity.MetresPerSecond), nil, 5, 5, 0, bipm},
	{"km/h", conv(quantity.KilometresPerHour), func(v float64) float64 { return quantity.MetrePerSecond(v).KilometresPerHour() }, 1, 2.777778e-1, 0.5e-7, sp811},
	{"mi/h", conv(quantity.MilesPerHour), func(v float64) float64 { return quantity.MetrePerSecond(v).MilesPerHour() }, 1, 0.44704, 0, sp811},
	{"ft/min", conv(quantity.FeetPerMinute), func(v float64) float64 { return quantity.MetrePerSecond(v).FeetPerMinute() }, 1, 0.00508, 0, sp811},
	{"m/s²", conv(quantity.MetresPerSecondSquared), nil, 9.80665, 9.80665, 0, sp811},
	{"°C", conv(quantity.DegreesCelsius), nil, -27, -27, 0, bipm},
	// -40 is the same on both scales; 212 °F is the boiling point as the scale was built.
	{"°F", conv(quantity.DegreesFahrenheit), func(v float64) float64 { return quantity.Celsius(v).Fahrenheit() }, -40, -40, 0, sp811},
	{"°F", conv(quantity.DegreesFahrenheit), func(v float64) float64 { return quantity.Celsius(v).Fahrenheit() }, 212, 100, 0, sp811},
	{"kn", conv(quantity.Knots), nil, 1, 0.5144444, 0.5e-7, sp811},
	{"m/min", conv(quantity.MetresPerMinute), func(v float64) float64 { return quantity.MetrePerSecond(v).MetresPerMinute() }, 60, 1, 0, bipm},
	{"W", conv(quantity.Watts), nil, 75, 75, 0, bipm},
	{"W/kg", conv(quantity.WattsPerKilogram), nil, 4, 4, 0, bipm},
	// Thermochemical kilocalorie a minute: 6.973333 E+01 W.
	{"kcal/min", conv(quantity.KilocaloriesPerMinute), func(v float64) float64 { return quantity.Watt(v).KilocaloriesPerMinute() }, 1, 6.973333e1, 0.5e-5, sp811},
	{"%", conv(quantity.Percent), func(v float64) float64 { return quantity.Ratio(v).Percent() }, 25, 0.25, 0, bipm},
}

func TestConversionsAgainstDefinitions(t *testing.T) {
	for _, c := range conversions {
		got, err := c.in(c.given)
		if err != nil {
			t.Errorf("%s: %v", c.unit, err)
		}
		if math.Abs(got-c.want) > c.half+near {
			t.Errorf("%g %s = %.12g, want %.12g ± %g (%s)", c.given, c.unit, got, c.want, c.half, c.sources)
		}
	}
}

// Going out and coming back gives the number that went in, and no constructor
// lets NaN or an infinity through.
func TestConversionsRoundTripAndRefuse(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for _, c := range conversions {
		if c.out != nil {
			for range 2000 {
				v := (rnd.Float64() - 0.5) * 400
				q, err := c.in(v)
				if err != nil {
					t.Fatalf("%s: %g refused: %v", c.unit, v, err)
				}
				if back := c.out(q); !close2(back, v) {
					t.Fatalf("%s: %.17g came back as %.17g", c.unit, v, back)
				}
			}
		}
		if _, err := c.in(math.NaN()); !errors.Is(err, quantity.ErrNotANumber) {
			t.Errorf("%s: NaN gave %v", c.unit, err)
		}
		for _, inf := range []float64{math.Inf(1), math.Inf(-1)} {
			if _, err := c.in(inf); !errors.Is(err, quantity.ErrInfinite) {
				t.Errorf("%s: %g gave %v", c.unit, inf, err)
			}
		}
	}
	// A number that only the conversion overflows is refused as well.
	if _, err := quantity.MilesPerHour(math.MaxFloat64); !errors.Is(err, quantity.ErrInfinite) {
		t.Errorf("the largest float in mi/h gave %v", err)
	}
}

func TestSymbols(t *testing.T) {
	// SI brochure, 9th edition: symbols of the units.
	for got, want := range map[string]string{
		quantity.Kilogram(0).Symbol():              "kg",
		quantity.Metre(0).Symbol():                 "m",
		quantity.Second(0).Symbol():                "s",
		quantity.Radian(0).Symbol():                "rad",
		quantity.Newton(0).Symbol():                "N",
		quantity.NewtonMetre(0).Symbol():           "N m",
		quantity.MetrePerSecond(0).Symbol():        "m/s",
		quantity.MetrePerSecondSquared(0).Symbol(): "m/s²",
		quantity.Celsius(0).Symbol():               "°C",
		quantity.Ratio(0).Symbol():                 "1",
		quantity.Watt(0).Symbol():                  "W",
		quantity.WattPerKilogram(0).Symbol():       "W/kg",
	} {
		if got != want {
			t.Errorf("symbol %q, want %q", got, want)
		}
	}
}

func TestParse(t *testing.T) {
	for _, c := range []struct {
		in   string
		want quantity.Kilogram
		err  error
	}{
		{"27", 27, nil},
		{"-0.5", -0.5, nil},
		{"1e400", 0, quantity.ErrInfinite},
		{"Inf", 0, quantity.ErrInfinite},
		{"NaN", 0, quantity.ErrNotANumber},
		{"", 0, quantity.ErrNotANumber},
		{"12,5", 0, quantity.ErrNotANumber},
		{"heavy", 0, quantity.ErrNotANumber},
	} {
		got, err := quantity.Parse[quantity.Kilogram](c.in)
		if got != c.want || !errors.Is(err, c.err) {
			t.Errorf("Parse(%q) = %v, %v; want %v, %v", c.in, got, err, c.want, c.err)
		}
	}
}

func TestMustPanicsOnError(t *testing.T) {
	if got := quantity.Must(quantity.Kilograms(3)); got != 3 {
		t.Errorf("Must = %v", got)
	}
	mustPanic(t, func() { quantity.Must(quantity.Kilograms(math.NaN())) })
}

func mustPanic(t *testing.T, f func()) {
	t.Helper()
	defer func() {
		if recover() == nil {
			t.Error("expected a panic")
		}
	}()
	f()
}

func TestRangeRefuses(t *testing.T) {
	nan, inf := quantity.Metre(math.NaN()), quantity.Metre(math.Inf(1))
	for _, c := range []struct {
		name             string
		value, low, high quantity.Metre
		want             error
	}{
		{"good", 1, 0, 2, nil},
		{"no width", 1, 1, 1, nil},
		{"value below", 0, 1, 2, quantity.ErrOrder},
		{"value above", 3, 1, 2, quantity.ErrOrder},
		{"NaN value", nan, 0, 1, quantity.ErrNotANumber},
		{"NaN low", 0, nan, 1, quantity.ErrNotANumber},
		{"infinite high", 0, 0, inf, quantity.ErrInfinite},
	} {
		if _, err := quantity.NewRange(c.value, c.low, c.high); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	if _, err := quantity.PlusMinus[quantity.Metre](1, -0.1); !errors.Is(err, quantity.ErrNegative) {
		t.Errorf("a negative spread gave %v", err)
	}
	if _, err := quantity.PlusMinus(1, nan); !errors.Is(err, quantity.ErrNotANumber) {
		t.Errorf("a NaN spread gave %v", err)
	}
}

// Whatever lies in two ranges, its sum, difference and multiple lie in the
// computed ranges, and the best value stays between the limits.
func TestRangeArithmeticHoldsEveryMember(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	draw := func() quantity.Range[quantity.Metre] {
		return quantity.Must(quantity.PlusMinus(quantity.Metre(rnd.Float64()*4-2), quantity.Metre(rnd.Float64())))
	}
	in := func(r quantity.Range[quantity.Metre]) quantity.Metre {
		return r.Low() + quantity.Metre(rnd.Float64())*r.Width()
	}
	holds := func(what string, r quantity.Range[quantity.Metre], v quantity.Metre) {
		wide := quantity.Must(quantity.NewRange(r.Value(), r.Low()-near, r.High()+near))
		if !wide.Contains(v) || !wide.Contains(r.Value()) {
			t.Fatalf("%s: %v is outside %v to %v", what, v, r.Low(), r.High())
		}
	}
	for range 20000 {
		a, b, k := draw(), draw(), rnd.Float64()*6-3
		x, y := in(a), in(b)
		holds("sum", a.Add(b), x+y)
		holds("difference", a.Sub(b), x-y)
		holds("multiple", a.Scale(k), x*quantity.Metre(k))
	}
}

func TestRangeText(t *testing.T) {
	r := quantity.Must(quantity.PlusMinus[quantity.Metre](0.85, 0.02))
	if got := r.Text(quantity.Decimals(2)); got != "0.85 m (0.83 to 0.87)" {
		t.Errorf("Text = %q", got)
	}
	if got := r.Text(quantity.Decimals(0)); got != "1 m" {
		t.Errorf("coarse Text = %q", got)
	}
	share := quantity.Must(quantity.Exactly[quantity.Ratio](0.5))
	if got := share.Text(quantity.Decimals(1)); got != "0.5" {
		t.Errorf("ratio Text = %q", got)
	}
	if share.Contains(0.51) || !share.Contains(0.5) {
		t.Error("an exact range holds its own value only")
	}
}

func TestStepText(t *testing.T) {
	for _, c := range []struct {
		step quantity.Step
		v    float64
		want string
	}{
		{quantity.Decimals(0), 0.4, "0"},
		{quantity.Decimals(0), 0.5, "1"},
		{quantity.Decimals(0), -0.5, "-1"},
		{quantity.Decimals(0), -0.4, "0"},
		{quantity.Decimals(1), 0.15, "0.2"}, // stored as 0.1499999999999999944
		{quantity.Decimals(1), 1.25, "1.3"},
		{quantity.Decimals(1), 1.2499, "1.2"},
		{quantity.Decimals(3), 0.0005, "0.001"},
		{quantity.Decimals(2), 1.005, "1.01"}, // stored as 1.00499999999999989
		{quantity.Decimals(2), -12.345, "-12.35"},
		{quantity.Every(5, 1), 2.74, "2.5"},
		{quantity.Every(5, 1), 2.75, "3.0"},
		{quantity.Every(25, 1), 68, "67.5"},
		{quantity.Every(25, 0), 37.5, "50"},
		{quantity.Step{}, 1.6, "2"},
		{quantity.Decimals(1), 1e300, strconv.FormatFloat(1e300, 'f', 1, 64)},
		{quantity.Decimals(1), math.NaN(), "unknown"},
		{quantity.Decimals(1), math.Inf(-1), "unknown"},
	} {
		if got := c.step.Text(c.v); got != c.want {
			t.Errorf("%g to %g: %q, want %q", c.v, c.step.Size(), got, c.want)
		}
	}
	if !quantity.Decimals(1).Same(0.14, 0.06) || quantity.Decimals(1).Same(0.14, 0.16) {
		t.Error("Same must compare what is printed")
	}
}

// Text reads back as Round, rounding twice changes nothing, moves by no more
// than half a step, keeps order, and is the mirror image for the negative.
func TestStepProperties(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	steps := []quantity.Step{quantity.Decimals(0), quantity.Decimals(1), quantity.Decimals(3), quantity.Every(5, 1), quantity.Every(25, 0), quantity.Every(25, 1)}
	for range 20000 {
		s := steps[rnd.IntN(len(steps))]
		v := (rnd.Float64() - 0.5) * 2000
		r := s.Round(v)
		back, err := quantity.Parse[quantity.Ratio](s.Text(v))
		if err != nil || float64(back) != r {
			t.Fatalf("%.17g prints %q but rounds to %.17g", v, s.Text(v), r)
		}
		if s.Round(r) != r {
			t.Fatalf("%.17g rounds again to %.17g", r, s.Round(r))
		}
		if math.Abs(r-v) > s.Size()*(0.5+1e-8) {
			t.Fatalf("%.17g moved to %.17g by more than half of %g", v, r, s.Size())
		}
		if s.Round(-v) != -r {
			t.Fatalf("%.17g and its negative round differently", v)
		}
		if w := v + rnd.Float64(); s.Round(w) < r {
			t.Fatalf("%.17g rounds above the larger %.17g", v, w)
		}
	}
	if got := quantity.Decimals(1).Round(1e300); got != 1e300 {
		t.Errorf("a value without steps came back as %g", got)
	}
}

func TestEveryRefuses(t *testing.T) {
	mustPanic(t, func() { quantity.Every(0, 0) })
	mustPanic(t, func() { quantity.Every(1, -1) })
	mustPanic(t, func() { quantity.Decimals(10) })
}
