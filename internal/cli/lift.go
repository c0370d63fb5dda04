package cli

import (
	"fmt"
	"strings"

	"firnhand/core/finding"
	"firnhand/core/lift"
	"firnhand/core/quantity"
)

// liftCmd is about lifts.
type liftCmd struct {
	Spacing liftSpacingCmd `cmd:"" help:"Interval, spacing and people an hour; what slowing does; what is published for the kind of lift."`
	Load    liftLoadCmd    `cmd:"" help:"Can this student reach the load line between two carriers, and which speed to ask for."`
	Unload  liftUnloadCmd  `cmd:"" help:"Can this student stand up and be clear of the unload before the next carrier."`
	Ask     liftAskCmd     `cmd:"" help:"What to ask lift staff for, what helpers do, and the note for patrol."`
}

// lineFlags say which lift.
type lineFlags struct {
	Speed    speedIn  `embed:"" prefix:"speed-"`
	Interval *float64 `name:"interval-s" placeholder:"N" help:"Seconds from one carrier to the next."`
	SpacingM *float64 `name:"spacing-m" placeholder:"N" help:"Metres from one carrier to the next, at the load line."`
	SpacingF *float64 `name:"spacing-ft" placeholder:"N" help:"The same in feet."`
	Seats    int      `placeholder:"N" help:"Places of a carrier."`
	PerHour  *float64 `name:"per-hour" placeholder:"N" help:"People an hour with every place taken."`
}

// line solves what is missing.
func (f *lineFlags) line() (lift.Line, error) {
	g := lift.Given{Seats: f.Seats, PerHour: f.PerHour}
	speed, ok, err := f.Speed.get("speed-")
	if err != nil {
		return lift.Line{}, err
	}
	if ok {
		g.Speed = &speed
	}
	type m = written[quantity.Metre]
	spacing, ok, err := one(m{"spacing-m", f.SpacingM, quantity.Metres}, m{"spacing-ft", f.SpacingF, quantity.Feet})
	if err != nil {
		return lift.Line{}, err
	}
	if ok {
		g.Spacing = &spacing
	}
	type s = written[quantity.Second]
	interval, ok, err := one(s{"interval-s", f.Interval, quantity.Seconds})
	if err != nil {
		return lift.Line{}, err
	}
	if ok {
		g.Interval = &interval
	}
	l, err := lift.Solve(g)
	return l, hillFault(err)
}

type lineView struct {
	Speed    *float64 `json:"speed_m_s"`
	SpeedFt  *float64 `json:"speed_ft_min"`
	Interval float64  `json:"interval_s"`
	Spacing  *float64 `json:"spacing_m"`
	Seats    *int     `json:"seats_count"`
	PerHour  *float64 `json:"people_an_hour_count"`
}

func viewLine(l lift.Line) lineView {
	v := lineView{Interval: float64(l.Interval)}
	if l.Speed > 0 {
		v.Speed, v.SpeedFt, v.Spacing = ptr(float64(l.Speed)), ptr(l.Speed.FeetPerMinute()), ptr(float64(l.Spacing))
	}
	if people, ok := l.PerHour(); ok {
		v.Seats, v.PerHour = ptr(l.Seats), ptr(people)
	}
	return v
}

func (v lineView) print(p *sheet, name string) {
	text := "a carrier every " + fixed(v.Interval, 1) + " s"
	if v.Speed != nil {
		text = fixed(*v.Speed, 2) + " m/s (" + fixed(*v.SpeedFt, 0) + " ft/min), " + text + ", " + fixed(*v.Spacing, 1) + " m apart"
	}
	if v.PerHour != nil {
		text += ", " + fixed(*v.PerHour, 0) + " people an hour at most"
	}
	p.labelled(0, 12, name, text)
}

// liftSpacingCmd is the sums of a lift.
type liftSpacingCmd struct {
	lineFlags
	SlowTo     speedIn  `embed:"" prefix:"slow-to-"`
	SlowPct    *float64 `name:"slow-pct" placeholder:"N" help:"Slowed to this share of the speed."`
	Kind       string   `enum:",fixed_chair,detachable_chair,t_bar,single,carpet" default:"" help:"Kind of lift, to hold it against what is published: fixed_chair, detachable_chair, t_bar, single, carpet."`
	OnFoot     bool     `help:"The student rides without skis on."`
	ExtensionS float64  `name:"extension-s" placeholder:"N" help:"Surface lifts: time the outfit takes to pull out, added to the least interval."`
	JSON       bool     `name:"json" help:"As JSON."`
}

type publishedView struct {
	What   string   `json:"what"`
	Low    *float64 `json:"low_in_unit"`
	High   *float64 `json:"high_in_unit"`
	Unit   string   `json:"unit"`
	Given  float64  `json:"given_in_unit"`
	Within bool     `json:"within"`
	Source string   `json:"source"`
	Status string   `json:"status"`
}

// Run computes.
func (c *liftSpacingCmd) Run(a *app) error {
	l, err := c.line()
	if err != nil {
		return err
	}
	slow, err := c.slowed(l)
	if err != nil {
		return err
	}
	published := []publishedView{}
	if c.Kind != "" {
		rows, err := lift.Compare(lift.Kind(c.Kind), l, c.OnFoot, quantity.Second(c.ExtensionS))
		if err != nil {
			return hillFault(err)
		}
		for _, r := range rows {
			published = append(published, publishedView{r.What, r.Low, r.High, r.Unit, r.Given, r.Within, r.Ref, string(r.Status)})
		}
	}
	v := viewLine(l)
	if c.JSON {
		out := map[string]any{"lift": v, "published": published, "cautions": lift.Cautions()}
		if slow != nil {
			out["slowed"] = viewLine(*slow)
		}
		return a.printJSON(out)
	}
	p := &sheet{w: a.Out}
	v.print(p, "Lift")
	if slow != nil {
		viewLine(*slow).print(p, "Slowed")
	}
	for _, r := range published {
		p.labelled(0, 12, "Published", r.says())
	}
	p.tell(nil, nil, lift.Cautions())
	return p.err
}

func (r publishedView) says() string {
	limits := []string{}
	if r.Low != nil {
		limits = append(limits, "from "+fixed(*r.Low, 1))
	}
	if r.High != nil {
		limits = append(limits, "to "+fixed(*r.High, 1))
	}
	word := "outside"
	if r.Within {
		word = "within"
	}
	return fmt.Sprintf("%s: %s %s; this is %s (%s, %s)", r.What, strings.Join(limits, " "), r.Unit, word, r.Source, r.Status)
}

// slowed returns the slowed lift; nil where none is asked for.
func (c *liftSpacingCmd) slowed(l lift.Line) (*lift.Line, error) {
	speed, ok, err := c.SlowTo.get("slow-to-")
	if err != nil {
		return nil, err
	}
	var slow lift.Line
	switch {
	case ok && c.SlowPct != nil:
		return nil, refuse("given_twice", "Give a speed to slow to, or --slow-pct, not both.")
	case ok:
		slow, err = l.At(speed)
	case c.SlowPct != nil:
		share, e := quantity.Percent(*c.SlowPct)
		if e != nil {
			return nil, hillFault(e)
		}
		slow, err = l.Slowed(share)
	default:
		return nil, nil
	}
	return &slow, hillFault(err)
}

// reachFlags are how this student moves.
type reachFlags struct {
	lineFlags
	WalkMS   string  `name:"walk-m-s" placeholder:"RANGE" help:"Speed of the student on the gear of the day: 0.4, 0.3..0.5, or a list."`
	PushS    string  `name:"push-s" placeholder:"LIST" help:"Timed pushes in seconds, such as 5.2,5.8,6.1, instead of a speed."`
	PushM    float64 `name:"push-over-m" placeholder:"N" help:"Distance of the timed pushes; without it the distance of the lift."`
	CarrierM string  `name:"carrier-m" placeholder:"RANGE" help:"Length of a carrier along the line; without it 1.0 to 2.0, proposed."`
	ReserveS float64 `name:"reserve-s" default:"2" placeholder:"N" help:"Seconds to spare that are asked for; proposed."`
	JSON     bool    `name:"json" help:"As JSON."`
}

// student returns how the student moves over a distance.
func (f *reachFlags) student(flag, distance, settleFlag, settle string) (lift.Student, error) {
	var s lift.Student
	var err error
	if s.Distance, err = spanned[quantity.Metre](flag, distance); err != nil {
		return s, err
	}
	if s.Settle, err = spanned[quantity.Second](settleFlag, settle); err != nil {
		return s, err
	}
	switch {
	case f.WalkMS != "" && f.PushS != "":
		return s, refuse("given_twice", "Give --walk-m-s or --push-s, not both.")
	case f.WalkMS != "":
		s.Speed, err = spanned[quantity.MetrePerSecond]("walk-m-s", f.WalkMS)
	case f.PushS != "":
		over := quantity.Metre(f.PushM)
		if f.PushM == 0 {
			if s.Distance.Width() != 0 {
				return s, refuse("missing", "Timed pushes want their distance: --push-over-m.")
			}
			over = s.Distance.Value()
		}
		numbers, e := numberList("push-s", f.PushS)
		if e != nil {
			return s, e
		}
		var times []quantity.Second
		for _, n := range numbers {
			times = append(times, quantity.Second(n))
		}
		s.Speed, err = lift.Measured(over, times)
	default:
		return s, refuse("missing", "Give the student's speed as measured: --push-s with timed pushes, or --walk-m-s.")
	}
	return s, hillFault(err)
}

func (f *reachFlags) carrier() (quantity.Range[quantity.Metre], []string, error) {
	if f.CarrierM != "" {
		r, err := spanned[quantity.Metre]("carrier-m", f.CarrierM)
		return r, nil, err
	}
	return lift.Carrier(), []string{"The length of the carrier was not given: 1.0 to 2.0 m taken, a proposed figure. Measure it."}, nil
}

type rangeView struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

func viewRange[T quantity.Scalar](r quantity.Range[T]) rangeView {
	return rangeView{float64(r.Value()), float64(r.Low()), float64(r.High())}
}

func (r rangeView) says(decimals int) string { return spread(r.Value, r.Low, r.High, decimals) }

type reachView struct {
	Lift     lineView   `json:"lift"`
	Need     rangeView  `json:"need_s"`
	Gap      rangeView  `json:"gap_s"`
	Margin   rangeView  `json:"margin_s"`
	Reserve  float64    `json:"reserve_s"`
	Verdict  string     `json:"verdict"`
	AskSpeed *rangeView `json:"ask_speed_m_s"`
	AskPct   *rangeView `json:"ask_speed_pct"`
	Limit    *float64   `json:"ask_at_most_m_s"`
	Class    string     `json:"walking_class,omitempty"`
	Say      []string   `json:"say"`
	Notes    []string   `json:"notes"`
	Cautions []string   `json:"cautions"`
}

func viewReach(l lift.Line, r lift.Reach, notes []string) reachView {
	v := reachView{Lift: viewLine(l), Need: viewRange(r.Need), Gap: viewRange(r.Gap), Margin: viewRange(r.Margin), Reserve: float64(r.Reserve),
		Verdict: string(r.Verdict), Say: list(r.Say), Notes: list(notes), Cautions: lift.Cautions()}
	if r.HasAsk {
		speed, share := viewRange(r.AskSpeed), viewRange(r.AskShare)
		v.AskSpeed, v.AskPct = &speed, &rangeView{100 * share.Value, 100 * share.Low, 100 * share.High}
		v.Limit = ptr(float64(r.Limit))
	}
	return v
}

func (v reachView) print(p *sheet) {
	for _, s := range v.Say {
		p.para(0, s)
	}
	p.blank()
	v.Lift.print(p, "Lift")
	p.labelled(0, 12, "Needs", v.Need.says(1)+" s")
	p.labelled(0, 12, "Has", v.Gap.says(1)+" s between two carriers")
	p.labelled(0, 12, "Margin", v.Margin.says(1)+" s")
	if v.Limit != nil {
		p.labelled(0, 12, "At most", fixed(*v.Limit, 1)+" m/s; with the reserve it fits up to "+v.AskSpeed.says(2)+" m/s")
	}
}

// liftLoadCmd is the load.
type liftLoadCmd struct {
	reachFlags
	DistanceM string `name:"distance-m" default:"2..3" placeholder:"RANGE" help:"From the wait line to the load line; 2 to 3 m is common."`
	SettleS   string `name:"settle-s" default:"0" placeholder:"RANGE" help:"From arriving to ready to sit."`
}

// Run computes.
func (c *liftLoadCmd) Run(a *app) error {
	l, err := c.line()
	if err != nil {
		return err
	}
	s, err := c.student("distance-m", c.DistanceM, "settle-s", c.SettleS)
	if err != nil {
		return err
	}
	carrier, notes, err := c.carrier()
	if err != nil {
		return err
	}
	r, err := lift.Between(l, s, carrier, quantity.Second(c.ReserveS))
	if err != nil {
		return hillFault(err)
	}
	v := viewReach(l, r, notes)
	v.Class = lift.WalkClass(s.Speed.Value())
	if c.JSON {
		return a.printJSON(v)
	}
	p := &sheet{w: a.Out}
	v.print(p)
	if v.Class != "" {
		p.labelled(0, 12, "Scale", fixed(float64(s.Speed.Value()), 2)+" m/s on foot is "+v.Class+" (pushing on skis is not walking)")
	}
	p.tell(nil, v.Notes, v.Cautions)
	return p.err
}

// liftUnloadCmd is the unload.
type liftUnloadCmd struct {
	reachFlags
	ClearM string `name:"clear-m" default:"10" placeholder:"RANGE" help:"From standing up to the agreed place that is clear; 10 m is common."`
	StandS string `name:"stand-s" default:"0" placeholder:"RANGE" help:"From the word to standing."`
	ZoneM  string `name:"zone-m" placeholder:"RANGE" help:"Length of the zone in which one must stand up."`
}

type standView struct {
	Time    rangeView `json:"time_over_zone_s"`
	Margin  rangeView `json:"margin_s"`
	Verdict string    `json:"verdict"`
	Limit   float64   `json:"ask_at_most_m_s"`
}

// Run computes.
func (c *liftUnloadCmd) Run(a *app) error {
	l, err := c.line()
	if err != nil {
		return err
	}
	s, err := c.student("clear-m", c.ClearM, "stand-s", c.StandS)
	if err != nil {
		return err
	}
	carrier, notes, err := c.carrier()
	if err != nil {
		return err
	}
	r, err := lift.Between(l, s, carrier, quantity.Second(c.ReserveS))
	if err != nil {
		return hillFault(err)
	}
	out := struct {
		reachView
		Stand *standView `json:"standing_up"`
	}{viewReach(l, r, notes), nil}
	if c.ZoneM != "" {
		zone, err := spanned[quantity.Metre]("zone-m", c.ZoneM)
		if err != nil {
			return err
		}
		st, err := lift.StandUp(l, zone, s.Settle, quantity.Second(0))
		if err != nil {
			return hillFault(err)
		}
		out.Stand = &standView{viewRange(st.Time), viewRange(st.Margin), string(st.Verdict), float64(st.Limit)}
		if out.Limit != nil {
			out.Limit = ptr(min(*out.Limit, float64(st.Limit)))
		}
	}
	if c.JSON {
		return a.printJSON(out)
	}
	p := &sheet{w: a.Out}
	out.print(p)
	if out.Stand != nil {
		p.labelled(0, 12, "Stand up", "the seat is over the zone "+out.Stand.Time.says(1)+" s, margin "+out.Stand.Margin.says(1)+" s; at most "+fixed(out.Stand.Limit, 1)+" m/s")
	}
	p.tell(nil, out.Notes, out.Cautions)
	return p.err
}

// liftAskCmd is the request card.
type liftAskCmd struct {
	File       string   `arg:"" optional:"" help:"A person's file; - reads from standard input. Without it by the flags."`
	On         string   `placeholder:"DATE" help:"As of this day (YYYY-MM-DD) instead of today."`
	Rules      string   `placeholder:"FILE" help:"Decide by this rule table instead of the one built in."`
	Way        string   `enum:",none,outriggers,one_outrigger_left,one_outrigger_right,slider,one_ski_left,one_ski_right,sitting" default:"" help:"Way of skiing."`
	Strap      string   `enum:",yes,no,unknown" default:"" help:"Does the rule of strap and a helper on both sides hold (a seizure in the last twelve months)."`
	Insulin    string   `enum:",yes,no,unknown" default:"" help:"Is sugar checked before boarding."`
	CheckedMin *float64 `name:"sugar-checked-min" placeholder:"N" help:"Minutes since sugar was checked."`
	Lowered    string   `enum:",yes,no,unknown" default:"" help:"Could be lowered from a stopped lift today."`
	Harness    string   `enum:",yes,no,unknown" default:"" help:"The rescue harness fits."`
	TwoLift    string   `name:"two-person-lift" enum:",yes,no,unknown" default:"" help:"Two people must lift."`
	FeelsLess  string   `enum:",yes,no,unknown" default:"" help:"A part cannot warn of cold or pressure."`
	Bar        string   `enum:",yes,no,unknown" default:"" help:"The carrier has a bar that comes down."`
	WeakSide   string   `enum:",left,right" default:"" help:"The student's weaker side."`
	Tie        bool     `help:"The tips are tied."`
	CannotBend []string `placeholder:"JOINT" help:"A joint that does not bend, such as \"left knee\"; once for each."`
	massIn
	SpeedMS *float64 `name:"ask-at-most-m-s" placeholder:"N" help:"The speed to name, as lift load found it."`
	JSON    bool     `name:"json" help:"As JSON."`
}

type itemView struct {
	Code  string   `json:"code"`
	Who   string   `json:"who"`
	Say   string   `json:"sentence"`
	Basis []string `json:"basis"`
}

func viewItems(items []lift.Item) []itemView {
	out := []itemView{}
	for _, i := range items {
		out = append(out, itemView(i))
	}
	return out
}

// rider takes the file's, and what the flags say over it.
func (c *liftAskCmd) rider(a *app) (lift.Rider, error) {
	t, err := a.table(c.Rules)
	if err != nil {
		return lift.Rider{}, err
	}
	every := quantity.Second(0)
	for _, s := range t.Settings() {
		if s.Name == "insulin_check_h" {
			const minutes = 60
			if every, err = quantity.Minutes(s.Value * minutes); err != nil {
				return lift.Rider{}, hillFault(err)
			}
		}
	}
	unknown := lift.NotKnown
	r := lift.Rider{Strapped: unknown, Sugar: unknown, SugarEvery: every, Lowered: unknown, Harness: unknown, TwoLift: unknown, FeelsLess: unknown, Alert: lift.No, Bar: unknown}
	if c.File != "" {
		d, err := a.decide(c.File, c.Rules, c.On)
		if err != nil {
			return r, err
		}
		r = lift.FromAnswer(d.answer, d.c.Input.Findings, every)
	}
	for _, k := range []struct {
		flag string
		to   *lift.Know
	}{{c.Strap, &r.Strapped}, {c.Insulin, &r.Sugar}, {c.Lowered, &r.Lowered}, {c.Harness, &r.Harness}, {c.TwoLift, &r.TwoLift}, {c.FeelsLess, &r.FeelsLess}, {c.Bar, &r.Bar}} {
		if k.flag != "" {
			*k.to = lift.Know(k.flag)
		}
	}
	if c.Way != "" {
		r.Way = c.Way
	}
	r.Tie = r.Tie || c.Tie
	r.CannotBend = append(r.CannotBend, c.CannotBend...)
	switch c.WeakSide {
	case "left":
		r.WeakSide = finding.Left
	case "right":
		r.WeakSide = finding.Right
	}
	if mass, ok, err := c.massIn.get(); err != nil {
		return r, err
	} else if ok {
		r.Mass = &mass
	}
	if c.CheckedMin != nil {
		since, err := quantity.Minutes(*c.CheckedMin)
		if err != nil {
			return r, hillFault(err)
		}
		r.SinceCheck = &since
	}
	return r, nil
}

// Run makes the card.
func (c *liftAskCmd) Run(a *app) error {
	r, err := c.rider(a)
	if err != nil {
		return err
	}
	var at *lift.Reach
	if c.SpeedMS != nil {
		limit, err := quantity.MetresPerSecond(*c.SpeedMS)
		if err != nil {
			return hillFault(err)
		}
		at = &lift.Reach{HasAsk: true, Verdict: lift.Tight, Limit: limit}
	}
	k, err := lift.Asking(r, at)
	if err != nil {
		return hillFault(err)
	}
	if c.JSON {
		err = a.printJSON(map[string]any{"rides": string(k.Rides), "refusals": viewItems(k.Refusals), "waits_for": viewItems(k.Waits), "people_count": k.People,
			"before": viewItems(k.Before), "ask": viewItems(k.Asked), "load": viewItems(k.Load), "ride": viewItems(k.Ride), "unload": viewItems(k.Unload),
			"if_stopped": viewItems(k.Stopped), "cautions": lift.Cautions()})
	} else {
		err = printAsk(&sheet{w: a.Out}, k)
	}
	if err == nil && k.Rides == lift.No {
		return errHeld
	}
	return err
}

func printAsk(p *sheet, k lift.Ask) error {
	switch k.Rides {
	case lift.No:
		p.line("No lift now.")
	case lift.NotKnown:
		p.line("Not settled: see what has to be known first. Until then no lift.")
	default:
		p.line("Nothing known today forbids the lift. The lift staff decide.")
	}
	p.line("People at the load beside the student: %d", k.People)
	for _, part := range []struct {
		heading string
		items   []lift.Item
	}{{"WHY NOT", k.Refusals}, {"TO KNOW FIRST", k.Waits}, {"BEFORE THE QUEUE", k.Before}, {"ASK LIFT STAFF FOR", k.Asked}, {"LOAD", k.Load}, {"RIDE", k.Ride}, {"UNLOAD", k.Unload}, {"IF THE LIFT STOPS", k.Stopped}} {
		if len(part.items) == 0 {
			continue
		}
		p.heading(part.heading)
		for _, i := range part.items {
			p.labelled(2, 14, i.Who, i.Say)
		}
	}
	p.tell(nil, nil, lift.Cautions())
	return p.err
}
