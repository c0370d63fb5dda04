// Package hill shows the programme's hill: its slopes and lifts as measured,
// the day's forecast and snow, and the glides that were timed. Nothing on these
// pages is about a student.
package hill

import (
	"embed"
	"html/template"
	"net/http"

	"firnhand/core/lift"
	"firnhand/core/quantity"
	"firnhand/core/slope"
	"firnhand/internal/picture"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html *.css
var files embed.FS

// MaxFile is the largest file that is taken: that of the reader of runs.
const MaxFile = 16 << 20

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	k.Handle("GET /hill", programme.ReadHill, list)
	k.Handle("GET /hill/slopes/{slope}", programme.ReadHill, showSlope)
	k.Handle("GET /hill/slopes/{slope}/change", programme.WriteHill, changeSlope)
	k.HandleUpload("POST /hill/slopes/{slope}", programme.WriteHill, MaxFile, saveSlope)
	k.Handle("GET /hill/lifts/{lift}", programme.ReadHill, showLift)
	k.Handle("GET /hill/lifts/{lift}/change", programme.WriteHill, changeLift)
	k.Handle("POST /hill/lifts/{lift}", programme.WriteHill, saveLift)
	k.Handle("GET /hill/day", programme.WriteDay, changeDay)
	k.HandleUpload("POST /hill/day", programme.WriteDay, MaxFile, saveDay)
	k.Handle("GET /hill/slopes/{slope}/glides", programme.WriteDay, newGlides)
	k.Handle("POST /hill/slopes/{slope}/glides", programme.WriteDay, saveGlides)
	k.Handle("GET /hill/glides/{glides}", programme.WriteDay, changeGlides)
	k.Handle("POST /hill/glides/{glides}", programme.WriteDay, correctGlides)
	k.Handle("POST /hill/glides/{glides}/back", programme.WriteDay, takeBack)
}

var (
	zero  = quantity.Decimals(0)
	tenth = quantity.Decimals(1)
	three = quantity.Decimals(3)
)

// slopeLine is a slope in the list.
type slopeLine struct {
	ID      programme.ID
	Name    string
	Shape   string // "260 m long, 10 % on average, steepest 50 m 13.6 %"
	Ground  string
	RunOut  string
	Missing []string // what was not measured
	Ended   bool
}

// liftLine is a lift in the list.
type liftLine struct {
	ID      programme.ID
	Name    string
	Kind    string
	Says    string
	Missing []string
	Ended   bool
}

type listBody struct {
	Day    dayBody
	Slopes []slopeLine
	Lifts  []liftLine
	May    bool
	MayDay bool
	New    programme.ID // for a slope or lift that is added
}

func list(v *page.Visit) error {
	h, err := v.Hill()
	if err != nil {
		return err
	}
	n, err := numbers(v)
	if err != nil {
		return err
	}
	body := listBody{May: v.Actor.May(programme.WriteHill), MayDay: v.Actor.May(programme.WriteDay), New: v.NewID()}
	if body.Day, err = dayOf(v, h); err != nil {
		return err
	}
	for _, s := range h.Slopes {
		l, err := lineOf(s, n)
		if err != nil {
			return err
		}
		body.Slopes = append(body.Slopes, l)
	}
	for _, l := range h.Lifts {
		line, err := liftLineOf(l)
		if err != nil {
			return err
		}
		body.Lifts = append(body.Lifts, line)
	}
	return v.Render(http.StatusOK, "hill", page.View{Title: "Hill", Body: body})
}

// numbers are the programme's own, as signed off.
func numbers(v *page.Visit) (programme.Numbers, error) {
	signed, err := v.Kit.Cases.Settings(v.R.Context(), v.Actor, programme.AsOf{})
	return programme.NumbersOf(signed), err
}

func lineOf(s programme.SlopeState, n programme.Numbers) (slopeLine, error) {
	l := slopeLine{ID: s.Slope, Name: s.Name, Ended: s.Ended, Missing: missing(s)}
	p, err := s.Profile()
	if err != nil {
		return l, err
	}
	g, err := s.Ground(n)
	if err != nil {
		return l, err
	}
	const window = 50
	l.Shape = zero.Text(s.LengthM()) + " m long, " + tenth.Text(s.MeanPct()) + " % on average, steepest 50 m " + tenth.Text(100*p.Steepest(window).Gradient) + " %"
	l.Ground, l.RunOut = g.Says(), runOut(s)
	return l, nil
}

// runOut says what lies after a slope.
func runOut(s programme.SlopeState) string {
	if s.RunOutM == nil || s.RunOutPct == nil {
		return "Run-out not measured"
	}
	return "Run-out " + zero.Text(*s.RunOutM) + " m, " + leans(*s.RunOutPct)
}

func leans(pct float64) string {
	switch {
	case pct < 0:
		return "rising " + tenth.Text(-pct) + " %"
	case pct > 0:
		return "falling " + tenth.Text(pct) + " %"
	}
	return "level"
}

// missing lists what was not measured of a slope.
func missing(s programme.SlopeState) []string {
	var out []string
	for _, one := range []struct {
		v    *float64
		what string
	}{{s.RunOutM, "the length of the run-out"}, {s.RunOutPct, "whether the run-out rises"}, {s.WidthM, "the width"}, {s.AcrossPct, "the fall across"}, {s.TopM, "the height above the sea"}} {
		if one.v == nil {
			out = append(out, one.what)
		}
	}
	return out
}

func liftLineOf(l programme.LiftState) (liftLine, error) {
	out := liftLine{ID: l.Lift, Name: l.Name, Kind: kindLabel(l.What), Ended: l.Ended}
	line, err := l.Line()
	if err != nil {
		return out, err
	}
	out.Says = tenth.Text(float64(line.Interval)) + " s from one to the next"
	if line.Speed > 0 {
		out.Says = tenth.Text(float64(line.Speed)) + " m/s at the load line, " + out.Says + ", " + tenth.Text(float64(line.Spacing)) + " m apart"
	}
	for _, one := range []struct {
		lacks bool
		what  string
	}{{l.SpeedMS == nil && line.Speed == 0, "its speed"}, {len(l.WaitM) == 0, "the way to the load line"}, {len(l.ClearM) == 0, "the way to the clear place"},
		{l.Bar == lift.NotKnown || l.Bar == "", "whether there is a bar"}} {
		if one.lacks {
			out.Missing = append(out.Missing, one.what)
		}
	}
	return out, nil
}

// kinds are the kinds of lift in words.
var kinds = []page.Option{
	{Value: string(lift.FixedChair), Label: "Fixed chair"}, {Value: string(lift.DetachableChair), Label: "Detachable chair"},
	{Value: string(lift.TBar), Label: "T-bar", Hint: "two on one outfit"}, {Value: string(lift.Single), Label: "Platter or single outfit"}, {Value: string(lift.Carpet), Label: "Carpet"},
}

func kindLabel(k lift.Kind) string {
	for _, o := range kinds {
		if o.Value == string(k) {
			return o.Label
		}
	}
	return string(k)
}

// Size of a drawing on a page, mm.
const (
	DrawWide = 132
	DrawHigh = 72
)

// Profile draws a run with its steepest stretches and the ground after it.
func Profile(s programme.SlopeState, start float64, need float64) (svg template.HTML, says string, err error) {
	p, err := s.Profile()
	if err != nil {
		return "", "", err
	}
	d := ProfileOf(p, s, start, need).Draw(DrawWide, DrawHigh)
	return template.HTML(d.SVG()), d.Desc, nil // the drawing escapes its texts; nothing else goes in
}

// ProfileOf returns the drawing.
func ProfileOf(p slope.Profile, s programme.SlopeState, start, need float64) picture.HillProfile {
	h := picture.HillProfile{Start: start}
	for i, height := range p.Height {
		h.Distance, h.Height = append(h.Distance, p.Spacing*float64(i)), append(h.Height, height)
	}
	for _, length := range []float64{20, 50} {
		if length < p.Length() {
			w := p.Steepest(length)
			h.Marks = append(h.Marks, picture.HillMark{From: w.From, To: w.From + w.Length, Label: "steepest " + zero.Text(length) + " m: " + tenth.Text(100*w.Gradient) + " %"})
		}
	}
	if s.RunOutM != nil && s.RunOutPct != nil {
		h.RunOut = &picture.HillRunOut{Length: *s.RunOutM, Grade: *s.RunOutPct / 100, Need: need}
	}
	return h
}
