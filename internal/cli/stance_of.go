package cli

import (
	"path/filepath"
	"strings"

	"firnhand/core/body"
	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/stance"
	"firnhand/programme"
)

// stanceOfCmd balances the person of a file.
type stanceOfCmd struct {
	File    string   `arg:"" help:"A person's file; - reads from standard input."`
	Aid     string   `enum:",none,outriggers,one_outrigger_left,one_outrigger_right,slider,one_ski_left,one_ski_right" default:"" help:"How to stand: none, outriggers, one_outrigger_left, one_outrigger_right, slider, one_ski_left, one_ski_right (the leg that stands); what the decision says where it is not given."`
	Ankle   string   `name:"ankle-deg" placeholder:"N[,N]" help:"Shank ahead of the vertical, both or left,right, instead of the file's." group:"pose"`
	Knee    string   `name:"knee-deg" placeholder:"N[,N]" help:"Knee bend." group:"pose"`
	Trunk   *float64 `name:"trunk-deg" placeholder:"N" help:"Trunk ahead of the vertical." group:"pose"`
	TrunkR  float64  `name:"trunk-right-deg" placeholder:"N" help:"Trunk to the student's right." group:"pose"`
	WidthCM *float64 `name:"stance-width-cm" placeholder:"N" help:"Between the ankles." group:"pose"`

	slopeFlags
	scaleFlags
	NoLimits bool   `name:"no-limits" help:"Set no limits from the findings, nor from what was measured on a scale."`
	Square   bool   `help:"On a slope: the body square to the snow, instead of upright against what pulls."`
	Each     bool   `name:"situations" help:"Also the straight run, waiting, and standing across the slope either way; needs --slope-deg or --slope-pct."`
	Changes  bool   `help:"Also what to change, with the margin it buys."`
	Card     string `placeholder:"FILE.pdf" help:"Also as a card of one A5 page: the drawings, what it comes to, and the set-up's numbers."`
	Rules    string `placeholder:"FILE" help:"Decide by this rule table instead of the one built in."`
	stanceDrawFlags
	JSON bool `name:"json" help:"As JSON."`
}

// Run poses and balances.
func (c *stanceOfCmd) Run(a *app) error {
	d, err := a.decide(c.File, c.Rules, "")
	if err != nil {
		return err
	}
	name := c.Aid
	if name == "" {
		if name, _ = axisValue(d.answer, "way"); name == open || name == "" {
			return refuse("aid_open", "The decision leaves open how to stand; say what to try: --aid outriggers.")
		}
	}
	way, ok := stance.WayOf(name)
	if !ok {
		return refuse("sits", "The decision is to sit; a standing stance can still be tried with --aid.")
	}
	posing, err := c.posing(d, name, way)
	if err != nil {
		return err
	}
	lean, err := c.lean()
	if err != nil {
		return err
	}
	share, err := c.shareOf(d)
	if err != nil {
		return err
	}
	posed, s, err := c.stand(d, posing, lean, share)
	if err != nil {
		return inFile(err, c.File)
	}
	who := &whoStands{Name: d.person.Name, Aid: name, Taken: posed.Taken, posed: posed}
	if c.HeadingDeg == 0 {
		who.slope, _ = c.slope() // read once already
	}
	who.Handle.L, who.Elbow.L = handleAndElbow(posed, body.Left)
	who.Handle.R, who.Elbow.R = handleAndElbow(posed, body.Right)
	if c.Each {
		if who.Situations, err = c.situations(d, posing, share); err != nil {
			return err
		}
	}
	who.Hold = d.held()
	if c.Card != "" && strings.ToLower(filepath.Ext(c.Card)) != ".pdf" {
		return refuse("usage", "A card is written as .pdf, not %s.", c.Card)
	}
	who.Upright = posed.Says()
	if err := a.stance(stanceAsked{stance: s, changes: c.Changes, draw: c.stanceDrawFlags, json: c.JSON, who: who}); err != nil {
		return err
	}
	if c.Card != "" {
		if err := c.card(a, d, name, posed, s); err != nil {
			return err
		}
	}
	if who.Hold {
		return errHeld
	}
	return nil
}

// shareOf returns the share of the feet by the flags' scales, else the file's.
func (c *stanceOfCmd) shareOf(d *decided) (*quantity.Range[quantity.Ratio], error) {
	m := d.person.Measured.Measures()
	if c.LeftKg != nil || c.RightKg != nil {
		if c.LeftKg == nil || c.RightKg == nil {
			return nil, refuse("usage", "Two scales are needed: --scale-left-kg and --scale-right-kg.")
		}
		m.Set("scale_kg", finding.Left, *c.LeftKg)
		m.Set("scale_kg", finding.Right, *c.RightKg)
		if c.ErrorKg != 0 {
			m.Set("scale_error_kg", finding.NoSide, c.ErrorKg)
		}
		if c.Hands {
			m[programme.MeasureKey{Measure: "scale_hands", Side: "none"}] = "yes"
		}
	}
	share, err := programme.ShareOf(d.person.Findings, m)
	if err != nil {
		return nil, refuse("scales_contradict", "%s", programme.SentenceOf(err))
	}
	return share, nil
}

// stand poses the person against a lean and sets what legs and arms carry.
func (c *stanceOfCmd) stand(d *decided, posing stance.Posing, lean stance.Lean, share *quantity.Range[quantity.Ratio]) (*stance.Posed, stance.Stance, error) {
	posing.Against, posing.Square = lean, c.Square
	posed, err := posing.Pose()
	if err != nil {
		return nil, stance.Stance{}, stanceFault(err)
	}
	s, err := posed.Stance()
	if err != nil {
		return nil, s, stanceFault(err)
	}
	s.Gravity = quantity.MetrePerSecondSquared(c.Gravity)
	if s.Lean = lean.Met(); c.Square {
		s.Lean = lean
	}
	if !c.NoLimits {
		programme.LimitsOf(&s, d.person.Findings, d.person.Measured.Measures())
	}
	if _, err := programme.Shared(&s, share); err != nil {
		return nil, s, stanceFault(err)
	}
	return posed, s, nil
}

// situationView is one of the situations of a lesson.
type situationView struct {
	Code    string  `json:"code"`
	Name    string  `json:"name"`
	Verdict string  `json:"verdict"`
	ArmsN   *span   `json:"arms_least_n"`
	Margin  span    `json:"margin_m"`
	Reserve *span   `json:"reserve_m"`
	Nearest string  `json:"reserve_towards,omitempty"`
	AlongN  float64 `json:"snow_holds_along_n"`
	AcrossN float64 `json:"snow_holds_across_n"`
	Upright string  `json:"upright,omitempty"` // how the person stands there
}

// situations balances the person in each situation of a lesson.
func (c *stanceOfCmd) situations(d *decided, posing stance.Posing, share *quantity.Range[quantity.Ratio]) ([]situationView, error) {
	slope, err := c.slope()
	if err != nil {
		return nil, err
	}
	if slope == 0 {
		return nil, refuse("usage", "The situations of a lesson need a slope: --slope-deg or --slope-pct.")
	}
	resistance, err := c.resistance()
	if err != nil {
		return nil, err
	}
	list, err := stance.Situations(slope, resistance)
	if err != nil {
		return nil, stanceFault(err)
	}
	var out []situationView
	for _, one := range list {
		posed, s, err := c.stand(d, posing, one.Lean, share)
		if err != nil {
			return nil, err
		}
		r, err := stance.Analyse(s)
		if err != nil {
			return nil, stanceFault(err)
		}
		v := viewStance(r, nil, nil)
		out = append(out, situationView{one.Code, one.Name, v.Verdict, v.ArmsN, v.Margin, v.Reserve, v.Nearest, v.AlongN, v.AcrossN, posed.Says()})
	}
	return out, nil
}

// resistance returns the resistance that was given, or that of a straight
// glide on all kinds of snow.
func (c *stanceOfCmd) resistance() (quantity.Range[quantity.Ratio], error) {
	if c.Resistance != "" {
		return c.slopeFlags.resistance()
	}
	taken, _ := stance.Glide()
	return taken, nil
}

func handleAndElbow(p *stance.Posed, s body.Side) (cm, deg *float64) {
	bend, ok := p.Elbow(s)
	if !ok {
		return nil, nil
	}
	return ptr(p.Handle.At(s).Centimetres()), ptr(bend.Degrees())
}

// posing takes what the file measured, with the flags over it.
func (c *stanceOfCmd) posing(d *decided, name string, way stance.Way) (stance.Posing, error) {
	in, err := (&fitCmd{For: name}).input(d)
	if err != nil {
		return stance.Posing{}, inFile(err, c.File)
	}
	for _, x := range []struct {
		flag, text string
		into       *body.Pair[*quantity.Radian]
	}{{"--ankle-deg", c.Ankle, &in.Stance.Ankle}, {"--knee-deg", c.Knee, &in.Stance.Knee}} {
		if x.text == "" {
			continue
		}
		v, err := sidesOf(x.flag, x.text, body.Pair[quantity.Radian]{})
		if err != nil {
			return stance.Posing{}, err
		}
		x.into.Left, x.into.Right = &v.Left, &v.Right
	}
	angle := func(deg float64) (quantity.Radian, error) {
		r, err := quantity.Degrees(deg)
		if err != nil {
			return 0, refuse("not_a_number", "The lean of the trunk: %s.", err)
		}
		return r, nil
	}
	if c.Trunk != nil {
		r, err := angle(*c.Trunk)
		if err != nil {
			return stance.Posing{}, err
		}
		in.Stance.Trunk = &r
	}
	if c.WidthCM != nil {
		in.Stance.Width = ptr(quantity.Metre(*c.WidthCM / 100))
	}
	right, err := angle(c.TrunkR)
	p := programme.PosingOf(in, way, d.person.Findings, d.person.Measured.Measures())
	p.Right = right
	return p, err
}
