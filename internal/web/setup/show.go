package setup

import (
	"fmt"
	"html/template"
	"net/http"
	"strconv"

	"firnhand/core/finding"
	"firnhand/internal/web/page"
	"firnhand/internal/web/stance"
	"firnhand/programme"
)

// cell is one side of a line.
type cell struct {
	Side     string // "Left", "Right", or "" where the line has no sides
	Proposed string // "78 cm", words, or "" where it has to be measured
	Between  string // "between 75 and 81 cm"
	Hole     string // "hole 4 (77.5 cm)"
	Measured string
	AtHole   string
	Outside  bool
	Note     string
	By       string
	Done     bool
}

// line is one thing on the sheet with its sides.
type line struct {
	Item     string
	Label    string
	Cells    []cell
	Narrow   string
	Wrong    []string
	Recheck  string
	Warnings []string
	Basis    []string
}

type signer struct{ Name, When string }

type version struct {
	ID      programme.ID
	Version int
	Status  programme.SetUpStatus
	Why     string
	Made    string
	By      string
	Signers []signer
	Void    []programme.VoidReason
}

type showBody struct {
	Sheet     *programme.SetUpState
	Lines     []line
	Left      int // lines still to be measured
	Signers   []signer
	Proposer  string
	Latest    bool
	MayWrite  bool
	MaySign   bool
	SignedIt  bool
	Others    []version
	InForce   bool
	Decided   bool // the way of skiing is decided, so that a proposal can be made
	Sitting   bool
	Fact      programme.ID
	Changes   []programme.GearChangeState
	MayBind   bool
	WaitsBind string                  // what the bindings wait for, "" where nothing
	Otherwise string                  // what the answer decides otherwise now
	Flags     []programme.MeasureFlag // what stands out among what was measured
	Stance    template.HTML
	Stands    string // the stance in words; "" where there is none
}

func show(v *page.Visit) error { return showSheet(v, "", nil) }

func showVersion(v *page.Visit) error {
	return showSheet(v, programme.ID(v.R.PathValue("sheet")), nil)
}

func showSheet(v *page.Visit, id programme.ID, problems page.Problems) error {
	d, err := v.Decide(programme.AsOf{}, false)
	if err != nil {
		return err
	}
	r := d.Record
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	body := showBody{MayWrite: v.Actor.May(programme.WriteSetUp), Flags: programme.FlagsOf(r.Set(), r.Measured()), Fact: v.NewID(), MayBind: v.Actor.May(programme.ReadBinding)}
	if way, ok := d.Answer.Axis("way"); ok && !way.Open {
		body.Sitting = way.Value == "sitting"
		body.Decided = !body.Sitting
	}
	sheet, ok := r.LatestSetUp()
	if id != "" {
		if sheet, ok = r.SetUpByID(id); !ok {
			return programme.Refuse(programme.CodeNotFound, "There is no such set-up sheet in this record.")
		}
	}
	if ok {
		body.Sheet, body.Lines = &sheet, linesOf(sheet, names)
		body.Latest = sheet.Version == len(r.SetUps)
		body.Proposer = names[sheet.By]
		if body.Latest {
			body.Otherwise = sheet.Changed(d.Answer)
		}
		for _, s := range sheet.Signatures {
			body.Signers = append(body.Signers, signer{names[s.By], v.When(s.MadeAt)})
			body.SignedIt = body.SignedIt || s.By == v.Actor.Staff
		}
		for _, m := range sheet.Measured {
			if !m.Done {
				body.Left++
			}
		}
		if body.Latest && sheet.Status != programme.SetUpVoid && body.Otherwise == "" {
			body.Stance, body.Stands = stance.Above(d)
		}
		body.InForce = sheet.Status == programme.SetUpSigned
		body.MaySign = body.MayWrite && body.Latest && sheet.Status == programme.SetUpMeasured && !body.SignedIt
	}
	for i := len(r.SetUps) - 1; i >= 0; i-- {
		s := r.SetUps[i]
		if body.Sheet != nil && s.ID == body.Sheet.ID {
			continue
		}
		one := version{ID: s.ID, Version: s.Version, Status: s.Status, Why: s.Why, Made: v.When(s.MadeAt), By: names[s.By], Void: s.Void}
		for _, sg := range s.Signatures {
			one.Signers = append(one.Signers, signer{names[sg.By], v.When(sg.MadeAt)})
		}
		body.Others = append(body.Others, one)
	}
	body.Changes = r.GearChanges
	if b, asked := r.Binding(); body.MayBind && body.Sheet != nil && (!asked || !b.Usable()) {
		body.WaitsBind = "The bindings have not been asked for yet."
		if asked {
			body.WaitsBind = b.Why
		}
	}
	st := http.StatusOK
	if len(problems) > 0 {
		st = http.StatusConflict
	}
	return v.Render(st, "set-up", page.View{Title: "Set-up", Student: v.HeadingOf(r), Here: "set-up", Problems: problems, Body: body})
}

// linesOf puts left and right of a thing together, the student's left first.
func linesOf(s programme.SetUpState, names map[programme.ID]string) []line {
	var out []line
	at := map[string]int{}
	for i, it := range s.Items {
		c := cellOf(it, s.Measured[i], names)
		n, ok := at[it.Item]
		if !ok {
			n = len(out)
			at[it.Item] = n
			out = append(out, line{Item: it.Item, Label: it.Label, Narrow: it.Measure, Wrong: it.Wrong, Recheck: it.Recheck, Basis: it.Basis})
		}
		out[n].Cells = append(out[n].Cells, c)
		for _, w := range it.Warnings {
			if !has(out[n].Warnings, w) {
				out[n].Warnings = append(out[n].Warnings, w)
			}
		}
	}
	return out
}

func has(all []string, one string) bool {
	for _, s := range all {
		if s == one {
			return true
		}
	}
	return false
}

func cellOf(it programme.SetUpItem, m programme.MeasuredItem, names map[programme.ID]string) cell {
	c := cell{Done: m.Done, Note: m.Note, Outside: m.Done && it.Outside(m.SetUpValue)}
	switch it.Side {
	case "left":
		c.Side = "Left"
	case "right":
		c.Side = "Right"
	}
	c.Proposed = it.Words
	if it.Value != nil {
		c.Proposed = amount(*it.Value, it.Unit)
	}
	c.Between = between(it)
	c.Hole = holeText(it, it.Hole)
	if !m.Done {
		return c
	}
	c.By = names[m.By]
	c.Measured = m.Words
	if m.Value != nil {
		c.Measured = amount(*m.Value, it.Unit)
	}
	c.AtHole = holeText(it, m.Hole)
	return c
}

func amount(v float64, unit string) string { return finding.FormatNumber(v) + " " + unit }

func between(it programme.SetUpItem) string {
	switch {
	case it.Low == nil:
		return ""
	case *it.Low == *it.High:
		return "only " + amount(*it.Low, it.Unit)
	}
	return "between " + finding.FormatNumber(*it.Low) + " and " + amount(*it.High, it.Unit)
}

func holeText(it programme.SetUpItem, hole int) string {
	switch {
	case hole < 1:
		return ""
	case hole > len(it.Holes):
		return "hole " + strconv.Itoa(hole)
	}
	return fmt.Sprintf("hole %d (%s)", hole, amount(it.Holes[hole-1], it.Unit))
}

// sign signs the version in the address.
func sign(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	id := programme.ID(v.R.PathValue("sheet"))
	_, err = v.Kit.Cases.SignSetUp(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, r.Student, programme.SetUpSignature{SetUp: id})
	switch {
	case err == nil:
		return v.Go(address(r), "signature")
	case programme.CodeOf(err) == programme.CodeConflict:
		return showSheet(v, "", page.Problems{{Sentence: programme.SentenceOf(err)}})
	}
	return err
}
