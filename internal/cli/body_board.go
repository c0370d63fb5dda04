package cli

import (
	"fmt"

	"firnhand/core/body"
	"firnhand/core/quantity"
)

// bodyBoardCmd is about what scales and supports tell.
type bodyBoardCmd struct {
	ScaleN  []string `name:"scale-n" sep:"none" placeholder:"N@X[,Y]" help:"A scale's reading in newtons and its place in metres; two or more."`
	ScaleKg []string `name:"scale-kg" sep:"none" placeholder:"KG@X[,Y]" help:"The same in kilograms."`
	EmptyN  []string `name:"empty-at-n" sep:"none" placeholder:"N@X[,Y]" help:"What a scale at that place shows with the empty board."`
	EmptyAt []string `name:"empty-at-kg" sep:"none" placeholder:"KG@X[,Y]" help:"The same in kilograms."`

	LengthM  *float64 `name:"length-m" placeholder:"N" help:"Reaction board: from the pivot to its one scale."`
	EmptyKg  *float64 `name:"empty-kg" placeholder:"N" help:"Reaction board: the scale with the empty board."`
	LoadedKg *float64 `name:"loaded-kg" placeholder:"N" help:"Reaction board: the scale with the person on it."`
	PersonKg *float64 `name:"person-kg" placeholder:"N" help:"Mass of the person."`
	EmptyFN  *float64 `name:"empty-n" placeholder:"N" help:"The same in newtons."`
	LoadedN  *float64 `name:"loaded-n" placeholder:"N" help:"The same in newtons."`
	PersonN  *float64 `name:"person-n" placeholder:"N" help:"The same in newtons."`
	PlankKg  *float64 `name:"plank-kg" placeholder:"N" help:"Mass of the board or beam itself."`
	PlankN   *float64 `name:"plank-n" placeholder:"N" help:"Weight of the board or beam itself."`
	PlankAt  *float64 `name:"plank-at-m" placeholder:"X" help:"Where the board's own centre is."`

	Support []float64 `name:"support-m" placeholder:"X" help:"A support of a beam; two of them give what each carries."`
	LoadN   []string  `name:"load-n" sep:"none" placeholder:"N@X" help:"A load on the beam in newtons."`
	LoadKg  []string  `name:"load-kg" sep:"none" placeholder:"KG@X" help:"A load on the beam in kilograms."`

	Pivot     *float64 `name:"pivot-m" placeholder:"X" help:"A beam on one pivot: where it is."`
	UnknownM  *float64 `name:"unknown-m" placeholder:"X" help:"With a pivot: where the load of unknown weight lies."`
	UnknownN  *float64 `name:"unknown-n" placeholder:"N" help:"With a pivot: the weight of a load at an unknown place."`
	UnknownKg *float64 `name:"unknown-kg" placeholder:"KG" help:"The same in kilograms."`

	LeftKg     *float64 `name:"left-kg" placeholder:"N" help:"Two scales under two feet: the left one."`
	RightKg    *float64 `name:"right-kg" placeholder:"N" help:"Two scales under two feet: the right one."`
	ExpectedKg *float64 `name:"expected-kg" placeholder:"N" help:"What should stand on both scales: the person with what is worn."`
	SpreadKg   float64  `name:"expected-error-kg" default:"0.5" help:"How far off that may be."`
	ErrorKg    *float64 `name:"scale-error-kg" placeholder:"N" help:"Error of one scale; 0.5 where not given."`
	HeldKg     float64  `name:"held-kg" default:"0" help:"At most this much is held by hands on a rail."`

	Gravity float64 `name:"g-m-s2" default:"9.80665" help:"Free fall, to turn newtons into kilograms."`
	JSON    bool    `name:"json" help:"As JSON."`
}

// Run computes what the flags describe.
func (c *bodyBoardCmd) Run(a *app) error {
	if !(c.Gravity > 0) {
		return refuse("usage", "Free fall must be above zero.")
	}
	var out map[string]any
	var text string
	var err error
	kinds := 0
	for _, k := range []struct {
		asked bool
		run   func() (map[string]any, string, error)
	}{
		{len(c.ScaleN)+len(c.ScaleKg) > 0, c.scales},
		{c.LengthM != nil, c.reaction},
		{len(c.Support) > 0, c.beam},
		{c.Pivot != nil, c.pivot},
		{c.LeftKg != nil || c.RightKg != nil, c.feet},
	} {
		if k.asked {
			kinds++
			out, text, err = k.run()
		}
	}
	switch {
	case kinds == 0:
		return refuse("usage", "Say what is there: scales (--scale-n 290@0 --scale-n 122@2.5), a reaction board (--length-m), supports (--support-m), a pivot (--pivot-m), or two feet (--left-kg, --right-kg).")
	case kinds > 1:
		return refuse("usage", "One board at a time: scales, a reaction board, supports, a pivot, or two feet.")
	case err != nil:
		return bodyFault(err)
	case c.JSON:
		return a.printJSON(out)
	}
	p := a.sheet(c.JSON)
	p.para(0, text)
	return p.err
}

// forces reads loads in newtons and kilograms as newtons.
func (c *bodyBoardCmd) forces(inN, inKg []string, flag string) ([]body.Scale, error) {
	var out []body.Scale
	for i, texts := range [][]string{inN, inKg} {
		for _, text := range texts {
			v, at, err := placed("--"+flag, text)
			if err != nil {
				return nil, err
			}
			if i == 1 {
				v *= c.Gravity
			}
			out = append(out, body.Scale{At: at, Force: v})
		}
	}
	return out, nil
}

// plank returns the weight of the board itself in newtons.
func (c *bodyBoardCmd) plank() (weight, at float64, given bool, err error) {
	switch {
	case c.PlankKg != nil && c.PlankN != nil:
		return 0, 0, false, refuse("given_twice", "Give the board's mass or its weight, not both.")
	case c.PlankKg == nil && c.PlankN == nil:
		return 0, 0, false, nil
	case c.PlankAt == nil:
		return 0, 0, false, refuse("usage", "A heavy board needs --plank-at-m, where its own centre is.")
	case c.PlankKg != nil:
		return *c.PlankKg * c.Gravity, *c.PlankAt, true, nil
	}
	return *c.PlankN, *c.PlankAt, true, nil
}

func (c *bodyBoardCmd) scales() (map[string]any, string, error) {
	scales, err := c.forces(c.ScaleN, c.ScaleKg, "scale-n")
	if err != nil {
		return nil, "", err
	}
	empties, err := c.forces(c.EmptyN, c.EmptyAt, "empty-at-n")
	if err != nil {
		return nil, "", err
	}
	for _, e := range empties {
		found := false
		for i := range scales {
			if scales[i].At == e.At && !found {
				scales[i].Empty, found = e.Force, true
			}
		}
		if !found {
			return nil, "", refuse("unknown_point", "There is no scale at the place of an empty reading.")
		}
	}
	b, err := body.OnScales(scales)
	if err != nil {
		return nil, "", err
	}
	force, centre := b.Force, b.Centre
	if w, at, given, err := c.plank(); err != nil {
		return nil, "", err
	} else if given {
		whole := body.Plane{Mass: force, Centre: centre}
		if force, centre, err = body.Exchange(whole, []body.Lump{{Mass: w, From: body.Point{X: at}, To: body.Point{X: at}}}, nil); err != nil {
			return nil, "", err
		}
	}
	first, last := scales[0].At, scales[len(scales)-1].At
	out := map[string]any{"weight_n": force, "mass_kg": force / c.Gravity, "cm": pointView(centre),
		"cm_from_first_m": distance(centre, first), "cm_from_last_m": distance(centre, last)}
	return out, fmt.Sprintf("%.4g N (%.4g kg), centre at %.3f m, %.3f m from the first scale and %.3f m from the last", force, force/c.Gravity,
		centre.X, distance(centre, first), distance(centre, last)), nil
}

func distance(a, b body.Point) float64 {
	return float64(body.Lump{From: body.Point(a), To: body.Point(b)}.Length())
}

// inOneUnit returns a value given in kilograms or newtons, in newtons.
func (c *bodyBoardCmd) inOneUnit(what string, kg, n *float64) (float64, bool, error) {
	switch {
	case kg != nil && n != nil:
		return 0, false, refuse("given_twice", "Give %s in kilograms or in newtons, not both.", what)
	case kg != nil:
		return *kg * c.Gravity, true, nil
	case n != nil:
		return *n, true, nil
	}
	return 0, false, nil
}

func (c *bodyBoardCmd) reaction() (map[string]any, string, error) {
	loaded, ok, err := c.inOneUnit("the loaded reading", c.LoadedKg, c.LoadedN)
	if err != nil {
		return nil, "", err
	}
	person, ok2, err := c.inOneUnit("the person", c.PersonKg, c.PersonN)
	if err != nil {
		return nil, "", err
	}
	if !ok || !ok2 {
		return nil, "", refuse("usage", "A reaction board needs --loaded-kg and --person-kg (or -n), and --empty-kg or the board's own mass and place.")
	}
	empty, given, err := c.inOneUnit("the empty reading", c.EmptyKg, c.EmptyFN)
	if err != nil {
		return nil, "", err
	}
	if w, at, heavy, err := c.plank(); err != nil {
		return nil, "", err
	} else if heavy {
		if given {
			return nil, "", refuse("given_twice", "Give the empty reading or the board's own mass, not both.")
		}
		if *c.LengthM != 0 {
			empty = w * at / *c.LengthM
		}
	}
	x, err := body.ReactionBoard(*c.LengthM, empty, loaded, person)
	if err != nil {
		return nil, "", err
	}
	out := map[string]any{"cm_from_pivot_m": x, "cm_from_scale_m": *c.LengthM - x}
	return out, fmt.Sprintf("centre %.3f m from the pivot, %.3f m from the scale", x, *c.LengthM-x), nil
}

// loads reads what lies on a beam, the beam itself included.
func (c *bodyBoardCmd) loads() ([]body.Load, error) {
	read, err := c.forces(c.LoadN, c.LoadKg, "load-n")
	if err != nil {
		return nil, err
	}
	var out []body.Load
	for _, l := range read {
		if l.At.Y != 0 {
			return nil, refuse("usage", "A load on a beam has one place, N@X.")
		}
		out = append(out, body.Load{At: l.At.X, Force: l.Force})
	}
	w, at, given, err := c.plank()
	if given {
		out = append(out, body.Load{At: at, Force: w})
	}
	return out, err
}

func (c *bodyBoardCmd) beam() (map[string]any, string, error) {
	loads, err := c.loads()
	if err != nil {
		return nil, "", err
	}
	if len(c.Support) != 2 {
		return nil, "", refuse("supports_equal", "A beam stands on two supports: --support-m twice.")
	}
	if len(loads) == 0 {
		return nil, "", refuse("nothing_given", "There is no load on the beam.")
	}
	first, second, err := body.Reactions(c.Support[0], c.Support[1], loads)
	if err != nil {
		return nil, "", err
	}
	sum, moment := 0.0, 0.0
	for _, l := range loads {
		sum += l.Force
		moment += l.Force * l.At
	}
	out := map[string]any{"reactions": []map[string]any{
		{"at_m": c.Support[0], "force_n": first, "mass_kg": first / c.Gravity}, {"at_m": c.Support[1], "force_n": second, "mass_kg": second / c.Gravity}},
		"weight_n": sum, "mass_kg": sum / c.Gravity, "cm_at_m": moment / sum, "held": first >= 0 && second >= 0}
	text := fmt.Sprintf("%.4g N at %.3g m and %.4g N at %.3g m", first, c.Support[0], second, c.Support[1])
	if first < 0 || second < 0 {
		text += "; the beam tips, one support would have to pull"
	}
	return out, text, nil
}

func (c *bodyBoardCmd) pivot() (map[string]any, string, error) {
	loads, err := c.loads()
	if err != nil {
		return nil, "", err
	}
	if len(loads) == 0 {
		return nil, "", refuse("nothing_given", "There is no load on the beam.")
	}
	unknown, weighed, err := c.inOneUnit("the unknown load", c.UnknownKg, c.UnknownN)
	switch {
	case err != nil:
		return nil, "", err
	case c.UnknownM != nil && !weighed:
		f, err := body.Counterweight(*c.Pivot, *c.UnknownM, loads)
		if err != nil {
			return nil, "", err
		}
		return map[string]any{"force_n": f, "mass_kg": f / c.Gravity, "at_m": *c.UnknownM}, fmt.Sprintf("%.4g N (%.4g kg) at %.3g m", f, f/c.Gravity, *c.UnknownM), nil
	case weighed && c.UnknownM == nil:
		at, err := body.CounterPlace(*c.Pivot, unknown, loads)
		if err != nil {
			return nil, "", err
		}
		return map[string]any{"force_n": unknown, "mass_kg": unknown / c.Gravity, "at_m": at, "from_pivot_m": at - *c.Pivot}, fmt.Sprintf("at %.4g m, %.4g m from the pivot", at, at-*c.Pivot), nil
	}
	return nil, "", refuse("usage", "With a pivot, give the place of the unknown load (--unknown-m) or its weight (--unknown-n), one of them.")
}

func (c *bodyBoardCmd) feet() (map[string]any, string, error) {
	if c.LeftKg == nil || c.RightKg == nil || c.ExpectedKg == nil {
		return nil, "", refuse("usage", "Two feet on two scales need --left-kg, --right-kg and --expected-kg.")
	}
	each := body.ScaleError()
	if c.ErrorKg != nil {
		each = quantity.Kilogram(*c.ErrorKg)
	}
	expected, err := quantity.PlusMinus(quantity.Kilogram(*c.ExpectedKg), quantity.Kilogram(c.SpreadKg))
	if err != nil {
		return nil, "", refuse("not_a_number", "What should stand on the scales: %s.", err)
	}
	s, err := body.TwoScales(quantity.Kilogram(*c.LeftKg), quantity.Kilogram(*c.RightKg), each, expected, quantity.Kilogram(c.HeldKg))
	if err != nil {
		return nil, "", err
	}
	out := map[string]any{"left_pct": 100 * s.Left, "right_pct": 100 * (1 - s.Left), "error_pct": 100 * s.SD, "sum_kg": *c.LeftKg + *c.RightKg}
	return out, fmt.Sprintf("left %.1f %%, right %.1f %%, ± %.1f %%", 100*s.Left, 100*(1-s.Left), 100*s.SD), nil
}
