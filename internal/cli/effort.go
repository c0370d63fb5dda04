package cli

import (
	"fmt"
	"strings"

	"firnhand/core/effort"
	"firnhand/core/quantity"
)

// effortCmd is about what moving costs.
type effortCmd struct {
	Walk  effortWalkCmd  `cmd:"" help:"Energy of walking: level, up, down, with a load, on snow, by this student."`
	Step  effortStepCmd  `cmd:"" help:"Energy of stepping, and of side steps up a slope."`
	Slide effortSlideCmd `cmd:"" help:"Energy of sliding and other activities by the Compendium's codes."`
	Rest  effortRestCmd  `cmd:"" help:"Rest owed after a piece of work."`
	Gait  effortGaitCmd  `cmd:"" help:"Published multipliers of a changed gait."`
}

// studentFlags are what is known of this student.
type studentFlags struct {
	massIn
	Multiplier *float64 `placeholder:"N" help:"What this student's gait costs over a healthy adult's at the same speed."`
	Group      string   `placeholder:"WORDS" help:"Take the published multiplier of a group (firnhand effort gait)."`
	WalkedM    *float64 `name:"walked-m" placeholder:"N" help:"Distance of this student's timed walk on the level: gives a multiplier."`
	WalkedMin  float64  `name:"walked-min" default:"6" placeholder:"N" help:"Minutes of that walk."`
	WalkedO2   *float64 `name:"walked-vo2-ml-kg-min" placeholder:"N" help:"Oxygen measured on that walk."`
	Capacity   string   `name:"vo2max-ml-kg-min" placeholder:"N[,LOW..HIGH]" help:"Greatest oxygen uptake, measured; gives the share of it that is used."`
	Minutes    *float64 `placeholder:"N" help:"How long: gives energy and the rest that is owed."`
	JSON       bool     `name:"json" help:"As JSON."`
}

type multiplierView struct {
	Words    string   `json:"words"`
	Ratio    float64  `json:"ratio"`
	Low      float64  `json:"ratio_low"`
	High     float64  `json:"ratio_high"`
	How      string   `json:"how"`
	Ref      string   `json:"source,omitempty"`
	Status   string   `json:"status,omitempty"`
	Verified bool     `json:"verified"`
	Notes    []string `json:"notes"`
}

type shareView struct {
	Pct   float64 `json:"of_capacity_pct"`
	Low   float64 `json:"of_capacity_low_pct"`
	High  float64 `json:"of_capacity_high_pct"`
	Load  string  `json:"load"`
	Worst string  `json:"load_at_worst"`
	Words string  `json:"words"`
}

// rateView is a rate as JSON.
type rateView struct {
	What       string          `json:"what"`
	Known      bool            `json:"known"`
	WKg        *float64        `json:"rate_w_kg"`
	WKgLow     *float64        `json:"rate_low_w_kg"`
	WKgHigh    *float64        `json:"rate_high_w_kg"`
	VO2        *float64        `json:"vo2_ml_kg_min"`
	MET        *float64        `json:"met"`
	W          *float64        `json:"power_w"`
	WLow       *float64        `json:"power_low_w"`
	WHigh      *float64        `json:"power_high_w"`
	KcalMin    *float64        `json:"kcal_min"`
	KcalH      *float64        `json:"kcal_h"`
	Kcal       *float64        `json:"kcal,omitempty"`
	RestMin    *float64        `json:"rest_owed_min,omitempty"`
	RestMax    *float64        `json:"rest_owed_high_min,omitempty"`
	Eta        *float64        `json:"terrain_factor,omitempty"`
	EtaFits    []float64       `json:"terrain_factor_fits,omitempty"`
	Multiplier *multiplierView `json:"multiplier,omitempty"`
	Share      *shareView      `json:"share,omitempty"`
	Extra      map[string]any  `json:"given,omitempty"`
	Outside    []string        `json:"outside"`
	Notes      []string        `json:"notes"`
	Sources    []string        `json:"sources"`
	Cautions   []string        `json:"cautions"`
}

// multiplier returns the student's multiplier; nil where none is asked for.
func (s *studentFlags) multiplier() (*effort.Multiplier, error) {
	ways := 0
	for _, given := range []bool{s.Multiplier != nil, s.Group != "", s.WalkedM != nil} {
		if given {
			ways++
		}
	}
	if ways > 1 {
		return nil, refuse("given_twice", "Give one of --multiplier, --group and --walked-m.")
	}
	var m effort.Multiplier
	var err error
	switch {
	case s.Multiplier != nil:
		m, err = effort.Given(*s.Multiplier)
	case s.Group != "":
		m, err = effort.OfGroup(s.Group)
	case s.WalkedM != nil:
		t, e := quantity.Minutes(s.WalkedMin)
		if e != nil {
			return nil, hillFault(e)
		}
		m, err = effort.FromWalk(quantity.Metre(*s.WalkedM), t, s.WalkedO2)
	case s.WalkedO2 != nil:
		return nil, refuse("missing", "The oxygen of a walk wants its distance: --walked-m.")
	default:
		return nil, nil
	}
	if err != nil {
		return nil, hillFault(err)
	}
	return &m, nil
}

func viewMultiplier(m effort.Multiplier) multiplierView {
	return multiplierView{m.Words, float64(m.Ratio.Value()), float64(m.Ratio.Low()), float64(m.Ratio.High()), m.How, m.Ref, string(m.Status), m.Verified, list(m.Notes)}
}

// list makes an empty list where JSON would write null.
func list[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

// capacity reads the greatest uptake; ok is false where it was not given.
func (s *studentFlags) capacity() (c effort.Capacity, ok bool, err error) {
	if s.Capacity == "" {
		return c, false, nil
	}
	r, err := spanned[quantity.Ratio]("vo2max-ml-kg-min", s.Capacity)
	if err != nil {
		return c, false, err
	}
	c, err = effort.NewCapacity(float64(r.Value()), float64(r.Low()), float64(r.High()))
	return c, err == nil, hillFault(err)
}

// answer makes the view of a rate for this student.
func (s *studentFlags) answer(what string, r effort.Rate, on *effort.Terrain) (rateView, error) {
	m, err := s.multiplier()
	if err != nil {
		return rateView{}, err
	}
	v := rateView{What: what, Cautions: effort.Cautions()}
	if m != nil {
		r = m.Apply(r)
		mv := viewMultiplier(*m)
		v.Multiplier = &mv
		r.Notes = append(r.Notes, m.Notes...)
	}
	v.Known, v.Outside, v.Notes, v.Sources = r.Known, list(r.Outside), list(r.Notes), list(r.Refs)
	if on != nil {
		v.Eta, v.EtaFits = ptr(float64(on.Eta.Value())), on.Fits
	}
	mass, weighed, err := s.get()
	if err != nil {
		return v, err
	}
	cap, tested, err := s.capacity()
	if err != nil || !r.Known {
		return v, err
	}
	v.WKg, v.WKgLow, v.WKgHigh = ptr(float64(r.PerKg.Value())), ptr(float64(r.PerKg.Low())), ptr(float64(r.PerKg.High()))
	v.VO2, v.MET = ptr(r.Oxygen()), ptr(r.MET())
	if tested {
		share, err := effort.ShareOf(r, cap)
		if err != nil {
			return v, hillFault(err)
		}
		v.Share = &shareView{share.Pct.Value().Percent(), share.Pct.Low().Percent(), share.Pct.High().Percent(), string(share.Load), string(share.Worst), share.Words}
	}
	if weighed {
		err = s.spend(&v, r, mass, cap, tested)
	} else if s.Minutes != nil {
		return v, refuse("missing", "Energy and rest want the mass: --mass-kg.")
	}
	return v, err
}

// spend fills what needs the mass.
func (s *studentFlags) spend(v *rateView, r effort.Rate, mass quantity.Kilogram, cap effort.Capacity, tested bool) error {
	if mass <= 0 {
		return refuse("mass_not_positive", "A body mass must be above zero.")
	}
	p := r.Power(mass)
	v.W, v.WLow, v.WHigh = ptr(float64(p.Value())), ptr(float64(p.Low())), ptr(float64(p.High()))
	v.KcalMin, v.KcalH = ptr(p.Value().KilocaloriesPerMinute()), ptr(p.Value().KilocaloriesPerHour())
	if s.Minutes == nil {
		return nil
	}
	t, err := quantity.Minutes(*s.Minutes)
	if err != nil {
		return hillFault(err)
	}
	by, note, err := standard(mass, cap, tested)
	if err != nil {
		return err
	}
	l, err := effort.Spend([]effort.Bout{{What: v.What, Time: t, Rate: p}}, by)
	if err != nil {
		return hillFault(err)
	}
	v.Kcal, v.RestMin, v.RestMax = ptr(l.Kcal), ptr(l.Rest.Minutes()), ptr(l.RestHigh.Minutes())
	v.Notes = append(v.Notes, note...)
	return nil
}

// standard is the student's where the capacity is known, else Murrell's.
func standard(mass quantity.Kilogram, cap effort.Capacity, tested bool) (effort.Standard, []string, error) {
	if tested {
		by, outside, err := effort.StandardOf(cap, mass)
		return by, append(outside, "Rest by Murrell's rule (from memory) with this student's own limit."), hillFault(err)
	}
	return effort.Murrell(), []string{"Rest by Murrell's rule (from memory), whose limit of 5 kcal a minute is a grown man's in good health: children and people with little strength need more."}, nil
}

func (v rateView) print(p *sheet) {
	p.line("%s", v.What)
	if !v.Known {
		p.labelled(2, 22, "Rate", "not known")
	} else {
		p.labelled(2, 22, "Rate", spread(*v.WKg, *v.WKgLow, *v.WKgHigh, 2)+" W for each kilogram")
		p.labelled(2, 22, "Oxygen", fixed(*v.VO2, 1)+" mL/(kg min), "+fixed(*v.MET, 1)+" MET")
	}
	if v.W != nil {
		p.labelled(2, 22, "Power", spread(*v.W, *v.WLow, *v.WHigh, 0)+" W, "+fixed(*v.KcalMin, 1)+" kcal/min, "+fixed(*v.KcalH, 0)+" kcal/h")
	}
	if v.Kcal != nil {
		p.labelled(2, 22, "Energy", fixed(*v.Kcal, 0)+" kcal, rest included")
		p.labelled(2, 22, "Rest owed", spread(*v.RestMin, *v.RestMin, *v.RestMax, 1)+" min")
	}
	if v.Eta != nil {
		text := fixed(*v.Eta, 2)
		if len(v.EtaFits) > 1 {
			text += " (the other published fit gives " + fixed(v.EtaFits[1], 2) + ")"
		}
		p.labelled(2, 22, "Terrain factor", text)
	}
	if v.Share != nil {
		p.labelled(2, 22, "Share of capacity", spread(v.Share.Pct, v.Share.Low, v.Share.High, 0)+" %. "+v.Share.Words)
	}
	if len(v.Sources) > 0 {
		p.labelled(2, 22, "Sources", strings.Join(v.Sources, ", "))
	}
	p.tell(v.Outside, v.Notes, v.Cautions)
}

// spread prints a value with its limits where they print apart.
func spread(v, low, high float64, decimals int) string {
	a, b := fixed(low, decimals), fixed(high, decimals)
	if a == b {
		return fixed(v, decimals)
	}
	return fixed(v, decimals) + " (" + a + " to " + b + ")"
}

func (a *app) rate(asJSON bool, v rateView) error {
	if asJSON {
		return a.printJSON(v)
	}
	p := &sheet{w: a.Out}
	v.print(p)
	return p.err
}

// effortWalkCmd is walking.
type effortWalkCmd struct {
	Equation string  `enum:",lcda,looney,pandolf,acsm" default:"" help:"lcda (Looney 2019), pandolf (1977) or acsm; without it pandolf with a load or on a surface, else lcda."`
	Speed    speedIn `embed:"" prefix:"speed-"`
	Grade    gradeIn `embed:"" prefix:"grade-"`
	studentFlags
	LoadKg    float64  `name:"load-kg" placeholder:"N" help:"Load on the back."`
	Eta       *float64 `name:"eta" placeholder:"N" help:"Terrain factor."`
	Surface   string   `placeholder:"NAME" help:"Ground of the table of terrain factors, such as \"dirt road\"."`
	SinkageCm *float64 `name:"sinkage-cm" placeholder:"N" help:"How deep the foot sinks into snow."`
}

// terrain returns the ground; nil where none was given.
func (c *effortWalkCmd) terrain() (*effort.Terrain, error) {
	ways := 0
	for _, given := range []bool{c.Eta != nil, c.Surface != "", c.SinkageCm != nil} {
		if given {
			ways++
		}
	}
	var t effort.Terrain
	var err error
	switch {
	case ways > 1:
		return nil, refuse("given_twice", "Give one of --eta, --surface and --sinkage-cm.")
	case c.Eta != nil:
		t, err = effort.Factor(*c.Eta)
	case c.Surface != "":
		if t, err = effort.Surface(c.Surface); err != nil {
			return nil, refuse("unknown_surface", "There is no terrain factor for %q; the table has %s.", c.Surface, strings.Join(effort.Surfaces(), ", "))
		}
	case c.SinkageCm != nil:
		z, e := quantity.Centimetres(*c.SinkageCm)
		if e != nil {
			return nil, hillFault(e)
		}
		t, err = effort.Snow(z)
	default:
		return nil, nil
	}
	return &t, hillFault(err)
}

// Run computes.
func (c *effortWalkCmd) Run(a *app) error {
	speed, given, err := c.Speed.get("speed-")
	if err != nil {
		return err
	}
	if !given {
		return refuse("missing", "Give a speed, such as --speed-m-s 0.8.")
	}
	grade, _, err := c.Grade.percent("grade-")
	if err != nil {
		return err
	}
	on, err := c.terrain()
	if err != nil {
		return err
	}
	equation := c.Equation
	if equation == "" {
		if equation = "lcda"; on != nil || c.LoadKg != 0 {
			equation = "pandolf"
		}
	}
	if equation != "pandolf" && (on != nil || c.LoadKg != 0) {
		return refuse("usage", "Only the pandolf equation takes a load or a terrain factor.")
	}
	var r effort.Rate
	words := ""
	switch equation {
	case "pandolf":
		if r, on, err = c.loaded(speed, grade, on); err != nil {
			return err
		}
		words = "Pandolf et al. 1977"
	case "acsm":
		r, err = effort.WalkOxygen(speed, grade)
		words = "ACSM"
	default:
		r, err = effort.Walk(speed, grade)
		words = "LCDA, Looney et al. 2019"
	}
	if err != nil {
		return hillFault(err)
	}
	v, err := c.answer(fmt.Sprintf("Walking %s m/s at %s %% (%s)", fixed(float64(speed), 2), fixed(grade, 1), words), r, on)
	if err != nil {
		return err
	}
	v.Extra = map[string]any{"equation": strings.Replace(equation, "looney", "lcda", 1), "speed_m_s": float64(speed), "speed_m_min": speed.MetresPerMinute(), "grade_pct": grade, "load_kg": c.LoadKg}
	return a.rate(c.JSON, v)
}

// loaded walks by Pandolf.
func (c *effortWalkCmd) loaded(speed quantity.MetrePerSecond, grade float64, on *effort.Terrain) (effort.Rate, *effort.Terrain, error) {
	mass, weighed, err := c.get()
	if err != nil {
		return effort.Rate{}, nil, err
	}
	if !weighed {
		return effort.Rate{}, nil, refuse("missing", "The pandolf equation wants the mass: --mass-kg.")
	}
	if on == nil {
		level, err := effort.Factor(1)
		if err != nil {
			return effort.Rate{}, nil, hillFault(err)
		}
		on = &level
	}
	load, err := quantity.Kilograms(c.LoadKg)
	if err != nil {
		return effort.Rate{}, nil, hillFault(err)
	}
	r, err := effort.WalkLoaded(mass, load, *on, speed, grade)
	return r, on, hillFault(err)
}

// effortStepCmd is stepping.
type effortStepCmd struct {
	HeightCm *float64 `name:"height-cm" placeholder:"N" help:"Height of a step up and down."`
	PerMin   *float64 `name:"per-min" placeholder:"N" help:"Steps a minute."`
	WidthCm  *float64 `name:"width-cm" placeholder:"N" help:"Side steps: width of a step, measured up the slope."`
	Slope    gradeIn  `embed:"" prefix:"slope-"`
	RiseCm   *float64 `name:"rise-cm" placeholder:"N" help:"Side steps: height won with each, instead of width and slope."`
	Steps    *float64 `placeholder:"N" help:"Side steps: how many; gives the energy of the climb."`
	studentFlags
}

// Run computes.
func (c *effortStepCmd) Run(a *app) error {
	if c.PerMin == nil {
		return refuse("missing", "Give the steps a minute: --per-min.")
	}
	if c.HeightCm != nil {
		if c.WidthCm != nil || c.RiseCm != nil {
			return refuse("usage", "Stepping takes --height-cm; side steps take --width-cm with --slope-pct, or --rise-cm.")
		}
		h, err := quantity.Centimetres(*c.HeightCm)
		if err != nil {
			return hillFault(err)
		}
		r, err := effort.Step(h, *c.PerMin)
		if err != nil {
			return hillFault(err)
		}
		v, err := c.answer(fmt.Sprintf("Stepping %s cm, %s a minute (ACSM)", fixed(h.Centimetres(), 1), fixed(*c.PerMin, 0)), r, nil)
		if err != nil {
			return err
		}
		v.Extra = map[string]any{"height_m": float64(h), "steps_per_min": *c.PerMin}
		return a.rate(c.JSON, v)
	}
	return c.sideSteps(a)
}

func (c *effortStepCmd) sideSteps(a *app) error {
	slope, sloped, err := c.Slope.percent("slope-")
	if err != nil {
		return err
	}
	var climb effort.Climb
	switch {
	case c.RiseCm != nil && c.WidthCm == nil && !sloped:
		h, e := quantity.Centimetres(*c.RiseCm)
		if e != nil {
			return hillFault(e)
		}
		climb, err = effort.Rising(h, *c.PerMin)
	case c.RiseCm == nil && c.WidthCm != nil && sloped:
		w, e := quantity.Centimetres(*c.WidthCm)
		if e != nil {
			return hillFault(e)
		}
		angle, e := quantity.GradePercent(slope)
		if e != nil {
			return hillFault(e)
		}
		climb, err = effort.SideStep(w, angle, *c.PerMin)
	default:
		return refuse("missing", "Give --height-cm for stepping; or for side steps --width-cm with --slope-pct, or --rise-cm.")
	}
	if err != nil {
		return hillFault(err)
	}
	if c.Steps != nil && c.Minutes == nil && *c.PerMin > 0 {
		c.Minutes = ptr(*c.Steps / *c.PerMin)
	}
	if _, weighed, _ := c.get(); !weighed && c.Steps != nil {
		return refuse("missing", "The energy of a climb wants the mass: --mass-kg.")
	}
	v, err := c.answer(fmt.Sprintf("Side steps, %s cm up with each, %s a minute (derived)", fixed(climb.Rise.Centimetres(), 1), fixed(*c.PerMin, 0)), climb.Rate, nil)
	if err != nil {
		return err
	}
	v.Extra = map[string]any{"rise_m": float64(climb.Rise), "steps_per_min": *c.PerMin, "per_step_j_kg": climb.PerStep, "per_step_low_j_kg": climb.PerStepLow}
	if c.Steps != nil {
		v.Extra["steps_count"], v.Extra["height_won_m"] = *c.Steps, *c.Steps*float64(climb.Rise)
	}
	return a.rate(c.JSON, v)
}

// effortSlideCmd is an activity of the table.
type effortSlideCmd struct {
	Code string   `default:"19150" placeholder:"CODE" help:"Code of the Compendium of 2011; 19150 is downhill skiing, light."`
	MET  *float64 `name:"met" placeholder:"N" help:"Metabolic equivalents, instead of a code."`
	List bool     `help:"List the activities."`
	studentFlags
}

// Run computes or lists.
func (c *effortSlideCmd) Run(a *app) error {
	if c.List {
		return c.list(a)
	}
	r, l, err := effort.Rate{}, effort.Listed{}, error(nil)
	what := ""
	if c.MET != nil {
		r, err = effort.Equivalents(*c.MET)
		what = "Activity of " + fixed(*c.MET, 1) + " MET"
	} else {
		r, l, err = effort.Activity(c.Code)
		what = fmt.Sprintf("%s (%s, %s MET)", l.Words, l.Code, fixed(l.MET, 1))
	}
	if err != nil {
		return hillFault(err)
	}
	v, err := c.answer(what, r, nil)
	if err != nil {
		return err
	}
	if v.Multiplier != nil {
		v.Notes = append(v.Notes, "The multiplier is one of walking; that it holds for this activity was never measured.")
	}
	v.Extra = map[string]any{"code": l.Code}
	return a.rate(c.JSON, v)
}

func (c *effortSlideCmd) list(a *app) error {
	type row struct {
		Code  string  `json:"code"`
		Words string  `json:"activity"`
		MET   float64 `json:"met"`
	}
	rows := []row{}
	for _, l := range effort.Activities() {
		rows = append(rows, row(l))
	}
	if c.JSON {
		return a.printJSON(map[string]any{"activities": rows})
	}
	p := &sheet{w: a.Out}
	for _, r := range rows {
		p.labelled(0, 16, r.Code+"  "+fixed(r.MET, 1), r.Words)
	}
	return p.err
}

// effortRestCmd is rest.
type effortRestCmd struct {
	WorkMin  float64  `name:"work-min" required:"" placeholder:"N" help:"Minutes of work."`
	KcalMin  *float64 `name:"kcal-min" placeholder:"N" help:"The work in kilocalories a minute."`
	PowerW   *float64 `name:"power-w" placeholder:"N" help:"The work in watts."`
	LimitK   *float64 `name:"limit-kcal-min" placeholder:"N" help:"Work above which rest is owed; 5 where nothing else is known."`
	RestingK *float64 `name:"resting-kcal-min" placeholder:"N" help:"Work at rest; 1.5 where nothing else is known."`
	massIn
	Capacity string `name:"vo2max-ml-kg-min" placeholder:"N[,LOW..HIGH]" help:"With the mass: this student's own limit."`
	JSON     bool   `name:"json" help:"As JSON."`
}

// Run computes.
func (c *effortRestCmd) Run(a *app) error {
	type w = written[quantity.Watt]
	at, given, err := one(w{"kcal-min", c.KcalMin, quantity.KilocaloriesPerMinute}, w{"power-w", c.PowerW, quantity.Watts})
	if err != nil {
		return err
	}
	if !given {
		return refuse("missing", "Give the work: --kcal-min or --power-w.")
	}
	work, err := quantity.Minutes(c.WorkMin)
	if err != nil {
		return hillFault(err)
	}
	by, notes, err := c.standard()
	if err != nil {
		return err
	}
	rest, err := effort.Rest(work, at, by)
	if err != nil {
		return hillFault(err)
	}
	out := map[string]any{"work_min": c.WorkMin, "work_kcal_min": at.KilocaloriesPerMinute(), "limit_kcal_min": by.Limit.KilocaloriesPerMinute(),
		"resting_kcal_min": by.Resting.KilocaloriesPerMinute(), "rest_owed_min": rest.Minutes(), "notes": notes, "sources": []string{"Murrell1965"}, "cautions": effort.Cautions()}
	if c.JSON {
		return a.printJSON(out)
	}
	p := &sheet{w: a.Out}
	p.line("%s min of rest owed after %s min at %s kcal/min", fixed(rest.Minutes(), 1), fixed(c.WorkMin, 0), fixed(at.KilocaloriesPerMinute(), 1))
	p.labelled(2, 22, "Limit", fixed(by.Limit.KilocaloriesPerMinute(), 1)+" kcal/min, at rest "+fixed(by.Resting.KilocaloriesPerMinute(), 1)+" kcal/min")
	p.tell(nil, notes, effort.Cautions())
	return p.err
}

func (c *effortRestCmd) standard() (effort.Standard, []string, error) {
	s := studentFlags{massIn: c.massIn, Capacity: c.Capacity}
	mass, weighed, err := s.get()
	if err != nil {
		return effort.Standard{}, nil, err
	}
	cap, tested, err := s.capacity()
	if err != nil {
		return effort.Standard{}, nil, err
	}
	if tested && !weighed {
		return effort.Standard{}, nil, refuse("missing", "This student's own limit wants the mass: --mass-kg.")
	}
	by, notes, err := standard(mass, cap, tested)
	if err != nil {
		return by, nil, err
	}
	for _, own := range []struct {
		flag string
		v    *float64
		to   *quantity.Watt
	}{{"limit-kcal-min", c.LimitK, &by.Limit}, {"resting-kcal-min", c.RestingK, &by.Resting}} {
		if own.v == nil {
			continue
		}
		if *own.to, err = quantity.KilocaloriesPerMinute(*own.v); err != nil {
			return by, nil, refuse("not_a_number", "--%s: %s.", own.flag, err)
		}
	}
	return by, notes, nil
}

// effortGaitCmd lists multipliers.
type effortGaitCmd struct {
	JSON bool `name:"json" help:"As JSON."`
}

// Run lists.
func (c *effortGaitCmd) Run(a *app) error {
	views := []multiplierView{}
	for _, m := range effort.Published() {
		views = append(views, viewMultiplier(m))
	}
	if c.JSON {
		return a.printJSON(map[string]any{"groups": views, "cautions": effort.Cautions()})
	}
	p := &sheet{w: a.Out}
	for _, v := range views {
		p.line("%s", v.Words)
		mark := ""
		if !v.Verified {
			mark = "; not verified"
		}
		p.labelled(2, 8, "x", spread(v.Ratio, v.Low, v.High, 2)+"; "+v.How+" "+v.Ref+", "+v.Status+mark)
		for _, n := range v.Notes {
			p.para(8, n)
		}
	}
	p.tell(nil, nil, effort.Cautions())
	return p.err
}
