package binding

import (
	"fmt"
	"net/http"
	"slices"

	"firnhand/core/binding"
	"firnhand/core/finding"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// row is a line of a table with both sides.
type row struct{ Label, Left, Right string }

type past struct {
	programme.BindingState
	By, When string
}

type showBody struct {
	Request   *programme.BindingState
	By, When  string
	Latest    bool
	Skier     []row // Label and Left are used
	Gear      []row
	Reasons   []binding.Reason
	Changed   []binding.Reason // reasons that came since it was asked
	Recorded  []row
	Verdict   *binding.Verdict
	Items     []row
	Tested    string
	Tag       string
	Others    []past
	MayAsk    bool
	MayRecord bool
	MayWork   bool
}

func show(v *page.Visit) error { return showOne(v, "") }

func showRequest(v *page.Visit) error { return showOne(v, programme.ID(v.R.PathValue("request"))) }

func showOne(v *page.Visit, id programme.ID) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	body := showBody{MayAsk: v.Actor.May(programme.RequestBinding), MayRecord: v.Actor.May(programme.RecordBinding), MayWork: v.Actor.May(programme.ReadWork)}
	b, ok := r.Binding()
	if id != "" {
		if b, ok = r.BindingByID(id); !ok {
			return programme.Refuse(programme.CodeNotFound, "There is no such request in this record.")
		}
	}
	if ok {
		body.Request, body.By, body.When = &b, names[b.By], v.When(b.MadeAt)
		body.Latest = b.ID == r.Bindings[len(r.Bindings)-1].ID
		body.Tag = tags[b.Status]
		body.Skier, body.Gear = skierRows(b.Sheet), gearRows(b.Sheet)
		body.Reasons = binding.Together(b.Sheet.Reasons)
		if body.Latest && body.MayWork {
			if body.Changed, err = newReasons(v, r, b); err != nil {
				return err
			}
		}
		if b.Record != nil {
			body.Recorded = recordRows(*b.Record)
			body.Verdict = &b.Record.Verdict
			body.Items = itemRows(b.Record.Verdict)
			body.Tested = page.Day(b.Record.TestedOn)
		}
	}
	for i := len(r.Bindings) - 1; i >= 0; i-- {
		if o := r.Bindings[i]; body.Request == nil || o.ID != body.Request.ID {
			body.Others = append(body.Others, past{o, names[o.By], v.When(o.MadeAt)})
		}
	}
	return v.Render(http.StatusOK, "binding", page.View{Title: "Binding", Student: v.HeadingOf(r), Here: "binding", Body: body})
}

// tags say in two words how a request stands.
var tags = map[programme.BindingStatus]string{
	programme.BindingWaits: "Waits", programme.BindingInUse: "In use", programme.BindingReadjust: "Readjust", programme.BindingOnWord: "Technician's word",
	programme.BindingNoUse: "No use", programme.BindingLapsed: "Run out", programme.BindingVoid: "Void", programme.BindingReplaced: "Replaced",
}

// newReasons are reasons that hold now and are not on the request.
func newReasons(v *page.Visit, r programme.Record, b programme.BindingState) ([]binding.Reason, error) {
	d, err := v.DecideOn(r, programme.AsOf{}, false)
	if err != nil {
		return nil, err
	}
	var out []binding.Reason
	for _, now := range programme.BindingSheetOf(d.Table, r, b.Gear, "").Reasons {
		if !slices.ContainsFunc(b.Sheet.Reasons, func(o binding.Reason) bool { return o.Code == now.Code && o.Side == now.Side }) {
			out = append(out, now)
		}
	}
	return binding.Together(out), nil
}

func known(v *float64, unit string) string {
	if v == nil {
		return "not known"
	}
	return finding.FormatNumber(*v) + " " + unit
}

func or(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

func skierRows(s binding.Request) []row {
	lent := "not said"
	if s.Lent != nil {
		lent = map[bool]string{true: "lent by the programme", false: "the student's own"}[*s.Lent]
	}
	return []row{{Label: "Mass", Left: known(s.MassKG, "kg")}, {Label: "Height", Left: known(s.HeightCM, "cm")}, {Label: "Age", Left: known(s.AgeYears, "years")},
		{Label: "Own declaration", Left: s.TypeSays}, {Label: "Last test", Left: or(s.LastTest, "not known")}, {Label: "Gear", Left: lent}, {Label: "Asked by", Left: or(s.AskedBy, "not written")}}
}

func gearRows(s binding.Request) []row {
	sole := func(g binding.Side) string {
		if g.SoleMM == 0 {
			return "not known"
		}
		return finding.FormatNumber(g.SoleMM) + " mm"
	}
	plate := func(g binding.Side) string {
		if g.PlateMM > 0 {
			return g.Plate + ", " + finding.FormatNumber(g.PlateMM) + " mm"
		}
		return or(g.Plate, "not looked at")
	}
	rows := []row{{"Sole length", sole(s.Left), sole(s.Right)}, {"Standard on the sole", s.Left.Standard.Says(), s.Right.Standard.Says()},
		{"Boot", or(s.Left.Boot, "not written"), or(s.Right.Boot, "not written")}, {"Binding", or(s.Left.Binding, "not written"), or(s.Right.Binding, "not written")},
		{"Ski", or(s.Left.Ski, "not written"), or(s.Right.Ski, "not written")}, {"Plate or lift under boot or binding", plate(s.Left), plate(s.Right)}}
	return noSki(rows, s.OnlySki)
}

func noSki(rows []row, only string) []row {
	for i := range rows {
		switch only {
		case "left":
			rows[i].Right = "no ski"
		case "right":
			rows[i].Left = "no ski"
		}
	}
	return rows
}

// recordRows are the technician's values, as written.
func recordRows(b programme.BindingRecordState) []row {
	z := finding.FormatNumber
	three := func(t []float64) string {
		if len(t) == 0 {
			return "not measured"
		}
		s := ""
		for i, v := range t {
			if i > 0 {
				s += ", "
			}
			s += z(v)
		}
		return s + " N m"
	}
	only := ""
	if empty(b.Left) {
		only = "right"
	}
	if empty(b.Right) {
		only = "left"
	}
	return noSki([]row{{"Indicator value, toe", z(b.Left.Toe), z(b.Right.Toe)}, {"Indicator value, heel", z(b.Left.Heel), z(b.Right.Heel)},
		{"Twist, three tests", three(b.Left.TwistNM), three(b.Right.TwistNM)}, {"Forward lean, three tests", three(b.Left.LeanNM), three(b.Right.LeanNM)}}, only)
}

func empty(s programme.BindingSki) bool { return s.Toe == 0 && s.Heel == 0 }

// itemRows say how each recorded value compares.
func itemRows(v binding.Verdict) []row {
	var out []row
	for _, i := range v.Items {
		n := slices.IndexFunc(out, func(r row) bool { return r.Label == i.Label })
		if n < 0 {
			n = len(out)
			out = append(out, row{Label: i.Label})
		}
		says := i.Say
		if i.Side == "left" {
			out[n].Left = says
		} else {
			out[n].Right = says
		}
	}
	for i := range out {
		out[i].Left, out[i].Right = or(out[i].Left, "no ski"), or(out[i].Right, "no ski")
	}
	return out
}

// pdf prints the request. It is the same sheet before and after a technician
// answered: what came back stands on the page alone.
func pdf(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	b, ok := r.BindingByID(programme.ID(v.R.PathValue("request")))
	if !ok {
		return programme.Refuse(programme.CodeNotFound, "There is no such request in this record.")
	}
	body, err := v.Kit.Sheet(v.R.Context(), page.SheetOrder{ID: b.ID, Name: r.NameUsed, MadeAt: b.MadeAt.In(v.Kit.Zone), Sheet: b.Sheet})
	if err != nil {
		return err
	}
	v.W.Header().Set("Content-Disposition", fmt.Sprintf(`inline; filename="binding-request-%s.pdf"`, programme.DateOf(b.MadeAt.In(v.Kit.Zone))))
	return v.Send("application/pdf", body)
}
