package record

import (
	"net/http"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

// readingsMost is how many openings are shown.
const readingsMost = 300

type readingsBody struct {
	Readings []programme.Reading
	Staff    map[programme.ID]string
	Students map[programme.ID]string
}

// readings shows who opened which medical detail.
func readings(v *page.Visit) error {
	all, err := v.Kit.Cases.Readings(v.R.Context(), v.Actor, "", readingsMost)
	if err != nil {
		return err
	}
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	lines, err := v.Kit.Cases.Students(v.R.Context(), v.Actor, true)
	if err != nil {
		return err
	}
	body := readingsBody{all, names, map[programme.ID]string{}}
	for _, l := range lines {
		body.Students[l.Student] = l.NameUsed
	}
	return v.Render(http.StatusOK, "readings", page.View{Title: "Reading log", Body: body})
}
