package hill

import (
	"math"
	"net/http"
	"strconv"
	"strings"

	"firnhand/core/lift"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

type showLiftBody struct {
	Line      liftLine
	Figures   []figure
	Published []string
	Cautions  []string
	By, When  string
	Measured  programme.Date
	Note      string
	May       bool
}

func liftIn(v *page.Visit, h programme.Hill) (l programme.LiftState, known bool, err error) {
	id := programme.ID(v.R.PathValue("lift"))
	if err := id.Check(); err != nil {
		return l, false, programme.Refuse(programme.CodeNotFound, "There is no such lift here.")
	}
	l, known = h.LiftByID(id)
	l.Lift = id
	return l, known, nil
}

func showLift(v *page.Visit) error {
	h, err := v.Hill()
	if err != nil {
		return err
	}
	l, known, err := liftIn(v, h)
	if err != nil {
		return err
	}
	if !known {
		return programme.Refuse(programme.CodeNotFound, "There is no such lift here.")
	}
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	body := showLiftBody{By: names[l.By], When: v.When(l.MadeAt), Measured: l.Measured, Note: l.Note, May: v.Actor.May(programme.WriteHill), Cautions: lift.Cautions()}
	if body.Line, err = liftLineOf(l); err != nil {
		return err
	}
	line, err := l.Line()
	if err != nil {
		return err
	}
	add := func(label, text string) { body.Figures = append(body.Figures, figure{label, text}) }
	if line.Speed > 0 {
		add("Speed at the load line", tenth.Text(float64(line.Speed))+" m/s")
		add("From one carrier to the next", tenth.Text(float64(line.Spacing))+" m")
	}
	add("Interval", tenth.Text(float64(line.Interval))+" s")
	if n, ok := line.PerHour(); ok {
		add("People an hour", zero.Text(n))
	}
	if l.SlowestMS != nil {
		words := tenth.Text(*l.SlowestMS) + " m/s"
		if *l.SlowestMS == 0 {
			words = "it stops only"
		}
		add("Slowest when asked", words)
	}
	if l.LengthM != nil {
		add("Length of the ride", zero.Text(*l.LengthM)+" m")
		if line.Speed > 0 {
			const minute = 60
			add("Time of the ride", zero.Text(*l.LengthM/float64(line.Speed)/minute)+" min")
		}
	}
	for _, one := range []struct {
		label string
		list  []float64
	}{{"From the wait line to the load line", l.WaitM}, {"From standing up to the clear place", l.ClearM}, {"Zone to stand up in", l.ZoneM}, {"Length of a carrier", l.CarrierM}} {
		if len(one.list) > 0 {
			add(one.label, readings(one.list)+" m")
		}
	}
	add("Bar that comes down", map[lift.Know]string{lift.Yes: "yes", lift.No: "no"}[l.Bar]+map[bool]string{true: "not known"}[l.Bar != lift.Yes && l.Bar != lift.No])
	published, err := lift.Compare(l.What, line, false, 0)
	if err != nil {
		return programme.Fail(programme.CodeInternal, err, "The lift could not be compared with what is published.")
	}
	for _, one := range published {
		body.Published = append(body.Published, publishedWords(one))
	}
	return v.Render(http.StatusOK, "hill-lift", page.View{Title: l.Name, Body: body})
}

// readings writes readings as their least and greatest.
func readings(list []float64) string {
	low, high := list[0], list[0]
	for _, x := range list {
		low, high = math.Min(low, x), math.Max(high, x)
	}
	if low == high {
		return tenth.Text(low)
	}
	return tenth.Text(low) + " to " + tenth.Text(high)
}

func publishedWords(p lift.Published) string {
	var limits []string
	if p.Low != nil {
		limits = append(limits, "from "+tenth.Text(*p.Low))
	}
	if p.High != nil {
		limits = append(limits, "to "+tenth.Text(*p.High))
	}
	word := "outside"
	if p.Within {
		word = "within; that is no permission"
	}
	return upper(p.What) + ": " + strings.Join(limits, " ") + " " + p.Unit + ", this is " + word + " (" + p.Ref + ", " + string(p.Status) + ")."
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

type liftFormBody struct {
	ID   programme.ID
	Name string
	Form page.Form
	Fact programme.ID
}

func liftForm() page.Form {
	return page.Form{
		{Kind: "text", Name: "name", Label: "Name"},
		{Kind: "radio", Name: "kind", Label: "What is it?", Options: append([]page.Option(nil), kinds...)},
		{Kind: "number", Name: "speed", Label: "Speed at the load line", Unit: "m/s", Hint: "Time a carrier over a known distance where people load. Two of speed, interval and spacing are enough."},
		{Kind: "number", Name: "interval", Label: "Interval", Unit: "s", Hint: "From one carrier to the next, timed over ten of them. On a carpet: from one person to the next."},
		{Kind: "number", Name: "spacing", Label: "Spacing", Unit: "m"},
		{Kind: "number", Name: "seats", Label: "Places of a carrier", Mode: "numeric"},
		{Kind: "number", Name: "per_hour", Label: "People an hour", Hint: "From the sign. With the places it gives the interval."},
		{Kind: "number", Name: "slowest", Label: "Slowest it runs when asked", Unit: "m/s", Hint: "0 where it can only stop."},
		{Kind: "number", Name: "length", Label: "Length of the ride", Unit: "m"},
		{Kind: "text", Name: "wait", Label: "From the wait line to the load line (m)", Hint: "One reading, or several with spaces: 2.4 2.6."},
		{Kind: "text", Name: "clear", Label: "From standing up to the clear place (m)"},
		{Kind: "text", Name: "zone", Label: "Length of the zone to stand up in (m)"},
		{Kind: "text", Name: "carrier", Label: "Length of a carrier along the line (m)"},
		{Kind: "radio", Name: "bar", Label: "Has a carrier a bar that comes down?", Options: []page.Option{{Value: "yes", Label: "Yes"}, {Value: "no", Label: "No"}, {Value: "unknown", Label: "Not known"}}},
		{Kind: "date", Name: "measured", Label: "Measured on"},
		{Kind: "area", Name: "note", Label: "Note", Hint: "May stay empty."},
		{Kind: "tick", Name: "ended", Label: "No longer used"},
	}
}

func changeLift(v *page.Visit) error {
	h, err := v.Hill()
	if err != nil {
		return err
	}
	l, known, err := liftIn(v, h)
	if err != nil {
		return err
	}
	f := liftForm()
	f.Get("measured").Value = v.Today().String()
	if known {
		for name, x := range map[string]*float64{"speed": l.SpeedMS, "interval": l.Interval, "spacing": l.SpacingM, "per_hour": l.PerHour, "slowest": l.SlowestMS, "length": l.LengthM} {
			f.Get(name).Value = page.TextOf(x)
		}
		for name, list := range map[string][]float64{"wait": l.WaitM, "clear": l.ClearM, "zone": l.ZoneM, "carrier": l.CarrierM} {
			f.Get(name).Value = page.TextsOf(list)
		}
		f.Get("name").Value, f.Get("note").Value, f.Get("measured").Value = l.Name, l.Note, l.Measured.String()
		f.Get("kind").Choose(string(l.What))
		f.Get("bar").Choose(string(l.Bar))
		if l.Seats > 0 {
			f.Get("seats").Value = strconv.Itoa(l.Seats)
		}
		if l.Ended {
			f.Get("ended").Value = "yes"
		}
	}
	return liftPage(v, l, known, http.StatusOK, f, v.NewID(), nil)
}

func liftPage(v *page.Visit, l programme.LiftState, known bool, status int, f page.Form, fact programme.ID, problems page.Problems) error {
	body, title := liftFormBody{ID: l.Lift, Form: f, Fact: fact}, "Add a lift"
	if known {
		body.Name, title = l.Name, "Change "+l.Name
	}
	return v.Render(status, "hill-lift-change", page.View{Title: title, Problems: problems, Body: body})
}

func saveLift(v *page.Visit) error {
	h, err := v.Hill()
	if err != nil {
		return err
	}
	l, known, err := liftIn(v, h)
	if err != nil {
		return err
	}
	var p page.Problems
	d := programme.LiftDetails{Lift: l.Lift, Name: v.Typed("name"), What: lift.Kind(v.Typed("kind")), SpeedMS: v.Number(&p, "speed", "m/s"), Interval: v.Number(&p, "interval", "s"),
		SpacingM: v.Number(&p, "spacing", "m"), PerHour: v.Number(&p, "per_hour", ""), SlowestMS: v.Number(&p, "slowest", "m/s"), LengthM: v.Number(&p, "length", "m"),
		WaitM: v.Numbers(&p, "wait", "m"), ClearM: v.Numbers(&p, "clear", "m"), ZoneM: v.Numbers(&p, "zone", "m"), CarrierM: v.Numbers(&p, "carrier", "m"),
		Bar: lift.Know(v.Typed("bar")), Note: v.Typed("note"), Ended: v.Ticked("ended")}
	if x := v.Number(&p, "seats", ""); x != nil {
		d.Seats = int(*x)
		if float64(d.Seats) != *x {
			p.Add("seats", "Places are counted in whole numbers.")
		}
	}
	if d.Name == "" {
		p.Add("name", "Write the name of the lift.")
	}
	if d.What == "" {
		p.Add("kind", "Say what kind of lift it is.")
	}
	if d.Measured, err = programme.ParseDate(v.Typed("measured")); err != nil {
		p.Add("measured", programme.SentenceOf(err))
	}
	if len(p) == 0 {
		_, err := v.Kit.Cases.PutLift(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, d)
		if err == nil {
			return v.Go("/hill/lifts/"+string(d.Lift), "lift")
		}
		if c := programme.CodeOf(err); c != programme.CodeInvalid && c != programme.CodeConflict {
			return err
		}
		p.Add(liftFieldOf(programme.SentenceOf(err)), programme.SentenceOf(err))
	}
	return liftPage(v, l, known, http.StatusUnprocessableEntity, liftForm().Fill(v, p), v.FormID("fact"), p)
}

func liftFieldOf(sentence string) string {
	for _, f := range []struct{ words, field string }{{"called", "name"}, {"name", "name"}, {"one of fixed_chair", "kind"}, {"wait line", "wait"}, {"clear place", "clear"}, {"zone", "zone"}, {"length of a carrier", "carrier"},
		{"slowest", "slowest"}, {"length of the ride", "length"}, {"people an hour", "per_hour"}, {"People an hour", "per_hour"}, {"places", "seats"}, {"day of", "measured"}, {"measured is missing", "measured"},
		{"spacing", "spacing"}, {"interval", "interval"}, {"speed", "speed"}} {
		if strings.Contains(sentence, f.words) {
			return f.field
		}
	}
	return ""
}
