package privacy

import (
	"encoding/json"
	"net/http"
	"strings"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// export sends everything that is kept about a student as a file. Its name has
// no name in it.
func export(v *page.Visit) error {
	e, err := v.Kit.Cases.ExportStudent(v.R.Context(), v.Actor, v.StudentID())
	if err != nil {
		return err
	}
	b, err := json.MarshalIndent(e, "", "  ")
	if err != nil {
		return programme.Fail(programme.CodeInternal, err, "The export could not be written.")
	}
	v.W.Header().Set("Content-Disposition", `attachment; filename="student-`+string(e.Student)[:8]+`.json"`)
	return v.Send("application/json; charset=utf-8", append(b, '\n'))
}

type forgetBody struct {
	Facts  int
	Line   programme.RetentionLine
	Form   page.Form
	Called string
}

func showForget(v *page.Visit) error { return renderForget(v, http.StatusOK, nil) }

func renderForget(v *page.Visit, st int, problems page.Problems) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	lines, err := v.Kit.Cases.Retention(v.R.Context(), v.Actor)
	if err != nil {
		return err
	}
	body := forgetBody{Facts: r.Facts, Called: r.NameUsed,
		Form: page.Form{{Kind: "text", Name: "name", Label: "To go on, write the name used", Hint: r.NameUsed, Auto: "off"}}}
	for _, l := range lines {
		if l.Student == r.Student {
			body.Line = l
		}
	}
	body.Form.Fill(nil, problems)
	return v.Render(st, "forget", page.View{Title: "Copy and forget", Student: v.HeadingOf(r), Here: "forget", Problems: problems, Body: body})
}

// forget destroys the text of everything about the student.
func forget(v *page.Visit) error {
	r, err := v.Record()
	if err != nil {
		return err
	}
	if !strings.EqualFold(v.Typed("name"), r.NameUsed) {
		var problems page.Problems
		problems.Add("name", "Write the name used exactly as it stands here. Nothing was destroyed.")
		return renderForget(v, http.StatusUnprocessableEntity, problems)
	}
	if err := v.Kit.Cases.ForgetStudent(v.R.Context(), v.Actor, r.Student); err != nil {
		return err
	}
	return v.Go("/retention", "forgotten")
}

type retentionBody struct {
	Due, Later []programme.RetentionLine
}

// retention lists how long each record is kept.
func retention(v *page.Visit) error {
	lines, err := v.Kit.Cases.Retention(v.R.Context(), v.Actor)
	if err != nil {
		return err
	}
	var body retentionBody
	for _, l := range lines {
		if l.IsDue {
			body.Due = append(body.Due, l)
		} else {
			body.Later = append(body.Later, l)
		}
	}
	return v.Render(http.StatusOK, "retention", page.View{Title: "How long records are kept", Body: body})
}
