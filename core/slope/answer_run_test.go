package slope

import (
	"math"
	"math/rand/v2"
	"testing"
)

func inventedRun() RunGiven {
	return RunGiven{Pieces: invented(rand.New(rand.NewPCG(1, 1))), From: "an invented run"}
}

func TestGliding(t *testing.T) {
	q := Gliding{Ask: usual(0, 0.03, 0.05), Run: inventedRun(), Speed: known(0)}
	a, r, err := q.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	if len(r.At) != 121 || get(t, a, "peak_m_s").Value != r.Peak || !(get(t, a, "peak_m_s").Low < r.Peak) {
		t.Errorf("%d places", len(r.At))
	}
	sharp := Gliding{Ask: usual(0, 0.03), Run: RunGiven{Pieces: []Piece{{Length: 100, Slope: 0.3}, {Length: 5, Slope: -0.1}, {Length: 5, Slope: 0.3}}, From: "steps"}, Speed: known(0)}
	s, _, _ := sharp.Answer()
	sound(t, s)
	if !says(s.Outside, "hollow") || !says(s.Outside, "crest") {
		t.Error(s.Outside)
	}
	flat := Gliding{Ask: usual(0, 0.03), Run: RunGiven{Pieces: []Piece{{Length: 100, Slope: 0.01}}, From: "a flat"}, Speed: known(0)}
	if f, _, _ := flat.Answer(); !says(f.Says, "does not set off") {
		t.Error(f.Says)
	}
	up := Gliding{Ask: usual(0, 0.03, 0.035), Run: RunGiven{Pieces: []Piece{{Length: 30, Slope: 0.1}, {Length: 100, Slope: -0.1}}, From: "a bowl"}, Speed: known(0)}
	u, _, _ := up.Answer()
	if !says(u.Says, "comes to rest") || !says(u.Warnings, "slides back") {
		t.Error(u.Says, u.Warnings)
	}
	some := Gliding{Ask: usual(0, 0.02, 0.09), Run: inventedRun(), Speed: known(0)}
	if a, _, _ := some.Answer(); !says(a.Says, "not so") {
		t.Error(a.Says)
	}
	q.Run = RunGiven{}
	_, _, err = q.Answer()
	refused(t, err, "no_run")
	q.Speed = known(-1)
	_, _, err = q.Answer()
	refused(t, err, "out_of_range")
}

func TestBandAsk(t *testing.T) {
	q := BandAsk{Ask: usual(0, 0.03, 0.06), Run: inventedRun(), Draws: 2000, Seed: 3, SlopeSD: 0.005, Reaction: Sourced("reaction_time"), BrakeMu: known(0.15, 0.3), WithStop: true}
	a, r, err := q.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	if s := get(t, a, "peak_m_s"); s.Value != r.Peak.P50 || s.Low != r.Peak.P10 || s.High != r.Peak.P90 {
		t.Error(s)
	}
	get(t, a, "run_out_m")
	// A posterior stands in for the range of friction.
	post, err := (Glides{WatchSD: 0.2, DragArea: Exactly(0.6), Density: 1, Mass: 80, Gravity: 9.80665, Prior: published,
		Timed: []Timed{{Slope: math.Atan(0.1), SlopeSD: 0.003, Length: 30, Times: []float64{11.2, 11.4}}}}).Friction()
	if err != nil {
		t.Fatal(err)
	}
	narrow := q
	narrow.Friction, narrow.MuChance = known(0.023, 0.139), post
	wide := narrow
	wide.MuChance = nil
	_, rn, _ := narrow.Answer()
	_, rw, _ := wide.Answer()
	if rn.Peak.P90-rn.Peak.P10 >= rw.Peak.P90-rw.Peak.P10 {
		t.Error("timed glides must narrow the band")
	}
	steep := q
	steep.RunOut = math.Atan(0.25)
	if s, _, err := steep.Answer(); err != nil || !says(s.Warnings, "never come to rest") {
		t.Error(s, err)
	}
	steep.RunOut = math.Atan(0.5)
	if s, r, err := steep.Answer(); err != nil || r.Endless != 1 || !says(s.Warnings, "100 %") {
		t.Error(s, err)
	}
	flat := q
	flat.Run = RunGiven{Pieces: []Piece{{Length: 5, Slope: 0.04}, {Length: 100, Slope: 0.1}}}
	if s, _, err := flat.Answer(); err != nil || !says(s.Says, "never set off there") {
		t.Error(s, err)
	} else {
		get(t, s, "stop_at_m")
	}
	for code, change := range map[string]func(*BandAsk){
		"no_run":          func(q *BandAsk) { q.Run.Pieces = nil },
		"out_of_range":    func(q *BandAsk) { q.Draws = 1 },
		"no_wind_in_band": func(q *BandAsk) { q.HeadWind = 1 },
		"not_a_number":    func(q *BandAsk) { q.SlopeSD = math.NaN() },
	} {
		bad := q
		change(&bad)
		_, _, err := bad.Answer()
		refused(t, err, code)
	}
}

func TestStartAsk(t *testing.T) {
	q := StartAsk{Ask: usual(10, 0.04, 0.06), Wanted: 3}
	a, err := q.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	// From that start the wanted speed comes.
	s := get(t, a, "start_m")
	c := Conditions{Gravity: 9.80665, Drag: DragOf(1, 0.6, 80)}
	if got := c.Motion(Piece{Slope: math.Atan(0.1), Friction: 0.05}).Over(0, s.Value).Speed; math.Abs(got-3) > 1e-9 {
		t.Error(got)
	}
	if got := c.Motion(Piece{Slope: math.Atan(0.1), Friction: 0.04}).Over(0, s.Low).Speed; math.Abs(got-3) > 1e-9 {
		t.Error(got)
	}
	q.Wanted = 20
	b, err := q.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, b)
	if !says(b.Says, "steady speed is lower") {
		t.Error(b.Says)
	}
	q.Wanted = 11.4 // the steady speed with friction 0.05 is 11.41 at g 9.81
	half, err := StartAsk{Ask: usual(10, 0.02, 0.06), Wanted: 11}.Answer()
	if err != nil || !says(half.Warnings, "slow end") {
		t.Error(half, err)
	}
	run := StartAsk{Ask: usual(0, 0.04), Run: inventedRun(), At: ptr(300), Wanted: 6}
	r, err := run.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, r)
	run.Wanted, run.At = 40, nil
	if far, err := run.Answer(); err != nil || !says(far.Says, "top of the run") {
		t.Error(far, err)
	}
	run.At = ptr(5000)
	_, err = run.Answer()
	refused(t, err, "out_of_range")
	_, err = StartAsk{Ask: usual(10, 0.04)}.Answer()
	refused(t, err, "out_of_range")
	_, err = StartAsk{Ask: usual(10, 0.04), Wanted: 3, At: ptr(3)}.Answer()
	refused(t, err, "no_run")
	_, err = StartAsk{Ask: usual(10, 0.04), Wanted: -3}.Answer()
	refused(t, err, "out_of_range")
	q.HeadWind = 1
	_, err = q.Answer()
	refused(t, err, "fall_line_only")
}

func snowAsk(timed ...Timed) SnowAsk {
	return SnowAsk{Snow: "all", Air: known(1), Area: known(0.5, 0.8), Glides: Glides{WatchSD: 0.2, Mass: 80, Gravity: 9.80665, Timed: timed}}
}

func TestSnowAsk(t *testing.T) {
	q := snowAsk(Timed{Slope: math.Atan(0.1), SlopeSD: 0.01, Length: 30, Times: []float64{11.2, 11.5}}, Timed{Slope: math.Atan(0.04), SlopeSD: 0.01, Length: 30, Short: 1},
		Timed{Slope: math.Atan(0.06), SlopeSD: 0.01, Length: 30, From: 4, Times: []float64{7.5}})
	a, p, err := q.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	if s := get(t, a, "friction"); s != p.Within(0.9) || s.Low < 0.02 || s.High > 0.08 {
		t.Errorf("%+v", s)
	}
	if before := get(t, a, "friction_before"); before.High < 0.13 || before.Low > 0.03 {
		t.Errorf("%+v", before)
	}
	// A very quick glide points below what was published.
	edge := snowAsk(Timed{Slope: math.Atan(0.1), SlopeSD: 0.002, Length: 30, Times: []float64{8.4}})
	if e, _, err := edge.Answer(); err != nil || !says(e.Outside, "edge of what was published") {
		t.Error(e, err)
	}
	dull := snowAsk(Timed{Slope: math.Atan(0.2), SlopeSD: 0.1, Length: 3, Times: []float64{1.9}})
	if d, _, err := dull.Answer(); err != nil || !says(d.Warnings, "taught little") {
		t.Error(d, err)
	}
	for code, change := range map[string]func(*SnowAsk){
		"no_glide":         func(q *SnowAsk) { q.Timed = nil },
		"unknown_snow":     func(q *SnowAsk) { q.Snow = "blue" },
		"out_of_range":     func(q *SnowAsk) { q.Timed[0].Times[0] = 0 },
		"not_a_number":     func(q *SnowAsk) { q.Mass = math.NaN() },
		"mixed":            func(q *SnowAsk) { q.Timed[0].Short = 1 },
		"no_friction_fits": func(q *SnowAsk) { q.Timed[0].Times[0] = 2 },
	} {
		bad := snowAsk(Timed{Slope: math.Atan(0.1), SlopeSD: 0.01, Length: 30, Times: []float64{11.2}})
		change(&bad)
		_, _, err := bad.Answer()
		refused(t, err, code)
	}
	for _, change := range []func(*SnowAsk){
		func(q *SnowAsk) { q.WatchSD = 0 },
		func(q *SnowAsk) { q.Timed[0].Length = 0 },
		func(q *SnowAsk) { q.Timed[0].SlopeSD = 3 },
		func(q *SnowAsk) { q.Timed[0].From = -3 },
		func(q *SnowAsk) { q.Timed[0].Times = make([]float64, 2000) },
		func(q *SnowAsk) { q.Timed[0].Times[0] = -1 },
	} {
		bad := snowAsk(Timed{Slope: math.Atan(0.1), SlopeSD: 0.01, Length: 30, Times: []float64{11.2}})
		change(&bad)
		_, _, err := bad.Answer()
		refused(t, err, "out_of_range")
	}
	empty := snowAsk(Timed{Slope: 0.1, Length: 3})
	_, _, err = empty.Answer()
	refused(t, err, "no_glide")
}

func TestGrading(t *testing.T) {
	a, classes, err := Grading{Along: 0.3, Start: ptr(math.Pi / 6)}.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	// FIS wiki: 30 % is 16.70 degrees.
	if v := get(t, a, "slope_deg").Value; math.Abs(v-16.70) > 0.005 || len(classes) == 0 {
		t.Error(v)
	}
	if v := get(t, a, "path_deg").Value; math.Abs(v-60) > 1e-9 {
		t.Error(v)
	}
	side, _, err := Grading{Along: 0.3, Across: -0.4, Map: ptr(0.5)}.Answer()
	if err != nil || !says(side.Says, "right") || math.Abs(get(t, side, "slope_pct").Value-50) > 1e-9 {
		t.Error(side, err)
	}
	rise, classes, err := Grading{Along: -0.1, Path: ptr(0.2)}.Answer()
	if err != nil || len(classes) != 0 || get(t, rise, "slope_pct").Value > -9.9 || get(t, rise, "path_gradient_pct").Value > -9 {
		t.Error(rise, err)
	}
	_, _, err = Grading{Along: 0.1, Path: ptr(1), Map: ptr(1)}.Answer()
	refused(t, err, "one_angle")
	_, _, err = Grading{Along: 0.1, Path: ptr(10)}.Answer()
	refused(t, err, "out_of_range")
	_, _, err = Grading{Along: math.NaN()}.Answer()
	refused(t, err, "not_a_number")
}

func TestShape(t *testing.T) {
	q := Shape{Stations: line(200, 2, 0.15), Smoothing: Usual(), Across: 0.1}
	a, p, classes, err := q.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	if math.Abs(get(t, a, "steepest_20_pct").Value-15) > 1e-6 || math.Abs(get(t, a, "fall_line_pct").Value-100*math.Hypot(0.15, 0.1)) > 1e-6 || p.Length() != 200 || len(classes) == 0 {
		t.Errorf("%+v", a.Figures)
	}
	short := Shape{Stations: []Station{{0, 0}, {15, 3}, {15, 3}}, Smoothing: Smoothing{Spacing: 5, Dense: 1}}
	s, _, _, err := short.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, s)
	for _, part := range []string{"ends higher", "made one", "not smoothed"} {
		if !says(s.Warnings, part) {
			t.Errorf("not said: %s", part)
		}
	}
	if !says(s.Outside, "shorter than the stretches") || !says(s.Outside, "double fall line") {
		t.Error(s.Outside)
	}
	if wall, _, _, err := (Shape{Stations: line(200, 2, 0.9), Smoothing: Usual()}).Answer(); err != nil || !says(wall.Outside, "same unit") {
		t.Error(wall, err)
	}
	q.Stations[50].Height += 30
	if spiky, _, _, _ := q.Answer(); !says(spiky.Warnings, "spikes or jitter") {
		t.Error(spiky.Warnings)
	}
	_, _, _, err = Shape{Smoothing: Usual()}.Answer()
	refused(t, err, "empty")
	q.Across = 1e9
	_, _, _, err = q.Answer()
	refused(t, err, "out_of_range")
}

func tethered(pct float64) Tethered {
	return Tethered{Gravity: g981, Slope: known(math.Atan(pct / 100)), StudentMass: known(80), StudentFriction: known(0.05), HandlerMass: known(75), HandlerFriction: known(0.35),
		DragArea: known(0), Density: known(1), Lines: 2, Hands: 2}
}

func TestTethered(t *testing.T) {
	q := tethered(12)
	q.Speed, q.Slack, q.Stiffness = 4, 0.5, known(5000)
	a, err := q.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, a)
	// The tether table: pair on 12 %, and half a metre of slack.
	for id, want := range map[string][2]float64{"pair_slows_m_s2": {0.7321, 5e-5}, "pair_stop_m": {10.93, 5e-3}, "stop_tension_n": {113.1, 0.05}, "shock_n": {579.6, 0.05}, "line_rating_n": {5796, 0.5}} {
		if got := get(t, a, id).Value; math.Abs(got-want[0]) > want[1] {
			t.Errorf("%s %v, want %v", id, got, want[0])
		}
	}
	for _, part := range []string{"wrapped round a hand", "Never let go"} {
		if !says(a.Cautions, part) {
			t.Errorf("not said: %s", part)
		}
	}
	if !says(a.Warnings, "grip was not measured") || !says(a.Warnings, "snatch is more than the handler's braking") || !says(a.Warnings, "hand inside a wrap") {
		t.Error(a.Warnings)
	}
	steep := tethered(25)
	steep.Sex, steep.Hands, steep.Speed = "M", 1, 3
	s, err := steep.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, s)
	if !says(s.Warnings, "gathers speed") || !says(s.Warnings, "Beyond the limit") || get(t, s, "slope_margin_pct").Value >= 0 {
		t.Error(s.Warnings)
	}
	if _, ok := s.Figure("pair_stop_m"); ok {
		t.Error("who does not stop has no stopping length")
	}
	edge := tethered(15)
	edge.HandlerFriction, edge.Grip = known(0.2, 0.5), &Known{Span: Exactly(400)}
	e, err := edge.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, e)
	if !says(e.Warnings, "At one end of the ranges") || says(e.Warnings, "grip was not measured") {
		t.Error(e.Warnings)
	}
	heavy := tethered(50)
	heavy.StudentMass, heavy.Sex, heavy.Wanted = known(120), "F", -1
	if h, err := heavy.Answer(); err != nil || !says(h.Warnings, "pulls standing") {
		t.Error(h, err)
	}
	angled := tethered(12)
	angled.Line, angled.Free, angled.Parting, angled.Stiffness = Line{0.3, 0.4}, true, 2, Sourced("line_stiffness")
	n, err := angled.Answer()
	if err != nil {
		t.Fatal(err)
	}
	sound(t, n)
	if get(t, n, "each_line_n").Value <= get(t, n, "each_line_plain_n").Value {
		t.Error("a line that lifts the student pulls harder")
	}
	up := tethered(12)
	up.Line.Up = 1.54
	up.StudentFriction = known(0.2)
	if u, err := up.Answer(); err != nil || !says(u.Says, "only lift") && !says(u.Says, "Nothing pulls") {
		t.Error(u, err)
	}
	alone := tethered(8)
	alone.HandlerMass, alone.HandlerFriction, alone.StudentFriction = Known{}, Known{}, known(0.1)
	l, err := alone.Answer()
	if err != nil || !says(l.Says, "Nothing pulls") {
		t.Error(l, err)
	}
	for code, change := range map[string]func(*Tethered){
		"out_of_range":   func(q *Tethered) { q.Lines = 3 },
		"one_slack":      func(q *Tethered) { q.Slack, q.Parting, q.Stiffness = 1, 1, known(5000) },
		"handler_needed": func(q *Tethered) { q.HandlerMass, q.Free = Known{}, true },
		"wall":           func(q *Tethered) { q.Slope = known(math.Pi / 2) },
		"not_a_number":   func(q *Tethered) { q.Wanted = math.NaN() },
	} {
		bad := tethered(12)
		change(&bad)
		_, err := bad.Answer()
		refused(t, err, code)
	}
	for _, change := range []func(*Tethered){
		func(q *Tethered) { q.Hands = 0 },
		func(q *Tethered) { q.HandlerMass = known(-3) },
		func(q *Tethered) { q.Slack, q.Stiffness = 1, known(0) },
	} {
		bad := tethered(12)
		change(&bad)
		_, err := bad.Answer()
		refused(t, err, "out_of_range")
	}
}

func TestAir(t *testing.T) {
	// The standard atmosphere at 500 m: 1.1673 kg/m³ (ICAO tables).
	if k, err := AirAt(500); err != nil || math.Abs(k.Value-1.1673) > 0.001 {
		t.Error(k, err)
	}
	_, err := AirAt(5000)
	refused(t, err, "out_of_range")
	_, err = FrictionOf("pink")
	refused(t, err, "unknown_snow")
	for _, snow := range Snows() {
		if k, err := FrictionOf(snow); err != nil || !(k.Low < k.High) || len(k.From) == 0 {
			t.Error(snow, k, err)
		}
	}
	if p, from, err := PriorOf("all"); err != nil || p != published || len(from) == 0 {
		t.Error(p, from, err)
	}
}
