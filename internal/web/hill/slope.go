package hill

import (
	"fmt"
	"html/template"
	"net/http"
	"strings"

	"firnhand/core/slope"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

type figure struct{ Label, Text string }

type showSlopeBody struct {
	Line     slopeLine
	Picture  template.HTML
	Words    string
	Figures  []figure
	Classes  []slope.Class
	Outside  []string
	Warnings []string
	Cautions []string
	From     string
	By, When string
	Snow     programme.SnowToday
	Glides   []glidesLine
	May      bool
	MayDay   bool
	Note     string
}

// slopeIn returns the slope in the address; known is false for one that is to
// be added.
func slopeIn(v *page.Visit, h programme.Hill) (s programme.SlopeState, known bool, err error) {
	id := programme.ID(v.R.PathValue("slope"))
	if err := id.Check(); err != nil {
		return s, false, programme.Refuse(programme.CodeNotFound, "There is no such slope here.")
	}
	s, known = h.SlopeByID(id)
	s.Slope = id
	return s, known, nil
}

func showSlope(v *page.Visit) error {
	h, err := v.Hill()
	if err != nil {
		return err
	}
	s, known, err := slopeIn(v, h)
	if err != nil {
		return err
	}
	if !known {
		return programme.Refuse(programme.CodeNotFound, "There is no such slope here.")
	}
	n, err := numbers(v)
	if err != nil {
		return err
	}
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	body := showSlopeBody{From: s.From, By: names[s.By], When: v.When(s.MadeAt), May: v.Actor.May(programme.WriteHill), MayDay: v.Actor.May(programme.WriteDay), Note: s.Note}
	if body.Line, err = lineOf(s, n); err != nil {
		return err
	}
	if body.Picture, body.Words, err = Profile(s, 0, 0); err != nil {
		return err
	}
	across := 0.0
	if s.AcrossPct != nil {
		across = *s.AcrossPct / 100
	}
	a, _, classes, err := slope.Shape{Stations: s.Stations, Smoothing: s.Smoothing(), Across: across}.Answer()
	if err != nil {
		return programme.Fail(programme.CodeInternal, err, "The shape of the slope could not be computed.")
	}
	body.Classes, body.Outside, body.Warnings, body.Cautions = classes, a.Outside, a.Warnings, a.Cautions
	for _, f := range a.Figures {
		body.Figures = append(body.Figures, figure{f.Label, f.Text()})
	}
	if body.Snow, err = programme.SnowOn(h, v.Today(), s); err != nil {
		return err
	}
	for _, g := range h.Glides {
		if g.Slope == s.Slope {
			body.Glides = append([]glidesLine{glidesLineOf(g, names)}, body.Glides...)
		}
	}
	return v.Render(http.StatusOK, "hill-slope", page.View{Title: s.Name, Body: body})
}

type slopeFormBody struct {
	ID     programme.ID
	Name   string // "" for one that is added
	Form   page.Form
	Shape  page.Form // the file, or a table
	Parts  page.Form // which part of a file
	Points int       // as it stands
	From   string
	Fact   programme.ID
	MaxMB  int
}

func slopeForm() page.Form {
	return page.Form{
		{Kind: "text", Name: "name", Label: "Name", Short: false},
		{Kind: "number", Name: "width_m", Label: "Width", Unit: "m", Hint: "At the narrowest place that is skied."},
		{Kind: "number", Name: "run_out_m", Label: "Free length after the end", Unit: "m", Hint: "Paced from where the slope ends to the first thing one must not hit."},
		{Kind: "number", Name: "run_out_pct", Label: "That ground falls by", Unit: "%", Hint: "Level is 0. Write it below zero where it rises: -3."},
		{Kind: "number", Name: "across_pct", Label: "It falls across by", Unit: "%", Hint: "To the left, looking down, is above zero; to the right below. Level across is 0."},
		{Kind: "number", Name: "top_m", Label: "Height of the top above the sea", Unit: "m"},
		{Kind: "number", Name: "error_pct", Label: "Error of the gradients", Unit: "%", Hint: "How far off a gradient may be: 0.5 with a level and a tape, 1 to 2 from a phone."},
		{Kind: "area", Name: "note", Label: "Note", Hint: "May stay empty."},
		{Kind: "tick", Name: "ended", Label: "No longer used"},
	}
}

func shapeForm() page.Form {
	return page.Form{
		{Kind: "file", Name: "file", Label: "A file", Hint: "A track (GPX), a map (GeoJSON) or a table (CSV), up to 16 MB."},
		{Kind: "area", Name: "table", Label: "Or drawn by hand", Hint: "From the top down, one point a line: metres on the map, then height in metres. For example: 0 42, then 60 36, then 110 29."},
	}
}

func partsForm() page.Form {
	return page.Form{
		{Kind: "number", Name: "line", Label: "Which line of the file", Mode: "numeric", Hint: "Only where it holds several."},
		{Kind: "number", Name: "from_m", Label: "From", Unit: "m", Hint: "Along the line on the map. May stay empty."},
		{Kind: "number", Name: "to_m", Label: "To", Unit: "m"},
		{Kind: "tick", Name: "reverse", Label: "The file goes up the slope"},
	}
}

func changeSlope(v *page.Visit) error {
	h, err := v.Hill()
	if err != nil {
		return err
	}
	s, known, err := slopeIn(v, h)
	if err != nil {
		return err
	}
	f := slopeForm()
	if known {
		for name, x := range map[string]*float64{"width_m": s.WidthM, "run_out_m": s.RunOutM, "run_out_pct": s.RunOutPct, "across_pct": s.AcrossPct, "top_m": s.TopM, "error_pct": &s.ErrorPct} {
			f.Get(name).Value = page.TextOf(x)
		}
		f.Get("name").Value, f.Get("note").Value = s.Name, s.Note
		if s.Ended {
			f.Get("ended").Value = "yes"
		}
	}
	return slopePage(v, s, known, http.StatusOK, f, shapeForm(), partsForm(), v.NewID(), nil)
}

func slopePage(v *page.Visit, s programme.SlopeState, known bool, status int, f, shape, parts page.Form, fact programme.ID, problems page.Problems) error {
	body := slopeFormBody{ID: s.Slope, Form: f, Shape: shape, Parts: parts, Fact: fact, MaxMB: MaxFile >> 20}
	title := "Add a slope"
	if known {
		body.Name, body.Points, body.From, title = s.Name, len(s.Stations), s.From, "Change "+s.Name
	}
	return v.Render(status, "hill-slope-change", page.View{Title: title, Problems: problems, Body: body})
}

// saveSlope reads what was sent. A shape that was sent takes the place of the
// one before; else that one stays.
func saveSlope(v *page.Visit) error {
	h, err := v.Hill()
	if err != nil {
		return err
	}
	s, known, err := slopeIn(v, h)
	if err != nil {
		return err
	}
	var p page.Problems
	d := s.SlopeDetails
	d.Slope = s.Slope
	d.Name, d.Note, d.Ended = v.Typed("name"), v.Typed("note"), v.Ticked("ended")
	if d.Name == "" {
		p.Add("name", "Write the name of the slope.")
	}
	d.WidthM, d.RunOutM, d.RunOutPct = v.Number(&p, "width_m", "m"), v.Number(&p, "run_out_m", "m"), v.Number(&p, "run_out_pct", "%")
	d.TopM = v.Number(&p, "top_m", "m")
	across := v.Number(&p, "across_pct", "%")
	d.ErrorPct = usualErrorPct
	if x := v.Number(&p, "error_pct", "%"); x != nil {
		d.ErrorPct = *x
	}
	if taken := takeShape(v, &d, &p); across != nil || !taken { // else that of the file stands
		d.AcrossPct = across
	}
	if len(d.Stations) == 0 && p.At("file") == "" && p.At("table") == "" {
		p.Add("file", "Choose a file, or write the points of the slope.")
	}
	if len(p) == 0 {
		_, err := v.Kit.Cases.PutSlope(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, d)
		if err == nil {
			return v.Go("/hill/slopes/"+string(d.Slope), "slope")
		}
		if c := programme.CodeOf(err); c != programme.CodeInvalid && c != programme.CodeConflict {
			return err
		}
		p.Add(fieldOf(programme.SentenceOf(err)), programme.SentenceOf(err))
	}
	return slopePage(v, s, known, http.StatusUnprocessableEntity, slopeForm().Fill(v, p), shapeForm().Fill(v, p), partsForm().Fill(v, p), v.FormID("fact"), p)
}

// usualErrorPct is the error of a gradient where nobody gave one, that of the
// command line.
const usualErrorPct = 0.5

// fieldOf finds the field that a refusal is about.
func fieldOf(sentence string) string {
	for _, f := range []struct{ words, field string }{{"name", "name"}, {"called", "name"}, {"width", "width_m"}, {"length of the run-out", "run_out_m"}, {"gradient of the run-out", "run_out_pct"},
		{"across", "across_pct"}, {"error", "error_pct"}, {"height of the top", "top_m"}, {"point", "table"}, {"Point", "table"}, {"slope", "table"}} {
		if strings.Contains(sentence, f.words) {
			return f.field
		}
	}
	return ""
}

// takeShape puts in the shape that was sent; taken is false where none was.
func takeShape(v *page.Visit, d *programme.SlopeDetails, p *page.Problems) (taken bool) {
	file, sent := v.File("file")
	table := v.Typed("table")
	switch {
	case !sent && table == "":
		return false
	case sent && table != "":
		p.Add("table", "Send a file or write the points, not both.")
		return false
	case sent && file.TooBig:
		p.Add("file", fmt.Sprintf("The file is larger than %d MB; a run has a few hundred points. Nothing was read.", MaxFile>>20))
		return false
	}
	f := page.ShapeFile{Name: file.Name, Data: file.Data, Reverse: v.Ticked("reverse")}
	field := "file"
	if !sent {
		field = "table"
		f.Name, f.Data = "points.csv", []byte(handTable(table))
	}
	for name, to := range map[string]*float64{"from_m": &f.FromM, "to_m": &f.ToM} {
		if x := v.Number(p, name, "m"); x != nil {
			*to = *x
		}
	}
	if x := v.Number(p, "line", ""); x != nil {
		f.Line = int(*x)
	}
	if len(*p) > 0 && p.At(field) != "" {
		return false
	}
	got, err := v.Kit.Shape(f)
	if err != nil {
		p.Add(field, programme.SentenceOf(err))
		return false
	}
	d.Stations, d.Drawn, d.From = got.Stations, got.Drawn, got.From
	if !sent {
		d.From = "drawn by hand"
	}
	d.AcrossPct = got.AcrossPct
	return true
}

// handTable makes the table of a file out of points written by hand: two
// numbers a line, parted by spaces or a semicolon, decimals with point or comma.
func handTable(text string) string {
	var b strings.Builder
	b.WriteString("distance_m;height_m\n")
	for _, line := range strings.Split(strings.ReplaceAll(text, "\r", "\n"), "\n") {
		fields := strings.FieldsFunc(line, func(r rune) bool { return r == ' ' || r == '\t' || r == ';' })
		if len(fields) == 1 { // 60,36
			fields = strings.Split(fields[0], ",")
		}
		for i := range fields {
			fields[i] = strings.TrimSuffix(strings.Trim(fields[i], ","), "m")
		}
		if len(fields) > 0 {
			b.WriteString(strings.Join(fields, ";") + "\n")
		}
	}
	return b.String()
}
