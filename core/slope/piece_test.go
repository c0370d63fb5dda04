package slope

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The cases of the reference table, computed apart from this program with
// g 9.81, mass 80, density 1.0, drag area 0.6. Half of the last printed digit.
var reference = []struct {
	id                  string
	pct, phi, mu, v0, x float64
	drive, v, t, steady float64
	hasSteady           bool
}{
	{"S1", 10, 0, 0.05, 0, 30, 0.48807, 5.1209, 11.297, 11.4084, true},
	{"S2", 10, 0, 0.05, 0, 100, 0.48807, 8.2869, 21.529, 11.4084, true},
	{"S3", 12, 0, 0.04, 0, 50, 0.77921, 8.0609, 11.686, 14.4149, true},
	{"S4", 15, 0, 0.06, 2, 40, 0.87313, 7.9568, 7.803, 15.2589, true},
	{"S5", 10, 60, 0.04, 0, 50, 0.09761, 2.8531, 33.016, 5.102, true},
	{"S6", 20, 45, 0.05, 0, 40, 0.87943, 7.7963, 9.778, 15.3138, true},
	{"S7", 12, 0, 0.12, 3, 20, 0, 2.7832, 6.923, 0, false},
	{"S8", 6, 0, 0.08, 4, 20, -0.19585, 2.5489, 6.142, 0, false},
}

const g981 = 9.81

func TestReferencePieces(t *testing.T) {
	for _, r := range reference {
		c := Conditions{Gravity: g981, Drag: DragOf(1, 0.6, 80)}
		m := c.Motion(Piece{Slope: math.Atan(r.pct / 100), Path: r.phi * math.Pi / 180, Friction: r.mu})
		a := m.Over(r.v0, r.x)
		steady, ok := m.Steady()
		for what, pair := range map[string][3]float64{
			"drive": {m.Drive, r.drive, 0.5e-5}, "speed": {a.Speed, r.v, 0.5e-4}, "time": {a.Time, r.t, 0.5e-3}, "steady": {steady, r.steady, 0.5e-4},
		} {
			if math.Abs(pair[0]-pair[1]) > pair[2]*(1+1e-9) {
				t.Errorf("%s: %s %v, want %v", r.id, what, pair[0], pair[1])
			}
		}
		if ok != r.hasSteady || a.Stopped || a.Distance != r.x {
			t.Errorf("%s: %v %+v", r.id, ok, a)
		}
	}
}

// runge follows a motion by the classical rule of fourth order with tiny
// steps: slow, simple, and shares nothing with the closed forms.
func runge(m Motion, v0, time float64, n int) (v, x float64) {
	h := time / float64(n)
	v = v0
	for range n {
		k1 := m.at(v)
		k2 := m.at(v + h/2*k1)
		k3 := m.at(v + h/2*k2)
		k4 := m.at(v + h*k3)
		x += h*v + h*h/6*(k1+k2+k3)
		v += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
	}
	return v, x
}

// relative is the difference of two numbers against their size, or against 1
// where they are smaller; of what is not a number, without end.
func relative(a, b float64) float64 {
	d := math.Abs(a-b) / math.Max(1, math.Max(math.Abs(a), math.Abs(b)))
	if math.IsNaN(d) {
		return math.Inf(1)
	}
	return d
}

// Random motions: uphill and down, with and without drag, faster and slower
// than steady, head wind and tail wind, against small steps of another method.
func TestOracleMotions(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	count := 0
	for range 4000 {
		m := Motion{Drive: r.Float64()*4 - 2, Drag: math.Pow(10, -4+3*r.Float64())}
		switch r.IntN(4) {
		case 0:
			m.Drag = 0
		case 1:
			m.Drive = 0
		case 2:
			m.HeadWind = r.Float64()*24 - 12
		}
		v0 := r.Float64() * 25
		if r.IntN(5) == 0 {
			v0 = 0
		}
		if !m.Starts() && v0 == 0 {
			if a := m.Over(0, 10); !a.Stopped || a.Distance != 0 || a.Time != 0 {
				t.Fatalf("%+v sets off from rest: %+v", m, a)
			}
			continue
		}
		time := 0.5 + 8*r.Float64()
		if _, end, ok := m.Stop(v0); ok {
			time = end * r.Float64()
		}
		if time < 1e-3 {
			continue
		}
		v, x := runge(m, v0, time, 4000)
		a := m.After(v0, time)
		if relative(a.Speed, v) > 1e-9 || relative(a.Distance, x) > 1e-9 {
			t.Fatalf("%+v from %v after %v s: %+v, small steps give %v %v", m, v0, time, a, v, x)
		}
		b := m.Over(v0, a.Distance)
		if relative(b.Speed, v) > 1e-8 || relative(b.Time, time) > 1e-8 {
			t.Fatalf("%+v from %v over %v m: %+v, small steps give %v after %v s", m, v0, a.Distance, b, v, time)
		}
		count++
	}
	if count < 2500 {
		t.Errorf("only %d motions compared", count)
	}
}

// Where a motion stops, the two ways to ask agree, and small steps come to
// the same place.
func TestOracleStops(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 2000 {
		m := Motion{Drive: -0.05 - 3*r.Float64(), Drag: math.Pow(10, -4+3*r.Float64())}
		if r.IntN(3) == 0 {
			m.HeadWind = r.Float64() * 8
		}
		v0 := 0.1 + 20*r.Float64()
		x, end, ok := m.Stop(v0)
		if !ok {
			t.Fatalf("%+v does not stop", m)
		}
		v, y := runge(m, v0, end, 4000)
		if math.Abs(v) > 1e-8 || relative(x, y) > 1e-9 {
			t.Fatalf("%+v from %v: stops at %v after %v; small steps: %v at %v", m, v0, x, end, v, y)
		}
		far := m.Over(v0, x*1.5+1)
		if !far.Stopped || relative(far.Distance, x) > 1e-12 || relative(far.Time, end) > 1e-12 {
			t.Fatalf("%+v: Over %+v, Stop %v %v", m, far, x, end)
		}
		late := m.After(v0, end*2)
		if !late.Stopped || relative(late.Distance, x) > 1e-12 {
			t.Fatalf("%+v: After %+v, Stop %v", m, late, x)
		}
	}
}

// A piece cut anywhere gives the same speed, time and place.
func TestCutAnywhere(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 5000 {
		m := Motion{Drive: r.Float64()*2 - 1, Drag: math.Pow(10, -4+3*r.Float64())}
		v0, length := 15*r.Float64(), 0.1+400*r.Float64()
		if r.IntN(4) == 0 {
			m.HeadWind = 6*r.Float64() - 3
		}
		whole := m.Over(v0, length)
		cut := length * r.Float64()
		a := m.Over(v0, cut)
		if !a.Stopped {
			b := m.Over(a.Speed, length-cut)
			a = Arrival{a.Distance + b.Distance, b.Speed, a.Time + b.Time, b.Stopped}
		}
		// Close to standing still, a hair in place is much in time.
		if a.Stopped != whole.Stopped || relative(a.Speed*a.Speed, whole.Speed*whole.Speed) > 1e-10 || relative(a.Distance, whole.Distance) > 1e-10 ||
			relative(a.Time, whole.Time) > 1e-6 {
			t.Fatalf("%+v v0 %v over %v cut at %v: %+v and %+v", m, v0, length, cut, whole, a)
		}
	}
}

func TestLongPieces(t *testing.T) {
	m := Motion{Drive: 0.5, Drag: 0.004}
	steady, _ := m.Steady()
	for _, length := range []float64{400, 700, 1000, 3000, 6000, 20000} {
		want := m.Over(0, 300)
		for x := 300.0; x < length; x += 50 {
			b := m.Over(want.Speed, 50)
			want = Arrival{want.Distance + 50, b.Speed, want.Time + b.Time, false}
		}
		got := m.Over(0, length)
		if relative(got.Speed, want.Speed) > 1e-12 || relative(got.Time, want.Time) > 1e-11 || got.Distance != length {
			t.Errorf("%v m: %+v, in parts %+v", length, got, want)
		}
		if got.Speed > steady*(1+1e-12) {
			t.Errorf("faster than steady: %v", got.Speed)
		}
	}
	if a := (Motion{Drag: 1}).Over(3, 10000); !a.Stopped || !finite(a.Time) {
		t.Errorf("%+v", a)
	}
}

func TestStartOfPiece(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 3000 {
		m := Motion{Drive: r.Float64()*2 - 0.7, Drag: math.Pow(10, -4+3*r.Float64())}
		length, v1 := 0.1+100*r.Float64(), 0.1+8*r.Float64()
		v0, before, rest := m.Start(v1, length)
		a := m.Over(v0, before)
		if rest != (v0 == 0) || before > length*(1+1e-12) || a.Stopped || relative(a.Speed, v1) > 1e-9 {
			t.Fatalf("%+v to %v over %v: from %v, %v m before; comes with %+v", m, v1, length, v0, before, a)
		}
	}
}

// The special functions meet their series without a step.
func TestSmoothFunctions(t *testing.T) {
	for name, f := range map[string]func(float64) float64{"arc": arcOver, "tan": tanOver, "lncos": lnCosOver} {
		for _, sign := range []float64{1, -1} {
			in, out := f(sign*nearZero*(1-1e-9)), f(sign*nearZero*(1+1e-9))
			if relative(in, out) > 1e-12 {
				t.Errorf("%s jumps by %v at %v", name, out-in, sign*nearZero)
			}
		}
	}
	if logOver(0) != 1 || relative(lnCosOver(1), lnCosOver(1.0000001)) > 1e-7 {
		t.Error("logarithms")
	}
}

func BenchmarkPiece(b *testing.B) {
	m := Motion{Drive: 0.48807, Drag: 0.00375}
	for b.Loop() {
		m.Over(3, 5)
	}
}

func TestWind(t *testing.T) {
	// On ground where gravity and friction are even, a skier who slides as fast
	// as the tail wind is carried along by nothing, and goes on so.
	even := Motion{Drag: 0.004, HeadWind: -3}
	if a := even.After(3, 10); a.Speed != 3 || a.Distance != 30 || a.Stopped {
		t.Errorf("%+v", a)
	}
	// A tail wind takes a skier along where the slope alone would not, up to
	// the speed at which drag and friction are even: 6 - √(b/k).
	push := Motion{Drive: -0.05, Drag: 0.004, HeadWind: -6}
	if !push.Starts() {
		t.Fatal("this wind pushes")
	}
	want := 6 - math.Sqrt(0.05/0.004)
	if v, ok := push.Steady(); !ok || relative(v, want) > 1e-12 {
		t.Errorf("%v, want %v", v, want)
	}
	if a := push.Over(0, 2000); relative(a.Speed, want) > 1e-9 || a.Distance != 2000 {
		t.Errorf("%+v, want %v m/s", a, want)
	}
	// A head wind as strong as the slope holds the skier at rest.
	if a := (Motion{Drive: 0.3, Drag: 0.004, HeadWind: 9}).Over(0, 5); !a.Stopped || a.Distance != 0 {
		t.Errorf("%+v", a)
	}
	if _, _, ok := push.Stop(1); ok {
		t.Error("nobody stops in this wind")
	}
	if a := push.After(0, 0); a.Distance != 0 || a.Stopped {
		t.Errorf("%+v", a)
	}
	if v, ok := (Motion{Drive: 0.3, Drag: 0.004, HeadWind: 20}).Steady(); ok || v != 0 {
		t.Error(v)
	}
	still := Motion{Drive: -1, Drag: 0.004}
	if a := still.After(0, 5); !a.Stopped || a.Distance != 0 {
		t.Errorf("%+v", a)
	}
	if x, time, ok := still.Stop(0); !ok || x != 0 || time != 0 {
		t.Error(x, time, ok)
	}
	if a := still.Over(2, 0); a.Speed != 2 || a.Distance != 0 {
		t.Errorf("%+v", a)
	}
}

// Whatever enters, nothing comes out that is no number, and no place beyond
// the end.
func FuzzOver(f *testing.F) {
	f.Add(0.5, 0.004, 0.0, 3.0, 50.0)
	f.Add(-0.5, 0.004, -3.0, 0.0, 50.0)
	f.Add(1e-17, 0.5, 0.0, 0.0, 20000.0)
	f.Fuzz(func(t *testing.T, drive, drag, wind, v0, length float64) {
		if !(math.Abs(drive) <= 100 && drag >= 0 && drag <= 20 && math.Abs(wind) <= 100 && v0 >= 0 && v0 <= 200 && length >= 0 && length <= 20000) {
			t.Skip()
		}
		m := Motion{drive, drag, wind}
		a := m.Over(v0, length)
		if !finite(a.Speed) || !finite(a.Time) || a.Speed < 0 || a.Time < 0 || a.Distance < 0 || a.Distance > length*(1+1e-9) || a.Stopped && a.Speed != 0 {
			t.Fatalf("%+v from %v over %v: %+v", m, v0, length, a)
		}
	})
}
