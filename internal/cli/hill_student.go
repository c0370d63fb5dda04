package cli

import (
	"context"
	"strings"
	"time"

	"firnhand/core/cold"
	"firnhand/core/effort"
	"firnhand/core/lift"
	"firnhand/core/quantity"
	"firnhand/core/slope"
	"firnhand/programme"
)

type hillStudentCmd struct {
	Name string `arg:"" help:"Name used, or id, of the student."`
	recordFlags
	Slope string `placeholder:"NAME" help:"Look at this slope instead of the one that was chosen."`
	Lift  string `placeholder:"NAME" help:"Look at this lift instead of the one that was chosen."`
	At    string `placeholder:"TIME" help:"As of this moment (YYYY-MM-DD HH:MM) instead of now."`
	JSON  bool   `name:"json" help:"As JSON."`
}

type weighView struct {
	Code   string   `json:"code"`
	Weighs string   `json:"weighs"`
	Say    string   `json:"sentence"`
	Basis  []string `json:"basis"`
}

func viewWeighs(in []programme.HillReason) []weighView {
	out := []weighView{}
	for _, r := range in {
		out = append(out, weighView{r.Code, string(r.Weighs), r.Say, list(r.Basis)})
	}
	return out
}

// onSlopeView is a student on a slope as JSON.
type onSlopeView struct {
	Name     string                `json:"name"`
	StartM   float64               `json:"start_m"`
	Verdict  string                `json:"verdict"`
	Says     string                `json:"says"`
	Reasons  []weighView           `json:"reasons"`
	Ground   string                `json:"ground"`
	GroundN  int                   `json:"ground_step"`
	Needs    []string              `json:"needs"`
	Friction rangeView             `json:"friction"`
	Snow     string                `json:"snow"`
	Timed    int                   `json:"timed_glides_count"`
	Mass     *rangeView            `json:"mass_kg"`
	WorstAt  *float64              `json:"worst_at_m"`
	Worst    *slope.Deciles        `json:"worst_m_s"`
	WorstKmh *slope.Deciles        `json:"worst_kmh"`
	Need     *slope.Deciles        `json:"run_out_need_m"`
	There    *float64              `json:"run_out_there_m"`
	Endless  *float64              `json:"run_out_endless_share"`
	Braked   bool                  `json:"braking_measured"`
	Suffices *float64              `json:"run_out_suffices_from_m"` // above the end
	WideL    float64               `json:"fan_left_m"`
	WideR    float64               `json:"fan_right_m"`
	Ladders  []slope.FanLadders    `json:"ladders"`
	Band     []slope.BandAt        `json:"band"`
	Shape    map[string]numberView `json:"shape"`
	Outside  []string              `json:"outside"`
	Cautions []string              `json:"cautions"`
}

func viewOnSlope(o *programme.OnSlope) *onSlopeView {
	v := &onSlopeView{Name: o.Slope.Name, StartM: o.StartM, Verdict: string(o.Verdict), Says: o.Verdict.Says(), Reasons: viewWeighs(o.Reasons), Ground: o.Ground.Says(), GroundN: int(o.Ground), Needs: list(o.Needs),
		Friction: rangeView{o.Snow.Friction.Value, o.Snow.Friction.Low, o.Snow.Friction.High}, Snow: o.Snow.Says(), Timed: o.Snow.Timed, Braked: o.RunOut.Braked, There: o.RunOut.ThereM,
		WideL: o.WideLeftM, WideR: o.WideRightM, Ladders: list(o.Ladders), Band: list(o.Speeds.At), Shape: viewFigures(o.Shape.Figures), Outside: list(o.Shape.Outside), Cautions: slope.Cautions()}
	if o.Band == nil {
		return v
	}
	kmh := func(ms float64) float64 { return quantity.MetrePerSecond(ms).KilometresPerHour() }
	w := o.Worst.Speed
	v.Mass, v.WorstAt, v.Worst = &rangeView{o.Mass.Value, o.Mass.Low, o.Mass.High}, &o.Worst.Distance, &w
	v.WorstKmh = &slope.Deciles{P10: kmh(w.P10), P50: kmh(w.P50), P90: kmh(w.P90)}
	if o.Slope.RunOutPct != nil && o.Slope.RunOutM != nil {
		v.Endless = &o.RunOut.Endless
		if o.RunOut.Endless < 1 {
			v.Need = &o.RunOut.Deciles
		}
		if o.RunOut.HasSuffices {
			v.Suffices = &o.RunOut.Suffices
		}
	}
	v.Outside = append(v.Outside, o.Band.Outside...)
	return v
}

// onLiftView is a student at a lift as JSON.
type onLiftView struct {
	Name     string      `json:"name"`
	Verdict  string      `json:"verdict"`
	Says     string      `json:"says"`
	Reasons  []weighView `json:"reasons"`
	People   int         `json:"people_count"`
	Load     *reachView  `json:"load"`
	Unload   *reachView  `json:"unload"`
	Stand    *standView  `json:"standing_up"`
	Limit    *float64    `json:"ask_at_most_m_s"`
	Taken    []string    `json:"taken"`
	Asked    []itemView  `json:"ask"`
	Stopped  []itemView  `json:"if_stopped"`
	Cautions []string    `json:"cautions"`
}

func viewOnLift(o *programme.OnLift) *onLiftView {
	v := &onLiftView{Name: o.Lift.Name, Verdict: string(o.Verdict), Says: o.Says(), Reasons: viewWeighs(o.Reasons), People: o.Ask.People, Taken: list(o.Taken), Asked: viewItems(o.Ask.Asked), Stopped: viewItems(o.Ask.Stopped), Cautions: lift.Cautions()}
	if o.Timed {
		load := viewReach(o.Line, o.Load, nil)
		v.Load = &load
	}
	if o.Unload != nil {
		unload := viewReach(o.Line, *o.Unload, nil)
		v.Unload = &unload
	}
	if s := o.Stand; s != nil {
		v.Stand = &standView{viewRange(s.Time), viewRange(s.Margin), string(s.Verdict), float64(s.Limit)}
	}
	if o.HasLimit {
		v.Limit = ptr(float64(o.Limit))
	}
	return v
}

type coldHourView struct {
	Time    string   `json:"time"`
	AirC    float64  `json:"air_c"`
	WindMS  float64  `json:"wind_m_s"`
	FeltMS  float64  `json:"felt_m_s"`
	Chill   *float64 `json:"wind_chill_c"`
	Stop    bool     `json:"stop"`
	Now     bool     `json:"now"`
	LeastM  *float64 `json:"freezes_least_min"`
	MostM   *float64 `json:"freezes_most_min"`
	First   *float64 `json:"first_look_min"`
	Longest *float64 `json:"longest_look_min"`
	Say     []string `json:"say"`
	Outside []string `json:"outside"`
}

func viewColdDay(c *programme.ColdDay) map[string]any {
	hours := []coldHourView{}
	for _, h := range c.Hours {
		w := h.Watch
		one := coldHourView{Time: h.Time, AirC: h.AirHereC, WindMS: h.WindMS, FeltMS: h.FeltMS, Stop: w.Stop, Now: h.Now, Say: list(w.Say), Outside: list(w.Freezing.Outside)}
		if w.Freezing.Chill.Known {
			one.Chill = ptr(w.Freezing.Chill.Printed())
		}
		if w.Freezing.Freezes {
			one.LeastM, one.MostM = ptr(w.Freezing.Least.Minutes()), ptr(w.Freezing.Most.Minutes())
		}
		if w.Timed {
			one.First, one.Longest = ptr(w.First.Minutes()), ptr(w.Longest.Minutes())
		}
		hours = append(hours, one)
	}
	return map[string]any{"known": c.Known, "feeling": string(c.Feel), "own_m_s": c.OwnMS, "chair_m_s": c.ChairM, "hours": hours, "notes": list(c.Notes), "cautions": cold.Cautions()}
}

type effortLineView struct {
	Code    string    `json:"code"`
	Words   string    `json:"words"`
	Done    bool      `json:"done"`
	Known   bool      `json:"known"`
	KcalMin rangeView `json:"kcal_min"`
	RestMin float64   `json:"rest_owed_min"`
	RestTo  float64   `json:"rest_owed_high_min"`
	Worked  float64   `json:"worked_min"`
	Share   *float64  `json:"share_pct"`
	Outside []string  `json:"outside"`
}

func viewOnEffort(e *programme.OnEffort) map[string]any {
	lines := []effortLineView{}
	for _, l := range e.Lines {
		v := effortLineView{Code: l.Code, Words: l.Words, Done: l.Done, Known: l.Rate.Known, RestMin: l.Rest.Minutes(), RestTo: l.RestHigh.Minutes(), Worked: l.WorkedMin, Outside: list(l.Rate.Outside),
			KcalMin: rangeView{l.Power.Value().KilocaloriesPerMinute(), l.Power.Low().KilocaloriesPerMinute(), l.Power.High().KilocaloriesPerMinute()}}
		if l.Share != nil {
			v.Share = ptr(l.Share.Pct.Value().Percent())
		}
		lines = append(lines, v)
	}
	out := map[string]any{"needs": list(e.Needs), "multiplier": nil, "endurance_min": e.EnduranceMin, "block_min": e.BlockMin, "lines": lines, "outside": list(e.Outside), "cautions": effort.Cautions()}
	if e.HasMult {
		out["multiplier"] = viewRange(e.Multiplier.Ratio)
	}
	return out
}

// moment is the moment asked for.
func (c *hillStudentCmd) moment(a *app) (time.Time, error) {
	now := a.Clock.Now().In(time.Local)
	if c.At == "" {
		return now, nil
	}
	t, err := time.ParseInLocation("2006-01-02 15:04", c.At, time.Local)
	if err != nil {
		return now, refuse("usage", "%q is not a moment: write it as 2027-01-14 09:30.", c.At)
	}
	return t, nil
}

// find finds one student by name used or id.
func (c *hillStudentCmd) find(ctx context.Context, h *house) (programme.ID, error) {
	if id := programme.ID(c.Name); id.Check() == nil {
		return id, nil
	}
	all, err := h.cases.Students(ctx, steward, true)
	if err != nil {
		return "", err
	}
	var found []programme.ID
	for _, l := range all {
		if strings.EqualFold(l.NameUsed, c.Name) {
			found = append(found, l.Student)
		}
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return "", refuse("not_found", "There is no student called %q in the records.", c.Name)
	}
	return "", refuse("several", "%d students are called %q: give the id instead.", len(found), c.Name)
}

// calledAs finds a slope or lift by its name; "" leaves what was chosen.
func calledAs[T any](kind, name string, all []T, of func(T) (programme.ID, string)) (programme.ID, error) {
	if name == "" {
		return "", nil
	}
	for _, one := range all {
		if id, called := of(one); strings.EqualFold(called, name) {
			return id, nil
		}
	}
	return "", refuse("not_found", "The hill has no %s called %q.", kind, name)
}

// onHill is everything a student's pages about the hill compute.
type onHill struct {
	name   string
	at     time.Time
	day    programme.Date
	slope  *programme.OnSlope
	lift   *programme.OnLift
	cold   *programme.ColdDay
	effort *programme.OnEffort
}

func (c *hillStudentCmd) compute(ctx context.Context, a *app, h *house) (*onHill, error) {
	id, err := c.find(ctx, h)
	if err != nil {
		return nil, err
	}
	now, err := c.moment(a)
	if err != nil {
		return nil, err
	}
	as := programme.AsOf{}
	if c.At != "" {
		as.Time = now
	}
	r, err := h.cases.StudentAt(ctx, steward, id, as)
	if err != nil {
		return nil, err
	}
	hill, err := h.cases.HillAt(ctx, steward, as)
	if err != nil {
		return nil, err
	}
	t, err := h.table(ctx, steward, as)
	if err != nil {
		return nil, err
	}
	const hour = 60
	out := &onHill{name: r.NameUsed, at: now, day: programme.DateOf(now)}
	q, _ := programme.SlopeAskOf(r, out.day, now.Hour()*hour+now.Minute())
	other, err := calledAs("slope", c.Slope, hill.Slopes, func(s programme.SlopeState) (programme.ID, string) { return s.Slope, s.Name })
	if err != nil {
		return nil, err
	}
	if other != "" && other != q.Slope {
		q.Slope, q.StartM = other, 0
	}
	choice, _ := r.Hill.Choice()
	by, err := calledAs("lift", c.Lift, hill.Lifts, func(l programme.LiftState) (programme.ID, string) { return l.Lift, l.Name })
	if err != nil {
		return nil, err
	}
	if by == "" {
		by = choice.Lift
	}
	own := 0.0
	if q.Slope != "" {
		if out.slope, err = programme.SlopeOn(t, r, hill, q); err != nil {
			return nil, err
		}
		own = out.slope.SkiingMS()
	}
	if by != "" {
		if out.lift, err = programme.LiftOn(t, r, hill, by); err != nil {
			return nil, err
		}
	}
	if out.cold, err = programme.ColdOn(t, r, hill, programme.ColdAsk{Day: q.Day, Now: q.Now, OwnMS: own, Slope: q.Slope, Lift: by}); err != nil {
		return nil, err
	}
	out.effort, err = programme.EffortOn(t, r, hill, q.Slope)
	return out, err
}

// Run tells how a student stands on the hill.
func (c *hillStudentCmd) Run(a *app) error {
	ctx, stop := a.until()
	defer stop()
	h, err := c.open(ctx, a)
	if err != nil {
		return err
	}
	defer h.Close()
	o, err := c.compute(ctx, a, h)
	if err != nil {
		return err
	}
	if c.JSON {
		v := map[string]any{"student": o.name, "at": o.at.Format("2006-01-02 15:04"), "slope": nil, "lift": nil, "cold": viewColdDay(o.cold), "effort": viewOnEffort(o.effort)}
		if o.slope != nil {
			v["slope"] = viewOnSlope(o.slope)
		}
		if o.lift != nil {
			v["lift"] = viewOnLift(o.lift)
		}
		err = a.printJSON(v)
	} else {
		err = o.print(&sheet{w: a.Out})
	}
	if err == nil && (o.slope != nil && o.slope.Verdict == programme.HillHeld || o.lift != nil && o.lift.Verdict == programme.HillHeld) {
		return errHeld
	}
	return err
}

func printReasons(p *sheet, in []programme.HillReason) {
	for _, r := range in {
		p.labelled(2, 16, map[programme.HillVerdict]string{programme.HillHeld: "held", programme.HillAgainst: "against", programme.HillOpen: "to know first", programme.HillClear: "mind"}[r.Weighs], r.Say)
	}
}

func (o *onHill) print(p *sheet) error {
	p.line("%s, %s", o.name, o.at.Format("Mon 2 Jan 2006, 15:04"))
	if o.slope == nil {
		p.heading("SLOPE")
		p.para(0, "No slope is chosen.")
	} else {
		o.printSlope(p)
	}
	if o.lift != nil {
		p.heading("LIFT: " + o.lift.Lift.Name)
		p.para(0, o.lift.Says())
		printReasons(p, o.lift.Reasons)
		if o.lift.Timed {
			p.labelled(2, 16, "Needs", viewRange(o.lift.Load.Need).says(1)+" s")
			p.labelled(2, 16, "Has", viewRange(o.lift.Load.Gap).says(1)+" s between two carriers")
		}
		if o.lift.HasLimit {
			p.labelled(2, 16, "At most", fixed(float64(o.lift.Limit), 1)+" m/s: a limit to name, not a speed to run at")
		}
	}
	p.heading("COLD")
	if !o.cold.Known {
		p.para(0, "There is no forecast for this day.")
	}
	for _, h := range o.cold.Hours {
		text := "wind chill " + fixed(h.Watch.Freezing.Chill.Printed(), 0)
		if h.Watch.Stop {
			text += ", STOP"
		}
		if h.Watch.Timed {
			text += "; look after " + fixed(h.Watch.First.Minutes(), 1) + " min, then every " + fixed(h.Watch.Longest.Minutes(), 1) + " at most"
		}
		p.labelled(2, 8, h.Time, text)
	}
	p.heading("EFFORT")
	for _, l := range o.effort.Lines {
		text := "not done: " + l.Why
		if l.Done && l.Rate.Known {
			text = viewOnEffortText(l)
		}
		p.labelled(2, 12, l.Code, text)
	}
	all := slope.Cautions()
	for _, more := range [][]string{lift.Cautions(), cold.Cautions(), effort.Cautions()} {
		all = append(all, more...)
	}
	p.tell(nil, nil, all)
	return p.err
}

func viewOnEffortText(l programme.EffortLine) string {
	return fixed(l.Power.Value().KilocaloriesPerMinute(), 1) + " kcal a minute; rest owed after " + fixed(l.WorkedMin, 0) + " min: " + fixed(l.Rest.Minutes(), 0) + " to " + fixed(l.RestHigh.Minutes(), 0) + " min"
}

func (o *onHill) printSlope(p *sheet) {
	s := o.slope
	v := viewOnSlope(s)
	p.heading("SLOPE: " + s.Slope.Name)
	p.para(0, s.Verdict.Says())
	printReasons(p, s.Reasons)
	p.labelled(2, 16, "Snow", s.Snow.Says())
	for _, side := range slope.Sides {
		if step, ok := s.Now(side); ok {
			p.labelled(2, 16, "Fan "+string(side), fixed(step.StartDeg, 0)+" degrees from straight across: at most "+spread(step.PeakKmh.Value, step.PeakKmh.Low, step.PeakKmh.High, 0)+" km/h")
		}
	}
	if v.WorstKmh != nil {
		p.labelled(2, 16, "Straight", "nothing slowing: "+fixed(v.WorstKmh.P50, 0)+" km/h ("+fixed(v.WorstKmh.P10, 0)+" to "+fixed(v.WorstKmh.P90, 0)+") after "+fixed(*v.WorstAt, 0)+" m")
	}
	if v.Need != nil {
		p.labelled(2, 16, "Run-out", "nine of ten stop within "+fixed(v.Need.P90, 0)+" m; there are "+fixed(*v.There, 0)+" m")
	}
	if v.Suffices != nil && *v.Suffices < s.Slope.LengthM()-1 {
		p.labelled(2, 16, "", "long enough from no higher than "+fixed(*v.Suffices, 0)+" m above the end: a limit, not a place to start")
	}
}
