package slope

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

func line(length, step, grade float64) []Station {
	var s []Station
	for x := 0.0; x <= length+1e-9; x += step {
		s = append(s, Station{x, 1500 - grade*x})
	}
	return s
}

// A plane slope stays the plane slope it is, whatever is done to it.
func TestSmoothKeepsPlanes(t *testing.T) {
	for _, length := range []float64{7, 12, 43, 100, 317, 600} {
		for _, o := range []Smoothing{Usual(), {Spacing: 5}, {Spacing: 1, Sigma: 15, Dense: 10}} {
			p, err := Smooth(line(length, 1, 0.123), o)
			if err != nil {
				t.Fatal(err)
			}
			for i, g := range p.Gradient() {
				if math.Abs(g-0.123) > 1e-9 {
					t.Fatalf("%v m: gradient %v at station %d", length, g, i)
				}
			}
			last := math.Floor(length)
			if math.Abs(p.Length()-last) > 1e-9 || math.Abs(p.Drop()-0.123*last) > 1e-9 || math.Abs(p.Spacing-o.Spacing) > o.Spacing/2 {
				t.Errorf("%v m: length %v, drop %v, spacing %v", length, p.Length(), p.Drop(), p.Spacing)
			}
			if w := p.Steepest(20); math.Abs(w.Gradient-0.123) > 1e-9 || w.From < -1e-9 || w.From+w.Length > p.Length()+1e-9 {
				t.Errorf("%+v", w)
			}
		}
	}
}

// Jitter of a recorder, a spike and doubled points leave the shape.
func TestSmoothTakesOutNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	shape := func(x float64) float64 { return 1500 - 0.1*x - 6/(1+math.Exp(-(x-150)/20)) }
	var raw []Station
	for x := 0.0; x <= 300; x += 2 {
		raw = append(raw, Station{x, shape(x) + 0.3*r.NormFloat64()})
		if x == 100 {
			raw = append(raw, Station{x, shape(x)})
		}
	}
	raw[60].Height += 25
	p, err := Smooth(raw, Usual())
	if err != nil {
		t.Fatal(err)
	}
	if p.Doubles != 1 || p.Spikes < 1 {
		t.Errorf("%d doubles, %d spikes", p.Doubles, p.Spikes)
	}
	for x := 0.0; x <= 300; x += 5 {
		if math.Abs(p.At(x)-shape(x)) > 0.6 {
			t.Errorf("at %v m: %v, was %v", x, p.At(x), shape(x))
		}
	}
	truth := (shape(125) - shape(175)) / 50
	if w := p.Steepest(50); math.Abs(w.Gradient-truth) > 0.015 || math.Abs(w.From-125) > 15 {
		t.Errorf("%+v, the shape is %v from 125 m", w, truth)
	}
}

// The steepest stretch by trying every centimetre.
func TestOracleSteepest(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 1))
	for range 30 {
		p := Profile{Spacing: 5}
		h := 1500.0
		for range 12 + r.IntN(20) {
			p.Height = append(p.Height, h)
			h -= 2*r.Float64() - 0.3
		}
		for _, length := range []float64{20, 50, 33.3} {
			best := math.Inf(-1)
			for x := 0.0; x+length <= p.Length()+1e-9; x += 0.01 {
				best = max(best, (p.At(x)-p.At(min(x+length, p.Length())))/length)
			}
			if w := p.Steepest(length); w.Gradient < best-1e-9 || w.Gradient > best+1e-3 {
				t.Fatalf("%v m: %v, by trying %v", length, w.Gradient, best)
			}
		}
	}
}

func TestPiecesOfProfile(t *testing.T) {
	p, err := Smooth(line(100, 10, 0.2), Smoothing{Spacing: 5})
	if err != nil {
		t.Fatal(err)
	}
	pieces := p.Pieces()
	length := 0.0
	for _, q := range pieces {
		length += q.Length
		if math.Abs(math.Tan(q.Slope)-0.2) > 1e-9 {
			t.Fatal(q)
		}
	}
	if len(pieces) != 20 || math.Abs(length-math.Hypot(100, 20)) > 1e-9 {
		t.Errorf("%d pieces of %v m", len(pieces), length)
	}
	raw := PiecesOf([]Station{{0, 10}, {30, 7}, {30, 7}, {60, 7}})
	if len(raw) != 2 || math.Abs(math.Tan(raw[0].Slope)-0.1) > 1e-12 || raw[1].Slope != 0 || raw[1].Length != 30 {
		t.Errorf("%+v", raw)
	}
	// A hollow from 20 % to level within 5 m at 8 m/s: v² dθ/ds over g.
	hollow := []Piece{{Length: 5, Slope: math.Atan(0.2)}, {Length: 5}}
	run := Run{At: []Along{{}, {Speed: 8}, {Speed: 8}}}
	more, less := Bends(hollow, run, 9.80665)
	if want := 64 * math.Atan(0.2) / 5 / 9.80665; math.Abs(more-want) > 1e-12 || less != 0 {
		t.Errorf("%v %v, want %v", more, less, want)
	}
	if more, less = Bends([]Piece{hollow[1], hollow[0]}, run, 9.80665); more != 0 || less == 0 {
		t.Error("a crest takes load away")
	}
}

func TestParts(t *testing.T) {
	day := []Station{{0, 100}, {50, 95}, {60, 96}, {100, 60}, {200, 130}, {300, 131}, {400, 80}}
	parts := Parts(day, 10)
	want := []Part{{0, 100, -40}, {100, 300, 71}, {300, 400, -51}}
	if len(parts) != len(want) {
		t.Fatal(parts)
	}
	for i := range want {
		if parts[i] != want[i] {
			t.Errorf("%+v, want %+v", parts[i], want[i])
		}
	}
	if Parts(nil, 10) != nil || len(Parts(line(100, 10, 0.1), 10)) != 1 {
		t.Error("one run is one part")
	}
	up := Parts([]Station{{0, 0}, {100, 50}}, 10)
	if len(up) != 1 || up[0].Rises != 50 {
		t.Error(up)
	}
}

func TestSmoothRefuses(t *testing.T) {
	for code, s := range map[string][]Station{
		"empty":        nil,
		"one_point":    {{1, 2}},
		"unsorted":     {{0, 3}, {5, 2}, {4, 1}},
		"not_a_number": {{0, math.NaN()}, {1, 2}},
		"no_length":    {{3, 5}, {3, 4}},
		"too_long":     {{0, 5}, {1e9, 4}},
	} {
		_, err := Smooth(s, Usual())
		var e *Error
		if !errors.As(err, &e) || e.Code != code || len(e.Error()) < 20 {
			t.Errorf("%s: %v", code, err)
		}
	}
	if _, err := Smooth(line(10, 1, 0.1), Smoothing{}); err == nil {
		t.Error("no spacing")
	}
}

func TestClasses(t *testing.T) {
	class := func(long, short float64, system string) Class {
		for _, c := range Classes(long, short) {
			if c.System == system {
				return c
			}
		}
		t.Fatal(system)
		return Class{}
	}
	const us, din = "US planning", "DIN 32912 and OENORM S 4610"
	// FIS wiki: novice to 25 %, short pitches of 30 %.
	if c := class(0.24, 0.29, us); c.Class != "novice" || c.Note == "" {
		t.Errorf("%+v", c)
	}
	if c := class(0.24, 0.31, us); c.Class != "low intermediate" {
		t.Errorf("%+v", c)
	}
	// Judged as printed: 25.04 % prints 25.0 and is still blue.
	if c := class(0.2504, 0.2504, din); c.Class != "easy blue" {
		t.Errorf("%+v", c)
	}
	if c := class(0.2506, 0.2506, din); c.Class != "medium red" {
		t.Errorf("%+v", c)
	}
	if c := class(0.03, 0.03, us); c.Class != "" || c.Note == "" {
		t.Errorf("%+v", c)
	}
	if c := class(0.9, 0.9, us); c.Class != "" || c.Note == "" {
		t.Errorf("%+v", c)
	}
	if c := class(0.1, 0.1, "France NF S 52"); c.Class != "" || c.Note == "" {
		t.Errorf("%+v", c)
	}
}

func FuzzSmooth(f *testing.F) {
	f.Add(0.0, 10.0, 5.0, 9.0, 5.0, 12.0)
	f.Add(0.0, 10.0, 1e300, -1e300, 0.1, 1e9)
	f.Fuzz(func(t *testing.T, x0, h0, x1, h1, spacing, sigma float64) {
		p, err := Smooth([]Station{{x0, h0}, {x1, h1}, {x1, h0}}, Smoothing{Spacing: spacing, Sigma: sigma})
		if err != nil {
			return
		}
		if len(p.Height) < 2 || !(p.Spacing > 0) {
			t.Fatalf("%+v", p)
		}
	})
}
