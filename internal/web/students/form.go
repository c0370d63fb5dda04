package students

import (
	"strconv"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

func form() page.Form {
	return page.Form{
		{Kind: "text", Name: "name_used", Label: "Name used", Hint: "As the student wants to be called. It stands on the card."},
		{Kind: "text", Name: "full_name", Label: "Full name", Hint: "Only for consents and the office; it never stands on the card."},
		{Kind: "date", Name: "birth_date", Label: "Birth date", Why: "A minor needs a guardian's signature, and gear goes by age.", Hint: "Leave it empty if only the age is known."},
		{Kind: "number", Name: "age_years", Label: "Age", Unit: "years", Mode: "numeric", Hint: "Only if the birth date is not known."},
		{Kind: "text", Name: "language", Label: "Language", Hint: "A short tag such as en, de or pt-BR. Leave it empty if you do not know.", Short: true},
		{Kind: "radio", Name: "binds_self", Label: "Does the student's own signature bind?", Why: "Minors, and some adults after a brain injury or with a learning disability, need a guardian to sign.",
			Options: []page.Option{{Value: "yes", Label: "Yes"}, {Value: "no", Label: "No, a guardian signs"}, {Value: "unknown", Label: "I do not know"}}},
	}
}

// read takes the details that were typed.
func read(v *page.Visit) (programme.StudentDetails, page.Problems) {
	var p page.Problems
	d := programme.StudentDetails{NameUsed: v.Typed("name_used"), FullName: v.Typed("full_name"), Language: v.Typed("language"),
		BindsSelf: programme.BindsSelf(v.Typed("binds_self"))}
	if d.NameUsed == "" {
		p.Add("name_used", "Write the name the student uses.")
	}
	birth, err := programme.ParseDate(v.Typed("birth_date"))
	if err != nil {
		p.Add("birth_date", programme.SentenceOf(err))
	}
	d.BirthDate = birth
	if s := v.Typed("age_years"); s != "" {
		n, err := strconv.Atoi(s)
		switch {
		case err != nil || n < 1 || n > programme.MaxAge:
			p.Add("age_years", "Write the age in whole years, such as 34.")
		case !birth.IsZero():
			p.Add("age_years", "Give the birth date or the age, not both.")
		default:
			d.AgeYears, d.AgeOn = n, v.Today()
		}
	}
	if d.BindsSelf == "" {
		p.Add("binds_self", "Say whether the student's own signature binds. \"I do not know\" is an answer.")
	}
	return d, p
}

// refused puts a refusal of the records at the field it is about.
func refused(err error, p *page.Problems) error {
	if c := programme.CodeOf(err); c != programme.CodeInvalid {
		return err
	}
	field := "name_used"
	for _, f := range []struct{ word, field string }{{"birth date", "birth_date"}, {"language", "language"}, {"full name", "full_name"}, {"age", "age_years"}} {
		if contains(programme.SentenceOf(err), f.word) {
			field = f.field
			break
		}
	}
	p.Add(field, programme.SentenceOf(err))
	return nil
}
