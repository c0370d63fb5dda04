package card

import (
	"strings"
	"testing"

	"firnhand/core/finding"
)

func TestHillLines(t *testing.T) {
	for name, c := range map[string]struct {
		h    Hill
		want string // lines, joined
	}{
		"nothing":        {Hill{}, ""},
		"a slope":        {Hill{Slope: &OnSlope{Name: "Teasel", StartM: 180, FastKmh: 23.2, NeedM: 21.1, ThereM: 60}}, "Slope: Teasel from 180 m down: up to 24 km/h, stop needs 22 of 60 m"},
		"only its name":  {Hill{Slope: &OnSlope{Name: "Teasel"}}, "Slope: Teasel"},
		"not a slope":    {Hill{Slope: &OnSlope{Name: "Teasel", Against: "It is too steep.", First: "Pace the run-out."}}, "Slope: Not Teasel: It is too steep."},
		"first":          {Hill{Slope: &OnSlope{Name: "Teasel", First: "Pace the run-out."}}, "Slope: Teasel, first: Pace the run-out."},
		"no lift":        {Hill{Lift: &OnLift{Name: "Chair", Against: "Not before the check is done.", Slow: true, HasMost: true, MostMS: 1}}, "Lift: No lift: Not before the check is done."},
		"not lowered":    {Hill{Lift: &OnLift{Name: "Chair", Against: "No lift today: could not be lowered."}}, "Lift: No lift today: could not be lowered."},
		"not known":      {Hill{Lift: &OnLift{Name: "Chair", First: "Time pushes.", Slow: true}}, "Lift: Chair, first: Time pushes."},
		"slower":         {Hill{Lift: &OnLift{Name: "Chair", Slow: true, HasMost: true, MostMS: 0.9, People: 2}}, "Lift: Chair at 0.9 m/s or less, or stopped; 2 beside"},
		"stopped":        {Hill{Lift: &OnLift{Name: "Chair", Slow: true, HasMost: true, People: 1}}, "Lift: Chair stopped for load and unload; 1 beside"},
		"as it runs":     {Hill{Lift: &OnLift{Name: "Chair", HasMost: true, MostMS: 1.2, People: 1}}, "Lift: Chair slow or stopped at both ends; 1 beside"},
		"cold":           {Hill{Cold: &Cold{StopAt: -20, Time: "08:00", Chill: -12, FirstMin: 15.9, LongestMin: 30}}, "Chill: -12 at 08:00, stop at -20; feet after 15 min, then every 30"},
		"no timer":       {Hill{Cold: &Cold{StopAt: -20, Time: "08:00", Chill: -2}}, "Chill: -2 at 08:00, stop at -20"},
		"past the stop":  {Hill{Cold: &Cold{StopAt: -20, Past: []string{"08:00", "10:00"}, PastChill: -24, Time: "12:00", Chill: -18, FirstMin: 10, LongestMin: 10}}, "Chill: -24: nobody out at 08:00, 10:00; else -18, stop at -20; feet after 10 min"},
		"all day":        {Hill{Cold: &Cold{StopAt: -20, Past: []string{"08:00"}, PastChill: -24}}, "Chill: -24 all day: nobody goes out"},
		"many times":     {Hill{Cold: &Cold{StopAt: -20, Past: []string{"08:00", "09:00", "10:00", "11:00"}, PastChill: -24, Time: "12:00", Chill: -18}}, "Chill: -24: nobody out at 08:00, 09:00, 10:00 …; else -18, stop at -20"},
		"all three":      {Hill{Slope: &OnSlope{Name: "T"}, Lift: &OnLift{Name: "C", People: 1}, Cold: &Cold{Time: "9:00"}}, "Slope: T | Lift: C slow or stopped at both ends; 1 beside | Chill: 0 at 9:00, stop at 0"},
		"a long reason":  {Hill{Slope: &OnSlope{Name: "Teasel", Against: strings.Repeat("It is far too steep. ", 9)}}, "Slope: Not Teasel: It is far too steep. It is far too steep. It is far too steep. It is far too steep. It…"},
		"below half a m": {Hill{Slope: &OnSlope{Name: "T", FastKmh: 0.2, NeedM: 0.2, ThereM: 5}}, "Slope: T: up to 1 km/h, stop needs 1 of 5 m"},
	} {
		var got []string
		for _, l := range c.h.lines() {
			got = append(got, l.Label+": "+l.Text)
		}
		if s := strings.Join(got, " | "); s != c.want {
			t.Errorf("%s:\n got %q\nwant %q", name, s, c.want)
		}
	}
	if got := (*Hill)(nil).lines(); got != nil {
		t.Errorf("without a hill: %v", got)
	}
}

// The fan stands in the tiles of the plan, each side its own; not where
// something speaks against the slope or a hold stands.
func TestHillFan(t *testing.T) {
	l := lesson(oneArm(t))
	l.Hill = &Hill{Slope: &OnSlope{Name: "Teasel", Left: 75, Right: 45}}
	p := make1(t, l).Plan
	if p.FanLeft.text() != "75°" || p.FanRight.text() != "45°" {
		t.Errorf("fan: %q, %q", p.FanLeft.text(), p.FanRight.text())
	}
	var text strings.Builder
	if err := Text(&text, make1(t, l)); err != nil || !strings.Contains(text.String(), "Slope             Teasel") {
		t.Error(err, text.String())
	}
	l.Hill.Slope.Right = 0
	if p := make1(t, l).Plan; p.FanLeft.text() != "75°" || !p.FanRight.empty() {
		t.Errorf("one side without a step: %q, %q", p.FanLeft.text(), p.FanRight.text())
	}
	l.Hill.Slope.Against = "It is too steep."
	if p := make1(t, l).Plan; !p.FanLeft.empty() || !p.FanRight.empty() {
		t.Error("a fan on a slope that something speaks against")
	}
	hip := oneArm(t)
	if err := hip.PutBoth("hip_pain", finding.NoSide, "yes"); err != nil {
		t.Fatal(err)
	}
	held := lesson(hip)
	held.Hill = &Hill{Slope: &OnSlope{Name: "Teasel", Left: 75, Right: 45}, Lift: &OnLift{Name: "Chair"}}
	c := make1(t, held)
	if c.Hold == nil {
		t.Fatal("no hold")
	}
	if !c.Plan.FanLeft.empty() {
		t.Error("a fan beside a hold")
	}
	for _, l := range c.Plan.More {
		if l.Label == "Slope" || l.Label == "Lift" {
			t.Errorf("beside a hold: %v", l)
		}
	}
}
