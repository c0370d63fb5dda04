package consents

import (
	"net/http"
	"slices"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

type formBody struct {
	Rule     programme.ConsentRule
	Form     page.Form
	Fact     programme.ID
	Corrects string // the earlier answer that this one replaces, or ""
	Who      []string
}

// signerWords say who must sign, from the table of signing rules.
func signerWords() []string {
	words := map[programme.SignerCase]string{programme.SignerMinor: "A minor: a guardian.", programme.SignerCannotBind: "An adult whose own signature does not bind: a guardian.",
		programme.SignerAdult: "Any other adult: the student.", programme.SignerUnknown: "Age or binding not recorded: both."}
	var out []string
	for _, r := range programme.SignerRules {
		out = append(out, words[r.Case])
	}
	return out
}

func form(r programme.Record, rule programme.ConsentRule) page.Form {
	by := &page.Field{Kind: "ticks", Name: "signed_by", Label: "Who signed?", Options: []page.Option{{Value: "student", Label: r.NameUsed + ", the student"}}}
	for _, g := range r.Guardians {
		if g.MaySign && !g.Ended {
			o := page.Option{Value: string(g.Guardian), Label: g.Name}
			if g.Relation != "" {
				o.Label += ", " + g.Relation
			}
			by.Options = append(by.Options, o)
		}
	}
	return page.Form{
		{Kind: "radio", Name: "answer", Label: rule.Question, Options: []page.Option{{Value: "given", Label: "Yes"}, {Value: "refused", Label: "No"}, {Value: "withdrawn", Label: "Given before, and withdrawn now"}}},
		by,
		{Kind: "date", Name: "signed_on", Label: "Day of the answer"},
		{Kind: "date", Name: "expires", Label: "Last day it holds", Hint: "Leave it empty for the longest time the programme allows."},
		{Kind: "text", Name: "wording", Label: "Version of the wording", Hint: "As printed on the form, such as 2026-10. It says what was agreed to."},
		{Kind: "radio", Name: "on_paper", Label: "Is there a signed original on paper?", Why: "Some insurers take only paper.", Options: []page.Option{{Value: "yes", Label: "Yes"}, {Value: "no", Label: "No"}}},
	}
}

// asked finds the consent that the address names.
func asked(v *page.Visit) (programme.Record, programme.ConsentRule, error) {
	rule, ok := programme.ConsentRuleOf(programme.ConsentKind(v.R.PathValue("kind")))
	if !ok {
		return programme.Record{}, rule, programme.Refuse(programme.CodeNotFound, "There is no such consent.")
	}
	r, err := v.Record()
	return r, rule, err
}

func showForm(v *page.Visit) error {
	r, rule, err := asked(v)
	if err != nil {
		return err
	}
	body := formBody{rule, form(r, rule), v.NewID(), "", signerWords()}
	body.Form.Get("signed_on").Value = v.Today().String()
	if c := r.ConsentOf(rule.Kind); v.R.URL.Query().Get("correct") != "" && c.Recorded {
		body.Corrects = string(c.Fact)
		fillFrom(body.Form, c)
	}
	return v.Render(http.StatusOK, "consent", page.View{Title: rule.Label, Student: v.HeadingOf(r), Here: "consents", Body: body})
}

// fillFrom shows an earlier answer in the form, to be corrected.
func fillFrom(f page.Form, c programme.ConsentState) {
	f.Get("answer").Choose(string(c.Answer))
	f.Get("signed_on").Value, f.Get("expires").Value, f.Get("wording").Value = c.SignedOn.String(), c.Expires.String(), c.Wording
	paper := "no"
	if c.OnPaper {
		paper = "yes"
	}
	f.Get("on_paper").Choose(paper)
	by := f.Get("signed_by")
	for i := range by.Options {
		for _, s := range c.SignedBy {
			on := s.Student && by.Options[i].Value == "student" || s.Guardian != "" && by.Options[i].Value == string(s.Guardian)
			by.Options[i].On = by.Options[i].On || on
		}
	}
}

func record(v *page.Visit) error {
	r, rule, err := asked(v)
	if err != nil {
		return err
	}
	c, problems := read(v, rule)
	if len(problems) == 0 {
		made := programme.Made{ID: v.FormID("fact")}
		if earlier := programme.ID(v.Typed("corrects")); earlier != "" {
			_, err = v.Kit.Cases.CorrectConsent(v.R.Context(), v.Actor, made, r.Student, earlier, c)
		} else {
			_, err = v.Kit.Cases.RecordConsent(v.R.Context(), v.Actor, made, r.Student, c)
		}
		if err == nil {
			return v.Go("/students/"+string(r.Student)+"/consents", "consent")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		problems.Add(field(programme.SentenceOf(err)), programme.SentenceOf(err))
	}
	f := form(r, rule).Fill(v, problems)
	by := f.Get("signed_by")
	for i := range by.Options {
		by.Options[i].On = slices.Contains(v.R.PostForm["signed_by"], by.Options[i].Value)
	}
	return v.Render(http.StatusUnprocessableEntity, "consent", page.View{Title: rule.Label, Student: v.HeadingOf(r), Here: "consents", Problems: problems,
		Body: formBody{rule, f, v.FormID("fact"), v.Typed("corrects"), signerWords()}})
}

// read takes the answer that was typed.
func read(v *page.Visit, rule programme.ConsentRule) (programme.Consent, page.Problems) {
	var p page.Problems
	c := programme.Consent{Consent: rule.Kind, Answer: programme.ConsentAnswer(v.Typed("answer")), Wording: v.Typed("wording"), OnPaper: v.Typed("on_paper") == "yes"}
	if c.Answer == "" {
		p.Add("answer", "Say what was answered.")
	}
	for _, s := range v.R.PostForm["signed_by"] {
		if s == "student" {
			c.SignedBy = append(c.SignedBy, programme.Signature{Student: true})
		} else {
			c.SignedBy = append(c.SignedBy, programme.Signature{Guardian: programme.ID(s)})
		}
	}
	if c.Answer == programme.ConsentGiven {
		if len(c.SignedBy) == 0 {
			p.Add("signed_by", "Say who signed.")
		}
		if c.Wording == "" {
			p.Add("wording", "Write the version of the wording that was signed.")
		}
	}
	for _, d := range []struct {
		name string
		into *programme.Date
	}{{"signed_on", &c.SignedOn}, {"expires", &c.Expires}} {
		day, err := programme.ParseDate(v.Typed(d.name))
		if err != nil {
			p.Add(d.name, programme.SentenceOf(err))
		}
		*d.into = day
	}
	if c.SignedOn.IsZero() && p.At("signed_on") == "" {
		p.Add("signed_on", "Write the day of the answer.")
	}
	return c, p
}

// field finds the field that a refusal is about.
func field(sentence string) string {
	for _, f := range []struct{ word, field string }{{"last day", "expires"}, {"ends at the latest", "expires"}, {"day of", "signed_on"}, {"sign", "signed_by"}, {"wording", "wording"}} {
		if strings.Contains(sentence, f.word) {
			return f.field
		}
	}
	return "answer"
}
