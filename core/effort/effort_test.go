package effort_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"firnhand/core/effort"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

func must[T any](t *testing.T) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// within tells whether a figure agrees with a printed one to half of its last
// digit.
func within(got, printed, half float64) bool { return math.Abs(got-printed) <= half*(1+1e-9) }

func snow(t *testing.T, cm float64) effort.Terrain {
	t.Helper()
	return must[effort.Terrain](t)(effort.Snow(quantity.Must(quantity.Centimetres(cm))))
}

// Worked examples of Looney et al. 2019 in an article about it; half a digit
// of what it prints.
func TestWalkWorkedExamples(t *testing.T) {
	for _, c := range []struct{ speed, grade, want, half float64 }{
		{0.4768426667, 13.24968434, 5.002098962, 0.5e-9},
		{0.54395076, -11.83712121, 2.305600338, 1.1e-8}, // its speed is printed to eight digits, worth that much
	} {
		r := must[effort.Rate](t)(effort.Walk(quantity.MetrePerSecond(c.speed), c.grade))
		if got := float64(r.PerKg.Value()); !within(got, c.want, c.half) {
			t.Errorf("%v m/s at %v %%: %.10f W/kg, printed %v", c.speed, c.grade, got, c.want)
		}
	}
	// Waters and Mulroy 1999 (from memory): grown people at 1.33 m/s use 12.1
	// mL/(kg min); within the equation's standard error of 0.20 W/kg.
	r := must[effort.Rate](t)(effort.Walk(1.33, 0))
	if diff := math.Abs(float64(r.PerKg.Value() - effort.OfOxygen(12.1))); diff > 0.20 {
		t.Errorf("a chosen walk lies %.2f W/kg off", diff)
	}
	// Standing, 1.44 W/kg: the constant of the equation.
	if r := must[effort.Rate](t)(effort.Walk(0, 0)); r.PerKg.Value() != 1.44 {
		t.Errorf("standing is %v", r.PerKg.Value())
	}
}

// Santee et al. 2001: going down costs least at -8 % at 1.34 m/s; the article
// on Looney et al. says about -10 %.
func TestWalkCheapestDownhill(t *testing.T) {
	best, at := math.Inf(1), 0.0
	for g := -40.0; g <= 40; g += 0.1 {
		if v := float64(must[effort.Rate](t)(effort.Walk(1.34, g)).PerKg.Value()); v < best {
			best, at = v, g
		}
	}
	if at < -12 || at > -6 {
		t.Errorf("cheapest at %.1f %%", at)
	}
}

// A second writing of the equations, by other means, on random input.
func TestOracleEquations(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 50_000 {
		s, g := rnd.Float64()*1.96, rnd.Float64()*85-40
		r := must[effort.Rate](t)(effort.Walk(quantity.MetrePerSecond(s), g))
		want := 1.44 + 1.94*math.Exp(0.43*math.Log(s)) + 0.24*s*s*s*s
		want += 0.34 * s * g * (1 - math.Exp(math.Log(1.05)*(1-math.Exp(math.Log(1.11)*(g+32)))))
		if got := float64(r.PerKg.Value()); math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
			t.Fatalf("LCDA at %v, %v: %v, want %v", s, g, got, want)
		}
		w, l, eta := 20+rnd.Float64()*100, rnd.Float64()*30, 1+rnd.Float64()*2
		up := rnd.Float64() * 25
		on := must[effort.Terrain](t)(effort.Factor(eta))
		p := must[effort.Rate](t)(effort.WalkLoaded(quantity.Kilogram(w), quantity.Kilogram(l), on, quantity.MetrePerSecond(s), up))
		watts := 1.5*w + 2*(w+l)*math.Pow(l/w, 2) + eta*(w+l)*(1.5*s*s+0.35*s*up)
		if got := float64(p.Power(quantity.Kilogram(w)).Value()); math.Abs(got-watts) > 1e-9*watts {
			t.Fatalf("Pandolf: %v, want %v", got, watts)
		}
		a := must[effort.Rate](t)(effort.WalkOxygen(quantity.MetrePerSecond(s), up))
		if want := 3.5 + 0.1*60*s + 1.8*60*s*up/100; math.Abs(a.Oxygen()-want) > 1e-9*want {
			t.Fatalf("ACSM: %v, want %v", a.Oxygen(), want)
		}
		f, h := 12+rnd.Float64()*18, 0.04+rnd.Float64()*0.36
		st := must[effort.Rate](t)(effort.Step(quantity.Metre(h), f))
		if want := 3.5 + 0.2*f + 1.33*1.8*h*f; math.Abs(st.Oxygen()-want) > 1e-9*want {
			t.Fatalf("stepping: %v, want %v", st.Oxygen(), want)
		}
	}
}

// More speed, more load, more climbing and deeper snow never cost less.
func TestEffortGrows(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 20_000 {
		s, ds := rnd.Float64()*1.5, rnd.Float64()*0.4
		g, dg := rnd.Float64()*20, rnd.Float64()*10
		w, l, dl := quantity.Kilogram(30+rnd.Float64()*60), quantity.Kilogram(rnd.Float64()*20), quantity.Kilogram(rnd.Float64()*5)
		z, dz := rnd.Float64()*10, rnd.Float64()*5
		a, b := snow(t, z), snow(t, z+dz)
		rate := func(l quantity.Kilogram, on effort.Terrain, s, g float64) float64 {
			return float64(must[effort.Rate](t)(effort.WalkLoaded(w, l, on, quantity.MetrePerSecond(s), g)).PerKg.Value())
		}
		base := rate(l, a, s, g)
		for name, more := range map[string]float64{"speed": rate(l, a, s+ds, g), "load": rate(l+dl, a, s, g), "gradient": rate(l, a, s, g+dg), "snow": rate(l, b, s, g)} {
			if more < base-1e-12 {
				t.Fatalf("more %s costs less: %v after %v", name, more, base)
			}
		}
		up := func(s, g float64) float64 {
			return float64(must[effort.Rate](t)(effort.Walk(quantity.MetrePerSecond(s), g)).PerKg.Value())
		}
		if up(s+ds, g) < up(s, g) || up(s, g+dg) < up(s, g)-1e-12 {
			t.Fatalf("LCDA falls uphill at %v m/s, %v %%", s, g)
		}
	}
}

// The terrain factor of snow at the depths where two published fits were
// compared: within 9 % to 5 cm, 2.12 and 2.84 at 10 cm, and that of 10 cm
// beyond.
func TestSnow(t *testing.T) {
	for z := 0.0; z <= 5; z += 0.25 {
		f := snow(t, z)
		if d := math.Abs(f.Fits[1]-f.Fits[0]) / f.Fits[0]; d > 0.09 || len(f.Notes) != 0 || len(f.Outside) != 0 {
			t.Errorf("%v cm: the fits lie %.3f apart, %v %v", z, d, f.Notes, f.Outside)
		}
	}
	ten := snow(t, 10)
	if !within(ten.Fits[0], 2.12, 0.005) || !within(ten.Fits[1], 2.84, 0.005) || len(ten.Notes) != 1 || len(ten.Outside) != 0 {
		t.Errorf("10 cm: %+v", ten)
	}
	for _, z := range []float64{10.1, 20, 100} {
		deep := snow(t, z)
		if deep.Eta != ten.Eta || len(deep.Outside) != 1 {
			t.Errorf("%v cm: %+v", z, deep)
		}
	}
	if f := snow(t, 5.1); len(f.Notes) != 1 || f.Eta.Low() > f.Eta.Value() || f.Eta.High() < quantity.Ratio(f.Fits[1]) {
		t.Errorf("5.1 cm: %+v", f)
	}
}

// At, just inside and just outside each limit of an equation.
func TestOutsideIsSaid(t *testing.T) {
	type r = effort.Rate
	walk := func(s, g float64) r { return must[r](t)(effort.Walk(quantity.MetrePerSecond(s), g)) }
	oxygen := func(s float64) r {
		return must[r](t)(effort.WalkOxygen(quantity.Must(quantity.MetresPerMinute(s)), 0))
	}
	step := func(h, f float64) r { return must[r](t)(effort.Step(quantity.Metre(h), f)) }
	for _, c := range []struct {
		name string
		r    r
		says int
	}{
		{"1.96 m/s", walk(1.96, 0), 0}, {"1.961 m/s", walk(1.961, 0), 1},
		{"-40 %", walk(1, -40), 0}, {"-40.1 %", walk(1, -40.1), 1}, {"45 %", walk(1, 45), 0}, {"45.1 %", walk(1, 45.1), 1},
		{"too fast and too steep", walk(3, 50), 2},
		{"50 m/min", oxygen(50), 0}, {"49.9 m/min", oxygen(49.9), 1}, {"100 m/min", oxygen(100), 0}, {"100.1 m/min", oxygen(100.1), 1},
		{"4 cm, 12", step(0.04, 12), 0}, {"3.9 cm", step(0.039, 12), 1}, {"40 cm, 30", step(0.40, 30), 0}, {"40.1 cm", step(0.401, 20), 1},
		{"11.9 a minute", step(0.2, 11.9), 1}, {"30.1 a minute", step(0.2, 30.1), 1},
	} {
		if !c.r.Known || len(c.r.Outside) != c.says {
			t.Errorf("%s: %v", c.name, c.r.Outside)
		}
		for _, s := range c.r.Outside {
			if len(strings.Fields(s)) < 6 || !strings.HasSuffix(s, ".") {
				t.Errorf("%s: %q is not a sentence", c.name, s)
			}
		}
	}
	level := must[effort.Terrain](t)(effort.Factor(1))
	down := must[r](t)(effort.WalkLoaded(60, 0, level, 1, -0.1))
	slow := must[r](t)(effort.WalkOxygen(1, -0.1))
	for _, r := range []r{down, slow} {
		if r.Known || len(r.Outside) != 1 || !strings.Contains(r.Outside[0], "LCDA") || r.PerKg.Value() != 0 {
			t.Errorf("downhill: %+v", r)
		}
	}
	if fast := must[r](t)(effort.WalkLoaded(60, 0, level, 2.1, 0)); len(fast.Outside) != 1 {
		t.Errorf("running: %v", fast.Outside)
	}
}

// Side steps: the energy of one is that of the stepping equation or of
// lifting, whichever bounds; on the flat nothing is won.
func TestSideStep(t *testing.T) {
	c := must[effort.Climb](t)(effort.SideStep(0.5, quantity.Must(quantity.GradePercent(8)), 20))
	// sin(arctan 0.08) = 0.0797452; lifted 0.5 m up the slope.
	if !within(float64(c.Rise), 0.0398726, 0.5e-7) {
		t.Errorf("rise %v", c.Rise)
	}
	same := must[effort.Climb](t)(effort.Rising(c.Rise, 20))
	if same.Rate.PerKg != c.Rate.PerKg {
		t.Error("width on a slope and rise differ")
	}
	// m g h / 0.2 for one kilogram, and (0.2 + 1.33 x 1.8 h) mL of 20.92 J.
	h := float64(c.Rise)
	if want := 9.80665 * h / 0.2; !within(c.PerStepLow, want, 1e-9) {
		t.Errorf("lifting %v, want %v", c.PerStepLow, want)
	}
	if want := (0.2 + 2.394*h) * 5 * 4.184; !within(c.PerStep, want, 1e-9) {
		t.Errorf("stepping %v, want %v", c.PerStep, want)
	}
	rnd := rand.New(rand.NewPCG(7, 8))
	for range 5000 {
		w, f, pct := rnd.Float64(), rnd.Float64()*60, rnd.Float64()*60
		a := must[effort.Climb](t)(effort.SideStep(quantity.Metre(w), quantity.Must(quantity.GradePercent(pct)), f))
		b := must[effort.Climb](t)(effort.SideStep(quantity.Metre(w), quantity.Must(quantity.GradePercent(pct+5)), f))
		if b.Rate.PerKg.Value() < a.Rate.PerKg.Value() || a.PerStepLow > a.PerStep || !a.Rate.Known {
			t.Fatalf("steeper costs less, or limits cross: %+v %+v", a, b)
		}
	}
	if _, err := effort.SideStep(0.5, -0.1, 20); err == nil {
		t.Error("a slope below the level was taken")
	}
}

// Every row of the Compendium: kcal/min = MET x 3.5 x kg / 200.
func TestActivities(t *testing.T) {
	if len(effort.Activities()) != len(source.Table("compendium2011").Rows()) {
		t.Fatal("rows are missing")
	}
	for _, l := range effort.Activities() {
		r, same, err := effort.Activity(l.Code)
		if err != nil || same != l {
			t.Fatalf("%s: %v %v", l.Code, same, err)
		}
		got := r.Power(60).Value().KilocaloriesPerMinute()
		if want := l.MET * 3.5 * 60 / 200; !within(got, want, 1e-9) || !within(r.MET(), l.MET, 1e-12) {
			t.Errorf("%s: %v kcal/min, want %v", l.Code, got, want)
		}
	}
	if _, _, err := effort.Activity("99999"); err == nil {
		t.Error("an unknown code was taken")
	}
}

// Murrell (from memory): 60 min at 6, 7.5 and 10 kcal/min.
func TestRest(t *testing.T) {
	hour := quantity.Must(quantity.Minutes(60))
	for _, c := range []struct{ kcal, want float64 }{{6, 13.3}, {7.5, 25.0}, {10, 35.3}, {5, 0}, {3, 0}} {
		r := must[quantity.Second](t)(effort.Rest(hour, quantity.Must(quantity.KilocaloriesPerMinute(c.kcal)), effort.Murrell()))
		if !within(r.Minutes(), c.want, 0.05) {
			t.Errorf("%v kcal/min: %v min, want %v", c.kcal, r.Minutes(), c.want)
		}
	}
	rnd := rand.New(rand.NewPCG(9, 10))
	for range 20_000 {
		resting := quantity.Watt(30 + rnd.Float64()*100)
		by := effort.Standard{Limit: resting + quantity.Watt(rnd.Float64()*300), Resting: resting}
		at := quantity.Watt(rnd.Float64() * 900)
		work := quantity.Second(rnd.Float64() * 7200)
		r := must[quantity.Second](t)(effort.Rest(work, at, by))
		harder := must[quantity.Second](t)(effort.Rest(work, at+1, by))
		half := must[quantity.Second](t)(effort.Rest(work/2, at, by))
		if r < 0 || r > work || harder < r || math.Abs(float64(2*half-r)) > 1e-6 {
			t.Fatalf("rest %v of %v at %v by %+v", r, work, at, by)
		}
	}
	if _, err := effort.Rest(hour, 100, effort.Standard{Limit: 50, Resting: 100}); err == nil {
		t.Error("a limit below rest was taken")
	}
}

// Scott and Christie 2000 (from memory): 30 to 45 % of the greatest uptake.
func TestShareAndBudget(t *testing.T) {
	c := must[effort.Capacity](t)(effort.NewCapacity(30, 25, 35))
	for _, x := range []struct {
		vo2  float64
		load effort.Load
	}{{9, effort.KeptUp}, {9.14, effort.KeptUp}, {9.2, effort.Edge}, {13.6, effort.Edge}, {13.7, effort.NotKeptUp}, {30.1, effort.NotKeptUp}, {30.2, effort.Beyond}} {
		r := must[effort.Rate](t)(effort.Equivalents(x.vo2 / 3.5))
		s := must[effort.Share](t)(effort.ShareOf(r, c))
		if s.Load != x.load || s.Words == "" || s.Pct.Low() > s.Pct.Value() || s.Pct.High() < s.Pct.Value() {
			t.Errorf("%v mL/(kg min): %+v", x.vo2, s)
		}
	}
	// 30 to 45 % of 30 mL/(kg min), 60 kg, 60 min, 5 kcal a litre: 162 to 243 kcal.
	exact := must[effort.Capacity](t)(effort.NewCapacity(30, 30, 30))
	v, low, high, err := effort.Budget(exact, 60, 3600)
	if err != nil || !within(low, 162, 1e-6) || !within(high, 243, 1e-6) || !within(v, 202.5, 1e-6) {
		t.Errorf("budget %v %v %v %v", v, low, high, err)
	}
	by, outside, err := effort.StandardOf(exact, 60)
	if err != nil || outside != nil || !within(by.Limit.KilocaloriesPerMinute(), 2.7, 1e-9) || !within(by.Resting.KilocaloriesPerMinute(), 1.05, 1e-9) {
		t.Errorf("standard %+v %v %v", by, outside, err)
	}
	strong := must[effort.Capacity](t)(effort.NewCapacity(60, 60, 60))
	if by, _, err := effort.StandardOf(strong, 100); err != nil || by != effort.Murrell() {
		t.Errorf("a strong heavy person's limit is above Murrell's: %+v %v", by, err)
	}
	weak := must[effort.Capacity](t)(effort.NewCapacity(9, 8, 10))
	if by, outside, err := effort.StandardOf(weak, 60); err != nil || len(outside) != 1 || by.Limit != by.Resting {
		t.Errorf("a weak person: %+v %v %v", by, outside, err)
	}
	if x, y, z := c.Oxygen(); x != 30 || y != 25 || z != 35 {
		t.Error("capacity lost")
	}
}

func TestSpend(t *testing.T) {
	r := must[effort.Rate](t)(effort.Equivalents(6))
	p := r.Power(80) // 8.4 kcal/min
	l := must[effort.Ledger](t)(effort.Spend([]effort.Bout{{What: "sidestep", Time: 600, Rate: p}, {What: "wait", Time: 600, Rate: must[effort.Rate](t)(effort.Equivalents(1.3)).Power(80)}}, effort.Murrell()))
	// 10 min at 8.4: 84 kcal and 10 x 3.4/6.9 = 4.93 min of rest; 10 min at 1.82: 18.2 kcal.
	if l.Work != 1200 || !within(l.Kcal, 102.2, 1e-6) || !within(l.Rest.Minutes(), 4.928, 0.0005) || l.KcalLow > l.Kcal || l.KcalHigh < l.Kcal || l.RestHigh < l.Rest {
		t.Errorf("%+v", l)
	}
	if _, err := effort.Spend([]effort.Bout{{Time: -1, Rate: p}}, effort.Murrell()); err == nil {
		t.Error("a time below zero was taken")
	}
}

// The published groups, and the two rows whose figures do not fit each other.
func TestPublished(t *testing.T) {
	list := effort.Published()
	doubtful := 0
	for _, m := range list {
		if !(m.Ratio.Value() > 0.9) || m.Ratio.Low() > m.Ratio.Value() || m.Ratio.High() < m.Ratio.Value() || m.How == "" || m.Words == "" {
			t.Errorf("%+v", m)
		}
		if m.Verified && m.Status != source.Seen {
			t.Errorf("%s is called verified, but is %s", m.Words, m.Status)
		}
		if len(m.Notes) > 0 {
			doubtful++
			if m.Verified {
				t.Errorf("%s does not fit itself and is called verified", m.Words)
			}
		}
		if same, err := effort.OfGroup(m.Words); err != nil || same.Ratio != m.Ratio {
			t.Errorf("%s: %v", m.Words, err)
		}
	}
	if len(list) != 14 || doubtful != 2 {
		t.Errorf("%d groups, %d doubtful", len(list), doubtful)
	}
	// Pagliarulo, Waters and Hislop: the same people used 1.44 times the oxygen
	// on crutches at the same speed.
	with := must[effort.Multiplier](t)(effort.OfGroup("below-knee amputee non-vascular, prosthesis"))
	without := must[effort.Multiplier](t)(effort.OfGroup("same people, crutches no prosthesis"))
	if got := float64(without.Ratio.Value() / with.Ratio.Value()); !within(got, 1.44, 0.005) {
		t.Errorf("crutches cost %v times", got)
	}
	if _, err := effort.OfGroup("nobody"); err == nil {
		t.Error("an unknown group was taken")
	}
}

func TestFromWalk(t *testing.T) {
	// At the speed of healthy adults nothing is added.
	normal := must[effort.Multiplier](t)(effort.FromWalk(1.33*360, 360, nil))
	if normal.Ratio.Value() != 1 || normal.Verified {
		t.Errorf("%+v", normal)
	}
	slow := must[effort.Multiplier](t)(effort.FromWalk(150, 360, nil))
	slower := must[effort.Multiplier](t)(effort.FromWalk(100, 360, nil))
	if !(slower.Ratio.Value() > slow.Ratio.Value() && slow.Ratio.Value() > 1) {
		t.Errorf("%v then %v", slow.Ratio, slower.Ratio)
	}
	vo2 := 15.5
	measured := must[effort.Multiplier](t)(effort.FromWalk(1.183*360, 360, &vo2))
	group := must[effort.Multiplier](t)(effort.OfGroup("below-knee amputee non-vascular, prosthesis"))
	if math.Abs(float64(measured.Ratio.Value()-group.Ratio.Value())) > 1e-9 || !measured.Verified {
		t.Errorf("measured %v, the group of that speed and oxygen %v", measured.Ratio, group.Ratio)
	}
	r := must[effort.Rate](t)(effort.Walk(0.8, 0))
	more := measured.Apply(r)
	if k := float64(more.PerKg.Value() / r.PerKg.Value()); !within(k, float64(measured.Ratio.Value()), 1e-12) || len(more.Notes) != len(r.Notes)+1 {
		t.Errorf("applied %v", k)
	}
	if assumed := slow.Apply(r); !strings.HasSuffix(assumed.Notes[len(assumed.Notes)-1], "Not verified.") {
		t.Errorf("%v", assumed.Notes)
	}
	if u := measured.Apply(effort.Rate{}); u.Known {
		t.Error("a multiplier made an unknown rate known")
	}
	if m := must[effort.Multiplier](t)(effort.FromWalk(800, 360, nil)); len(m.Notes) != 2 {
		t.Errorf("faster than measured: %v", m.Notes)
	}
}

// NaN, infinities and slips of the unit are refused with a code and a
// sentence.
func TestRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	level := must[effort.Terrain](t)(effort.Factor(1))
	errs := map[string]error{}
	keep := func(name string, err error) { errs[name] = err }
	for name, v := range map[string]float64{"NaN": nan, "infinity": inf, "far off": 1e6, "below": -1000} {
		_, err := effort.Walk(quantity.MetrePerSecond(v), 0)
		keep("speed "+name, err)
		_, err = effort.Walk(1, v)
		keep("gradient "+name, err)
		_, err = effort.WalkLoaded(quantity.Kilogram(v), 0, level, 1, 0)
		keep("mass "+name, err)
		_, err = effort.WalkLoaded(60, quantity.Kilogram(v), level, 1, 0)
		keep("load "+name, err)
		_, err = effort.WalkOxygen(quantity.MetrePerSecond(v), 0)
		keep("oxygen speed "+name, err)
		_, err = effort.Factor(v)
		keep("eta "+name, err)
		_, err = effort.Snow(quantity.Metre(v))
		keep("sinkage "+name, err)
		_, err = effort.Step(quantity.Metre(v), 20)
		keep("height "+name, err)
		_, err = effort.Step(0.2, v)
		keep("rate "+name, err)
		_, err = effort.SideStep(quantity.Metre(v), 0.1, 20)
		keep("width "+name, err)
		_, err = effort.Rising(quantity.Metre(v), 20)
		keep("rise "+name, err)
		_, err = effort.Equivalents(v)
		keep("MET "+name, err)
		_, err = effort.Given(v)
		keep("multiplier "+name, err)
		_, err = effort.FromWalk(quantity.Metre(v), 360, nil)
		keep("distance "+name, err)
		_, err = effort.FromWalk(300, quantity.Second(v), nil)
		keep("walk time "+name, err)
		_, err = effort.FromWalk(300, 360, &v)
		keep("walk oxygen "+name, err)
		_, err = effort.NewCapacity(v, v, v)
		keep("capacity "+name, err)
		_, err = effort.Rest(quantity.Second(v), 400, effort.Murrell())
		keep("work time "+name, err)
		_, err = effort.Rest(60, quantity.Watt(v), effort.Murrell())
		keep("work "+name, err)
		c := must[effort.Capacity](t)(effort.NewCapacity(30, 30, 30))
		_, _, _, err = effort.Budget(c, quantity.Kilogram(v), 60)
		keep("budget mass "+name, err)
		_, _, err = effort.StandardOf(c, quantity.Kilogram(v))
		keep("standard mass "+name, err)
	}
	_, err := effort.NewCapacity(30, 31, 32)
	keep("capacity out of order", err)
	_, err = effort.ShareOf(effort.Rate{}, effort.Capacity{})
	keep("share of an unknown rate", err)
	_, err = effort.ShareOf(must[effort.Rate](t)(effort.Walk(1, 0)), effort.Capacity{})
	keep("share of an unknown capacity", err)
	_, _, _, err = effort.Budget(effort.Capacity{}, 60, 60)
	keep("budget of an unknown capacity", err)
	_, _, err = effort.StandardOf(effort.Capacity{}, 60)
	keep("standard of an unknown capacity", err)
	_, err = effort.Spend([]effort.Bout{{Time: 60, Rate: quantity.Must(quantity.NewRange[quantity.Watt](100, 100, 1e6))}}, effort.Murrell())
	keep("high end of a bout", err)
	_, err = effort.FromWalk(5000, 10, nil)
	keep("faster than anybody walks", err)
	_, err = effort.Surface("glass")
	keep("surface", err)
	for name, err := range errs {
		var e *effort.Error
		if !errors.As(err, &e) || e.Code == "" || !strings.HasSuffix(e.Error(), ".") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Odd things made by hand stay harmless.
func TestHarmless(t *testing.T) {
	r := must[effort.Rate](t)(effort.Walk(1, 0))
	if p := r.Power(quantity.Kilogram(math.NaN())); p != (quantity.Range[quantity.Watt]{}) {
		t.Errorf("power of no mass: %v", p)
	}
	huge := effort.Multiplier{Ratio: quantity.Must(quantity.Exactly(quantity.Ratio(1e308)))}
	if got := huge.Apply(r); got.Known || len(got.Outside) != 1 {
		t.Errorf("%+v", got)
	}
	twice := must[effort.Multiplier](t)(effort.Given(2))
	if got := twice.Apply(r); got.PerKg.Value() != 2*r.PerKg.Value() || len(got.Refs) != len(r.Refs) {
		t.Errorf("%+v", got)
	}
	for _, s := range effort.Cautions() {
		if !strings.HasSuffix(s, ".") {
			t.Errorf("%q", s)
		}
	}
}

func TestSurfaces(t *testing.T) {
	for _, name := range effort.Surfaces() {
		s, err := effort.Surface(name)
		if err != nil || s.Eta.Value() < 1 || s.Ref != "terrain_factors" {
			t.Errorf("%s: %+v %v", name, s, err)
		}
	}
}

// Whatever finite or odd numbers come in, no rate is NaN and limits keep their
// order.
func FuzzWalk(f *testing.F) {
	f.Add(0.5, 13.0, 60.0, 8.0, 1.2)
	f.Add(-1.0, math.Inf(1), math.NaN(), 1e300, 0.0)
	f.Fuzz(func(t *testing.T, s, g, w, l, eta float64) {
		check := func(r effort.Rate, err error) {
			if err != nil || !r.Known {
				return
			}
			lo, v, hi := float64(r.PerKg.Low()), float64(r.PerKg.Value()), float64(r.PerKg.High())
			if math.IsNaN(v) || math.IsInf(hi, 0) || lo > v || v > hi {
				t.Fatalf("%v %v %v from %v %v %v %v %v", lo, v, hi, s, g, w, l, eta)
			}
		}
		check(effort.Walk(quantity.MetrePerSecond(s), g))
		check(effort.WalkOxygen(quantity.MetrePerSecond(s), g))
		check(effort.Step(quantity.Metre(s), g))
		if on, err := effort.Factor(eta); err == nil {
			check(effort.WalkLoaded(quantity.Kilogram(w), quantity.Kilogram(l), on, quantity.MetrePerSecond(s), g))
		}
	})
}
