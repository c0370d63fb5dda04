package cli

import (
	"strings"

	"firnhand/core/slope"
)

type slopeGlideCmd struct {
	groundFlags
	pathFlags
	skierFlags
	windFlags
	speedFlags
	Length *float64 `name:"distance-m" placeholder:"N" help:"Length of the slide on the snow. One of these four ends it."`
	Drop   *float64 `name:"drop-m" placeholder:"N" help:"Fall of height."`
	Rise   *float64 `name:"rise-m" placeholder:"N" help:"Rise of height, on a slope below zero."`
	Lasts  *float64 `name:"time-s" placeholder:"N" help:"Time."`
	JSON   bool     `name:"json" help:"As JSON."`
}

// shared gathers slope, path, skier and wind.
func shared(g groundFlags, path pathFlags, s skierFlags, w windFlags) (slope.Ask, error) {
	a, err := s.ask()
	if err != nil {
		return a, err
	}
	if a.Slope, err = g.must(); err != nil {
		return a, err
	}
	if err := w.set(&a); err != nil {
		return a, err
	}
	a.Path, err = path.get(a.Slope.Value)
	return a, err
}

// Run slides over one piece.
func (c *slopeGlideCmd) Run(a *app) error {
	ask, err := shared(c.groundFlags, c.pathFlags, c.skierFlags, c.windFlags)
	if err != nil {
		return err
	}
	speed, _, err := c.speedFlags.get()
	if err != nil {
		return err
	}
	q := slope.Sliding{Ask: ask, Speed: speed, Length: c.Length, Drop: c.Drop, Lasts: c.Lasts}
	if c.Rise != nil {
		if c.Drop != nil {
			return refuse("given_twice", "Give --drop-m or --rise-m, not both.")
		}
		fall := -*c.Rise
		q.Drop = &fall
	}
	ans, err := q.Answer()
	if err != nil {
		return hillFault(err)
	}
	return a.answer(c.JSON, ans, nil, nil)
}

type slopeForcesCmd struct {
	groundFlags
	pathFlags
	skierFlags
	windFlags
	speedFlags
	Force *float64 `name:"friction-n" placeholder:"N" help:"Force of friction, where the coefficient is asked."`
	JSON  bool     `name:"json" help:"As JSON."`
}

// Run weighs forces.
func (c *slopeForcesCmd) Run(a *app) error {
	ask, err := shared(c.groundFlags, c.pathFlags, c.skierFlags, c.windFlags)
	if err != nil {
		return err
	}
	speed, _, err := c.speedFlags.get()
	if err != nil {
		return err
	}
	// Forces at rest need no drag, so nothing of the air is taken for granted.
	if c.Area == "" && c.Frontal == nil && c.Factor == nil && ask.Mass.Value == 0 {
		ask.DragArea = slope.Given(slope.Exactly(0))
	}
	ans, err := slope.Balance{Ask: ask, Speed: speed, FrictionForce: c.Force}.Answer()
	if err != nil {
		return hillFault(err)
	}
	return a.answer(c.JSON, ans, nil, nil)
}

type slopeEnergyCmd struct {
	MassKg  string  `name:"mass-kg" default:"75" placeholder:"N" help:"Mass; it matters only where work is done."`
	Drop    float64 `name:"drop-m" placeholder:"N" help:"Fall of height; below zero for a rise."`
	Work    float64 `name:"work-j" placeholder:"N" help:"Work by everything but gravity; below zero, written =-2000, where it slows."`
	Speed   float64 `name:"speed-m-s" placeholder:"N" help:"Speed at the beginning."`
	Mu      float64 `name:"mu" placeholder:"N" help:"Friction along a slope, with its slope."`
	Pct     float64 `name:"slope-pct" placeholder:"N" help:"That slope in percent."`
	Deg     float64 `name:"slope-deg" placeholder:"N" help:"That slope in degrees."`
	Gravity float64 `name:"gravity-m-s2" default:"9.80665" placeholder:"N" help:"Acceleration of free fall."`
	JSON    bool    `name:"json" help:"As JSON."`
}

// Run balances energy.
func (c *slopeEnergyCmd) Run(a *app) error {
	mass, err := spans("mass-kg", c.MassKg)
	if err != nil {
		return err
	}
	if c.Pct != 0 && c.Deg != 0 {
		return refuse("given_twice", "Give --slope-pct or --slope-deg, not both.")
	}
	theta := fromDeg(c.Deg)
	if c.Pct != 0 {
		theta = fromPct(c.Pct)
	}
	if c.Mu != 0 && theta == 0 {
		return refuse("missing", "Friction along a slope needs the slope: --slope-pct or --slope-deg.")
	}
	ans, err := slope.Energy{Gravity: c.Gravity, Mass: slope.Given(*mass), Speed: c.Speed, Drop: c.Drop, Work: c.Work,
		Slope: theta, Friction: c.Mu, FrictionOnLength: c.Mu != 0}.Answer()
	if err != nil {
		return hillFault(err)
	}
	return a.answer(c.JSON, ans, nil, nil)
}

type slopeStopCmd struct {
	groundFlags
	skierFlags
	windFlags
	speedFlags
	Reaction string `name:"reaction-s" placeholder:"N" help:"Time from the word to the beginning of the braking. Without it: the proposed 1 s, 0.5 to 2."`
	GlideMu  string `name:"glide-mu" placeholder:"N" help:"Friction until the braking begins; without it the speed is taken as held till then."`
	JSON     bool   `name:"json" help:"As JSON."`
}

// Run stops. The friction is that of the braking; on a run-out of the glide.
func (c *slopeStopCmd) Run(a *app) error {
	ask, err := shared(c.groundFlags, pathFlags{}, c.skierFlags, c.windFlags)
	if err != nil {
		return err
	}
	speed, ok, err := c.speedFlags.get()
	if err != nil {
		return err
	}
	if !ok {
		return refuse("missing", "How fast? Give --speed-m-s or --speed-kmh.")
	}
	q := slope.Stopping{Ask: ask, Speed: speed}
	if q.Reaction, ok, err = pick(way{"reaction-s", c.Reaction, asIs}); err != nil {
		return err
	}
	if !ok {
		q.Reaction = slope.Sourced("reaction_time")
	}
	if glide, ok, err := pick(way{"glide-mu", c.GlideMu, asIs}); err != nil {
		return err
	} else if ok {
		q.Glide = &glide
	}
	ans, err := q.Answer()
	if err != nil {
		return hillFault(err)
	}
	return a.answer(c.JSON, ans, nil, nil)
}

type slopeBrakeCmd struct {
	groundFlags
	skierFlags
	Stops []string `name:"stop" required:"" sep:"none" placeholder:"SPEED:LENGTH" help:"A measured stop: km/h and metres, as 12:6.5; m/s with ms, as 4ms:6.5; seconds instead of metres with s, as 12:3.1s. May be given several times."`
	JSON  bool     `name:"json" help:"As JSON."`
}

// Run calibrates braking.
func (c *slopeBrakeCmd) Run(a *app) error {
	ask, err := shared(c.groundFlags, pathFlags{}, c.skierFlags, windFlags{})
	if err != nil {
		return err
	}
	q := slope.Braking{Ask: ask}
	for _, text := range c.Stops {
		t, err := trial(text)
		if err != nil {
			return err
		}
		q.Trials = append(q.Trials, t)
	}
	ans, err := q.Answer()
	if err != nil {
		return hillFault(err)
	}
	return a.answer(c.JSON, ans, nil, nil)
}

func trial(text string) (slope.BrakeTrial, error) {
	var t slope.BrakeTrial
	speed, end, ok := strings.Cut(text, ":")
	if !ok {
		return t, refuse("usage", "--stop takes SPEED:LENGTH, such as 12:6.5 for 12 km/h and 6.5 m; not %q.", text)
	}
	si := fromKmh
	if cut, ms := strings.CutSuffix(speed, "ms"); ms {
		speed, si = cut, asIs
	}
	v, err := real("--stop", speed)
	if err != nil {
		return t, err
	}
	t.Speed = si(v)
	cut, timed := strings.CutSuffix(end, "s")
	x, err := real("--stop", cut)
	if err != nil {
		return t, err
	}
	if timed {
		t.Time = x
	} else {
		t.Length = x
	}
	return t, nil
}
