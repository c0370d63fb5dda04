package binding

import (
	"net/http"
	"strconv"
	"strings"

	"firnhand/core/binding"
	"firnhand/core/finding"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// choose is a drop-down list.
type choose struct {
	Name, Label string
	Options     []page.Option
	Problem     string
}

type askSide struct {
	Side   string // "Left" or "Right"
	Word   string
	Fields page.Form
	Sole   choose
}

type askBody struct {
	Type   *page.Field
	Sides  []askSide
	Rest   page.Form
	Fact   programme.ID
	Before bool // filled in from the last request
}

var sides = []struct{ Side, Word, Key string }{{"Left", "left", "l"}, {"Right", "right", "r"}}

// askForm fills the form from gear that is known.
func askForm(g programme.BindingGear) askBody {
	typ := &page.Field{Kind: "radio", Name: "type", Label: "What does the student declare?", Why: "The declaration is the student's own. Who is unsure, or new to skiing, is type 1."}
	for _, t := range binding.Types() {
		typ.Options = append(typ.Options, page.Option{Value: string(t), Label: upper(t.Says())})
	}
	typ.Options = append(typ.Options, page.Option{Value: "unsure", Label: "Not asked yet"})
	if g.Type != binding.TypeUnsure {
		typ.Choose(string(g.Type))
	}
	body := askBody{Type: typ}
	for _, s := range sides {
		side := g.Left
		if s.Key == "r" {
			side = g.Right
		}
		one := askSide{Side: s.Side, Word: s.Word, Sole: choose{Name: "standard_" + s.Key, Label: "Standard printed on the " + s.Word + " sole", Options: []page.Option{{Value: "", Label: "Not looked at"}}}}
		for _, st := range binding.Standards() {
			one.Sole.Options = append(one.Sole.Options, page.Option{Value: string(st), Label: upper(st.Says()), On: st == side.Standard})
		}
		number := func(v float64) string {
			if v == 0 {
				return ""
			}
			return finding.FormatNumber(v)
		}
		one.Fields = page.Form{
			{Kind: "number", Mode: "numeric", Name: "sole_" + s.Key, Label: "Sole length, " + s.Word, Unit: "mm", Hint: "Printed on the boot.", Value: number(side.SoleMM)},
			{Kind: "text", Name: "boot_" + s.Key, Label: "Boot, " + s.Word, Value: side.Boot},
			{Kind: "text", Name: "binding_" + s.Key, Label: "Binding, " + s.Word, Value: side.Binding},
			{Kind: "text", Name: "ski_" + s.Key, Label: "Ski, " + s.Word, Value: side.Ski},
			{Kind: "text", Name: "plate_" + s.Key, Label: "Plate or lift under boot or binding, " + s.Word, Hint: "Write \"none\" where you looked and there is none.", Value: side.Plate},
			{Kind: "number", Name: "plate_mm_" + s.Key, Label: "Its height, " + s.Word, Unit: "mm", Value: number(side.PlateMM)},
		}
		body.Sides = append(body.Sides, one)
	}
	lent := &page.Field{Kind: "radio", Name: "lent", Label: "Whose gear is it?", Options: []page.Option{{Value: "yes", Label: "Lent by the programme"}, {Value: "no", Label: "The student's own"}}}
	if g.Lent != nil {
		lent.Choose(map[bool]string{true: "yes", false: "no"}[*g.Lent])
	}
	body.Rest = page.Form{
		{Kind: "date", Name: "last_test", Label: "Day of the last test", Hint: "May stay empty.", Value: g.LastTest.String()},
		lent,
		{Kind: "tick", Name: "line", Label: "A line to the student or the skis is used", Hint: "Reins that were decided are on the sheet already."},
	}
	if g.Line != nil && *g.Line {
		body.Rest.Get("line").Value = "yes"
	}
	return body
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func showAsk(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	var g programme.BindingGear
	last, before := r.Binding()
	if before {
		g = last.Gear
	}
	body := askForm(g)
	body.Before, body.Fact = before, v.NewID()
	return v.Render(http.StatusOK, "binding-ask", page.View{Title: "Ask the technician", Student: v.HeadingOf(r), Here: "binding", Body: body})
}

func ask(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	g, problems := readGear(v)
	if len(problems) == 0 {
		_, err := v.Kit.Cases.AskBinding(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, g)
		if err == nil {
			return v.Go(address(r), "asked")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add("", programme.SentenceOf(err))
	}
	body := askForm(programme.BindingGear{})
	page.Form{body.Type}.Fill(v, problems)
	body.Rest.Fill(v, problems)
	for i := range body.Sides {
		body.Sides[i].Fields.Fill(v, problems)
		s := &body.Sides[i].Sole
		for k := range s.Options {
			s.Options[k].On = s.Options[k].Value == v.Typed(s.Name)
		}
	}
	body.Fact = v.FormID("fact")
	return v.Render(http.StatusUnprocessableEntity, "binding-ask", page.View{Title: "Ask the technician", Student: v.HeadingOf(r), Here: "binding", Problems: problems, Body: body})
}

// readGear takes what was typed.
func readGear(v *page.Visit) (programme.BindingGear, page.Problems) {
	var p page.Problems
	g := programme.BindingGear{}
	switch t := v.Typed("type"); t {
	case "":
		p.Add("type", "Say what the student declares, or that nobody asked yet.")
	default:
		typ, err := binding.ParseType(t)
		if err != nil {
			p.Add("type", err.Error())
		}
		g.Type = typ
	}
	for _, s := range sides {
		side := &g.Left
		if s.Key == "r" {
			side = &g.Right
		}
		standard, err := binding.ParseStandard(v.Typed("standard_" + s.Key))
		if err != nil {
			p.Add("standard_"+s.Key, err.Error())
		}
		*side = binding.Side{Standard: standard, Boot: v.Typed("boot_" + s.Key), Binding: v.Typed("binding_" + s.Key), Ski: v.Typed("ski_" + s.Key), Plate: v.Typed("plate_" + s.Key)}
		if mm := number(v, &p, "sole_"+s.Key, "mm"); mm != nil {
			if *mm < 150 || *mm > 400 || *mm != float64(int(*mm)) {
				p.Add("sole_"+s.Key, "The sole length is a whole number of millimetres between 150 and 400, as printed on the boot.")
			}
			side.SoleMM = *mm
		}
		if mm := number(v, &p, "plate_mm_"+s.Key, "mm"); mm != nil {
			side.PlateMM = *mm
			if side.Plate == "" {
				p.Add("plate_"+s.Key, "Write what lies there, not only its height.")
			}
		}
	}
	day, err := programme.ParseDate(v.Typed("last_test"))
	if err != nil {
		p.Add("last_test", programme.SentenceOf(err))
	}
	g.LastTest = day
	if l := v.Typed("lent"); l != "" {
		lent := l == "yes"
		g.Lent = &lent
	}
	if v.Ticked("line") {
		yes := true
		g.Line = &yes
	}
	return g, p
}

// number reads a number that may be missing; the unit may be typed after it.
func number(v *page.Visit, p *page.Problems, field, unit string) *float64 {
	text := v.Typed(field)
	if text == "" {
		return nil
	}
	x, ok := parse(text, unit)
	if !ok {
		what := "a number"
		if unit != "" {
			what += " in " + unit
		}
		p.Add(field, "\""+clip(text)+"\" is not "+what+".")
		return nil
	}
	return &x
}

func parse(text, unit string) (float64, bool) {
	s := strings.ReplaceAll(strings.TrimSpace(strings.TrimSuffix(text, unit)), ",", ".")
	x, err := strconv.ParseFloat(s, 64)
	return x, err == nil && x == x && x < 1e9 && x > -1e9
}

func clip(s string) string {
	if r := []rune(s); len(r) > 30 {
		return string(r[:30]) + "..."
	}
	return s
}
