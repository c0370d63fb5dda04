package slope

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"firnhand/core/source"
)

func ptr(v float64) *float64 { return &v }

func known(v ...float64) Known {
	switch len(v) {
	case 0:
		return Known{}
	case 1:
		return Given(Exactly(v[0]))
	}
	return Given(Between(v[0], v[1]))
}

// usual is a skier of 80 kg on a slope in percent with a friction.
func usual(pct float64, mu ...float64) Ask {
	return Ask{Gravity: 9.80665, Slope: known(math.Atan(pct / 100)), Friction: known(mu...), Mass: known(80), DragArea: known(0.6), Density: known(1)}
}

// sound checks what every answer owes: figures finite and in order, inputs,
// sources that exist, cautions, sentences.
func sound(t *testing.T, a *Answer) {
	t.Helper()
	if a == nil {
		t.Fatal("no answer")
	}
	if a.About == "" || len(a.Inputs) == 0 || len(a.Sources) == 0 || len(a.Cautions) < 4 {
		t.Errorf("%q lacks inputs, sources or cautions", a.About)
	}
	seen := map[string]bool{}
	for _, list := range [][]Figure{a.Figures, a.Inputs} {
		clear(seen)
		for _, f := range list {
			if !f.finite() || f.Low > f.Value || f.Value > f.High || f.Label == "" || seen[f.ID] {
				t.Errorf("%s: %+v", a.About, f)
			}
			seen[f.ID] = true
		}
	}
	for _, id := range a.Sources {
		if !source.Known(id) {
			t.Errorf("%s cites %q", a.About, id)
		}
	}
	for _, list := range [][]string{a.Says, a.Outside, a.Warnings, a.Cautions} {
		for _, s := range list {
			if !strings.HasSuffix(s, ".") || strings.Contains(s, "NaN") || strings.Contains(s, "unknown") {
				t.Errorf("%s says %q", a.About, s)
			}
			for _, word := range []string{"safe to", "you can ", "no danger", "recommended"} {
				if strings.Contains(strings.ToLower(s), word) {
					t.Errorf("%s encourages: %q", a.About, s)
				}
			}
		}
	}
}

func get(t *testing.T, a *Answer, id string) Span {
	t.Helper()
	f, ok := a.Figure(id)
	if !ok {
		t.Fatalf("%s has no %s: %+v", a.About, id, a.Figures)
	}
	return f.Span
}

func says(list []string, part string) bool { return strings.Contains(strings.Join(list, "\n"), part) }

func refused(t *testing.T, err error, code string) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) || e.Code != code {
		t.Errorf("got %v, want %s", err, code)
	}
}

// The limits of an answer hold every case inside the ranges.
func TestRangesHold(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 7))
	in := func(s Span) float64 { return s.Low + r.Float64()*(s.High-s.Low) }
	for range 300 {
		slope := known(math.Atan(0.05+0.1*r.Float64()), math.Atan(0.16+0.1*r.Float64()))
		ask := Ask{Gravity: 9.80665, Slope: slope, Friction: known(0.01, 0.04), Mass: known(50, 90), DragArea: known(0.3, 0.9), Density: known(0.9, 1.2)}
		q := Sliding{Ask: ask, Speed: known(0, 3), Length: ptr(5 + 100*r.Float64())}
		a, err := q.Answer()
		if err != nil {
			t.Fatal(err)
		}
		sound(t, a)
		for range 20 {
			c := Conditions{Gravity: ask.Gravity, Drag: DragOf(in(ask.Density.Span), in(ask.DragArea.Span), in(ask.Mass.Span))}
			one := c.Motion(Piece{Slope: in(slope.Span), Friction: in(ask.Friction.Span)}).Over(in(q.Speed.Span), *q.Length)
			for id, v := range map[string]float64{"speed_m_s": one.Speed, "time_s": one.Time} {
				if s := get(t, a, id); v < s.Low-1e-9 || v > s.High+1e-9 {
					t.Fatalf("%s %v outside %+v", id, v, s)
				}
			}
		}
	}
}

func TestSliding(t *testing.T) {
	// Reference S1: 30 m of 10 %, friction 0.05, g 9.81: 5.1209 m/s after 11.297 s.
	ask := usual(10, 0.05)
	ask.Gravity = g981
	a, err := Sliding{Ask: ask, Speed: known(0), Length: ptr(30)}.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	if v := get(t, a, "speed_m_s").Value; math.Abs(v-5.1209) > 0.5e-4 {
		t.Error(v)
	}
	byTime, _ := Sliding{Ask: ask, Speed: known(0), Lasts: ptr(11.297)}.Answer()
	byDrop, _ := Sliding{Ask: ask, Speed: known(0), Drop: ptr(30 * math.Sin(math.Atan(0.1)))}.Answer()
	if math.Abs(get(t, byTime, "distance_m").Value-30) > 0.01 || math.Abs(get(t, byDrop, "speed_m_s").Value-5.1209) > 0.5e-4 {
		t.Error("the three ends of a slide differ")
	}
	still, _ := Sliding{Ask: usual(5, 0.06), Speed: known(0), Length: ptr(10)}.Answer()
	sound(t, still)
	if !says(still.Says, "does not set off") {
		t.Error(still.Says)
	}
	mixed, _ := Sliding{Ask: usual(5, 0.03, 0.06), Speed: known(0), Length: ptr(10)}.Answer()
	sound(t, mixed)
	if !says(mixed.Says, "slow end") || get(t, mixed, "speed_m_s").Low != 0 {
		t.Error(mixed.Says)
	}
	late, _ := Sliding{Ask: usual(5, 0.05, 0.08), Speed: known(3), Length: ptr(30)}.Answer()
	sound(t, late)
	if !says(late.Says, "comes to rest after") || !says(late.Says, "fast end") {
		t.Error(late.Says)
	}
	back, _ := Sliding{Ask: usual(-10, 0.03), Speed: known(3), Length: ptr(30)}.Answer()
	sound(t, back)
	if !says(back.Warnings, "slides back") {
		t.Error(back.Warnings)
	}
	wall := usual(10, 0.3)
	wall.Slope, wall.HeadWind, wall.Path = known(math.Pi/2), 3, 0.2
	steep, err := Sliding{Ask: wall, Speed: known(0), Length: ptr(1000)}.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, steep)
	for _, part := range []string{"steeper than 45", "wind", "published for straight gliding", "fastest recreational"} {
		if !says(steep.Outside, part) {
			t.Errorf("not said: %s", part)
		}
	}
	if !says(steep.Warnings, "simple form") {
		t.Error(steep.Warnings)
	}
	for code, q := range map[string]Sliding{
		"end_needed":     {Ask: usual(10, 0.05), Speed: known(0)},
		"drop_direction": {Ask: usual(10, 0.05), Speed: known(0), Drop: ptr(-3)},
		"out_of_range":   {Ask: usual(10, 0.05), Speed: known(-1), Length: ptr(3)},
		"not_a_number":   {Ask: usual(10, math.NaN()), Speed: known(0), Length: ptr(3)},
		"mass_needed":    {Ask: Ask{Gravity: 9.8, Slope: known(0.1), Friction: known(0.05), DragArea: known(0.6), Density: known(1)}, Length: ptr(3)},
	} {
		_, err := q.Answer()
		refused(t, err, code)
	}
	_, err = Sliding{Ask: usual(10, 0.05), Length: ptr(1), Lasts: ptr(1)}.Answer()
	refused(t, err, "end_needed")
	_, err = Sliding{Ask: usual(10, 0.05), Length: ptr(1e9)}.Answer()
	refused(t, err, "out_of_range")
	upside := usual(10, 0.05)
	upside.Friction.Low = 0.2
	_, err = Sliding{Ask: upside, Length: ptr(1)}.Answer()
	refused(t, err, "order")
	heavy := usual(10, 0.05)
	heavy.Mass = known(0)
	heavy.Mass.From = []string{"CP"}
	_, err = Sliding{Ask: heavy, Length: ptr(1)}.Answer()
	refused(t, err, "out_of_range")
}

func TestBalance(t *testing.T) {
	ask := usual(10, 0.05)
	ask.Slope, ask.Mass = known(25*math.Pi/180), known(62)
	ask.Gravity = 9.80
	// OpenStax: 45 N on a skier of 62 kg on 25 degrees is a friction of 0.082.
	a, err := Balance{Ask: ask, FrictionForce: ptr(45)}.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	if mu := get(t, a, "friction_coefficient").Value; math.Abs(mu-0.082) > 0.0005 {
		t.Error(mu)
	}
	fast, _ := Balance{Ask: usual(10, 0.03), Speed: known(8)}.Answer()
	sound(t, fast)
	// At the friction that holds a speed, the acceleration is nought.
	hold := usual(10, get(t, fast, "steady_friction").Value)
	again, _ := Balance{Ask: hold, Speed: known(8)}.Answer()
	if v := get(t, again, "acceleration_m_s2").Value; math.Abs(v) > 1e-12 {
		t.Error(v)
	}
	bare := Ask{Gravity: 9.8, Slope: known(0.2), Friction: known(0.1)}
	if b, err := (Balance{Ask: bare}).Answer(); err != nil {
		t.Error(err)
	} else if _, ok := b.Figure("normal_n"); ok {
		t.Error("no mass, no force")
	}
	wall := ask
	wall.Slope = known(math.Pi / 2)
	_, err = Balance{Ask: wall, FrictionForce: ptr(45)}.Answer()
	refused(t, err, "no_load")
	_, err = Balance{Ask: ask, FrictionForce: ptr(-1)}.Answer()
	refused(t, err, "out_of_range")
	_, err = Balance{Ask: ask, Speed: known(1e6)}.Answer()
	refused(t, err, "out_of_range")
}

func TestEnergy(t *testing.T) {
	// OpenStax: 50 kg, 20 m, -2000 J of air: 18 m/s.
	a, err := Energy{Gravity: 9.80, Mass: known(50), Drop: 20, Work: -2000}.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	if v := get(t, a, "speed_m_s").Value; math.Abs(v-18) > 0.5 {
		t.Error(v)
	}
	// OpenStax: 12.0 m/s, 2.50 m up 35 degrees, friction 0.0800: 9.46 m/s.
	up, err := Energy{Gravity: 9.80, Mass: known(60, 70), Speed: 12, Drop: -2.5, Slope: -35 * math.Pi / 180, Friction: 0.08, FrictionOnLength: true}.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, up)
	if v := get(t, up, "speed_m_s").Value; math.Abs(v-9.46) > 0.005 {
		t.Error(v)
	}
	short, _ := Energy{Gravity: 9.80, Mass: known(60), Speed: 1, Drop: -2.5}.Answer()
	sound(t, short)
	if !says(short.Says, "not suffice") {
		t.Error(short.Says)
	}
	_, err = Energy{Gravity: 0, Mass: known(60)}.Answer()
	refused(t, err, "out_of_range")
}

func TestStopping(t *testing.T) {
	ask := usual(12, 0.35)
	ask.Gravity = g981
	q := Stopping{Ask: ask, Speed: known(5.53), Reaction: known(1)}
	a, err := q.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	// Reference R4: 6.656 m, 2.428 s, 6.825 m without drag; and v0 t before it.
	for id, want := range map[string]float64{"brake_m": 6.656, "brake_s": 2.428, "brake_no_drag_m": 6.825, "reaction_m": 5.53, "stop_m": 5.53 + 6.656, "stop_s": 3.428, "deceleration_m_s2": 2.2402} {
		if got := get(t, a, id).Value; math.Abs(got-want) > 6e-4 {
			t.Errorf("%s %v, want %v", id, got, want)
		}
	}
	if !says(a.Warnings, "speed is taken as held") {
		t.Error(a.Warnings)
	}
	glide := known(0.02, 0.05)
	q.Glide = &glide
	b, err := q.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, b)
	if get(t, b, "reaction_m").Value <= 5.53 || get(t, b, "stop_m").Value <= get(t, a, "stop_m").Value {
		t.Error("on 12 % the glide gathers speed until the braking begins")
	}
	never, err := Stopping{Ask: usual(30, 0.1), Speed: known(5), Reaction: known(1)}.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, never)
	if _, ok := never.Figure("stop_m"); ok || !says(never.Says, "never comes to rest") || math.Abs(get(t, never, "limit_slope_pct").Value-10) > 1e-9 {
		t.Error(never)
	}
	some, _ := Stopping{Ask: usual(12, 0.1, 0.2), Speed: known(5), Reaction: known(0.5, 2)}.Answer()
	sound(t, some)
	if !says(some.Warnings, "never comes to rest") {
		t.Error(some.Warnings)
	}
	rise, _ := Stopping{Ask: usual(-8, 0.05), Speed: known(5), Reaction: known(0)}.Answer()
	if !says(rise.Warnings, "slides back") {
		t.Error(rise.Warnings)
	}
	bad := known(-1)
	q.Glide = &bad
	_, err = q.Answer()
	refused(t, err, "out_of_range")
	q.Reaction = known(-1)
	_, err = q.Answer()
	refused(t, err, "out_of_range")
}

func TestBraking(t *testing.T) {
	ask := usual(12)
	v := 4.0
	c := Conditions{Gravity: 9.80665, Drag: DragOf(1, 0.6, 80)}
	x, _, _ := c.Motion(Piece{Slope: math.Atan(0.12), Friction: 0.3}).Stop(v)
	a, err := Braking{Ask: ask, Trials: []BrakeTrial{{Speed: v, Length: x}}}.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	if got := get(t, a, "friction").Value; math.Abs(got-0.3) > 1e-9 {
		t.Error(got)
	}
	f, _ := a.Figure("friction")
	if !strings.Contains(f.Label, "unpublished, calibrated here") || !says(a.Says, "Unpublished, calibrated here") || !says(a.Warnings, "One stop") {
		t.Error("a calibrated braking friction must say what it is")
	}
	three, err := Braking{Ask: ask, Trials: []BrakeTrial{{Speed: v, Length: x}, {Speed: v, Length: 0.3}, {Speed: v, Time: 60}}}.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, three)
	if !says(three.Outside, "above 1") {
		t.Error(three.Outside)
	}
	level := usual(-5)
	slow, err := Braking{Ask: level, Trials: []BrakeTrial{{Speed: v, Length: 1000}}}.Answer()
	if err != nil {
		t.Fatal(err)
	}
	if !says(slow.Outside, "below zero") {
		t.Error(slow.Outside)
	}
	_, err = Braking{Ask: ask}.Answer()
	refused(t, err, "no_trial")
	_, err = Braking{Ask: ask, Trials: []BrakeTrial{{Speed: 4}}}.Answer()
	refused(t, err, "trial_empty")
	_, err = Braking{Ask: ask, Trials: []BrakeTrial{{Speed: -4}}}.Answer()
	refused(t, err, "out_of_range")
	ask.HeadWind = 2
	_, err = Braking{Ask: ask, Trials: []BrakeTrial{{Speed: 4, Length: 3}}}.Answer()
	refused(t, err, "fall_line_only")
	ask.Mass = Known{}
	_, err = Braking{Ask: ask}.Answer()
	refused(t, err, "mass_needed")
}

func TestCurve(t *testing.T) {
	q := Curve{Ask: usual(10, 0.03, 0.05), Turning: UsualTurn(), Side: Left, Speed: known(0), Glide: known(3.5)}
	a, track, err := q.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	if !track.Stopped || !says(a.Says, "full stop") || !says(a.Outside, "carving") || get(t, a, "left_m").Value <= 0 {
		t.Errorf("%v %+v", a.Says, track.End())
	}
	q.Side = Right
	b, _, _ := q.Answer()
	if get(t, b, "left_m").Value != -get(t, a, "left_m").Value || get(t, b, "peak_m_s") != get(t, a, "peak_m_s") {
		t.Error("the sides differ")
	}
	g := Curve{Ask: usual(14, 0.04), Turning: Turning{known(6), known(0.02)}, Side: Right, Speed: known(2), Dips: 3, High: 1.3, Low: 0.7}
	d, path, err := g.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, d)
	for _, p := range path.Points {
		if p.Path > -0.7+1e-9 || p.Path < -1.3-1e-9 {
			t.Fatalf("the garland leaves its angles: %v", p.Path)
		}
	}
	if !says(d.Says, "still moves") {
		t.Error(d.Says)
	}
	early := Curve{Ask: usual(10, 0.05), Turning: Turning{known(8), known(0.3)}, Side: Left, Speed: known(0), Glide: known(3)}
	e, _, err := early.Answer()
	if err != nil || !says(e.Says, "before the skis are across") || !says(e.Warnings, "does not hold") {
		t.Errorf("%v %v", e, err)
	}
	still := Curve{Ask: usual(3, 0.05), Turning: UsualTurn(), Side: Left, Glide: known(3)}
	if s, _, err := still.Answer(); err != nil || !says(s.Says, "does not set off") {
		t.Error(s, err)
	}
	for code, change := range map[string]func(*Curve){
		"unknown_side":     func(c *Curve) { c.Side = "up" },
		"no_wind_in_turns": func(c *Curve) { c.HeadWind = 1 },
		"no_pull_in_turns": func(c *Curve) { c.Pull = 10 },
		"slope_needed":     func(c *Curve) { c.Slope = known(-0.1) },
		"wall":             func(c *Curve) { c.Slope = known(math.Pi / 2) },
		"out_of_range":     func(c *Curve) { c.Dips = 1000 },
		"garland_angles":   func(c *Curve) { c.Dips, c.Low, c.High = 2, 0, 1 },
	} {
		c := Curve{Ask: usual(10, 0.05), Turning: UsualTurn(), Side: Left, Speed: known(0), Glide: known(3)}
		change(&c)
		_, _, err := c.Answer()
		refused(t, err, code)
	}
	q.Radius = known(0)
	_, _, err = q.Answer()
	refused(t, err, "out_of_range")
}

func TestFanAsk(t *testing.T) {
	q := FanAsk{Ask: usual(10, 0.03, 0.05), Sides: map[Side]FanSideAsk{Left: UsualFanSide(), Right: UsualFanSide()}}
	l, r := q.Sides[Left], q.Sides[Right]
	l.Step, r.Step = 3, 5
	q.Sides[Left], q.Sides[Right] = l, r
	a, ladders, err := q.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	if len(ladders) != 2 || ladders[0].Side != Left || !says(a.Says, "different steps") {
		t.Fatalf("%v", a.Says)
	}
	// Trade, E2: on 10 % the start angles feel like 2.6, 5, 7, 8.7, 9.7 and 10 %.
	for i, want := range []float64{2.6, 5, 7, 8.7, 9.7, 10} {
		if got := ladders[0].Trade[i].GradientPct; math.Abs(got-want) > 0.06 {
			t.Errorf("step %d: %v %%, the trade says %v", i+1, got, want)
		}
	}
	for i, step := range ladders[0].Trade {
		other := ladders[1].Trade[i]
		if step.Peak != other.Peak || step.StopLeft.Value != -other.StopLeft.Value || step.StopDown != other.StopDown {
			t.Errorf("step %d differs between the sides", i+1)
		}
		if step.Now != (i == 2) || other.Now != (i == 4) {
			t.Errorf("step %d now: %v %v", i+1, step.Now, other.Now)
		}
		if step.Peak.Low > step.Peak.Value || step.Peak.Value > step.Peak.High {
			t.Errorf("%+v", step.Peak)
		}
	}
	now := 0
	for _, step := range ladders[0].Even {
		if step.Now {
			now++
		}
	}
	if now != 1 {
		t.Errorf("%d even steps are the present one", now)
	}
	sticky := FanAsk{Ask: usual(10, 0.2), Sides: q.Sides}
	if s, ladders, err := sticky.Answer(); err != nil || len(ladders[0].Even) != 0 || !says(s.Says, "not even a start in the fall line") || !says(s.Says, "cannot set off") {
		t.Errorf("%v %v", s, err)
	}
	r.Step = 3
	q.Sides[Right] = r
	if s, _, _ := q.Answer(); !says(s.Says, "same step") {
		t.Error(s.Says)
	}
	l.Step = 0
	q.Sides[Left] = l
	if s, _, _ := q.Answer(); !says(s.Says, "none yet") {
		t.Error(s.Says)
	}
	l.Step = 7
	q.Sides[Left] = l
	_, _, err = q.Answer()
	refused(t, err, "out_of_range")
	l.Step, l.Glide = 1, known(-1)
	q.Sides[Left] = l
	_, _, err = q.Answer()
	refused(t, err, "out_of_range")
	delete(q.Sides, Left)
	_, _, err = q.Answer()
	refused(t, err, "side_needed")
	q.Slope = known(-1)
	_, _, err = q.Answer()
	refused(t, err, "slope_needed")
	bare := FanAsk{Ask: Ask{Gravity: 9.8, Slope: known(0.1), Friction: known(0.03)}, Sides: map[Side]FanSideAsk{Left: UsualFanSide(), Right: UsualFanSide()}}
	if _, _, err := bare.Answer(); err != nil {
		t.Error(err)
	}
}

func ExampleFan() {
	f := Fan{Hill: Hill{Slope: math.Atan(0.10), Gravity: 9.80665, Drag: DragOf(1.1, 0.6, 60)}, Friction: 0.04,
		Sides: map[Side]FanSide{Left: {Glide: 3.5, Radius: 5, Skid: 0.03}}}
	for _, start := range TradeLadder() {
		r := f.Run(Left, start)
		fmt.Printf("%2.0f° from across: %4.1f %%, peak %.1f m/s\n", r.Start*180/math.Pi, 100*math.Tan(r.Gradient), r.Track.Peak.Speed)
	}
	// Output:
	// 15° from across:  2.6 %, peak 0.0 m/s
	// 30° from across:  5.0 %, peak 0.3 m/s
	// 45° from across:  7.1 %, peak 1.0 m/s
	// 60° from across:  8.6 %, peak 1.6 m/s
	// 75° from across:  9.7 %, peak 2.1 m/s
	// 90° from across: 10.0 %, peak 2.3 m/s
}

// Both ladders on both sides, with their ranges: a page asks for it on every
// change.
func BenchmarkFanAsk(b *testing.B) {
	q := FanAsk{Ask: usual(10, 0.03, 0.05), Sides: map[Side]FanSideAsk{Left: UsualFanSide(), Right: UsualFanSide()}}
	for b.Loop() {
		q.Answer()
	}
}

func BenchmarkJTurn(b *testing.B) {
	h := Hill{Slope: math.Atan(0.1), Gravity: 9.80665, Drag: 0.004}
	for b.Loop() {
		h.Slide(JTurn(Left, 3.5, 5, 0.04, 0.03), 0, 0.5)
	}
}
