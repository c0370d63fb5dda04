package cli

import (
	"bytes"
	"context"
	"crypto/rand"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"firnhand/core/decide"
	"firnhand/core/lift"
	"firnhand/core/slope"
	"firnhand/internal/clock"
	"firnhand/internal/web/page"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

// TestHillInTheHouse goes through the real store with sealed text: slope, lift
// and day, a student put on them, closed, opened again, on a card, forgotten.
func TestHillInTheHouse(t *testing.T) {
	ctx, now := context.Background(), clock.At(time.Date(2027, 1, 14, 9, 30, 0, 0, time.UTC))
	at := files{data: filepath.Join(t.TempDir(), "records.db")}
	open := func() *house {
		h, err := openHouse(ctx, at, now, now, rand.Reader, time.UTC, slog.New(slog.DiscardHandler))
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	done := func(_ programme.Receipt, err error) {
		t.Helper()
		must(err)
	}
	h := open()
	ids := programmetest.NewIDs(11)
	made := func() programme.Made { return programme.Made{ID: ids.Next()} }
	lead := programme.Actor{Staff: ids.Next(), Name: "Ines", Roles: []programme.Role{programme.Lead, programme.Instructor}}
	student, meadow, chair := ids.Next(), ids.Next(), ids.Next()
	day := programme.Date{Year: 2027, Month: 1, Day: 14}
	x := func(v float64) *float64 { return &v }

	done(h.cases.PutSlope(ctx, lead, made(), programme.SlopeDetails{Slope: meadow, Name: "Meadow", From: "paced by hand", Drawn: true, ErrorPct: 1,
		Stations: []slope.Station{{Distance: 0, Height: 15}, {Distance: 150, Height: 0}}, WidthM: x(40), RunOutM: x(80), RunOutPct: x(-3), TopM: x(1400)}))
	done(h.cases.PutLift(ctx, lead, made(), programme.LiftDetails{Lift: chair, Name: "Meadow chair", What: lift.FixedChair, SpeedMS: x(2), Interval: x(9), WaitM: []float64{2.5}, Measured: day}))
	done(h.cases.PutDay(ctx, lead, made(), programme.DayDetails{Day: day, Snow: "cold", From: "valley station", Hours: []programme.DayHour{{Time: "08:00", AirC: -9, WindMS: 3}, {Time: "12:00", AirC: -2, WindMS: 1}}}))
	_, err := h.cases.AddStudent(ctx, lead, made(), student, programme.StudentDetails{NameUsed: "Orla", BirthDate: programme.Date{Year: 1992, Month: 5, Day: 2}})
	must(err)
	_, err = h.cases.RecordFindings(ctx, lead, student, []programme.NewFinding{{Made: made(), Finding: programme.Finding{FindingKey: programme.FindingKey{Finding: "mass_kg"}, Value: "60"}}})
	must(err)
	done(h.cases.ChooseHill(ctx, lead, made(), student, programme.HillChoice{Slope: meadow, Lift: chair, StepLeft: 2, StepRight: 4, StartM: 50, Note: "likes the spruces"}))
	done(h.cases.RecordLiftTimes(ctx, lead, made(), student, programme.LiftTimes{Lift: chair, Day: day, PushM: 5, PushS: []float64{7.5, 8}, Gear: "two spruce outriggers"}))
	done(h.cases.RecordStops(ctx, lead, made(), student, programme.MeasuredStops{Day: day, Slope: meadow, Pct: 8, How: "wedge", Trials: []programme.StopMeasure{{SpeedKmh: 9, LengthM: 6}}, Note: "beside the spruces"}))
	done(h.cases.RecordEffort(ctx, lead, made(), student, programme.EffortBasis{Day: day, WalkM: 300, WalkS: 360, Note: "spruce avenue"}))
	must(h.Close())

	raw, err := os.ReadFile(at.data)
	must(err)
	for _, word := range []string{"spruce", "Orla"} {
		if bytes.Contains(raw, []byte(word)) {
			t.Errorf("%q lies readable in the file", word)
		}
	}
	h = open()
	defer h.Close()
	r, err := h.cases.StudentAt(ctx, lead, student, programme.AsOf{})
	must(err)
	hill, err := h.cases.HillAt(ctx, lead, programme.AsOf{})
	must(err)
	c, ok := r.Hill.Choice()
	times, timed := r.Hill.TimesAt(chair)
	if !ok || !timed || c.StepRight != 4 || c.Note != "likes the spruces" || len(times.PushS) != 2 || len(r.Hill.Stops) != 1 || len(r.Hill.Efforts) != 1 {
		t.Fatalf("read back: %+v", r.Hill)
	}
	table := decide.Standing()
	d := programme.DecisionOf(table, r)
	order := page.CardOrder{ID: ids.Next(), Record: r, Hill: hill, Decision: d, Table: table, Answer: table.Decide(d.Input), ForDay: day, MadeAt: now.Now(), UpTo: max(r.UpTo, hill.UpTo)}
	on := hillOf(order)
	switch {
	case on.Slope == nil || on.Slope.Name != "Meadow" || on.Slope.Left != 30 || on.Slope.Right != 60 || on.Slope.StartM != 50 || on.Slope.NeedM <= 0 || on.Slope.ThereM != 80 || on.Slope.FastKmh <= 0:
		t.Errorf("slope on the card: %+v", on.Slope)
	case on.Lift == nil || on.Lift.Name != "Meadow chair" || on.Lift.People < 1:
		t.Errorf("lift on the card: %+v", on.Lift)
	case on.Cold == nil || len(on.Cold.Past) != 1 || on.Cold.Past[0] != "08:00" || on.Cold.PastChill > on.Cold.StopAt || on.Cold.Time != "12:00" || on.Cold.Chill <= on.Cold.StopAt || on.Cold.FirstMin <= 0:
		t.Errorf("cold on the card: %+v", on.Cold)
	}
	order.ForDay = day.AddMonths(1)
	if later := hillOf(order); later.Cold != nil || later.Slope == nil {
		t.Errorf("a day without a forecast: %+v", later)
	}
	order.Record.Hill = programme.OnHill{}
	if none := hillOf(order); none.Slope != nil || none.Lift != nil {
		t.Errorf("nothing chosen: %+v", none)
	}

	must(h.cases.ForgetStudent(ctx, lead, student))
	r, err = h.cases.StudentAt(ctx, lead, student, programme.AsOf{})
	if err == nil && (!r.Forgotten || len(r.Hill.Choices)+len(r.Hill.LiftTimes)+len(r.Hill.Stops)+len(r.Hill.Efforts) > 0) {
		t.Errorf("forgotten, but %+v", r.Hill)
	}
	if hill, err = h.cases.HillAt(ctx, lead, programme.AsOf{}); err != nil || len(hill.Slopes) != 1 {
		t.Errorf("the hill stays: %v, %v", hill.Slopes, err)
	}
	raw, err = os.ReadFile(at.data)
	must(err)
	if strings.Contains(string(raw), "spruce") {
		t.Error("text of a forgotten student lies in the file")
	}
}
