package cli

import (
	"math"
	"strconv"
	"strings"

	"firnhand/core/slope"
)

type slopeSnowCmd struct {
	Timed   []string `name:"glide" required:"" sep:"none" placeholder:"PCT:LENGTH:TIMES" help:"Glides from rest down one part: slope in percent, length in m, times in s, as 10:30:11.2,11.5. An end of short instead of times says that so many stopped on it, as 5:30:short2. May be given several times, once for each part."`
	SlopeSD float64  `name:"slope-sd-pct" default:"1" placeholder:"N" help:"Error of each slope, standard deviation in percent of gradient."`
	WatchSD float64  `name:"watch-sd-s" default:"0.2" placeholder:"N" help:"Error of a time by hand, standard deviation."`
	From    float64  `name:"from-m-s" placeholder:"N" help:"Speed at the beginning of every part, where it was not rest."`
	Snow    string   `enum:"all,cold,wet,fresh" default:"all" help:"What is held before timing: the published range of all, cold, wet or fresh snow."`
	MassKg  float64  `name:"mass-kg" required:"" placeholder:"N" help:"Mass with gear of who glides."`
	Gravity float64  `name:"gravity-m-s2" default:"9.80665" placeholder:"N" help:"Acceleration of free fall."`
	airFlags
	JSON bool `name:"json" help:"As JSON."`
}

// Run finds the friction of today.
func (c *slopeSnowCmd) Run(a *app) error {
	area, density, err := c.airFlags.get()
	if err != nil {
		return err
	}
	q := slope.SnowAsk{Snow: c.Snow, Air: density, Area: area,
		Glides: slope.Glides{WatchSD: c.WatchSD, Mass: c.MassKg, Gravity: c.Gravity}}
	for _, text := range c.Timed {
		t, err := timed(text)
		if err != nil {
			return err
		}
		// An error of the gradient as one of the angle.
		cos := math.Cos(t.Slope)
		t.SlopeSD, t.From = c.SlopeSD/100*cos*cos, c.From
		q.Timed = append(q.Timed, t)
	}
	ans, p, err := q.Answer()
	if err != nil {
		return hillFault(err)
	}
	return a.answer(c.JSON, ans, func(v *slopeView) {
		for i := range p.Mu {
			v.Density = append(v.Density, densityView{p.Mu[i], p.Density[i]})
		}
	}, nil)
}

func timed(text string) (slope.Timed, error) {
	var t slope.Timed
	parts := strings.Split(text, ":")
	if len(parts) != 3 {
		return t, refuse("usage", "--glide takes PCT:LENGTH:TIMES, such as 10:30:11.2,11.5; not %q.", text)
	}
	pct, err := real("--glide", parts[0])
	if err != nil {
		return t, err
	}
	if t.Length, err = real("--glide", parts[1]); err != nil {
		return t, err
	}
	t.Slope = fromPct(pct)
	if n, ok := strings.CutPrefix(parts[2], "short"); ok {
		if t.Short, err = strconv.Atoi(n); err != nil || t.Short < 1 {
			return t, refuse("usage", "--glide: short takes how many stopped, as short2; not %q.", parts[2])
		}
		return t, nil
	}
	t.Times, err = numberList("glide", parts[2])
	return t, err
}

type slopeReinsCmd struct {
	groundFlags
	StudentKg string  `name:"student-kg" required:"" placeholder:"N" help:"Student with gear."`
	StudentMu string  `name:"student-mu" placeholder:"N" help:"Student's friction. Without it: the published range of straight gliding."`
	HandlerKg string  `name:"handler-kg" placeholder:"N" help:"Handler with gear."`
	HandlerMu string  `name:"handler-mu" placeholder:"N" help:"Handler's friction while braking: calibrate it (firnhand slope brake)."`
	Wanted    float64 `name:"acceleration-m-s2" placeholder:"N" help:"Acceleration the student may have; 0 for steady speed, below zero to slow."`
	Speed     float64 `name:"speed-m-s" placeholder:"N" help:"Speed, for the stopping length and the drag."`
	Kmh       float64 `name:"speed-kmh" placeholder:"N" help:"The same in km/h."`
	Area      string  `name:"drag-area-m2" aliases:"cda-m2" default:"0" placeholder:"N" help:"Drag area of the student; 0 leaves drag out, which is the safe side."`
	Density   string  `name:"density-kg-m3" aliases:"rho-kg-m3" default:"1.1" placeholder:"N" help:"Density of the air."`
	Lines     int     `default:"2" placeholder:"N" help:"One line or two."`
	Up        float64 `name:"up-deg" placeholder:"N" help:"Angle of the line up from the snow."`
	Apart     float64 `name:"apart-deg" placeholder:"N" help:"Angle of each line sideways from the path."`
	Grip      string  `name:"grip-n" placeholder:"N" help:"Strongest grip of one hand of the handler, measured. Without it: a published mean."`
	Sex       string  `name:"handler-sex" enum:"F,M,unsaid" default:"unsaid" help:"Which published grip stands in: F, M; unsaid takes the weaker."`
	Hands     int     `default:"2" placeholder:"N" help:"Hands on the lines."`
	Slack     float64 `name:"slack-m" placeholder:"N" help:"Slack that comes tight after a start from rest: gives the peak of the snatch."`
	Parting   float64 `name:"parting-m-s" placeholder:"N" help:"Speed at which the two part when the line comes tight, instead of --slack-m."`
	Stiffness string  `name:"stiffness-n-m" placeholder:"N" help:"Stiffness of the line. Without it: the proposed 10 000 N/m, 5000 to 20 000."`
	Moving    bool    `help:"The handler moves too when the slack comes tight; otherwise they stand."`
	Gravity   float64 `name:"gravity-m-s2" default:"9.80665" placeholder:"N" help:"Acceleration of free fall."`
	JSON      bool    `name:"json" help:"As JSON."`
}

// Run weighs the reins.
func (c *slopeReinsCmd) Run(a *app) error {
	q := slope.Tethered{Gravity: c.Gravity, Wanted: c.Wanted, Speed: c.Speed, Lines: c.Lines, Hands: c.Hands, Slack: c.Slack, Parting: c.Parting, Free: c.Moving,
		Line: slope.Line{Up: fromDeg(c.Up), Apart: fromDeg(c.Apart)}}
	if c.Speed != 0 && c.Kmh != 0 {
		return refuse("given_twice", "Give --speed-m-s or --speed-kmh, not both.")
	}
	if c.Kmh != 0 {
		q.Speed = fromKmh(c.Kmh)
	}
	if c.Sex != "unsaid" {
		q.Sex = c.Sex
	}
	var err error
	if q.Slope, err = c.groundFlags.must(); err != nil {
		return err
	}
	for _, n := range []struct {
		flag, text string
		to         *slope.Known
		usual      func() (slope.Known, error)
	}{
		{"student-kg", c.StudentKg, &q.StudentMass, nil},
		{"student-mu", c.StudentMu, &q.StudentFriction, func() (slope.Known, error) { return slope.FrictionOf("all") }},
		{"handler-kg", c.HandlerKg, &q.HandlerMass, nil},
		{"handler-mu", c.HandlerMu, &q.HandlerFriction, nil},
		{"drag-area-m2", c.Area, &q.DragArea, nil},
		{"density-kg-m3", c.Density, &q.Density, nil},
		{"stiffness-n-m", c.Stiffness, &q.Stiffness, func() (slope.Known, error) { return slope.Sourced("line_stiffness"), nil }},
	} {
		k, ok, err := pick(way{n.flag, n.text, asIs})
		if err == nil && !ok && n.usual != nil {
			k, err = n.usual()
		}
		if err != nil {
			return hillFault(err)
		}
		*n.to = k
	}
	if (c.HandlerKg == "") != (c.HandlerMu == "") {
		return refuse("missing", "The handler's mass and friction while braking go together: --handler-kg and --handler-mu.")
	}
	if grip, ok, err := pick(way{"grip-n", c.Grip, asIs}); err != nil {
		return err
	} else if ok {
		q.Grip = &grip
	}
	ans, err := q.Answer()
	if err != nil {
		return hillFault(err)
	}
	return a.answer(c.JSON, ans, nil, nil)
}
