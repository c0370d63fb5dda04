package cli

import (
	"math"

	"firnhand/core/body"
	"firnhand/core/quantity"
)

// bodyFlexCmd bends legs and trunk.
type bodyFlexCmd struct {
	Stature *float64 `name:"stature-cm" placeholder:"N" help:"Lengths by Drillis and Contini from this stature."`
	ShankMM *float64 `name:"shank-mm" placeholder:"N" help:"Knee to ankle, instead."`
	ThighMM *float64 `name:"thigh-mm" placeholder:"N" help:"Hip to knee, instead."`
	TrunkMM *float64 `name:"trunk-mm" placeholder:"N" help:"Shoulder centre to hip, instead."`
	Ankle   float64  `name:"ankle-deg" required:"" help:"Shank ahead of the vertical."`
	Knee    float64  `name:"knee-deg" required:"" help:"Knee bend."`
	Trunk   float64  `name:"trunk-deg" required:"" help:"Trunk ahead of the vertical."`
	JSON    bool     `name:"json" help:"As JSON."`
}

// Run computes.
func (c *bodyFlexCmd) Run(a *app) error {
	var shank, thigh, trunk quantity.Metre
	if c.Stature != nil {
		shank, thigh, trunk = body.DrillisLengths(quantity.Metre(*c.Stature / 100))
	} else if c.ShankMM == nil || c.ThighMM == nil || c.TrunkMM == nil {
		return refuse("usage", "Give --stature-cm, or --shank-mm, --thigh-mm and --trunk-mm.")
	}
	for own, to := range map[*float64]*quantity.Metre{c.ShankMM: &shank, c.ThighMM: &thigh, c.TrunkMM: &trunk} {
		if own != nil {
			*to = quantity.Metre(*own / 1000)
		}
	}
	rad := func(v float64) quantity.Radian { return quantity.Radian(v / 180 * math.Pi) }
	f, err := body.Flex(shank, thigh, trunk, rad(c.Ankle), rad(c.Knee), rad(c.Trunk))
	if err != nil {
		return bodyFault(err)
	}
	if c.JSON {
		return a.printJSON(map[string]any{"shoulder_drop_mm": f.Drop.Millimetres(), "shoulder_ahead_of_ankle_mm": f.Ahead.Millimetres(),
			"shank_mm": shank.Millimetres(), "thigh_mm": thigh.Millimetres(), "trunk_mm": trunk.Millimetres()})
	}
	p := a.sheet(c.JSON)
	p.line("shoulder %.0f mm lower, %.0f mm ahead of the ankle", f.Drop.Millimetres(), f.Ahead.Millimetres())
	return p.err
}
