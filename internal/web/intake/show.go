package intake

import (
	"net/http"

	"firnhand/core/finding"
	"firnhand/internal/web/page"
	q "firnhand/internal/web/questions"
	"firnhand/programme"
)

// progress is how far a block has come.
type progress struct {
	Block
	Answered, Of int
	Next         bool // the first block with something open
}

type overviewBody struct {
	Blocks []progress
	Next   *progress
}

func overview(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	var body overviewBody
	for _, b := range Blocks {
		p := progress{Block: b}
		for _, a := range b.Asks {
			for _, k := range a.Keys() {
				p.Of++
				if look(r, b, v.Today())(k).Value != "" {
					p.Answered++
				}
			}
		}
		body.Blocks = append(body.Blocks, p)
	}
	for i := range body.Blocks {
		if p := &body.Blocks[i]; p.Answered == 0 {
			p.Next = true
			body.Next = p
			break
		}
	}
	return v.Render(http.StatusOK, "intake", page.View{Title: "Intake", Student: v.HeadingOf(r), Here: "intake", Body: body})
}

// look returns what is known for a block: the answer that stands, or for the
// block of the day the one of today.
func look(r programme.Record, b Block, today programme.Date) q.Look {
	return func(k finding.Key) q.Known {
		seen, ok := r.Current(k.ID, q.ToKey(k).Side, k.State.String())
		if !ok {
			return q.Known{}
		}
		made := programme.DateOf(seen.MadeAt)
		if b.Daily && made != today {
			return q.Known{Last: "Last time: " + say(k, seen.Value) + ", " + page.Day(made)}
		}
		return q.Known{Value: seen.Value}
	}
}

func say(k finding.Key, value string) string {
	d, _ := finding.Lookup(k.ID)
	val, err := finding.Parse(k.ID, k.Side, k.State, value)
	if err != nil {
		return value
	}
	return finding.Say(d, val)
}

type blockBody struct {
	Block
	Items   []q.Item
	Form    programme.ID
	Number  int
	Of      int
	Back    string
	Open    int  // questions without an answer
	Normals bool // "nothing noted" means something for at least one of them
	Papers  bool // the person may record papers
}

func show(v *page.Visit) error {
	b, i, ok := Find(v.R.PathValue("block"))
	if !ok {
		return programme.Refuse(programme.CodeNotFound, "There is no such block of questions.")
	}
	r, err := v.Record()
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "intake-block", view(v, r, b, i, q.Typed{}, string(v.NewID())))
}

// view puts a block's page together.
func view(v *page.Visit, r programme.Record, b Block, i int, typed q.Typed, form string) page.View {
	b.Asks = papers(v.Actor, b.Asks)
	items := q.Items(b.Asks, look(r, b, v.Today()))
	if typed.Values != nil {
		items = typed.Keep(items)
	}
	body := blockBody{Block: b, Items: items, Form: programme.ID(form), Number: i + 1, Of: len(Blocks), Back: "/students/" + string(r.Student) + "/intake"}
	if i > 0 && !b.Daily {
		body.Back += "/" + Blocks[i-1].ID
	}
	for _, a := range b.Asks {
		d, _ := finding.Lookup(a.ID)
		body.Normals = body.Normals || d.Normal != ""
	}
	here := "intake"
	if b.Daily {
		here = "today"
	}
	return page.View{Title: b.Title, Student: v.HeadingOf(r), Here: here, Problems: typed.Problems, Body: body}
}

// papers takes the answer "yes" from questions about papers for those who may
// not record them.
func papers(a programme.Actor, asks []q.Ask) []q.Ask {
	out := append([]q.Ask(nil), asks...)
	for i := range out {
		out[i].NoYes = !a.May(programme.RecordClears) && (programme.CoreVocabulary{}).NeedsPaper(out[i].ID, "yes")
	}
	return out
}
