package hill

import (
	"net/http"
	"strconv"
	"strings"

	"firnhand/core/source"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// glidesLine is glides as recorded.
type glidesLine struct {
	ID   programme.ID
	Day  programme.Date
	Says string
	By   string
}

func glidesLineOf(g programme.GlidesState, names map[programme.ID]string) glidesLine {
	words := zero.Text(g.LengthM) + " m at " + tenth.Text(g.Pct) + " %: "
	if g.Short > 0 {
		words += strconv.Itoa(g.Short) + " stopped on the way"
	} else {
		var times []string
		for _, s := range g.TimesS {
			times = append(times, tenth.Text(s))
		}
		words += strings.Join(times, ", ") + " s"
	}
	words += ", by " + zero.Text(g.MassKG) + " kg with gear"
	return glidesLine{g.First, g.Day, words, names[g.By]}
}

type glidesBody struct {
	Slope programme.SlopeState
	ID    programme.ID // of glides that are changed; "" for new ones
	Line  glidesLine
	Form  page.Form
	Back  page.Form // to take them back
	Fact  programme.ID
}

func glidesForm() page.Form {
	watch := source.Value("stopwatch_sd")
	return page.Form{
		{Kind: "date", Name: "day", Label: "Day"},
		{Kind: "number", Name: "length", Label: "Length that was timed", Unit: "m", Hint: "Taped along the snow, straight down."},
		{Kind: "number", Name: "pct", Label: "Gradient of that part", Unit: "%", Hint: "Downhill is above zero."},
		{Kind: "number", Name: "pct_sd", Label: "Error of that gradient", Unit: "%", Hint: "0.5 with a level over the whole part, 1 to 2 from a phone."},
		{Kind: "text", Name: "times", Label: "Times (s)", Hint: "From standing still to the end, each by hand: 10.9 11.2. Skis flat, no push."},
		{Kind: "number", Name: "short", Label: "Or: glides that stopped on the way", Mode: "numeric"},
		{Kind: "number", Name: "start", Label: "Speed at the beginning", Unit: "m/s", Hint: "0 from standing still."},
		{Kind: "number", Name: "mass", Label: "Who slid, with gear", Unit: "kg"},
		{Kind: "number", Name: "watch", Label: "Error of the stopwatch", Unit: "s", Hint: tenth.Text(watch) + " is proposed for a practised thumb."},
		{Kind: "text", Name: "note", Label: "Note", Hint: "May stay empty."},
	}
}

func newGlides(v *page.Visit) error {
	h, err := v.Hill()
	if err != nil {
		return err
	}
	s, known, err := slopeIn(v, h)
	if err != nil || !known {
		return notHere(err)
	}
	f := glidesForm()
	for name, x := range map[string]float64{"pct_sd": usualErrorPct, "start": 0, "watch": source.Value("stopwatch_sd")} {
		f.Get(name).Value = page.TextOf(&x)
	}
	f.Get("day").Value = v.Today().String()
	return v.Render(http.StatusOK, "hill-glides", page.View{Title: "Time glides", Body: glidesBody{Slope: s, Form: f, Fact: v.NewID()}})
}

func notHere(err error) error {
	if err != nil {
		return err
	}
	return programme.Refuse(programme.CodeNotFound, "There is no such slope here.")
}

// readGlides takes what was typed.
func readGlides(v *page.Visit, on programme.ID, p *page.Problems) programme.TimedGlides {
	g := programme.TimedGlides{Slope: on, Note: v.Typed("note"), TimesS: v.Numbers(p, "times", "s")}
	for _, one := range []struct {
		name, unit, say string
		to              *float64
	}{{"length", "m", "Write the length that was timed.", &g.LengthM}, {"pct", "%", "Write the gradient of that part.", &g.Pct}, {"mass", "kg", "Write the mass of who slid, with gear.", &g.MassKG},
		{"pct_sd", "%", "", &g.PctSD}, {"start", "m/s", "", &g.StartMS}, {"watch", "s", "Write the error of the stopwatch.", &g.WatchSD}} {
		before := len(*p)
		switch x := v.Number(p, one.name, one.unit); {
		case x != nil:
			*one.to = *x
		case one.say != "" && len(*p) == before:
			p.Add(one.name, one.say)
		}
	}
	if x := v.Number(p, "short", ""); x != nil {
		g.Short = int(*x)
	}
	var err error
	if g.Day, err = programme.ParseDate(v.Typed("day")); err != nil {
		p.Add("day", programme.SentenceOf(err))
	}
	return g
}

func glidesFieldOf(sentence string) string {
	for _, f := range []struct{ words, field string }{{"day of the glides", "day"}, {"length of a timed", "length"}, {"gradient of the part", "pct"}, {"error of that gradient", "pct_sd"}, {"speed at the beginning", "start"},
		{"mass of who", "mass"}, {"stopwatch", "watch"}, {"number of glides", "short"}, {"time", "times"}, {"glide", "times"}} {
		if strings.Contains(strings.ToLower(sentence), f.words) {
			return f.field
		}
	}
	return ""
}

func saveGlides(v *page.Visit) error {
	h, err := v.Hill()
	if err != nil {
		return err
	}
	s, known, err := slopeIn(v, h)
	if err != nil || !known {
		return notHere(err)
	}
	var p page.Problems
	g := readGlides(v, s.Slope, &p)
	if len(p) == 0 {
		_, err := v.Kit.Cases.RecordGlides(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, g)
		if err == nil {
			return v.Go("/hill/slopes/"+string(s.Slope), "glides")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		p.Add(glidesFieldOf(programme.SentenceOf(err)), programme.SentenceOf(err))
	}
	return v.Render(http.StatusUnprocessableEntity, "hill-glides", page.View{Title: "Time glides", Problems: p, Body: glidesBody{Slope: s, Form: glidesForm().Fill(v, p), Fact: v.FormID("fact")}})
}

// glidesIn returns the glides in the address.
func glidesIn(v *page.Visit) (programme.GlidesState, programme.SlopeState, error) {
	h, err := v.Hill()
	if err != nil {
		return programme.GlidesState{}, programme.SlopeState{}, err
	}
	id := programme.ID(v.R.PathValue("glides"))
	for _, g := range h.Glides {
		if g.First == id {
			s, _ := h.SlopeByID(g.Slope)
			return g, s, nil
		}
	}
	return programme.GlidesState{}, programme.SlopeState{}, programme.Refuse(programme.CodeNotFound, "There are no such glides, or they were taken back.")
}

func backForm() page.Form {
	return page.Form{{Kind: "text", Name: "reason", Label: "Why are they taken back?"}}
}

func glidesPage(v *page.Visit, g programme.GlidesState, s programme.SlopeState, status int, f, back page.Form, fact programme.ID, p page.Problems) error {
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	return v.Render(status, "hill-glides", page.View{Title: "Timed glides", Problems: p, Body: glidesBody{Slope: s, ID: g.First, Line: glidesLineOf(g, names), Form: f, Back: back, Fact: fact}})
}

func changeGlides(v *page.Visit) error {
	g, s, err := glidesIn(v)
	if err != nil {
		return err
	}
	return glidesPage(v, g, s, http.StatusOK, filledGlides(g), backForm(), v.NewID(), nil)
}

// filledGlides is the form with glides as they stand.
func filledGlides(g programme.GlidesState) page.Form {
	f := glidesForm()
	for name, x := range map[string]float64{"length": g.LengthM, "pct": g.Pct, "pct_sd": g.PctSD, "start": g.StartMS, "mass": g.MassKG, "watch": g.WatchSD} {
		f.Get(name).Value = page.TextOf(&x)
	}
	f.Get("day").Value, f.Get("times").Value, f.Get("note").Value = g.Day.String(), page.TextsOf(g.TimesS), g.Note
	if g.Short > 0 {
		f.Get("short").Value = strconv.Itoa(g.Short)
	}
	return f
}

func correctGlides(v *page.Visit) error {
	g, s, err := glidesIn(v)
	if err != nil {
		return err
	}
	var p page.Problems
	d := readGlides(v, s.Slope, &p)
	if len(p) == 0 {
		_, err := v.Kit.Cases.CorrectGlides(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, g.First, d)
		if err == nil {
			return v.Go("/hill/slopes/"+string(s.Slope), "correction")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		p.Add(glidesFieldOf(programme.SentenceOf(err)), programme.SentenceOf(err))
	}
	return glidesPage(v, g, s, http.StatusUnprocessableEntity, glidesForm().Fill(v, p), backForm(), v.FormID("fact"), p)
}

func takeBack(v *page.Visit) error {
	g, s, err := glidesIn(v)
	if err != nil {
		return err
	}
	why := programme.Retraction{Reason: v.Typed("reason")}
	if why.Reason != "" {
		if _, err := v.Kit.Cases.RetractGlides(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, g.First, why); err != nil {
			return err
		}
		return v.Go("/hill/slopes/"+string(s.Slope), "back")
	}
	p := page.Problems{{Field: "reason", Sentence: "Write why the glides are taken back."}}
	return glidesPage(v, g, s, http.StatusUnprocessableEntity, filledGlides(g), backForm().Fill(v, p), v.FormID("fact"), p)
}
