package cli

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/source"
	"firnhand/core/stance"
)

// stanceCmd is about standing on skis, outriggers and sliders.
type stanceCmd struct {
	Of        stanceOfCmd        `cmd:"" default:"withargs" help:"A person's stance from their file: can it be held, by what, and what would help. The word \"of\" may be left out."`
	Hold      stanceHoldCmd      `cmd:"" help:"The same from plain numbers: contacts, mass, centre of mass, limits, slope."`
	SideSlope stanceSideSlopeCmd `cmd:"" name:"side-slope" help:"Two feet across the slope: the load on the downhill foot, and the slope that tips."`
	Xcom      stanceXcomCmd      `cmd:"" help:"The extrapolated centre of mass of somebody who sways."`
	Polygon   stancePolygonCmd   `cmd:"" help:"The base of support of points, and how a centre of mass stands on it."`
	Lean      stanceLeanCmd      `cmd:"" help:"How apparent gravity leans on a slope."`
	Scales    stanceScalesCmd    `cmd:"" help:"The share of the feet's load on each foot, from two scales."`
}

// stanceFault gives a refusal of the stance's the one shape.
func stanceFault(err error) error {
	var e *stance.Error
	if errors.As(err, &e) {
		return refuse(e.Code, "%s", e.Sentence)
	}
	return bodyFault(err)
}

// numbers reads numbers parted by commas or spaces, as many as one of counts.
func numbers(flag, text string, counts ...int) ([]float64, error) {
	fields := strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' || r == ';' })
	out := make([]float64, len(fields))
	for i, f := range fields {
		v, err := real(flag, f)
		if err != nil {
			return nil, err
		}
		out[i] = v
	}
	for _, n := range counts {
		if len(out) == n {
			return out, nil
		}
	}
	return nil, refuse("usage", "%s takes %s numbers parted by commas, not %q.", flag, choice(counts), text)
}

func choice(counts []int) string {
	words := make([]string, len(counts))
	for i, n := range counts {
		words[i] = fmt.Sprint(n)
	}
	return strings.Join(words, " or ")
}

// slopeFlags are a slope and how the skier is on it.
type slopeFlags struct {
	SlopeDeg   *float64 `name:"slope-deg" placeholder:"N" help:"Slope of the hill in degrees; level where neither is given."`
	SlopePct   *float64 `name:"slope-pct" placeholder:"N" help:"Slope of the hill in percent."`
	HeadingDeg float64  `name:"heading-deg" placeholder:"N" help:"Skis from the fall line, positive turned to the left; 90 stands across with the valley on the right."`
	Resistance string   `name:"resistance" placeholder:"N[,LOW,HIGH]" help:"Gliding straight ahead against this resistance, as a share of the weight on the snow (0.05); standing still where it is not given."`
	ByMS2      *float64 `name:"acceleration-m-s2" placeholder:"N" help:"Instead: how fast the speed along the skis changes."`
	Gravity    float64  `name:"g-m-s2" placeholder:"N" help:"Free fall; 9.80665 where not given."`
}

// slope returns the angle of the hill.
func (f *slopeFlags) slope() (quantity.Radian, error) {
	var a quantity.Radian
	var err error
	switch {
	case f.SlopeDeg != nil && f.SlopePct != nil:
		return 0, refuse("given_twice", "Give the slope in degrees or in percent, not both.")
	case f.SlopeDeg != nil:
		a, err = quantity.Degrees(*f.SlopeDeg)
	case f.SlopePct != nil:
		a, err = quantity.GradePercent(*f.SlopePct)
	}
	if err != nil {
		return 0, refuse("not_a_number", "The slope: %s.", err)
	}
	return a, nil
}

func (f *slopeFlags) lean() (stance.Lean, error) {
	slope, err := f.slope()
	if err != nil {
		return stance.Lean{}, err
	}
	heading, err := quantity.Degrees(f.HeadingDeg)
	if err != nil {
		return stance.Lean{}, refuse("not_a_number", "The heading: %s.", err)
	}
	var l stance.Lean
	switch {
	case f.Resistance != "" && f.ByMS2 != nil:
		return l, refuse("given_twice", "Give the resistance or the change of speed, not both.")
	case f.Resistance != "":
		r, err := f.resistance()
		if err != nil {
			return l, err
		}
		l, err = stance.Gliding(slope, heading, r)
		return l, stanceFault(err)
	case f.ByMS2 != nil:
		l, err = stance.Speeding(slope, heading, quantity.MetrePerSecondSquared(*f.ByMS2), quantity.MetrePerSecondSquared(f.Gravity))
	default:
		l, err = stance.Standing(slope, heading)
	}
	return l, stanceFault(err)
}

// resistance reads the resistance with its limits.
func (f *slopeFlags) resistance() (quantity.Range[quantity.Ratio], error) {
	v, err := numbers("--resistance", f.Resistance, 1, 3)
	if err != nil {
		return quantity.Range[quantity.Ratio]{}, err
	}
	if len(v) == 1 {
		v = append(v, v[0], v[0])
	}
	r, err := quantity.NewRange(quantity.Ratio(v[0]), quantity.Ratio(v[1]), quantity.Ratio(v[2]))
	if err != nil {
		return r, refuse("out_of_range", "The resistance: %s.", err)
	}
	return r, nil
}

// limitFlags are what one leg or arm can carry, in one of three ways.
type limitFlags struct {
	MostN   *float64 `name:"most-n" placeholder:"N" help:"Most it carries, newtons."`
	MostKg  *float64 `name:"most-kg" placeholder:"N" help:"Most it put on a scale, kilograms."`
	MostPct *float64 `name:"most-pct" placeholder:"N" help:"Most it carries, percent of the weight."`
	Score   *int     `name:"score" placeholder:"0-4" help:"Strength score, for what such a limb is taken to carry."`
}

func (f *limitFlags) limit(what string, weight quantity.Newton, g float64, scored func(int, quantity.Newton) (stance.Limit, error)) (stance.Limit, error) {
	given := 0
	for _, on := range []bool{f.MostN != nil, f.MostKg != nil, f.MostPct != nil, f.Score != nil} {
		if on {
			given++
		}
	}
	if given > 1 {
		return stance.Limit{}, refuse("given_twice", "Say in one way what the %s carries: newtons, kilograms, percent or a score.", what)
	}
	switch {
	case f.MostN != nil:
		return stance.AtMost(quantity.Newton(*f.MostN), "given"), nil
	case f.MostKg != nil:
		l, err := stance.OnScale(quantity.Kilogram(*f.MostKg), quantity.MetrePerSecondSquared(g))
		return l, stanceFault(err)
	case f.MostPct != nil:
		return stance.AtMost(weight*quantity.Newton(*f.MostPct/100), "given"), nil
	case f.Score != nil:
		l, err := scored(*f.Score, weight)
		return l, stanceFault(err)
	}
	return stance.Limit{}, nil
}

// scaleFlags are two scales under the feet.
type scaleFlags struct {
	LeftKg  *float64 `name:"scale-left-kg" placeholder:"N" help:"What a scale shows under the left foot."`
	RightKg *float64 `name:"scale-right-kg" placeholder:"N" help:"What a scale shows under the right foot."`
	ErrorKg float64  `name:"scale-error-kg" placeholder:"N" help:"Error of one scale; 0.5 where not given."`
	Hands   bool     `name:"hands" help:"Hands rested on something meanwhile."`
}

func (f *scaleFlags) share(mass float64) (*quantity.Range[quantity.Ratio], error) {
	if f.LeftKg == nil && f.RightKg == nil {
		return nil, nil
	}
	if f.LeftKg == nil || f.RightKg == nil {
		return nil, refuse("usage", "Two scales are needed: --scale-left-kg and --scale-right-kg.")
	}
	r, err := stance.Scales{Left: quantity.Kilogram(*f.LeftKg), Right: quantity.Kilogram(*f.RightKg), Error: quantity.Kilogram(f.ErrorKg), Hands: f.Hands}.
		Share(quantity.Kilogram(mass), 0)
	if err != nil {
		return nil, stanceFault(err)
	}
	return &r, nil
}

// stanceHoldCmd balances plain numbers.
type stanceHoldCmd struct {
	LeftSki     string `name:"left-ski-m" aliases:"left-foot-m" sep:"none" placeholder:"X,Y[,X,Y]" help:"Left ski: a point, or the rear and front end of its line. x to the student's right, y forward. Also --left-foot-m."`
	RightSki    string `name:"right-ski-m" aliases:"right-foot-m" sep:"none" placeholder:"X,Y[,X,Y]" help:"Right ski. Also --right-foot-m."`
	LeftRunner  string `name:"left-runner-m" aliases:"left-outrigger-m" sep:"none" placeholder:"X,Y[,X,Y]" help:"Runner of the left outrigger. Also --left-outrigger-m."`
	RightRunner string `name:"right-runner-m" aliases:"right-outrigger-m" sep:"none" placeholder:"X,Y[,X,Y]" help:"Runner of the right outrigger. Also --right-outrigger-m."`
	LeftFrame   string `name:"left-frame-m" sep:"none" placeholder:"X,Y[,X,Y]" help:"Left runner of a slider's frame."`
	RightFrame  string `name:"right-frame-m" sep:"none" placeholder:"X,Y[,X,Y]" help:"Right runner of a slider's frame."`

	MassKg  *float64 `name:"mass-kg" placeholder:"N" help:"Mass of everything the contacts carry."`
	WeightN *float64 `name:"weight-n" placeholder:"N" help:"Its weight, instead."`
	Centre  string   `name:"centre-m" required:"" sep:"none" placeholder:"X,Y[,Z]" help:"Centre of mass; z over the snow, needed on a slope and for leans."`
	Error   string   `name:"centre-error-m" sep:"none" placeholder:"X,Y[,Z]" help:"How far off the centre of mass may be, to each side."`

	LeftLeg  limitFlags `embed:"" prefix:"left-leg-" group:"limits"`
	RightLeg limitFlags `embed:"" prefix:"right-leg-" group:"limits"`
	LeftArm  limitFlags `embed:"" prefix:"left-arm-" group:"limits"`
	RightArm limitFlags `embed:"" prefix:"right-arm-" group:"limits"`
	ArmsN    *float64   `name:"arms-most-n" placeholder:"N" help:"Most both arms carry together, newtons." group:"limits"`
	ArmsPct  *float64   `name:"arms-most-pct" placeholder:"N" help:"The same in percent of the weight." group:"limits"`
	Usual    bool       `name:"arms-usual" help:"Both arms together carry no more than a fit person takes off their feet with such an aid." group:"limits"`

	SharePct   *float64 `name:"left-share-pct" placeholder:"N" help:"Share of the feet's load on the left foot."`
	ShareError float64  `name:"left-share-error-pct" placeholder:"N" help:"How far off that may be."`
	scaleFlags

	slopeFlags

	SpeedRight   float64 `name:"speed-right-m-s" placeholder:"N" help:"Speed of the centre of mass against the skis, to the right."`
	SpeedForward float64 `name:"speed-forward-m-s" placeholder:"N" help:"The same forward."`
	PendulumM    float64 `name:"pendulum-m" placeholder:"N" help:"Length the body sways about; gives the extrapolated centre of mass."`

	Changes bool `help:"Also what to change, with the margin it buys."`
	stanceDrawFlags
	JSON bool `name:"json" help:"As JSON."`
}

// Run balances.
func (c *stanceHoldCmd) Run(a *app) error {
	s, err := c.stance()
	if err != nil {
		return err
	}
	return a.stance(stanceAsked{stance: s, changes: c.Changes, draw: c.stanceDrawFlags, json: c.JSON})
}

// stance reads the flags.
func (c *stanceHoldCmd) stance() (stance.Stance, error) {
	var s stance.Stance
	g := c.Gravity
	if g == 0 {
		g = source.Value("gravity_standard")
	}
	switch {
	case c.MassKg != nil && c.WeightN != nil:
		return s, refuse("given_twice", "Give the mass or the weight, not both.")
	case c.MassKg != nil:
		s.Mass = quantity.Kilogram(*c.MassKg)
	case c.WeightN != nil:
		s.Mass = quantity.Kilogram(*c.WeightN / g)
	default:
		return s, refuse("usage", "How heavy? Give --mass-kg or --weight-n.")
	}
	s.Gravity = quantity.MetrePerSecondSquared(c.Gravity)
	if err := c.centre(&s); err != nil {
		return s, err
	}
	var err error
	if s.Lean, err = c.lean(); err != nil {
		return s, err
	}
	if err := c.contacts(&s, g); err != nil {
		return s, err
	}
	switch share, err := c.share(float64(s.Mass)); {
	case err != nil:
		return s, err
	case share != nil && c.SharePct != nil:
		return s, refuse("given_twice", "Give the share of the left foot or the scales, not both.")
	case share != nil:
		s.LeftShare = share
	case c.SharePct != nil:
		r, err := quantity.PlusMinus(quantity.Ratio(*c.SharePct/100), quantity.Ratio(c.ShareError/100))
		if err != nil {
			return s, refuse("not_a_number", "The share of the left foot: %s.", err)
		}
		s.LeftShare = &r
	}
	s.Right, s.Forward = quantity.MetrePerSecond(c.SpeedRight), quantity.MetrePerSecond(c.SpeedForward)
	s.Pendulum = quantity.Metre(c.PendulumM)
	return s, nil
}

func (c *stanceHoldCmd) centre(s *stance.Stance) error {
	at, err := numbers("--centre-m", c.Centre, 2, 3)
	if err != nil {
		return err
	}
	if len(at) == 2 {
		if c.SlopeDeg != nil || c.SlopePct != nil || c.Resistance != "" || c.ByMS2 != nil {
			return refuse("usage", "On a slope the height of the centre of mass counts: --centre-m X,Y,Z.")
		}
		at = append(at, 0)
	}
	wrong := []float64{0, 0, 0}
	if c.Error != "" {
		if wrong, err = numbers("--centre-error-m", c.Error, 2, 3); err != nil {
			return err
		}
		wrong = append(wrong, 0)
	}
	for i, into := range []*quantity.Range[quantity.Metre]{&s.Centre.X, &s.Centre.Y, &s.Centre.Height} {
		if *into, err = quantity.PlusMinus(quantity.Metre(at[i]), quantity.Metre(wrong[i])); err != nil {
			return refuse("not_a_number", "The centre of mass: %s.", err)
		}
	}
	return nil
}

func (c *stanceHoldCmd) contacts(s *stance.Stance, g float64) error {
	for _, one := range []struct {
		flag, text string
		kind       stance.Kind
		side       finding.Side
	}{
		{"--left-ski-m", c.LeftSki, stance.Ski, finding.Left}, {"--right-ski-m", c.RightSki, stance.Ski, finding.Right},
		{"--left-runner-m", c.LeftRunner, stance.Runner, finding.Left}, {"--right-runner-m", c.RightRunner, stance.Runner, finding.Right},
		{"--left-frame-m", c.LeftFrame, stance.Frame, finding.Left}, {"--right-frame-m", c.RightFrame, stance.Frame, finding.Right},
	} {
		if one.text == "" {
			continue
		}
		v, err := numbers(one.flag, one.text, 2, 4)
		if err != nil {
			return err
		}
		if len(v) == 2 {
			v = append(v, v[0], v[1])
		}
		s.Contacts = append(s.Contacts, stance.Contact{Kind: one.kind, Side: one.side,
			Rear: stance.Point{X: quantity.Metre(v[0]), Y: quantity.Metre(v[1])}, Front: stance.Point{X: quantity.Metre(v[2]), Y: quantity.Metre(v[3])}})
	}
	aid, weight := stance.AidOf(s.Contacts), s.BodyWeight()
	arm := func(score int, w quantity.Newton) (stance.Limit, error) { return stance.ArmLimit(score, aid, w) }
	var limits [4]stance.Limit
	for i, l := range []struct {
		what  string
		flags *limitFlags
		by    func(int, quantity.Newton) (stance.Limit, error)
	}{{"left leg", &c.LeftLeg, stance.LegLimit}, {"right leg", &c.RightLeg, stance.LegLimit}, {"left arm", &c.LeftArm, arm}, {"right arm", &c.RightArm, arm}} {
		var err error
		if limits[i], err = l.flags.limit(l.what, weight, g, l.by); err != nil {
			return err
		}
	}
	for i := range s.Contacts {
		one := &s.Contacts[i]
		side := 0
		if one.Side == finding.Right {
			side = 1
		}
		switch one.Kind {
		case stance.Ski:
			one.Limit = limits[side]
		case stance.Runner:
			one.Limit = limits[2+side]
		}
	}
	switch {
	case c.ArmsN != nil && c.ArmsPct != nil:
		return refuse("given_twice", "Say in one way what the arms carry together.")
	case c.ArmsN != nil:
		s.Arms = stance.AtMost(quantity.Newton(*c.ArmsN), "given")
	case c.ArmsPct != nil:
		s.Arms = stance.AtMost(weight*quantity.Newton(*c.ArmsPct/100), "given")
	case c.Usual || aid == stance.Slider && limits[2].Known && limits[3].Known:
		s.Arms = stance.ArmsLimit(aid, limits[2], limits[3], weight)
	}
	return nil
}

// stanceSideSlopeCmd is two feet across a slope.
type stanceSideSlopeCmd struct {
	HalfM    *float64 `name:"half-stance-m" placeholder:"N" help:"Distance of each foot from the middle."`
	WidthM   *float64 `name:"stance-width-m" placeholder:"N" help:"Distance of the feet, instead."`
	HeightM  float64  `name:"centre-height-m" required:"" placeholder:"N" help:"Height of the centre of mass, square to the slope."`
	UphillM  float64  `name:"centre-uphill-m" placeholder:"N" help:"Centre of mass uphill of the middle of the feet."`
	Deg      *float64 `name:"side-slope-deg" aliases:"slope-deg" placeholder:"N" help:"Slope in degrees."`
	Pct      *float64 `name:"side-slope-pct" aliases:"slope-pct" placeholder:"N" help:"Slope in percent."`
	RunnersM float64  `name:"runners-m" placeholder:"N" help:"Distance of two outriggers' runners."`
	JSON     bool     `name:"json" help:"As JSON."`
}

// Run computes both sides.
func (c *stanceSideSlopeCmd) Run(a *app) error {
	half := c.HalfM
	switch {
	case half != nil && c.WidthM != nil:
		return refuse("given_twice", "Give half the stance or the whole width, not both.")
	case c.WidthM != nil:
		half = ptr(*c.WidthM / 2)
	case half == nil:
		return refuse("usage", "How far apart are the feet? Give --half-stance-m or --stance-width-m.")
	}
	slope, err := (&slopeFlags{SlopeDeg: c.Deg, SlopePct: c.Pct}).slope()
	if err != nil {
		return err
	}
	r, err := stance.Across{HalfStance: quantity.Metre(*half), Height: quantity.Metre(c.HeightM), Uphill: quantity.Metre(c.UphillM), Slope: slope,
		Runners: quantity.Metre(c.RunnersM)}.Sides()
	if err != nil {
		return stanceFault(err)
	}
	if c.JSON {
		return a.printJSON(map[string]any{
			"downhill_share": float64(r.Downhill), "downhill_share_pct": r.Downhill.Percent(), "uphill_share_pct": 100 - r.Downhill.Percent(),
			"stands": r.Stands, "tips_deg": r.Tips.Degrees(), "tips_pct": r.Tips.GradePercent(),
			"centre_uphill_for_equal_load_m": float64(r.Uphill),
			"upright_uphill_leg_shorter_mm":  r.ShorterLeg.Millimetres(), "upright_uphill_outrigger_shorter_mm": r.ShorterRunner.Millimetres(),
		})
	}
	p := a.sheet(c.JSON)
	p.line("downhill foot  %.1f %% of the load", r.Downhill.Percent())
	p.line("uphill foot    %.1f %%", 100-r.Downhill.Percent())
	if !r.Stands {
		p.line("The body tips here unless it leans uphill or an outrigger holds it downhill.")
	}
	p.line("tips at        %.2f degrees (%.1f %%)", r.Tips.Degrees(), r.Tips.GradePercent())
	p.line("equal loads    with the centre of mass %.0f mm uphill", r.Uphill.Millimetres())
	p.line("upright body   uphill leg shorter by %.0f mm", r.ShorterLeg.Millimetres())
	if c.RunnersM > 0 {
		p.line("               uphill outrigger shorter by %.0f mm", r.ShorterRunner.Millimetres())
	}
	return p.err
}

// stanceXcomCmd extrapolates a centre of mass.
type stanceXcomCmd struct {
	LengthM     *float64 `name:"length-m" placeholder:"N" help:"Length of the pendulum."`
	TrochanterM *float64 `name:"trochanter-height-m" placeholder:"N" help:"Instead: height of the greater trochanter, times one of the two below."`
	Sway        string   `name:"sway" enum:"standing,whole,frontal" default:"frontal" help:"standing: trunk upright, 1.2 times; whole: the body as one, 1.24; frontal: side to side, 1.34."`
	Ratio       *float64 `name:"pendulum-ratio" placeholder:"N" help:"Another factor, such as 1.34."`
	SpeedMS     float64  `name:"speed-m-s" placeholder:"N" help:"Speed of the centre of mass towards the edge."`
	InsideM     *float64 `name:"inside-edge-m" placeholder:"N" help:"How far the centre of mass is inside that edge."`
	Gravity     float64  `name:"g-m-s2" placeholder:"N" help:"Free fall; 9.80665 where not given."`
	JSON        bool     `name:"json" help:"As JSON."`
}

// Run extrapolates.
func (c *stanceXcomCmd) Run(a *app) error {
	var length quantity.Metre
	var err error
	switch {
	case c.LengthM != nil && c.TrochanterM != nil:
		return refuse("given_twice", "Give the length of the pendulum or the height of the trochanter, not both.")
	case c.LengthM != nil:
		length = quantity.Metre(*c.LengthM)
	case c.TrochanterM != nil && c.Ratio != nil:
		length = quantity.Metre(*c.TrochanterM * *c.Ratio)
	case c.TrochanterM != nil:
		length, err = stance.PendulumOf(quantity.Metre(*c.TrochanterM), c.Sway)
	default:
		return refuse("usage", "How long is the pendulum? Give --length-m or --trochanter-height-m.")
	}
	if err != nil {
		return stanceFault(err)
	}
	var inside *quantity.Metre
	if c.InsideM != nil {
		inside = ptr(quantity.Metre(*c.InsideM))
	}
	s, err := stance.Extrapolate(length, quantity.MetrePerSecondSquared(c.Gravity), quantity.MetrePerSecond(c.SpeedMS), inside)
	if err != nil {
		return stanceFault(err)
	}
	if c.JSON {
		out := map[string]any{"length_m": float64(s.Length), "rate_per_s": s.Rate, "time_s": 1 / s.Rate, "lead_m": float64(s.Lead)}
		if s.Margin != nil {
			out["margin_m"] = float64(*s.Margin)
		}
		return a.printJSON(out)
	}
	p := a.sheet(c.JSON)
	p.line("pendulum  %.3f m, %.3f 1/s (%.3f s)", float64(s.Length), s.Rate, 1/s.Rate)
	p.line("lead      %.3f m ahead of the centre of mass", float64(s.Lead))
	if s.Margin != nil {
		p.line("margin    %+.3f m inside the edge", float64(*s.Margin))
	}
	return p.err
}

// stancePolygonCmd is a base of support.
type stancePolygonCmd struct {
	Points  []string `name:"point-m" aliases:"points-m" sep:"none" placeholder:"X,Y" help:"A point of support; once for each, or several after each other parted by spaces."`
	Centre  string   `name:"centre-m" required:"" sep:"none" placeholder:"X,Y" help:"Where the centre of mass is, seen from above."`
	HeightM float64  `name:"centre-height-m" placeholder:"N" help:"Its height, for the leans that tip."`
	JSON    bool     `name:"json" help:"As JSON."`
}

// Run finds the base.
func (c *stancePolygonCmd) Run(a *app) error {
	var points []stance.Point
	for _, text := range c.Points {
		for _, one := range strings.Fields(strings.ReplaceAll(text, ";", " ")) {
			v, err := numbers("--point-m", one, 2)
			if err != nil {
				return err
			}
			points = append(points, stance.Point{X: quantity.Metre(v[0]), Y: quantity.Metre(v[1])})
		}
	}
	at, err := numbers("--centre-m", c.Centre, 2)
	if err != nil {
		return err
	}
	b, err := stance.BaseOf(points, stance.Point{X: quantity.Metre(at[0]), Y: quantity.Metre(at[1])}, quantity.Metre(c.HeightM))
	if err != nil {
		return stanceFault(err)
	}
	if c.JSON {
		edges := []map[string]any{}
		for _, e := range b.Edges {
			edges = append(edges, map[string]any{"from_m": xy(e.From), "to_m": xy(e.To), "faces": e.Faces.String(), "distance_m": float64(e.Distance)})
		}
		ways := []map[string]any{}
		for d := range b.Ways {
			way := map[string]any{"toward": stance.Direction(d).String(), "edge_m": float64(b.Ways[d])}
			if c.HeightM > 0 {
				way["tips_deg"] = b.Tips[d].Degrees()
			}
			ways = append(ways, way)
		}
		return a.printJSON(map[string]any{"margin_m": float64(b.Margin), "nearest_edge": b.Toward.String(), "edges": edges, "directions": ways})
	}
	p := a.sheet(c.JSON)
	p.line("margin %.3f m, nearest edge %s", float64(b.Margin), b.Toward)
	p.heading("Edges")
	for _, e := range b.Edges {
		p.line("  %-14s %.3f m away", e.Faces, float64(e.Distance))
	}
	p.heading("To the edge in eight directions")
	for d := range b.Ways {
		line := fmt.Sprintf("  %-14s %.3f m", stance.Direction(d), float64(b.Ways[d]))
		if c.HeightM > 0 {
			line += fmt.Sprintf(", tips at %.1f degrees", b.Tips[d].Degrees())
		}
		p.line("%s", line)
	}
	return p.err
}

func xy(p stance.Point) [2]float64 { return [2]float64{float64(p.X), float64(p.Y)} }

// stanceLeanCmd leans apparent gravity.
type stanceLeanCmd struct {
	slopeFlags
	JSON bool `name:"json" help:"As JSON."`
}

// Run leans.
func (c *stanceLeanCmd) Run(a *app) error {
	l, err := c.lean()
	if err != nil {
		return err
	}
	deg := func(r quantity.Ratio) float64 { return quantity.Radian(math.Atan(float64(r))).Degrees() }
	if c.JSON {
		return a.printJSON(map[string]any{"lean_deg": l.Angle().Degrees(),
			"forward_deg": deg(l.Forward.Value()), "forward_low_deg": deg(l.Forward.Low()), "forward_high_deg": deg(l.Forward.High()),
			"right_deg": deg(l.Right.Value()), "weight_on_snow_pct": 100 * math.Max(float64(l.Normal), 0)})
	}
	p := a.sheet(c.JSON)
	p.line("apparent gravity leans %.2f degrees from square to the snow", l.Angle().Degrees())
	p.line("  forward    %.2f degrees", deg(l.Forward.Value()))
	p.line("  right      %.2f degrees", deg(l.Right.Value()))
	return p.err
}

// stanceScalesCmd shares a load between two feet.
type stanceScalesCmd struct {
	LeftKg  *float64 `name:"left-kg" placeholder:"N" help:"What the scale under the left foot shows."`
	RightKg *float64 `name:"right-kg" placeholder:"N" help:"What the scale under the right foot shows."`
	LeftN   *float64 `name:"left-n" placeholder:"N" help:"The same in newtons."`
	RightN  *float64 `name:"right-n" placeholder:"N" help:"The same in newtons."`
	ErrorKg float64  `name:"scale-error-kg" placeholder:"N" help:"Error of one scale; 0.5 where not given."`
	MassKg  float64  `name:"mass-kg" placeholder:"N" help:"What should stand on both together; not compared where it is not given."`
	WrongKg float64  `name:"mass-error-kg" placeholder:"N" help:"How far off that may be."`
	Hands   bool     `name:"hands" help:"Hands rested on something meanwhile."`
	JSON    bool     `name:"json" help:"As JSON."`
}

// Run shares.
func (c *stanceScalesCmd) Run(a *app) error {
	g := source.Value("gravity_standard")
	l, r := c.LeftKg, c.RightKg
	if c.LeftN != nil && c.RightN != nil && l == nil && r == nil {
		l, r = ptr(*c.LeftN/g), ptr(*c.RightN/g)
	}
	if l == nil || r == nil {
		return refuse("usage", "Two scales are needed: --left-kg and --right-kg, or --left-n and --right-n.")
	}
	share, err := stance.Scales{Left: quantity.Kilogram(*l), Right: quantity.Kilogram(*r), Error: quantity.Kilogram(c.ErrorKg), Hands: c.Hands}.
		Share(quantity.Kilogram(c.MassKg), quantity.Kilogram(c.WrongKg))
	if err != nil {
		return stanceFault(err)
	}
	if c.JSON {
		return a.printJSON(map[string]any{"left_pct": share.Value().Percent(), "left_low_pct": share.Low().Percent(), "left_high_pct": share.High().Percent(),
			"right_pct": 100 - share.Value().Percent(), "sum_kg": *l + *r})
	}
	p := a.sheet(c.JSON)
	p.line("left foot  %.1f %% of the load (%.1f to %.1f)", share.Value().Percent(), share.Low().Percent(), share.High().Percent())
	p.line("right foot %.1f %%", 100-share.Value().Percent())
	return p.err
}
