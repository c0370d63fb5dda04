// Package cold shows what the cold of the day asks for of a student, and what
// moving costs them: wind chill with own and chair speed, the stop, when to
// look at parts that feel less, the rest that is owed.
package cold

import (
	"embed"
	"net/http"
	"strings"

	core "firnhand/core/cold"
	"firnhand/core/effort"
	"firnhand/core/quantity"
	"firnhand/internal/web/answer"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Handle("GET /students/{student}/cold", programme.ReadWork, show)
	k.Handle("GET /students/{student}/effort", programme.PlanHill, change)
	k.Handle("POST /students/{student}/effort", programme.PlanHill, save)
}

var (
	zero  = quantity.Decimals(0)
	tenth = quantity.Decimals(1)
)

// hour is one time of the day for this student.
type hour struct {
	Time, Air, Wind, Chill, Bare, Look string
	Stop, Now                          bool
}

// line is one way of moving.
type line struct{ Words, Rate, Rest, Share, Why string }

type need struct{ Label, Title, Link string }

type showBody struct {
	Holds    []answer.Gate
	Known    bool // there is a forecast
	Says     string
	Say      []string // for now
	Feel     string
	Hours    []hour
	Notes    []string
	Own      string
	Outside  []string
	Cautions []string

	Effort   *programme.OnEffort
	Needs    []need
	Mult     string
	MultHow  string
	Lines    []line
	Block    string
	Standard string
	Beyond   []string
	EffortCautions,
	EffortNotes []string
	May bool
}

func show(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	h, err := v.Hill()
	if err != nil {
		return err
	}
	body := showBody{Holds: answer.PanelOf(d).Holds, Cautions: core.Cautions(), EffortCautions: effort.Cautions(), May: v.Actor.May(programme.PlanHill)}
	q, onSlope := programme.SlopeAskOf(d.Record, v.Today(), v.Minutes())
	choice, _ := d.Record.Hill.Choice()
	own := 0.0
	if onSlope {
		o, err := programme.SlopeOn(d.Table, d.Record, h, q)
		if err != nil {
			return err
		}
		own = o.SkiingMS()
	}
	c, err := programme.ColdOn(d.Table, d.Record, h, programme.ColdAsk{Day: v.Today(), Now: v.Minutes(), OwnMS: own, Slope: q.Slope, Lift: choice.Lift})
	if err != nil {
		return err
	}
	body.cold(c)
	if err := body.moving(d, h, q.Slope); err != nil {
		return err
	}
	return v.Render(http.StatusOK, "cold", page.View{Title: "Cold and effort", Student: v.HeadingOf(d.Record), Here: "cold", Body: body})
}

// cold writes the cold of the day.
func (b *showBody) cold(c *programme.ColdDay) {
	b.Known, b.Notes = c.Known, c.Notes
	b.Feel = map[core.Feel]string{core.Full: "feels everything", core.Reduced: "feels less somewhere, or has poor circulation", core.Missing: "a part feels nothing", core.NotKnown: "feeling was not tested, so it counts as missing"}[c.Feel]
	var own []string
	if c.OwnMS > 0 {
		own = append(own, "own speed "+zero.Text(quantity.MetrePerSecond(c.OwnMS).KilometresPerHour())+" km/h")
	}
	if c.ChairM > 0 {
		own = append(own, "the lift's "+zero.Text(quantity.MetrePerSecond(c.ChairM).KilometresPerHour())+" km/h")
	}
	b.Own = strings.Join(own, ", ")
	if !c.Known {
		b.Says = "There is no forecast for today, so nothing is said about the cold."
		return
	}
	for _, one := range c.Hours {
		b.Hours = append(b.Hours, hourOf(one))
		for _, s := range one.Watch.Freezing.Outside {
			b.Outside = add(b.Outside, s)
		}
		for _, s := range one.Watch.Freezing.Notes {
			b.Outside = add(b.Outside, one.Time+": "+s)
		}
	}
	now, ok := c.NowHour()
	if !ok {
		return
	}
	b.Say = now.Watch.Say
	switch {
	case now.Watch.Stop:
		b.Says = "Stop: nobody goes out in this cold."
	case !now.Watch.Freezing.Chill.Known:
		b.Says = "No wind chill at this temperature."
	default:
		b.Says = "Wind chill " + zero.Text(now.Watch.Freezing.Chill.Printed()) + ", " + zero.Text(now.Watch.ToStop) + " above the stop."
	}
}

func add(list []string, one string) []string {
	for _, s := range list {
		if s == one {
			return list
		}
	}
	return append(list, one)
}

func hourOf(one programme.ColdHour) hour {
	w := one.Watch
	h := hour{Time: one.Time, Air: tenth.Text(one.AirHereC) + " °C", Wind: zero.Text(quantity.MetrePerSecond(one.WindMS).KilometresPerHour()) + " km/h", Stop: w.Stop, Now: one.Now, Chill: "none", Bare: "no time given", Look: "no timer"}
	if w.Freezing.Chill.Known {
		h.Chill = zero.Text(w.Freezing.Chill.Printed())
	}
	if w.Freezing.Freezes {
		h.Bare = zero.Text(w.Freezing.Least.Minutes()) + " to " + zero.Text(w.Freezing.Most.Minutes()) + " min"
	}
	switch {
	case !w.Timed:
	case w.First == w.Longest:
		h.Look = "every " + tenth.Text(w.First.Minutes()) + " min at most"
	default:
		h.Look = "after " + tenth.Text(w.First.Minutes()) + " min, then every " + tenth.Text(w.Longest.Minutes()) + " min at most"
	}
	return h
}

// moving writes what moving costs.
func (b *showBody) moving(d page.Decided, h programme.Hill, on programme.ID) error {
	e, err := programme.EffortOn(d.Table, d.Record, h, on)
	if err != nil {
		return err
	}
	b.Effort, b.Beyond = e, e.Outside
	for _, id := range e.Needs {
		title, link := answer.Where(d.Record.Student, id)
		b.Needs = append(b.Needs, need{answer.SayLabel(id), title, link})
	}
	if e.BlockMin > 0 {
		b.Block = zero.Text(e.BlockMin) + " min before a rest, from " + zero.Text(e.EnduranceMin) + " min upright before quality drops"
	}
	b.Mult, b.MultHow = "not measured: the figures are those of healthy adults, and this student's are higher", ""
	if e.HasMult {
		b.Mult = e.Multiplier.Ratio.Text(quantity.Decimals(2)) + " times, " + e.Multiplier.Words
		b.MultHow = e.Multiplier.How
		if !e.Multiplier.Verified {
			b.MultHow += " Not verified."
		}
		b.EffortNotes = append(b.EffortNotes, e.Multiplier.Notes...)
	}
	b.Standard = "rest is owed above " + tenth.Text(e.Standard.Limit.KilocaloriesPerMinute()) + " kcal a minute"
	if e.Capacity == nil {
		b.Standard += " (Murrell, for grown people in good health; the capacity of this student was not measured)"
	} else {
		b.Standard += " (the low end of what is kept up of the capacity that was measured)"
	}
	for _, l := range e.Lines {
		b.Lines = append(b.Lines, lineOf(l))
		for _, s := range append(append([]string{}, l.Rate.Outside...), l.Rate.Notes...) {
			b.EffortNotes = add(b.EffortNotes, s)
		}
	}
	return nil
}

func lineOf(l programme.EffortLine) line {
	out := line{Words: l.Words, Why: l.Why}
	if !l.Rate.Known {
		out.Rate = "not known"
		return out
	}
	kcal := func(w quantity.Watt) string { return tenth.Text(w.KilocaloriesPerMinute()) }
	out.Rate = kcal(l.Power.Value()) + " kcal a minute"
	if low, high := kcal(l.Power.Low()), kcal(l.Power.High()); low != high {
		out.Rate += ", between " + low + " and " + high
	}
	out.Rest = "none"
	if l.Rest > 0 || l.RestHigh > 0 {
		out.Rest = zero.Text(l.Rest.Minutes()) + " to " + zero.Text(l.RestHigh.Minutes()) + " min after " + zero.Text(l.WorkedMin) + " min of it"
	}
	if l.Share != nil {
		out.Share = zero.Text(l.Share.Pct.Value().Percent()) + " % of the capacity. " + l.Share.Words
	}
	return out
}

type formBody struct {
	Form page.Form
	Fact programme.ID
}

func form() page.Form {
	group := &page.Field{Kind: "radio", Name: "group", Label: "Or a published group", Hint: "Only where no walk can be timed. A group says little about one person.", Options: []page.Option{{Value: "", Label: "None"}}}
	for _, m := range effort.Published() {
		hint := m.Ratio.Text(quantity.Decimals(2)) + " times"
		if !m.Verified {
			hint += ", not verified"
		}
		group.Options = append(group.Options, page.Option{Value: m.Words, Label: m.Words, Hint: hint})
	}
	return page.Form{
		{Kind: "date", Name: "day", Label: "Day"},
		{Kind: "number", Name: "walk_m", Label: "Walked on the level", Unit: "m", Hint: "At their own pace, with what they walk with every day, six minutes if they can."},
		{Kind: "number", Name: "walk_min", Label: "In", Unit: "min"},
		group,
		{Kind: "number", Name: "oxygen", Label: "Oxygen a clinic measured on that walk", Unit: "mL/(kg min)", Hint: "May stay empty."},
		{Kind: "text", Name: "capacity", Label: "Greatest oxygen uptake a clinic measured (mL/(kg min))", Hint: "One number, or lowest, value and highest: 22 25 28. May stay empty; it is never guessed."},
		{Kind: "text", Name: "note", Label: "Note", Hint: "May stay empty."},
	}
}

func change(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	f := form()
	f.Get("day").Value = v.Today().String()
	if n := len(r.Hill.Efforts); n > 0 {
		e := r.Hill.Efforts[n-1]
		if e.WalkM > 0 {
			min := e.WalkS / 60
			f.Get("walk_m").Value, f.Get("walk_min").Value = page.TextOf(&e.WalkM), page.TextOf(&min)
		}
		f.Get("oxygen").Value, f.Get("capacity").Value, f.Get("note").Value = page.TextOf(e.OxygenML), page.TextsOf(e.CapacityML), e.Note
		f.Get("group").Choose(e.Group)
	}
	return v.Render(http.StatusOK, "effort", page.View{Title: "Effort", Student: v.HeadingOf(r), Here: "cold", Body: formBody{f, v.NewID()}})
}

func save(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	var p page.Problems
	e := programme.EffortBasis{Group: v.Typed("group"), OxygenML: v.Number(&p, "oxygen", ""), CapacityML: v.Numbers(&p, "capacity", ""), Note: v.Typed("note")}
	if x := v.Number(&p, "walk_m", "m"); x != nil {
		e.WalkM = *x
	}
	if x := v.Number(&p, "walk_min", "min"); x != nil {
		e.WalkS = *x * 60
	}
	if e.Day, err = programme.ParseDate(v.Typed("day")); err != nil {
		p.Add("day", programme.SentenceOf(err))
	}
	if len(p) == 0 {
		_, err := v.Kit.Cases.RecordEffort(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, e)
		if err == nil {
			return v.Go("/students/"+string(r.Student)+"/cold", "effort")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		field := "walk_m"
		for _, f := range []struct{ words, field string }{{"day of", "day"}, {"group", "group"}, {"greatest uptake", "capacity"}, {"range", "capacity"}, {"oxygen", "oxygen"}, {"time walked", "walk_min"}} {
			if strings.Contains(strings.ToLower(programme.SentenceOf(err)), f.words) {
				field = f.field
				break
			}
		}
		p.Add(field, programme.SentenceOf(err))
	}
	return v.Render(http.StatusUnprocessableEntity, "effort", page.View{Title: "Effort", Student: v.HeadingOf(r), Here: "cold", Problems: p, Body: formBody{form().Fill(v, p), v.FormID("fact")}})
}
