package programme_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"firnhand/core/cold"
	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/lift"
	"firnhand/core/slope"
	"firnhand/programme"
)

// healthy adds somebody whose evaluation is closed and who was asked everything
// today with nothing that holds, but for what is given.
func (r *rig) healthy(findings ...string) programme.ID {
	r.t.Helper()
	s := r.person()
	var all []programme.NewFinding
	put := func(id, side, value string) {
		all = slices.DeleteFunc(all, func(n programme.NewFinding) bool { return n.Finding.Finding == id && n.Side == side })
		all = append(all, programme.NewFinding{Made: r.made(), Finding: f(id, side, "both", value)})
	}
	for _, d := range finding.All() {
		if d.Test != "gates" || d.Normal == "" || programme.FromRecord(d.ID) {
			continue
		}
		if d.Sided {
			put(d.ID, "left", d.Normal)
			put(d.ID, "right", d.Normal)
		} else {
			put(d.ID, "none", d.Normal)
		}
	}
	put("sensation", "left", "full")
	put("sensation", "right", "full")
	for _, one := range findings {
		key, value, _ := strings.Cut(one, "=")
		if id, ok := strings.CutSuffix(key, ".L"); ok {
			put(id, "left", value)
		} else {
			put(key, "none", value)
		}
	}
	if _, err := r.RecordFindings(ctx, lead, s, all); err != nil {
		r.t.Fatal(err)
	}
	e := r.ok(r.BeginEvaluation(ctx, lead, r.made(), s, programme.EvaluationBegun{Reason: "first"}))
	r.ok(r.CloseEvaluation(ctx, lead, r.made(), s, programme.EvaluationClosed{Evaluation: e, Complete: true}))
	return s
}

// onMeadow is somebody on the meadow with both sides on steps of the fan.
func onMeadow(r *rig, s programme.ID, left, right int, change ...func(*programme.SlopeDetails)) *programme.OnSlope {
	r.t.Helper()
	d := meadowSlope()
	for _, c := range change {
		c(&d)
	}
	r.ok(r.PutSlope(ctx, lead, r.made(), d))
	rec := r.at(s)
	o, err := programme.SlopeOn(decide.Standing(), rec, r.hillNow(), programme.SlopeAsk{Slope: meadow, Day: rec.Day, Now: 720, Step: map[slope.Side]int{slope.Left: left, slope.Right: right}})
	if err != nil {
		r.t.Fatal(err)
	}
	return o
}

func reasonsOf(list []programme.HillReason, weighs programme.HillVerdict) []string {
	var out []string
	for _, one := range list {
		if one.Weighs == weighs {
			out = append(out, one.Code)
		}
	}
	return out
}

// The trade's steps of terrain: a first slide under 5 % with a run-out flat or
// rising (proposed), the fan on 8 to 12 %, the novices' class to 25 % with
// short pitches of 30 % (planning classes, S39).
func TestGround(t *testing.T) {
	plane := func(pct float64, change ...func(*programme.SlopeDetails)) programme.SlopeDetails {
		d := meadowSlope()
		d.Stations[0].Height = 120 * pct / 100
		for _, c := range change {
			c(&d)
		}
		return d
	}
	runOut := func(pct *float64) func(*programme.SlopeDetails) {
		return func(d *programme.SlopeDetails) { d.RunOutPct = pct }
	}
	pitch := func(pct float64) func(*programme.SlopeDetails) { // 20 m of it in the middle of 20 %
		return func(d *programme.SlopeDetails) {
			d.Stations = []slope.Station{{Distance: 0, Height: 20 + pct/5}, {Distance: 50, Height: 10 + pct/5}, {Distance: 70, Height: 10}, {Distance: 120, Height: 0}}
		}
	}
	for name, c := range map[string]struct {
		d    programme.SlopeDetails
		want programme.Ground
	}{
		"4 % flat end":              {plane(4), programme.GroundFirst},
		"4 % rising end":            {plane(4, runOut(num(-3))), programme.GroundFirst},
		"4 % falling end":           {plane(4, runOut(num(1))), programme.GroundFan},
		"4 % end not measured":      {plane(4, runOut(nil)), programme.GroundFan},
		"5 %":                       {plane(5), programme.GroundFirst},
		"5.1 %":                     {plane(5.1), programme.GroundFan},
		"12 %":                      {plane(12), programme.GroundFan},
		"12.1 %":                    {plane(12.1), programme.GroundLift},
		"25 %":                      {plane(25), programme.GroundLift},
		"25.1 %":                    {plane(25.1), programme.GroundBeyond},
		"20 % with 30 %":            {plane(20, pitch(30)), programme.GroundLift},
		"20 % with 31 %":            {plane(20, pitch(31)), programme.GroundBeyond},
		"11 % that falls 6 % aside": {plane(11, func(d *programme.SlopeDetails) { d.AcrossPct = num(6) }), programme.GroundLift}, // 12.5 % in the true fall line
	} {
		got, err := c.d.Ground(programme.NumbersOf(nil))
		if err != nil || got != c.want {
			t.Errorf("%s: %d (%s), want %d, %v", name, got, got.Says(), c.want, err)
		}
	}
}

// What speaks against a slope, and what is open.
func TestSlopeVerdict(t *testing.T) {
	steep := func(pct float64) func(*programme.SlopeDetails) {
		return func(d *programme.SlopeDetails) { d.Stations[0].Height = 120 * pct / 100 }
	}
	long := func(d *programme.SlopeDetails) {
		d.RunOutM, d.RunOutPct, d.WidthM, d.AcrossPct = num(200), num(-8), num(60), num(0)
	}
	for name, c := range map[string]struct {
		findings    []string
		left, right int
		change      []func(*programme.SlopeDetails)
		want        programme.HillVerdict
		code        string // a reason that must be among those that weigh so
	}{
		"fan on the meadow":       {nil, 2, 2, []func(*programme.SlopeDetails){long}, programme.HillClear, ""},
		"first slide on 4 %":      {nil, 0, 0, []func(*programme.SlopeDetails){long, steep(4)}, programme.HillClear, ""},
		"run-out not measured":    {nil, 2, 2, []func(*programme.SlopeDetails){long, func(d *programme.SlopeDetails) { d.RunOutM = nil }}, programme.HillOpen, "no_run_out"},
		"width not measured":      {nil, 2, 2, []func(*programme.SlopeDetails){long, func(d *programme.SlopeDetails) { d.WidthM = nil }}, programme.HillOpen, "no_width"},
		"too narrow":              {nil, 3, 5, []func(*programme.SlopeDetails){long, func(d *programme.SlopeDetails) { d.WidthM = num(8) }}, programme.HillAgainst, "narrow"},
		"first slide, short end":  {nil, 0, 0, []func(*programme.SlopeDetails){long, func(d *programme.SlopeDetails) { d.RunOutM = num(3) }}, programme.HillAgainst, "run_out_short"},
		"20 % with the fan begun": {nil, 2, 5, []func(*programme.SlopeDetails){long, steep(20)}, programme.HillAgainst, "terrain_steep"},
		"20 % from 60 degrees":    {nil, 4, 4, []func(*programme.SlopeDetails){long, steep(20), func(d *programme.SlopeDetails) { d.WidthM = num(300) }}, programme.HillClear, ""},
		"28 %, nothing recorded":  {nil, 6, 6, []func(*programme.SlopeDetails){long, steep(28), func(d *programme.SlopeDetails) { d.WidthM = num(300) }}, programme.HillOpen, "terrain_beyond"},
		"ice today":               {[]string{"snow_today=ice"}, 2, 2, []func(*programme.SlopeDetails){long}, programme.HillAgainst, "terrain_steep"},
		"a shunt on 20 %":         {[]string{"shunt=yes"}, 4, 4, []func(*programme.SlopeDetails){long, steep(20)}, programme.HillAgainst, "blood_thinner_or_shunt_easy_slopes"},
		"the slope is given up":   {nil, 2, 2, []func(*programme.SlopeDetails){long, func(d *programme.SlopeDetails) { d.Ended = true }}, programme.HillAgainst, "ended"},
		"open skin":               {[]string{"open_skin=yes"}, 2, 2, []func(*programme.SlopeDetails){long}, programme.HillHeld, "gate_G5"},
		"today was not asked":     {[]string{"open_skin=unknown", "acute_sign=unknown"}, 2, 2, []func(*programme.SlopeDetails){long}, programme.HillOpen, "gate_G5"},
		"weight not known":        {[]string{"mass_kg=unknown"}, 2, 2, []func(*programme.SlopeDetails){long}, programme.HillOpen, "needs_mass_kg"},
	} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t)
			s := r.healthy(c.findings...)
			r.ok(r.PutDay(ctx, lead, r.made(), programme.DayDetails{Day: date("2027-01-14"), Snow: "cold", From: "seen", Hours: []programme.DayHour{{Time: "09:00", AirC: -2, WindMS: 1}}}))
			o := onMeadow(r, s, c.left, c.right, c.change...)
			if o.Verdict != c.want || c.code != "" && !slices.Contains(reasonsOf(o.Reasons, c.want), c.code) {
				t.Errorf("%s, want %s because %s: %+v", o.Verdict, c.want, c.code, o.Reasons)
			}
			if o.Verdict.Says() == "" || o.Ground.Says() == "" || o.Snow.Says() == "" {
				t.Error("something has no words")
			}
			if len(o.Needs) > 0 {
				if o.Band != nil || o.Fan != nil {
					t.Error("a speed of nobody's weight")
				}
				return
			}
			if len(o.Band.Cautions) == 0 || o.Fan != nil && len(o.Fan.Cautions) == 0 {
				t.Error("no cautions")
			}
		})
	}
}

// A longer run-out never makes it worse, a lower start never needs more
// ground, and the highest start that suffices does.
func TestRunOutOrder(t *testing.T) {
	r := newRig(t)
	s := r.healthy()
	last := -1.0
	for _, there := range []float64{0, 5, 15, 40, 80, 150} {
		o := onMeadow(r, s, 0, 0, func(d *programme.SlopeDetails) { d.RunOutM, d.RunOutPct = num(there), num(-4) })
		at := 0.0
		if o.RunOut.HasSuffices {
			at = o.RunOut.Suffices
		}
		if at < last {
			t.Errorf("%v m of run-out let start %v m above the end, less than with a shorter one (%v)", there, at, last)
		}
		last = at
		if !o.RunOut.HasSuffices || at >= 119 {
			continue
		}
		rec := r.at(s)
		for _, more := range []float64{0, 5} { // at the start named, and 5 m higher
			low, err := programme.SlopeOn(decide.Standing(), rec, r.hillNow(), programme.SlopeAsk{Slope: meadow, StartM: 120 - at - more, Day: rec.Day})
			if err != nil {
				t.Fatal(err)
			}
			fits := low.RunOut.P90 <= there && low.RunOut.Endless <= 0.1
			if fits != (more == 0) && math.Abs(low.RunOut.P90-there) > 0.05*there { // the search draws fewer
				t.Errorf("%v m: from %v m above the end it needs %v m", there, at+more, low.RunOut.P90)
			}
		}
	}
	if last < 30 {
		t.Errorf("150 m of rising run-out let start only %v m above the end", last)
	}
}

// Stops measured with the student shorten what the run-out needs; they are
// told from the glide alone.
func TestMeasuredStopsCount(t *testing.T) {
	r := newRig(t)
	s := r.healthy()
	glide := onMeadow(r, s, 2, 2)
	r.ok(r.RecordStops(ctx, instructor, r.made(), s, stopsMade()))
	braked := onMeadow(r, s, 2, 2)
	if glide.RunOut.Braked || !braked.RunOut.Braked || braked.RunOut.How != "wedge" || braked.RunOut.P90 >= glide.RunOut.P90 {
		t.Errorf("by the glide alone %+v, braking %+v", glide.RunOut, braked.RunOut)
	}
	// 12 km/h to rest over 7 m on 10 %: mu = v²/(2 g L cos θ) + tan θ without
	// drag (closed form); drag takes a little of it.
	theta := math.Atan(0.1)
	v := 12 / 3.6
	most := v*v/(2*9.80665*7*math.Cos(theta)) + math.Tan(theta)
	got := braked.Band.Inputs[slices.IndexFunc(braked.Band.Inputs, func(f slope.Figure) bool { return f.ID == "brake_friction" })]
	if got.Low > most || got.High < most-0.02 {
		t.Errorf("braking friction %+v, by hand at most %v", got.Span, most)
	}
}

// The friction of today is that of the engine on the same glides; without any
// it is the published range of the day's snow; glides that nothing explains
// are told and do not count.
func TestSnowToday(t *testing.T) {
	r := newRig(t)
	r.hill("")
	s, _ := r.hillNow().SlopeByID(meadow)
	day := date("2027-01-14")
	snow := func() programme.SnowToday {
		t.Helper()
		got, err := programme.SnowOn(r.hillNow(), day, s)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	if got := snow(); got.Kind != "all" || got.Friction.Low != 0.023 || got.Friction.High != 0.139 || got.Chance != nil || !strings.Contains(got.Says(), "published range of all snow") {
		t.Errorf("nothing known: %+v", got)
	}
	r.ok(r.PutDay(ctx, lead, r.made(), hillDay()))
	if got := snow(); got.Kind != "cold" || got.Friction.Low != 0.03 || got.Friction.High != 0.06 {
		t.Errorf("cold snow: %+v", got.Friction)
	}
	r.ok(r.RecordGlides(ctx, lead, r.made(), glided()))
	got := snow()
	ask := slope.SnowAsk{Snow: "cold", Area: slope.Upright(), Glides: slope.Glides{Gravity: 9.80665, Mass: 80, WatchSD: 0.2,
		Timed: []slope.Timed{{Slope: math.Atan(0.1), SlopeSD: 0.005 / 1.01, Length: 30, Times: []float64{10.9, 11.2}}}}}
	var err error
	if ask.Air, err = slope.AirAt(1000); err != nil {
		t.Fatal(err)
	}
	_, want, err := ask.Answer()
	if err != nil {
		t.Fatal(err)
	}
	if low, high := want.Interval(0.9); math.Abs(got.Friction.Low-low) > 1e-9 || math.Abs(got.Friction.High-high) > 1e-9 || got.Timed != 2 || got.Elsewhere {
		t.Errorf("timed: %+v, want %v to %v", got.Friction, low, high)
	}
	// The same glides on another slope count too, and say so.
	other := s
	other.Slope = chair
	if on, err := programme.SnowOn(r.hillNow(), day, other); err != nil || !on.Elsewhere || on.Friction.Value != got.Friction.Value || !strings.Contains(on.Says(), "another slope") {
		t.Errorf("elsewhere: %+v, %v", on, err)
	}
	if on, err := programme.SnowOn(r.hillNow(), date("2027-01-13"), s); err != nil || on.Answer != nil {
		t.Errorf("the day before: %+v, %v", on, err)
	}
	odd := glided()
	odd.TimesS = []float64{2} // 30 m from rest in 2 s is no glide on 10 %
	r.ok(r.RecordGlides(ctx, lead, r.made(), odd))
	if got := snow(); got.Problem == "" || got.Answer != nil || got.Friction.High != 0.06 {
		t.Errorf("an impossible glide: %+v", got)
	}
}

// The cold of a day: the chart's own cells come through, with the stops of the
// programme. Environment Canada's chart: -20 °C and 30 km/h are -33, -10 °C and
// 10 km/h are -15; lessons stop at -27, with less feeling at -15 (S38, P).
func TestColdDay(t *testing.T) {
	r := newRig(t)
	s := r.healthy()
	numb := r.healthy("sensation.L=none")
	d := meadowSlope()
	d.TopM = num(1700)
	r.ok(r.PutSlope(ctx, lead, r.made(), d))
	r.ok(r.PutLift(ctx, lead, r.made(), twoChair()))
	day := programme.DayDetails{Day: date("2027-01-14"), Snow: "cold", From: "forecast", Hours: []programme.DayHour{
		{Time: "09:00", AirC: -20, WindMS: 30 / 3.6}, {Time: "12:00", AirC: -10, WindMS: 10 / 3.6}, {Time: "15:00", AirC: 12, WindMS: 2}}}
	r.ok(r.PutDay(ctx, lead, r.made(), day))
	on := func(who programme.ID, q programme.ColdAsk) *programme.ColdDay {
		t.Helper()
		q.Day = date("2027-01-14")
		c, err := programme.ColdOn(decide.Standing(), r.at(who), r.hillNow(), q)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	c := on(s, programme.ColdAsk{Now: 12*60 + 5})
	if !c.Known || c.Feel != cold.Full || len(c.Hours) != 3 {
		t.Fatalf("%+v", c)
	}
	for i, want := range []float64{-33, -15, 12} {
		if got := c.Hours[i].Watch.Freezing.Chill.Printed(); got != want {
			t.Errorf("%s: wind chill %v, want %v", c.Hours[i].Time, got, want)
		}
	}
	if !c.Hours[0].Watch.Stop || c.Hours[1].Watch.Stop || c.Hours[2].Watch.Stop || !c.Hours[1].Now {
		t.Errorf("stops %v %v %v", c.Hours[0].Watch.Stop, c.Hours[1].Watch.Stop, c.Hours[2].Watch.Stop)
	}
	if less := on(numb, programme.ColdAsk{Now: 720}); !less.Hours[1].Watch.Stop || !less.Hours[1].Watch.Timed || less.Feel != cold.Missing {
		t.Errorf("a foot without feeling: %+v", less.Hours[1].Watch)
	}
	// Skiing at 15 km/h in calm feels like 15.3 km/h of wind (derived in the
	// published formula's own terms); a chair of 2 m/s adds less than that.
	if fast := on(s, programme.ColdAsk{OwnMS: 15 / 3.6}); math.Abs(fast.Hours[1].FeltMS-(10/3.6+10.2/0.667/3.6)) > 1e-9 {
		t.Errorf("felt %v m/s", fast.Hours[1].FeltMS)
	}
	if ride := on(s, programme.ColdAsk{Lift: chair}); ride.ChairM != 2 || ride.Hours[1].FeltMS <= c.Hours[1].FeltMS {
		t.Errorf("on the chair: %+v", ride.Hours[1])
	}
	// From a valley of 700 m to the top at 1700 m: 6.5 degrees.
	day.PlaceM = num(700)
	r.ok(r.PutDay(ctx, lead, r.made(), day))
	if high := on(s, programme.ColdAsk{Slope: meadow}); math.Abs(high.Hours[1].AirHereC+16.5) > 1e-9 || len(high.Notes) == 0 {
		t.Errorf("at the top: %+v", high.Hours[1])
	}
	if none, err := programme.ColdOn(decide.Standing(), r.at(s), r.hillNow(), programme.ColdAsk{Day: date("2027-01-20")}); err != nil || none.Known {
		t.Errorf("another day: %+v, %v", none, err)
	}
}

// A student at the chair. By hand: 3 m in 5.2 s on the mean, 2 to 3 m to go,
// and 2 s to settle need 2.5/(3/5.2) + 2 = 6.33 s; the chair leaves 8 s less
// 1.5 m at 2 m/s.
func TestLiftOn(t *testing.T) {
	r := newRig(t)
	s := r.healthy()
	r.hill(s)
	at := func() *programme.OnLift {
		t.Helper()
		o, err := programme.LiftOn(decide.Standing(), r.at(s), r.hillNow(), chair)
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
	o := at()
	if o.Timed || o.Verdict != programme.HillOpen || !slices.Contains(reasonsOf(o.Reasons, programme.HillOpen), "not_timed") {
		t.Fatalf("nobody timed: %s %+v", o.Verdict, o.Reasons)
	}
	r.ok(r.RecordLiftTimes(ctx, instructor, r.made(), s, pushes()))
	o = at()
	if math.Abs(float64(o.Load.Need.Value())-6.3333) > 0.001 || math.Abs(float64(o.Load.Gap.Value())-7.25) > 1e-9 || o.Verdict != programme.HillAgainst || o.Load.Verdict != lift.Tight {
		t.Errorf("needs %v of %v: %s, %+v", o.Load.Need, o.Load.Gap, o.Verdict, o.Reasons)
	}
	// At the slow end: 3 m at 3/5.6 m/s and 2 s are 7.6 s, and 2 s of reserve;
	// 16 m less a carrier of 2 m over that.
	if want := math.Floor(10*14/(5.6+2+2)) / 10; !o.HasLimit || math.Abs(float64(o.Limit)-want) > 1e-9 {
		t.Errorf("the speed to name is %v, want %v", o.Limit, want)
	}
	if o.Rider.Harness != lift.Yes || len(o.Taken) == 0 || len(o.Ask.Asked) == 0 || !strings.Contains(o.Ask.Asked[0].Say, "1.4 m/s or less") {
		t.Errorf("asked: %+v, taken %v", o.Ask.Asked, o.Taken)
	}
	// A slower chair leaves time enough; one that cannot run so slowly is told.
	slow := twoChair()
	slow.SpeedMS, slow.Interval = num(1.2), num(16/1.2)
	r.ok(r.PutLift(ctx, lead, r.made(), slow))
	if o = at(); o.Verdict != programme.HillClear || o.Load.Verdict != lift.Reached {
		t.Errorf("at 1.2 m/s: %s %+v", o.Verdict, o.Reasons)
	}
	fast := twoChair()
	fast.SlowestMS = num(1.6)
	r.ok(r.PutLift(ctx, lead, r.made(), fast))
	if o = at(); !slices.Contains(reasonsOf(o.Reasons, programme.HillAgainst), "cannot_slow") {
		t.Errorf("no slower than 1.6 m/s: %+v", o.Reasons)
	}
	// The unload counts where it was timed: 10 m in 16 s and 3 s to stand.
	full := pushes()
	full.PushS, full.SettleS, full.StandS, full.ClearS = []float64{1}, nil, []float64{3}, []float64{16}
	r.ok(r.RecordLiftTimes(ctx, instructor, r.made(), s, full))
	zone := twoChair()
	zone.ZoneM = []float64{3}
	r.ok(r.PutLift(ctx, lead, r.made(), zone))
	o = at()
	if o.Unload == nil || o.Unload.Verdict != lift.NotReached || o.Stand == nil || o.Stand.Verdict != lift.NotReached || o.Verdict != programme.HillAgainst {
		t.Errorf("unload %+v, stand %+v: %s", o.Unload, o.Stand, o.Verdict)
	}
	if want := math.Floor(10*14.0/(16+3+2)) / 10; math.Abs(float64(o.Limit)-want) > 1e-9 {
		t.Errorf("the unload asks for %v, want %v", o.Limit, want)
	}
	// Who could not be lowered does not ride, whatever was timed.
	r.find(s, "can_be_lowered", "none", "both", "no")
	if o = at(); o.Verdict != programme.HillHeld || !strings.Contains(o.Says(), "No lift") {
		t.Errorf("cannot be lowered: %s", o.Verdict)
	}
}

// Effort: this student's own walk and what a clinic measured go in; the rest
// is Murrell's rule, never above his limit. By hand: 3.5 mL/(kg min) and 5 kcal
// a litre, at 30 % of 22 mL/(kg min) for 64 kg, are 2.11 kcal a minute.
func TestEffortOn(t *testing.T) {
	r := newRig(t)
	s := r.healthy()
	r.hill(s)
	on := func() *programme.OnEffort {
		t.Helper()
		o, err := programme.EffortOn(decide.Standing(), r.at(s), r.hillNow(), meadow)
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
	bare := on()
	if bare.HasMult || bare.Capacity != nil || math.Abs(bare.Standard.Limit.KilocaloriesPerMinute()-5) > 1e-9 || len(bare.Lines) != 4 || bare.EnduranceMin != 30 || bare.BlockMin != 24 {
		t.Fatalf("nothing measured: %+v", bare)
	}
	r.ok(r.RecordEffort(ctx, instructor, r.made(), s, walked()))
	o := on()
	if !o.HasMult || !o.Measured || o.Capacity == nil || math.Abs(o.Standard.Limit.KilocaloriesPerMinute()-0.3*22*64*5/1000) > 1e-9 {
		t.Fatalf("the standard is %v kcal a minute", o.Standard.Limit.KilocaloriesPerMinute())
	}
	for i, l := range o.Lines {
		before := bare.Lines[i]
		if !l.Rate.Known || l.Power.Value() < before.Power.Value() || l.Rest < before.Rest || l.Share == nil || before.Share != nil || l.RestHigh < l.Rest {
			t.Errorf("%s: %v W against %v W, rest %v against %v", l.Words, l.Power.Value(), before.Power.Value(), l.Rest, before.Rest)
		}
		want := 10 * (l.Power.Value().KilocaloriesPerMinute() - o.Standard.Limit.KilocaloriesPerMinute()) / (l.Power.Value().KilocaloriesPerMinute() - o.Standard.Resting.KilocaloriesPerMinute())
		if math.Abs(l.Rest.Minutes()-max(want, 0)) > 1e-9 {
			t.Errorf("%s: rest %v min, by the rule %v", l.Words, l.Rest.Minutes(), want)
		}
	}
	// Pushes that were timed set the speed on the flat.
	r.ok(r.RecordLiftTimes(ctx, instructor, r.made(), s, pushes()))
	if o = on(); !strings.Contains(o.Lines[0].Words, "0.58 m/s") {
		t.Errorf("on the flat: %s", o.Lines[0].Words)
	}
	// A tie leaves no side steps (X1).
	r.find(s, "natural_boot_gap_mm", "none", "both", "60")
	r.find(s, "scissor", "none", "both", "at_rest")
	if o = on(); slices.ContainsFunc(o.Lines, func(l programme.EffortLine) bool { return l.Code == "side_steps" && l.Done }) {
		t.Errorf("side steps with a tie: %+v", o.Lines)
	}
	r.find(s, "mass_kg", "none", "both", "unknown")
	if o = on(); len(o.Lines) != 0 || len(o.Needs) != 1 {
		t.Errorf("nobody's weight: %+v", o)
	}
}

// Reins and the start for a wanted speed are those of the engine, with its
// cautions.
func TestReinsOnASlope(t *testing.T) {
	r := newRig(t)
	s := r.healthy()
	o := onMeadow(r, s, 2, 2)
	a, err := o.Reins(programme.Handler{MassKG: 75, Mu: slope.Between(0.25, 0.35), Lines: 2, SlackM: 0.4})
	if err != nil {
		t.Fatal(err)
	}
	limit, _ := a.Figure("limit_slope_pct")
	mean := 100 * (o.Mass.Value*o.Snow.Friction.Value + 75*0.3) / (o.Mass.Value + 75) // tan θ of the pair
	if math.Abs(limit.Value-mean) > 1e-9 || len(a.Cautions) < 5 {
		t.Errorf("the pair's limit is %v %%, by hand %v; %d cautions", limit.Value, mean, len(a.Cautions))
	}
	if _, ok := a.Figure("shock_n"); !ok {
		t.Error("the slack gives no shock")
	}
	start, err := o.StartFor(8)
	if err != nil {
		t.Fatal(err)
	}
	if f, ok := start.Figure("start_m"); !ok || f.Value <= 0 || f.Low > f.High {
		t.Errorf("the start for 8 km/h: %+v", start.Figures)
	}
	if _, err := o.Reins(programme.Handler{MassKG: -1, Mu: slope.Exactly(0.3), Lines: 1}); programme.CodeOf(err) != programme.CodeInvalid {
		t.Errorf("a handler of -1 kg: %v", err)
	}
}
