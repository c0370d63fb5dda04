// Package stance shows whether a student can stand as decided: the answer
// first, the two drawings to scale, what to change, and what is not measured.
package stance

import (
	"embed"
	"html/template"
	"math"
	"net/http"
	"slices"
	"strings"

	"firnhand/core/finding"
	"firnhand/core/quantity"
	core "firnhand/core/stance"
	"firnhand/internal/picture/standing"
	"firnhand/internal/web/answer"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html *.css
var files embed.FS

// Add adds the page.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	k.Handle("GET /students/{student}/stance", programme.ReadWork, show)
	k.Handle("GET /students/{student}/stance/card", programme.ReadWork, card)
}

// first is the situation that is shown where none is asked for.
const first = "straight_run"

type showBody struct {
	Says     string // the answer, in one line
	Way      string
	Holds    []answer.Gate
	Stops    string // why there is no stance; "" where there is one
	Needs    []need
	Places   []row
	Here     *shown
	Slope    string
	Taken    []string
	Flags    []programme.MeasureFlag
	Untested []need // legs and arms whose strength nobody tested
	Narrow   []doubt
}

type need struct{ Label, Title, Link string }

// row is one situation in the list of all.
type row struct {
	Code, Name string
	Here       bool
	Verdict    string
	Arms       string
	Room       string
}

// shown is the situation that is drawn.
type shown struct {
	Code    string
	Name    string
	Verdict string
	Held    bool
	Shown   bool   // not held by what was shown, and that is why it is open
	Weak    bool   // carries nowhere
	Upright string // how the student stands there; "" on level snow
	Scales  string // what two scales were taken for
	Arms    string
	Weight  string
	Room    string
	Tips    string
	Notes   []string
	Loads   []load
	Above   template.HTML
	Side    template.HTML
	Behind  template.HTML // across the slope
	AboveSays,
	SideSays,
	BehindSays string
	Changes []change
	Basis   []string
}

type load struct{ Name, Even, Between, Limit string }

type change struct{ Say, Buys string }

type doubt struct {
	programme.Doubt
	Between, Moves string
	Link           string
}

func show(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	body, err := bodyOf(d, v.R.URL.Query().Get("in"))
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "stance", page.View{Title: "Stance", Student: v.HeadingOf(d.Record), Here: "stance", Body: body})
}

// card answers the stance of a place as a PDF of one A5 page.
func card(v *page.Visit) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	if v.Kit.Stance == nil {
		return programme.Refuse(programme.CodeNotFound, "No stance is printed here.")
	}
	in := v.R.URL.Query().Get("in")
	if in == "" {
		in = first
	}
	pdf, err := v.Kit.Stance(v.R.Context(), page.CardOrder{Record: d.Record, Decision: d.Decision, Table: d.Table, Answer: d.Answer, ForDay: v.Today(), MadeAt: d.Record.At}, in)
	if err != nil {
		return err
	}
	v.W.Header().Set("Content-Disposition", `inline; filename="stance.pdf"`)
	return v.Send("application/pdf", pdf)
}

func bodyOf(d page.Decided, in string) (showBody, error) {
	body := showBody{Holds: answer.PanelOf(d).Holds}
	s, err := programme.StanceOf(d.Table, d.Record)
	switch {
	case programme.CodeOf(err) == programme.CodeConflict:
		body.Stops = programme.SentenceOf(err)
		return body, nil
	case err != nil:
		return body, err
	}
	body.Way = s.Label
	for _, id := range s.Needs {
		title, link := answer.Where(d.Record.Student, id)
		body.Needs = append(body.Needs, need{answer.SayLabel(id), title, link})
	}
	if len(s.Needs) > 0 {
		return body, nil
	}
	places := programme.StancePlaces()
	at := slices.IndexFunc(places, func(p programme.StancePlace) bool { return p.Code == in })
	if at < 0 {
		at = slices.IndexFunc(places, func(p programme.StancePlace) bool { return p.Code == first })
	}
	for i, p := range places {
		b, err := s.In(p, i == at)
		if err != nil {
			return body, err
		}
		body.Places = append(body.Places, row{p.Code, upper(p.Name), i == at, verdictWord(b.Result.Verdict), armsText(b.Result), roomText(b.Result)})
		if i == at {
			body.Here = shownOf(s, b)
			body.Says = standing.Words(b.Result.Verdict)
		}
		if p.Slope > 0 {
			body.Slope = zero.Text(p.Slope.GradePercent()) + " % (" + zero.Text(p.Slope.Degrees()) + " degrees)"
		}
	}
	body.Taken, body.Flags = s.Posed.Taken, s.Flags
	if body.Untested, err = untested(d, s); err != nil {
		return body, err
	}
	doubts, err := s.Doubts(places[at])
	if err != nil {
		return body, err
	}
	for _, one := range doubts[:min(5, len(doubts))] {
		body.Narrow = append(body.Narrow, doubtOf(d, one))
	}
	return body, nil
}

// untested names the tests that would set limits.
func untested(d page.Decided, s *programme.Stood) ([]need, error) {
	var out []need
	add := func(what, id string, sides []finding.Side) {
		if len(sides) == 0 {
			return
		}
		words := make([]string, len(sides))
		for i, side := range sides {
			words[i] = side.Word()
		}
		title, link := answer.Where(d.Record.Student, id)
		out = append(out, need{"the " + strings.Join(words, " and ") + " " + what, title, link})
	}
	add("leg", "one_leg_s", s.Loads.Legs)
	add("arm", "push_down", s.Loads.Arms)
	return out, nil
}

func doubtOf(d page.Decided, one programme.Doubt) doubt {
	out := doubt{Doubt: one, Between: zero.Text(one.From) + " to " + zero.Text(one.To) + " " + one.Unit, Moves: tenth.Text(one.Margin.Centimetres()) + " cm"}
	out.What = upper(one.What)
	base := "/students/" + string(d.Record.Student)
	switch {
	case one.ID == "trunk", one.ID == "ankle", one.ID == "knee", one.ID == "width":
		out.Link = base + "/measures/stance"
	case strings.HasPrefix(one.ID, "runner_"):
		out.Link = base + "/measures/hands"
	case one.ID == "boot_sole_mm":
		_, out.Link = answer.Where(d.Record.Student, one.ID)
	case strings.HasPrefix(one.ID, "handle_"):
		out.Link = base + "/set-up"
	}
	return out
}

var (
	zero  = quantity.Decimals(0)
	tenth = quantity.Decimals(1)
)

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func verdictWord(v core.Verdict) string {
	return map[core.Verdict]string{core.Held: "can be held", core.Partly: "could not be shown to hold", core.NotHeld: "cannot be held"}[v]
}

// armsText writes the least load on the arms in percent of the weight.
func armsText(r core.Result) string {
	if core.AidOf(r.Of.Contacts) == core.NoAid {
		return "no aid"
	}
	if r.Verdict == core.NotHeld {
		return "not held"
	}
	pct := func(n quantity.Newton) string { return zero.Text(max(0, 100*float64(n/r.Weight))) }
	s := pct(r.Arms.Value()) + " %"
	if low, high := pct(r.Arms.Low()), pct(r.Arms.High()); low != high {
		s += ", between " + low + " and " + high + " %"
	}
	return s
}

func cm(r quantity.Range[quantity.Metre]) string {
	s := tenth.Text(r.Value().Centimetres()) + " cm"
	low, high := tenth.Text(r.Low().Centimetres()), tenth.Text(r.High().Centimetres())
	if r.Low() < 0 {
		return s + ", from " + tenth.Text(-r.Low().Centimetres()) + " cm outside to " + high + " cm inside"
	}
	if low != high {
		s += ", between " + low + " and " + high + " cm"
	}
	return s
}

// roomText is the margin that legs and arms leave, with where it ends first.
func roomText(r core.Result) string {
	switch {
	case r.RegionEmpty:
		return "none, legs and arms are too weak in every place"
	case r.NothingShown && r.Verdict != core.NotHeld:
		return "not shown: by what legs and arms were seen to carry there is none; by what is taken, " + tenth.Text(r.Reserve.Value().Centimetres()) + " cm"
	case r.Reserve.Value() < 0:
		return tenth.Text(-r.Reserve.Value().Centimetres()) + " cm outside, " + towards(r.Nearest)
	}
	return cm(r.Reserve) + ", first " + either(r, r.Nearest)
}

// towards writes a direction as people say it.
func towards(d core.Direction) string {
	return map[string]string{"forward": "forward", "back": "back"}[d.String()] + map[bool]string{true: "to the " + d.String()}[d.String() != "forward" && d.String() != "back"]
}

// either says "to either side" where the student stands alike on both, so that
// a difference of rounding does not name one of them.
func either(r core.Result, to core.Direction) string {
	other := (8 - to) % 8
	const alike = 0.0005 // metres
	a, b := r.Rooms[to], r.Rooms[other]
	if other != to && math.Abs(float64(a.Edge.Value()-b.Edge.Value())) < alike && math.Abs(float64(a.Limit.Value()-b.Limit.Value())) < alike {
		s := "to either side"
		if way := strings.TrimSuffix(strings.TrimSuffix(to.String(), "left"), "right"); way != "" {
			s = strings.TrimSpace(way) + " " + s
		}
		return s
	}
	return towards(to)
}

func shownOf(s *programme.Stood, b programme.Balance) *shown {
	r := b.Result
	out := &shown{Code: b.Place.Code, Name: upper(b.Place.Name), Verdict: verdictWord(r.Verdict), Held: r.Verdict == core.Held, Weak: r.RegionEmpty, Shown: r.Verdict == core.Partly && r.Sure < 1, Upright: b.Posed.Says(), Scales: b.Scales,
		Arms: armsText(r), Room: roomText(r), Weight: zero.Text(float64(r.Weight)) + " N", Basis: works(b.Basis)}
	if to, lean, ok := b.First(); ok {
		out.Tips = upper(either(r, to)) + ", when leaning a further " + tenth.Text(lean.Value().Degrees()) + " degrees (between " + tenth.Text(lean.Low().Degrees()) + " and " + tenth.Text(lean.High().Degrees()) + ")"
	} else {
		out.Tips = "It tips already " + towards(r.Edge) + ": the weight acts outside everything that stands on the snow"
	}
	for _, n := range r.Notes {
		if n.Code != "not_measured" { // said with the links to the tests
			out.Notes = append(out.Notes, n.Sentence)
		}
	}
	for _, l := range r.Loads {
		one := load{Name: upper(l.Contact.Name()), Limit: "not known"}
		switch {
		case l.Contact.Limit.Known:
			one.Limit = limitText(l.Contact.Limit)
		case l.Contact.Kind == core.Frame:
			one.Limit = "both arms together"
			if r.Of.Arms.Known {
				one.Limit += " " + limitText(r.Of.Arms)
			}
		}
		if r.Carried >= 1 {
			one.Even = zero.Text(float64(l.Even)) + " N, " + zero.Text(100*float64(l.Even/r.Weight)) + " %"
			one.Between = zero.Text(float64(l.Possible.Low())) + " to " + zero.Text(float64(l.Possible.High())) + " N"
		} else {
			one.Even, one.Between = "-", "-"
		}
		out.Loads = append(out.Loads, one)
	}
	above, side := standing.Above(r), standing.Side(b.Posed, r, finding.NoSide, b.Place.Along)
	if across := math.Atan(float64(b.Place.Lean.Right.Value())); strings.HasPrefix(b.Place.Code, "across") {
		behind := standing.Behind(b.Posed, r, quantity.Radian(across))
		db := behind.Draw(drawWide, min(drawHigh, behind.Tallest(drawWide)))
		out.Behind, out.BehindSays = template.HTML(db.SVG()), db.Desc
	}
	da := above.Draw(drawWide, min(drawHigh, above.Tallest(drawWide)))
	ds := side.Draw(drawWide, min(drawHigh, side.Tallest(drawWide)))
	// The drawings escape all text in them; nothing else goes in.
	out.Above, out.Side, out.AboveSays, out.SideSays = template.HTML(da.SVG()), template.HTML(ds.SVG()), da.Desc, ds.Desc
	for _, c := range b.Changes {
		one := change{Say: c.Sentence}
		if c.Buys > 0 {
			one.Buys = "Buys " + tenth.Text(c.Buys.Centimetres()) + " cm"
			if c.Verdict == core.Held {
				one.Buys += "; then it is held"
				if c.Arms > 0 {
					one.Buys += ", with at least " + zero.Text(100*float64(c.Arms/r.Weight)) + " % of the weight on the arms"
				}
			} else {
				one.Buys += "; that alone is not enough"
			}
			one.Buys += "."
		}
		out.Changes = append(out.Changes, one)
	}
	return out
}

// limitText writes what is known of a limit.
func limitText(l core.Limit) string {
	r := l.Range()
	if r.Width() == 0 {
		return zero.Text(float64(r.Value())) + " N"
	}
	return zero.Text(float64(r.Value())) + " N, shown " + zero.Text(float64(r.Low())) + ", not ruled out " + zero.Text(float64(r.High()))
}

// Size of a drawing on the page, mm.
const (
	drawWide = 92
	drawHigh = 125
)

// Above draws the stance of a record in the straight run from above, for other
// pages. It is empty where there is none.
func Above(d page.Decided) (svg template.HTML, says string) {
	s, err := programme.StanceOf(d.Table, d.Record)
	if err != nil || len(s.Needs) > 0 {
		return "", ""
	}
	places := programme.StancePlaces()
	b, err := s.In(places[slices.IndexFunc(places, func(p programme.StancePlace) bool { return p.Code == first })], false)
	if err != nil {
		return "", ""
	}
	a := standing.Above(b.Result)
	says = standing.Words(b.Result.Verdict)
	if len(answer.PanelOf(d).Holds) > 0 {
		says = "For planning only; a hold is in force and allows nothing today. " + says
	}
	if core.AidOf(b.Result.Of.Contacts) != core.NoAid && b.Result.Verdict != core.NotHeld {
		says += " The arms carry at least " + armsText(b.Result) + " of the weight."
	}
	return template.HTML(a.Draw(drawWide, min(drawHigh, a.Tallest(drawWide))).SVG()), says + " Room before legs and arms no longer carry it: " + roomText(b.Result) + "."
}
