package students

import (
	"net/http"
	"strings"
	"time"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// row is one student of the list: who, what state today, what comes next.
type row struct {
	programme.StudentLine
	State string // in a word
	Held  bool
	Why   []string
	Next  string
	Link  string
}

// group is the students who stand alike.
type group struct {
	Title string
	Rows  []row
}

type listed struct {
	Groups []group // held, waiting, the others; none is empty
	All    int
	Held   int
	Waits  int
	Ended  bool // ended ones are shown too
}

// list shows everybody, held ones first to be seen.
func list(v *page.Visit) error {
	ended := v.R.URL.Query().Get("ended") != ""
	lines, err := v.Kit.Cases.Students(v.R.Context(), v.Actor, ended)
	if err != nil {
		return err
	}
	body := listed{Ended: ended, All: len(lines)}
	groups := []group{{Title: "Held"}, {Title: "Waiting for something"}, {Title: "No hold on record"}}
	for _, l := range lines {
		r := rowOf(l, v.Kit.Clock.Now(), v.Actor)
		i := 2
		switch {
		case r.Held:
			i = 0
			body.Held++
		case r.State != "No hold":
			i = 1
			body.Waits++
		}
		groups[i].Rows = append(groups[i].Rows, r)
	}
	for _, g := range groups {
		if len(g.Rows) > 0 {
			body.Groups = append(body.Groups, g)
		}
	}
	return v.Render(http.StatusOK, "students", page.View{Title: "Students", Body: body})
}

// languages are the names of tags that are met often; others are shown as they
// are written.
var languages = map[string]string{"en": "English", "de": "German", "fr": "French", "it": "Italian", "es": "Spanish", "pt": "Portuguese", "nl": "Dutch",
	"da": "Danish", "nb": "Norwegian", "nn": "Norwegian", "no": "Norwegian", "sv": "Swedish", "fi": "Finnish", "pl": "Polish", "cs": "Czech", "ja": "Japanese", "ko": "Korean", "zh": "Chinese"}

// Speaks names a student's language.
func (r row) Speaks() string {
	tag, _, _ := strings.Cut(r.Language, "-")
	if name := languages[tag]; name != "" {
		return name
	}
	return r.Language
}

// seasonDays is when the list begins to call an evaluation old; the rules
// decide (rule G17), the list only points.
const seasonDays = 300

// rowOf says how a student stands, from what the list knows.
func rowOf(l programme.StudentLine, now time.Time, a programme.Actor) row {
	r := row{StudentLine: l, Link: "/students/" + string(l.Student)}
	at := func(path, next string) { r.Link, r.Next = "/students/"+string(l.Student)+path, next }
	age := int(now.Sub(l.LastEvaluated).Hours() / 24)
	switch {
	case l.Held:
		r.State, r.Held = "Held", true
		for _, rule := range l.HoldRules {
			r.Why = append(r.Why, page.HoldWord(rule))
		}
		at("/holds", "See what clears it")
	case !l.WaiverValid:
		r.State = "Waiver missing"
		at("/consents", "Record the waiver")
	case l.Evaluating:
		r.State = "Evaluation under way"
		at("/evaluation", "Go on with the evaluation")
	case l.LastEvaluated.IsZero():
		r.State = "Evaluation waits"
		at("/evaluation", "Begin the evaluation")
	case age > seasonDays:
		r.State = "Evaluation is old"
		at("/evaluation", "Evaluate again")
	default:
		r.State = "No hold"
		at("/intake/today", "Ask today's questions")
	}
	allowed := map[string]programme.Action{"/holds": programme.ReadHold, "/evaluation": programme.Evaluate, "/intake/today": programme.Evaluate}
	for path, act := range allowed {
		if r.Link == "/students/"+string(l.Student)+path && !a.May(act) {
			r.Next = ""
		}
	}
	return r
}
