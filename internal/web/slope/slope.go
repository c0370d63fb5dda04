// Package slope shows a student on a slope of the hill: whether anything speaks
// against it today, the fan with each side on its own step, how fast the run
// is, the ground a stop needs, the reins.
package slope

import (
	"embed"
	"html/template"
	"math"
	"net/http"
	"strconv"

	"firnhand/core/quantity"
	core "firnhand/core/slope"
	"firnhand/internal/picture"
	"firnhand/internal/web/answer"
	"firnhand/internal/web/hill"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Handle("GET /students/{student}/slope", programme.ReadWork, show)
	k.Handle("GET /students/{student}/slope/choose", programme.PlanHill, choose)
	k.Handle("POST /students/{student}/slope", programme.PlanHill, saveChoice)
	k.Handle("GET /students/{student}/slope/stops", programme.PlanHill, newStops)
	k.Handle("POST /students/{student}/slope/stops", programme.PlanHill, saveStops)
}

var (
	zero  = quantity.Decimals(0)
	tenth = quantity.Decimals(1)
)

// step is one side of the fan as it stands.
type step struct {
	Side  string // "Left"
	Says  string // "step 3 of 6, 45 degrees from straight across"
	Speed string // "9 km/h, 7 to 12"
	Stops string
	None  bool
}

// fanRow is one step of a ladder on both sides.
type fanRow struct {
	Step        int
	Left, Right cell
}

type cell struct {
	Start, Peak, Time, Stop string
	Now                     bool
}

type option struct {
	ID   programme.ID
	Name string
	Here bool
}

type showBody struct {
	Holds  []answer.Gate
	Slopes []option
	Chosen bool // what is shown is what was chosen
	On     *shown
	May    bool
	Asked  page.Form // wanted speed and handler
}

type shown struct {
	ID       programme.ID
	Name     string
	Day      programme.Date
	Start    string
	Verdict  programme.HillVerdict
	Says     string
	Reasons  []programme.HillReason
	Links    map[string]string // of a reason's code to where it is settled
	Ground   string
	Shape    string
	Snow     string
	Trouble  string // glides that do not count
	Steps    []step
	Straight string
	Where    string
	Need     string
	There    string
	ByWhat   string
	Suffices string
	Mass     string
	Fan      template.HTML
	FanSays  string
	FanWhy   []string
	Ladders  []ladder
	Profile  template.HTML
	ProfSays string
	Band     template.HTML
	BandSays string
	Outside  []string
	Inputs   []core.Figure
	Sources  []string
	Cautions []string
	Stops    []string
	Reins    *core.Answer
	Wanted   *core.Answer
	WantedAt string
	Problem  string // with what was asked of reins or a wanted speed
}

type ladder struct {
	Name string
	Rows []fanRow
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
	body, err := bodyOf(v, d, h)
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "slope", page.View{Title: "Slope", Student: v.HeadingOf(d.Record), Here: "slope", Body: body})
}

func bodyOf(v *page.Visit, d page.Decided, h programme.Hill) (showBody, error) {
	body := showBody{Holds: answer.PanelOf(d).Holds, May: v.Actor.May(programme.PlanHill)}
	slopes, _ := h.InUse()
	q, chosen := programme.SlopeAskOf(d.Record, v.Today(), v.Minutes())
	body.Chosen = chosen
	if other := programme.ID(v.R.URL.Query().Get("on")); other != "" && other != q.Slope {
		if _, ok := h.SlopeByID(other); !ok {
			return body, programme.Refuse(programme.CodeNotFound, "There is no such slope here.")
		}
		q.Slope, q.StartM, body.Chosen, chosen = other, 0, false, true
	}
	for _, s := range slopes {
		body.Slopes = append(body.Slopes, option{s.Slope, s.Name, s.Slope == q.Slope && chosen})
	}
	if !chosen {
		return body, nil
	}
	o, err := programme.SlopeOn(d.Table, d.Record, h, q)
	if err != nil {
		return body, err
	}
	body.On, err = shownOf(d, o)
	if err != nil {
		return body, err
	}
	body.Asked = askedForm().fill(v)
	ask(v, o, body.On)
	return body, nil
}

func shownOf(d page.Decided, o *programme.OnSlope) (*shown, error) {
	out := &shown{ID: o.Slope.Slope, Name: o.Slope.Name, Day: o.Day, Start: "from the top", Verdict: o.Verdict, Says: o.Verdict.Says(), Reasons: o.Reasons, Links: links(d.Record.Student, o),
		Ground: o.Ground.Says(), Snow: o.Snow.Says(), Trouble: o.Snow.Problem, Outside: o.Shape.Outside, Cautions: core.Cautions()}
	if o.StartM > 0 {
		out.Start = "from " + zero.Text(o.StartM) + " m below the top"
	}
	const window = 50
	out.Shape = zero.Text(o.Profile.Length()) + " m long, steepest 50 m " + tenth.Text(100*o.Profile.Steepest(window).Gradient) + " %"
	for _, st := range d.Record.Hill.Stops {
		out.Stops = append(out.Stops, page.Day(st.Day)+": "+programme.StopLabel(st.How)+", "+strconv.Itoa(len(st.Trials))+" measured")
	}
	var err error
	if out.Profile, out.ProfSays, err = hill.Profile(o.Slope, o.StartM, o.RunOut.P90); err != nil {
		return nil, err
	}
	for _, side := range core.Sides {
		out.Steps = append(out.Steps, stepOf(o, side))
	}
	if len(o.Needs) > 0 {
		return out, nil
	}
	out.Mass = tenth.Text(o.Mass.Value) + " kg with gear"
	speeds(out, o)
	fan(out, o)
	band := picture.SpeedBand{}
	for _, at := range o.Speeds.At {
		band.Distance = append(band.Distance, at.Distance)
		band.Low, band.Middle, band.High = append(band.Low, kmh(at.Speed.P10)), append(band.Middle, kmh(at.Speed.P50)), append(band.High, kmh(at.Speed.P90))
	}
	dr := band.Draw(hill.DrawWide, hill.DrawHigh)
	out.Band, out.BandSays = template.HTML(dr.SVG()), dr.Desc // the drawing escapes its texts
	for _, a := range []*core.Answer{o.Band, o.Fan} {
		if a == nil {
			continue
		}
		out.Outside = appendNew(out.Outside, a.Outside...)
		out.Outside = appendNew(out.Outside, a.Warnings...)
		out.Cautions = appendNew(out.Cautions, a.Cautions...)
		out.Inputs = append(out.Inputs, a.Inputs...)
		out.Sources = appendNew(out.Sources, a.Sources...)
	}
	return out, nil
}

// links are where what is not known is settled.
func links(student programme.ID, o *programme.OnSlope) map[string]string {
	base := "/students/" + string(student)
	out := map[string]string{"gates_open": base + "/intake/today", "terrain_open": base + "/answer", "no_width": "/hill/slopes/" + string(o.Slope.Slope), "no_run_out": "/hill/slopes/" + string(o.Slope.Slope),
		"no_across": "/hill/slopes/" + string(o.Slope.Slope), "no_forecast": "/hill", "cold_stop": base + "/cold", "cold_stop_at": base + "/cold"}
	for _, r := range o.Reasons {
		if r.Finds != "" {
			_, out[r.Code] = answer.Where(student, r.Finds)
		}
	}
	return out
}

func appendNew(list []string, more ...string) []string {
	for _, one := range more {
		seen := false
		for _, s := range list {
			seen = seen || s == one
		}
		if !seen {
			list = append(list, one)
		}
	}
	return list
}

func kmh(v float64) float64 { return quantity.MetrePerSecond(v).KilometresPerHour() }

// span writes a value with its range, rounded once.
func span(s core.Span, step quantity.Step, unit string) string {
	value, low, high := step.Text(s.Value), step.Text(s.Low), step.Text(s.High)
	if low == high {
		return value + unit
	}
	return value + unit + ", between " + low + " and " + high
}

// speeds writes how fast it is and what a stop needs.
func speeds(out *shown, o *programme.OnSlope) {
	w := o.Worst.Speed
	out.Straight = zero.Text(kmh(w.P50)) + " km/h, between " + zero.Text(kmh(w.P10)) + " and " + zero.Text(kmh(w.P90))
	out.Where = zero.Text(o.Worst.Distance) + " m below the start"
	n := o.RunOut
	if n.ThereM == nil || o.Slope.RunOutPct == nil {
		return
	}
	out.There = zero.Text(*n.ThereM) + " m"
	out.ByWhat = "by the glide alone, nobody braking"
	if n.Braked {
		out.ByWhat = "braking as measured with this student (" + programme.StopLabel(n.How) + "), with the time of reaction"
	}
	switch {
	case n.Endless >= 0.995:
		out.Need = "they do not come to rest on it"
	case n.Endless > 0.1:
		out.Need = zero.Text(100*n.Endless) + " of 100 do not come to rest on it"
	default:
		out.Need = zero.Text(math.Ceil(n.P90)) + " m for nine of ten, " + zero.Text(math.Ceil(n.P50)) + " m for half"
	}
	switch {
	case n.HasSuffices && n.Suffices < math.Floor(o.Slope.LengthM()):
		out.Suffices = "It is long enough for a straight run from no higher than " + zero.Text(n.Suffices) + " m above the end. That is a limit, not a place to start."
	case !n.HasSuffices:
		out.Suffices = "It is not long enough for a straight run from anywhere on this slope."
	}
}

// fan writes and draws the fan.
func fan(out *shown, o *programme.OnSlope) {
	if len(o.Ladders) == 0 {
		return
	}
	f := picture.Fan{}
	if o.Slope.WidthM != nil {
		f.Wide = *o.Slope.WidthM
	}
	if theta := o.BelowStart(); theta.Value > 0 {
		f.PerMetre = 1 / math.Sin(theta.Value)
	}
	trade, even := ladder{Name: "The trade's steps"}, ladder{Name: "Steps of even speed"}
	for i := range core.FanSteps {
		trade.Rows = append(trade.Rows, fanRow{i + 1, cellOf(o.Ladders[0].Trade, i), cellOf(o.Ladders[1].Trade, i)})
		even.Rows = append(even.Rows, fanRow{i + 1, cellOf(o.Ladders[0].Even, i), cellOf(o.Ladders[1].Even, i)})
	}
	out.Ladders = []ladder{trade, even}
	for _, l := range o.Ladders {
		for _, s := range l.Trade {
			t := picture.FanTrack{Left: l.Side == core.Left, Step: zero.Text(s.StartDeg) + "°", Now: s.Now}
			if s.Starts {
				t.Note = zero.Text(s.PeakKmh.Value) + " km/h"
				for _, p := range s.Track.Points {
					t.Track = append(t.Track, [2]float64{p.Down, p.Left})
				}
			}
			f.Runs = append(f.Runs, t)
		}
	}
	d := f.Draw(fanWide, fanHigh)
	out.Fan, out.FanSays, out.FanWhy = template.HTML(d.SVG()), d.Desc, o.Fan.Says // the drawing escapes its texts
}

// Size of the fan on the page, mm.
const (
	fanWide = 132
	fanHigh = 96
)

func cellOf(steps []core.FanStep, i int) cell {
	if i >= len(steps) {
		return cell{Start: "-"}
	}
	s := steps[i]
	c := cell{Start: zero.Text(s.StartDeg) + "°", Now: s.Now}
	if !s.Starts {
		c.Peak = "does not glide"
		return c
	}
	c.Peak = span(s.PeakKmh, zero, " km/h")
	c.Time = tenth.Text(s.GlideS.Value) + " s"
	c.Stop = tenth.Text(s.StopDown.Value) + " m down, " + tenth.Text(math.Abs(s.StopLeft.Value)) + " m aside"
	return c
}

func stepOf(o *programme.OnSlope, side core.Side) step {
	n := o.Step[side]
	out := step{Side: map[core.Side]string{core.Left: "Left", core.Right: "Right"}[side], None: n == 0, Says: "no step of the fan yet"}
	if n == 0 {
		return out
	}
	out.Says = "step " + strconv.Itoa(n) + " of " + strconv.Itoa(core.FanSteps) + ", " + zero.Text(quantity.Radian(core.TradeLadder()[n-1]).Degrees()) + " degrees from straight across"
	s, ok := o.Now(side)
	switch {
	case !ok:
		out.Speed = "speed not known"
	case !s.Starts:
		out.Speed = "does not glide on this snow"
	default:
		out.Speed = span(s.PeakKmh, zero, " km/h")
		out.Stops = "stops " + tenth.Text(s.StopDown.Value) + " m down and " + tenth.Text(math.Abs(s.StopLeft.Value)) + " m aside"
	}
	return out
}
