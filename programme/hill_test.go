package programme_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"firnhand/core/lift"
	"firnhand/core/slope"
	"firnhand/programme"
)

// The uses of a hill go through the same trials as those of gear: who may, a
// second try, and each call of the store failing in turn. Who may do what is
// the trade's habit: who teaches measures and plans, the office keeps the
// forecast (common practice, no source).
func init() { gearWrites = append(gearWrites, hillWrites...) }

type (
	actor1  = programme.Actor
	made1   = programme.Made
	id1     = programme.ID
	receipt = programme.Receipt
)

var (
	meadow = programme.ID("0190a5d0-ac96-774b-8cce-b30209900a01")
	chair  = programme.ID("0190a5d0-ac96-774b-8cce-b30209900b01")
)

// meadowSlope falls 12 m over 120 m and ends on 30 m of flat.
func meadowSlope() programme.SlopeDetails {
	return programme.SlopeDetails{Slope: meadow, Name: "Meadow", Drawn: true, From: "drawn by hand", ErrorPct: 0.5,
		Stations: []slope.Station{{Distance: 0, Height: 12}, {Distance: 120, Height: 0}}, WidthM: num(30), RunOutM: num(30), RunOutPct: num(0)}
}

func twoChair() programme.LiftDetails {
	return programme.LiftDetails{Lift: chair, Name: "Old chair", What: lift.FixedChair, SpeedMS: num(2), Interval: num(8), Seats: 2, WaitM: []float64{2, 3}, Measured: date("2027-01-10")}
}

func hillDay() programme.DayDetails {
	return programme.DayDetails{Day: date("2027-01-14"), Snow: "cold", From: "forecast of the evening before",
		Hours: []programme.DayHour{{Time: "09:00", AirC: -12, WindMS: 2}, {Time: "12:30", AirC: -6, WindMS: 5}}}
}

func glided() programme.TimedGlides {
	return programme.TimedGlides{Day: date("2027-01-14"), Slope: meadow, LengthM: 30, Pct: 10, PctSD: 0.5, MassKG: 80, WatchSD: 0.2, TimesS: []float64{10.9, 11.2}}
}

func pushes() programme.LiftTimes {
	return programme.LiftTimes{Lift: chair, Day: date("2027-01-14"), PushM: 3, PushS: []float64{4.8, 5.6}, SettleS: []float64{2}, Harness: lift.Yes}
}

func stopsMade() programme.MeasuredStops {
	return programme.MeasuredStops{Day: date("2027-01-14"), Slope: meadow, Pct: 10, How: "wedge", Trials: []programme.StopMeasure{{SpeedKmh: 12, LengthM: 7}, {SpeedKmh: 11, TimeS: 3}}}
}

// hill puts slope and lift there.
func (r *rig) hill(programme.ID) programme.ID {
	r.t.Helper()
	r.ok(r.PutSlope(ctx, lead, r.made(), meadowSlope()))
	r.ok(r.PutLift(ctx, lead, r.made(), twoChair()))
	return ""
}

// glidesThere puts glides there too.
func (r *rig) glidesThere(s programme.ID) programme.ID {
	r.t.Helper()
	r.hill(s)
	return r.ok(r.RecordGlides(ctx, lead, r.made(), glided()))
}

var hillWrites = []gearWrite{
	{"PutSlope", "il", instructor, (*rig).none, func(r *rig, a actor1, m made1, _, _ id1) (receipt, error) {
		return r.PutSlope(ctx, a, m, meadowSlope())
	}, func(r *rig, a actor1, m made1, _, _ id1) (receipt, error) {
		d := meadowSlope()
		d.WidthM = nil
		return r.PutSlope(ctx, a, m, d)
	}},
	{"PutLift", "il", lead, (*rig).none, func(r *rig, a actor1, m made1, _, _ id1) (receipt, error) {
		return r.PutLift(ctx, a, m, twoChair())
	}, func(r *rig, a actor1, m made1, _, _ id1) (receipt, error) {
		d := twoChair()
		d.Bar = lift.Yes
		return r.PutLift(ctx, a, m, d)
	}},
	{"PutDay", "ils", scheduler, (*rig).none, func(r *rig, a actor1, m made1, _, _ id1) (receipt, error) {
		return r.PutDay(ctx, a, m, hillDay())
	}, func(r *rig, a actor1, m made1, _, _ id1) (receipt, error) {
		d := hillDay()
		d.Snow = "wet"
		return r.PutDay(ctx, a, m, d)
	}},
	{"RecordGlides", "ils", instructor, (*rig).hill, func(r *rig, a actor1, m made1, _, _ id1) (receipt, error) {
		return r.RecordGlides(ctx, a, m, glided())
	}, func(r *rig, a actor1, m made1, _, _ id1) (receipt, error) {
		g := glided()
		g.TimesS = g.TimesS[:1]
		return r.RecordGlides(ctx, a, m, g)
	}},
	{"CorrectGlides", "ils", instructor, (*rig).glidesThere, func(r *rig, a actor1, m made1, _, on id1) (receipt, error) {
		return r.CorrectGlides(ctx, a, m, on, glided())
	}, nil},
	{"RetractGlides", "ils", instructor, (*rig).glidesThere, func(r *rig, a actor1, m made1, _, on id1) (receipt, error) {
		return r.RetractGlides(ctx, a, m, on, programme.Retraction{Reason: "slipped"})
	}, nil},
	{"ChooseHill", "il", instructor, (*rig).hill, func(r *rig, a actor1, m made1, s, _ id1) (receipt, error) {
		return r.ChooseHill(ctx, a, m, s, programme.HillChoice{Slope: meadow, Lift: chair, StepLeft: 3, StepRight: 5})
	}, func(r *rig, a actor1, m made1, s, _ id1) (receipt, error) {
		return r.ChooseHill(ctx, a, m, s, programme.HillChoice{Slope: meadow})
	}},
	{"RecordLiftTimes", "il", instructor, (*rig).hill, func(r *rig, a actor1, m made1, s, _ id1) (receipt, error) {
		return r.RecordLiftTimes(ctx, a, m, s, pushes())
	}, func(r *rig, a actor1, m made1, s, _ id1) (receipt, error) {
		p := pushes()
		p.PushS = p.PushS[:1]
		return r.RecordLiftTimes(ctx, a, m, s, p)
	}},
	{"RecordStops", "il", instructor, (*rig).hill, func(r *rig, a actor1, m made1, s, _ id1) (receipt, error) {
		return r.RecordStops(ctx, a, m, s, stopsMade())
	}, func(r *rig, a actor1, m made1, s, _ id1) (receipt, error) {
		st := stopsMade()
		st.How = "side"
		return r.RecordStops(ctx, a, m, s, st)
	}},
	{"RecordEffort", "il", instructor, (*rig).none, func(r *rig, a actor1, m made1, s, _ id1) (receipt, error) {
		return r.RecordEffort(ctx, a, m, s, walked())
	}, func(r *rig, a actor1, m made1, s, _ id1) (receipt, error) {
		e := walked()
		e.WalkM = 200
		return r.RecordEffort(ctx, a, m, s, e)
	}},
}

func walked() programme.EffortBasis {
	return programme.EffortBasis{Day: date("2027-01-14"), WalkM: 180, WalkS: 360, CapacityML: []float64{22, 25, 28}}
}

func (r *rig) hillNow(at ...programme.AsOf) programme.Hill {
	r.t.Helper()
	var when programme.AsOf
	if len(at) > 0 {
		when = at[0]
	}
	h, err := r.HillAt(ctx, lead, when)
	if err != nil {
		r.t.Fatal(err)
	}
	return h
}

// A slope, a lift and a day are changed by saying them anew; the hill of an
// earlier moment stays as it was.
func TestHillStands(t *testing.T) {
	r := newRig(t)
	if h := r.hillNow(); len(h.Slopes)+len(h.Lifts)+len(h.Days)+len(h.Glides) != 0 || h.UpTo != 0 {
		t.Fatalf("an empty hill: %+v", h)
	}
	r.hill("")
	r.ok(r.PutDay(ctx, scheduler, r.made(), hillDay()))
	before := r.clock.Now()
	r.clock.Advance(time.Minute)
	d := meadowSlope()
	d.Name, d.WidthM = "Low meadow", num(25)
	changed := r.ok(r.PutSlope(ctx, lead, r.made(), d))
	l := twoChair()
	l.Ended = true
	r.ok(r.PutLift(ctx, lead, r.made(), l))
	day := hillDay()
	day.Hours = day.Hours[:1]
	r.ok(r.PutDay(ctx, instructor, r.made(), day))

	h := r.hillNow()
	s, ok := h.SlopeByID(meadow)
	if !ok || len(h.Slopes) != 1 || s.Name != "Low meadow" || *s.WidthM != 25 || s.Fact != changed || s.By != lead.Staff {
		t.Fatalf("the slope now: %+v", s)
	}
	if _, lifts := h.InUse(); len(lifts) != 0 || len(h.Lifts) != 1 {
		t.Fatalf("lifts in use: %+v", lifts)
	}
	if got, _ := h.DayOf(date("2027-01-14")); len(got.Hours) != 1 || got.By != instructor.Staff {
		t.Fatalf("the day now: %+v", got)
	}
	old := r.hillNow(programme.AsOf{Time: before})
	if s, _ := old.SlopeByID(meadow); s.Name != "Meadow" || len(old.Days[0].Hours) != 2 || old.Lifts[0].Ended {
		t.Fatalf("the hill of before: %+v", old)
	}
	if old2 := r.hillNow(programme.AsOf{Seq: h.UpTo - 3}); old2.Slopes[0].Name != "Meadow" {
		t.Fatal("the hill up to a sequence is not that of then")
	}
}

func TestGlidesAreCorrectedAndTakenBack(t *testing.T) {
	r := newRig(t)
	first := r.glidesThere("")
	better := glided()
	better.TimesS = []float64{11.1}
	second := r.ok(r.CorrectGlides(ctx, scheduler, r.made(), first, better))
	g := r.hillNow().GlidesOn(date("2027-01-14"), meadow)
	if len(g) != 1 || g[0].Fact != second || g[0].First != first || len(g[0].TimesS) != 1 || !g[0].Corrected() {
		t.Fatalf("corrected: %+v", g)
	}
	other := glided()
	other.Day = date("2027-01-13")
	r.ok(r.RecordGlides(ctx, lead, r.made(), other))
	if all := r.hillNow(); len(all.Glides) != 2 || len(all.GlidesOn(date("2027-01-14"), "")) != 1 || len(all.GlidesOn(date("2027-01-14"), chair)) != 0 {
		t.Fatalf("glides of two days: %+v", all.Glides)
	}
	r.ok(r.RetractGlides(ctx, instructor, r.made(), second, programme.Retraction{Reason: "pushed off"}))
	if left := r.hillNow().GlidesOn(date("2027-01-14"), ""); len(left) != 0 {
		t.Fatalf("taken back, but there: %+v", left)
	}
	n := r.count()
	_, err := r.RetractGlides(ctx, instructor, r.made(), second, programme.Retraction{Reason: "again"})
	r.refused(n, err, programme.CodeNotFound, "no such glides")
	_, err = r.CorrectGlides(ctx, instructor, r.made(), first, glided())
	r.refused(n, err, programme.CodeNotFound, "no such glides")
}

// What a student's record says about the hill, and what is taken out of it.
func TestStudentOnTheHill(t *testing.T) {
	r := newRig(t)
	s := r.student()
	r.hill(s)
	if _, ok := r.at(s).Hill.Choice(); ok {
		t.Fatal("a choice nobody made")
	}
	r.ok(r.ChooseHill(ctx, instructor, r.made(), s, programme.HillChoice{Slope: meadow, StepLeft: 2, StepRight: 4}))
	r.ok(r.ChooseHill(ctx, instructor, r.made(), s, programme.HillChoice{Slope: meadow, Lift: chair, StepLeft: 3, StepRight: 5, StartM: 40}))
	times := r.ok(r.RecordLiftTimes(ctx, instructor, r.made(), s, pushes()))
	again := pushes()
	again.PushS = []float64{4.1}
	newer := r.ok(r.RecordLiftTimes(ctx, lead, r.made(), s, again))
	r.ok(r.RecordStops(ctx, instructor, r.made(), s, stopsMade()))
	rec := r.at(s)
	c, ok := rec.Hill.Choice()
	if !ok || c.Step(slope.Left) != 3 || c.Step(slope.Right) != 5 || c.Lift != chair || c.StartM != 40 || rec.Unread != 0 {
		t.Fatalf("the choice: %+v, %d unread", c, rec.Unread)
	}
	if got, ok := rec.Hill.TimesAt(chair); !ok || got.Fact != newer || got.Harness != lift.Yes {
		t.Fatalf("the times: %+v", got)
	}
	r.ok(r.Retract(ctx, instructor, r.made(), s, newer, programme.Retraction{Reason: "watch stuck"}))
	if got, _ := r.at(s).Hill.TimesAt(chair); got.Fact != times {
		t.Fatalf("the times after a retraction: %+v", got)
	}
	n := r.count()
	_, err := r.Retract(ctx, equipment, r.made(), s, times, programme.Retraction{Reason: "x"})
	r.refused(n, err, programme.CodeNotAllowed, "choosing a student's slope")
	// Who may not read the work reads none of it.
	got, err := r.StudentAt(ctx, scheduler, s, programme.AsOf{})
	if err != nil || len(got.Hill.Choices)+len(got.Hill.LiftTimes)+len(got.Hill.Stops) != 0 {
		t.Fatalf("the office sees %+v, %v", got.Hill, err)
	}
	if _, err := r.HillAt(ctx, programme.Actor{}, programme.AsOf{}); programme.CodeOf(err) != programme.CodeSignedOut {
		t.Fatalf("nobody sees the hill: %v", err)
	}
}

// What cannot be right is refused in a sentence, and nothing is written.
func TestHillRefuses(t *testing.T) {
	slopeWith := func(change func(*programme.SlopeDetails)) func(*rig, id1) error {
		return func(r *rig, _ id1) error {
			d := meadowSlope()
			d.Slope = "0190a5d0-ac96-774b-8cce-b30209900a02"
			d.Name = "Another"
			change(&d)
			_, err := r.PutSlope(ctx, lead, r.made(), d)
			return err
		}
	}
	liftWith := func(change func(*programme.LiftDetails)) func(*rig, id1) error {
		return func(r *rig, _ id1) error {
			d := twoChair()
			change(&d)
			_, err := r.PutLift(ctx, lead, r.made(), d)
			return err
		}
	}
	dayWith := func(change func(*programme.DayDetails)) func(*rig, id1) error {
		return func(r *rig, _ id1) error {
			d := hillDay()
			change(&d)
			_, err := r.PutDay(ctx, lead, r.made(), d)
			return err
		}
	}
	glidesWith := func(change func(*programme.TimedGlides)) func(*rig, id1) error {
		return func(r *rig, _ id1) error {
			g := glided()
			change(&g)
			_, err := r.RecordGlides(ctx, lead, r.made(), g)
			return err
		}
	}
	choose := func(c programme.HillChoice) func(*rig, id1) error {
		return func(r *rig, s id1) error { _, err := r.ChooseHill(ctx, lead, r.made(), s, c); return err }
	}
	timesWith := func(change func(*programme.LiftTimes)) func(*rig, id1) error {
		return func(r *rig, s id1) error {
			p := pushes()
			change(&p)
			_, err := r.RecordLiftTimes(ctx, lead, r.made(), s, p)
			return err
		}
	}
	effortWith := func(change func(*programme.EffortBasis)) func(*rig, id1) error {
		return func(r *rig, s id1) error {
			e := walked()
			change(&e)
			_, err := r.RecordEffort(ctx, lead, r.made(), s, e)
			return err
		}
	}
	stopsWith := func(change func(*programme.MeasuredStops)) func(*rig, id1) error {
		return func(r *rig, s id1) error {
			p := stopsMade()
			change(&p)
			_, err := r.RecordStops(ctx, lead, r.made(), s, p)
			return err
		}
	}
	nowhere := programme.ID("0190a5d0-ac96-774b-8cce-b3020990ffff")
	for name, c := range map[string]struct {
		do    func(*rig, id1) error
		code  programme.Code
		words string
	}{
		"no points":            {slopeWith(func(d *programme.SlopeDetails) { d.Stations = nil }), programme.CodeInvalid, "at least two points"},
		"one point":            {slopeWith(func(d *programme.SlopeDetails) { d.Stations = d.Stations[:1] }), programme.CodeInvalid, "at least two points"},
		"too many points":      {slopeWith(func(d *programme.SlopeDetails) { d.Stations = make([]slope.Station, 1001) }), programme.CodeInvalid, "at most 1000"},
		"unsorted":             {slopeWith(func(d *programme.SlopeDetails) { slices.Reverse(d.Stations) }), programme.CodeInvalid, "must rise from the top"},
		"uphill":               {slopeWith(func(d *programme.SlopeDetails) { d.Stations[1].Height = 40 }), programme.CodeInvalid, "does not fall"},
		"kilometres":           {slopeWith(func(d *programme.SlopeDetails) { d.Stations[1].Distance = 0.12 }), programme.CodeInvalid, "in kilometres"},
		"a wall":               {slopeWith(func(d *programme.SlopeDetails) { d.Stations[0].Height = 400 }), programme.CodeInvalid, "a wall"},
		"not a number":         {slopeWith(func(d *programme.SlopeDetails) { d.Stations[0].Height = math.NaN() }), programme.CodeInvalid, "Point 1"},
		"begins elsewhere":     {slopeWith(func(d *programme.SlopeDetails) { d.Stations[0].Distance = 10 }), programme.CodeInvalid, "the first is 0"},
		"no name":              {slopeWith(func(d *programme.SlopeDetails) { d.Name = " " }), programme.CodeInvalid, "The name of the slope is missing"},
		"same name":            {slopeWith(func(d *programme.SlopeDetails) { d.Name = "meadow" }), programme.CodeConflict, "There is a slope called meadow already"},
		"width in cm":          {slopeWith(func(d *programme.SlopeDetails) { d.WidthM = num(3000) }), programme.CodeInvalid, "The width must be above 0 and at most 1000 m"},
		"run-out below zero":   {slopeWith(func(d *programme.SlopeDetails) { d.RunOutM = num(-1) }), programme.CodeInvalid, "The length of the run-out"},
		"kind":                 {liftWith(func(d *programme.LiftDetails) { d.What = "rope" }), programme.CodeInvalid, "A lift is one of"},
		"bar":                  {liftWith(func(d *programme.LiftDetails) { d.Bar = "maybe" }), programme.CodeInvalid, "is yes, no or unknown"},
		"no interval":          {liftWith(func(d *programme.LiftDetails) { d.Interval = nil }), programme.CodeInvalid, "Give the interval"},
		"contradiction":        {liftWith(func(d *programme.LiftDetails) { d.SpacingM = num(30) }), programme.CodeInvalid, "one of the three is wrong"},
		"speed":                {liftWith(func(d *programme.LiftDetails) { d.SpeedMS = num(0) }), programme.CodeInvalid, "The speed of the lift must be above 0"},
		"slowest":              {liftWith(func(d *programme.LiftDetails) { d.SlowestMS = num(3) }), programme.CodeInvalid, "lies above the usual one"},
		"measured tomorrow":    {liftWith(func(d *programme.LiftDetails) { d.Measured = date("2027-01-15") }), programme.CodeInvalid, "in the future"},
		"not measured":         {liftWith(func(d *programme.LiftDetails) { d.Measured = programme.Date{} }), programme.CodeInvalid, "was measured is missing"},
		"snow":                 {dayWith(func(d *programme.DayDetails) { d.Snow = "blue" }), programme.CodeInvalid, "The snow is one of"},
		"no day":               {dayWith(func(d *programme.DayDetails) { d.Day = programme.Date{} }), programme.CodeInvalid, "The day is missing"},
		"order of hours":       {dayWith(func(d *programme.DayDetails) { slices.Reverse(d.Hours) }), programme.CodeInvalid, "does not come after"},
		"no time":              {dayWith(func(d *programme.DayDetails) { d.Hours[0].Time = "24:10" }), programme.CodeInvalid, "is not a time of the day"},
		"air in kelvin":        {dayWith(func(d *programme.DayDetails) { d.Hours[0].AirC = 263 }), programme.CodeInvalid, "The air temperature at 09:00"},
		"from nowhere":         {dayWith(func(d *programme.DayDetails) { d.From = "" }), programme.CodeInvalid, "Where the forecast is from is missing"},
		"both ends":            {glidesWith(func(g *programme.TimedGlides) { g.Short = 1 }), programme.CodeInvalid, "which one friction does not do"},
		"no glide":             {glidesWith(func(g *programme.TimedGlides) { g.TimesS = nil }), programme.CodeInvalid, "no glide to record"},
		"a zero time":          {glidesWith(func(g *programme.TimedGlides) { g.TimesS[0] = 0 }), programme.CodeInvalid, "A time must be above 0"},
		"glides of tomorrow":   {glidesWith(func(g *programme.TimedGlides) { g.Day = date("2027-01-15") }), programme.CodeInvalid, "in the future"},
		"glides elsewhere":     {glidesWith(func(g *programme.TimedGlides) { g.Slope = nowhere }), programme.CodeNotFound, "no such slope"},
		"no choice":            {choose(programme.HillChoice{}), programme.CodeInvalid, "nothing to record"},
		"step 7":               {choose(programme.HillChoice{StepLeft: 7}), programme.CodeInvalid, "1 to 6"},
		"slope elsewhere":      {choose(programme.HillChoice{Slope: nowhere}), programme.CodeNotFound, "no such slope"},
		"lift elsewhere":       {choose(programme.HillChoice{Lift: nowhere}), programme.CodeNotFound, "no such lift"},
		"start behind the end": {choose(programme.HillChoice{Slope: meadow, StartM: 120}), programme.CodeInvalid, "behind the end of Meadow"},
		"start of no slope":    {choose(programme.HillChoice{StepLeft: 1, StartM: 10}), programme.CodeInvalid, "needs its slope"},
		"no push":              {timesWith(func(p *programme.LiftTimes) { p.PushS = nil }), programme.CodeInvalid, "at least once"},
		"harness":              {timesWith(func(p *programme.LiftTimes) { p.Harness = "tight" }), programme.CodeInvalid, "is yes, no or unknown"},
		"push over nothing":    {timesWith(func(p *programme.LiftTimes) { p.PushM = 0 }), programme.CodeInvalid, "The distance of the pushes"},
		"times of tomorrow":    {timesWith(func(p *programme.LiftTimes) { p.Day = date("2027-01-15") }), programme.CodeInvalid, "in the future"},
		"stop":                 {stopsWith(func(p *programme.MeasuredStops) { p.Trials[0].TimeS = 2 }), programme.CodeInvalid, "one of the two"},
		"no stop":              {stopsWith(func(p *programme.MeasuredStops) { p.Trials = nil }), programme.CodeInvalid, "no stop to record"},
		"how":                  {stopsWith(func(p *programme.MeasuredStops) { p.How = "tree" }), programme.CodeInvalid, "A stop is one of wedge"},
		"no basis":             {effortWith(func(e *programme.EffortBasis) { *e = programme.EffortBasis{Day: e.Day} }), programme.CodeInvalid, "nothing to record"},
		"walk and group":       {effortWith(func(e *programme.EffortBasis) { e.Group = "four-footed walker" }), programme.CodeInvalid, "not both"},
		"half a walk":          {effortWith(func(e *programme.EffortBasis) { e.WalkS = 0 }), programme.CodeInvalid, "a distance and a time"},
		"oxygen of no walk":    {effortWith(func(e *programme.EffortBasis) { e.WalkM, e.WalkS, e.OxygenML = 0, 0, num(12) }), programme.CodeInvalid, "needs the walk"},
		"no such group":        {effortWith(func(e *programme.EffortBasis) { e.WalkM, e.WalkS, e.Group = 0, 0, "skaters" }), programme.CodeInvalid, "no published multiplier"},
		"capacity of two":      {effortWith(func(e *programme.EffortBasis) { e.CapacityML = e.CapacityML[:2] }), programme.CodeInvalid, "the lowest, the value and the highest"},
		"capacity upside down": {effortWith(func(e *programme.EffortBasis) { e.CapacityML = []float64{28, 25, 22} }), programme.CodeInvalid, "must not lie above"},
		"stop elsewhere":       {stopsWith(func(p *programme.MeasuredStops) { p.Slope = nowhere }), programme.CodeNotFound, "no such slope"},
	} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t)
			s := r.student()
			r.hill(s)
			n := r.count()
			r.refused(n, c.do(r, s), c.code, c.words)
		})
	}
	// What is no longer used is not chosen.
	r := newRig(t)
	s := r.student()
	r.hill(s)
	d := meadowSlope()
	d.Ended = true
	r.ok(r.PutSlope(ctx, lead, r.made(), d))
	n := r.count()
	_, err := r.ChooseHill(ctx, lead, r.made(), s, programme.HillChoice{Slope: meadow})
	r.refused(n, err, programme.CodeConflict, "Meadow is no longer used")
	// And its name is free again.
	d = meadowSlope()
	d.Slope = "0190a5d0-ac96-774b-8cce-b30209900a03"
	r.ok(r.PutSlope(ctx, lead, r.made(), d))
}

// The hour that holds at a time is the last one begun, as a forecast reads.
func TestDayAt(t *testing.T) {
	d := hillDay()
	for at, want := range map[int]string{0: "09:00", 9 * 60: "09:00", 12*60 + 29: "09:00", 12*60 + 30: "12:30", 20 * 60: "12:30"} {
		if h, ok := d.At(at); !ok || h.Time != want {
			t.Errorf("at minute %d: %q, want %q", at, h.Time, want)
		}
	}
	if _, ok := (programme.DayDetails{}).At(600); ok {
		t.Error("a day without hours has one")
	}
	for _, bad := range []string{"9:00", "09.00", "25:00", "09:61", "ab:cd", "", "-1:00"} {
		if _, ok := (programme.DayHour{Time: bad}).Minutes(); ok {
			t.Errorf("%q is taken for a time", bad)
		}
	}
}

// A slope drawn by hand keeps its corners; a recording is smoothed.
func TestProfileOfASlope(t *testing.T) {
	d := meadowSlope()
	p, err := d.Profile()
	if err != nil || math.Abs(p.Drop()-12) > 1e-9 || math.Abs(p.Steepest(20).Gradient-0.1) > 1e-9 || d.MeanPct() != 10 || d.FallM() != 12 {
		t.Fatalf("%+v, %v", p, err)
	}
	pieces, err := d.Pieces()
	if err != nil || len(pieces) != 1 || math.Abs(pieces[0].Slope-math.Atan(0.1)) > 1e-12 {
		t.Fatalf("drawn: %d pieces, %v", len(pieces), err)
	}
	d.Drawn = false
	if pieces, err = d.Pieces(); err != nil || len(pieces) != 24 {
		t.Fatalf("recorded: %d pieces, %v", len(pieces), err)
	}
	l, err := twoChair().Line()
	if err != nil || l.Spacing != 16 {
		t.Fatalf("2 m/s for 8 s: %+v, %v", l, err)
	}
	if !strings.Contains(programme.StopLabel("wedge"), "Wedge") || programme.StopLabel("x") != "x" {
		t.Error("the words of a stop")
	}
}
