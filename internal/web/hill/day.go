package hill

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"firnhand/core/cold"
	"firnhand/core/quantity"
	"firnhand/core/slope"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// hourLine is one time of the day.
type hourLine struct{ Time, Air, Wind, Chill, Says string }

// dayBody is what is known of a day.
type dayBody struct {
	Day   programme.Date
	Known bool
	Snow  string
	From  string
	By    string
	When  string
	Place string
	Note  string
	Hours []hourLine
}

// dayOf reads today's conditions, as they are for somebody who feels
// everything.
func dayOf(v *page.Visit, h programme.Hill) (dayBody, error) {
	body := dayBody{Day: v.Today()}
	d, ok := h.DayOf(body.Day)
	if !ok {
		return body, nil
	}
	names, err := v.StaffNames()
	if err != nil {
		return body, err
	}
	body.Known, body.Snow, body.From, body.Note, body.By, body.When = true, programme.SnowLabel(d.Snow), d.From, d.Note, names[d.By], v.When(d.MadeAt)
	if d.PlaceM != nil {
		body.Place = zero.Text(*d.PlaceM) + " m above the sea"
	}
	for _, one := range d.Hours {
		f, err := cold.Freeze(quantity.Celsius(one.AirC), quantity.MetrePerSecond(one.WindMS))
		if err != nil {
			return body, programme.Fail(programme.CodeInternal, err, "The wind chill could not be computed.")
		}
		body.Hours = append(body.Hours, hourLine{Time: one.Time, Air: tenth.Text(one.AirC) + " °C", Wind: zero.Text(quantity.MetrePerSecond(one.WindMS).KilometresPerHour()) + " km/h",
			Chill: chill(f), Says: bare(f)})
	}
	return body, nil
}

func chill(f cold.Freezing) string {
	if !f.Chill.Known {
		return "none"
	}
	return zero.Text(f.Chill.Printed())
}

// bare says how soon bare skin freezes.
func bare(f cold.Freezing) string {
	switch {
	case !f.Freezes:
		return "no time given"
	case f.Most == f.Least:
		return zero.Text(f.Least.Minutes()) + " min"
	}
	return zero.Text(f.Least.Minutes()) + " to " + zero.Text(f.Most.Minutes()) + " min"
}

// hourRows is how many times the form has room for.
const hourRows = 8

// hourFields are the fields of one time.
type hourFields struct{ Time, Air, Wind *page.Field }

type dayFormBody struct {
	Day   programme.Date
	Snow  *page.Field
	Form  page.Form
	File  *page.Field
	Hours []hourFields
	Fact  programme.ID
}

// dayForm are the fields of the form, and all of them as one list.
func dayForm() (dayFormBody, page.Form) {
	body := dayFormBody{
		Snow: &page.Field{Kind: "radio", Name: "snow", Label: "What is the snow like?", Hint: "It sets the range of friction where nothing was timed."},
		File: &page.Field{Kind: "file", Name: "file", Label: "Forecast as a file", Hint: "Comma-separated values with the columns time, temp_c and wind_kmh. Its times of this day are taken."},
		Form: page.Form{
			{Kind: "text", Name: "from", Label: "Where is the forecast from?", Hint: "Who says so, and when; or \"read on the hill\"."},
			{Kind: "number", Name: "place_m", Label: "Height for which the air counts", Unit: "m above the sea", Hint: "May stay empty: then it counts for the hill itself."},
			{Kind: "area", Name: "note", Label: "Note", Hint: "Ice, light, crowd, what is closed. May stay empty."},
		},
	}
	for _, kind := range slope.Snows() {
		o := page.Option{Value: kind, Label: upper(programme.SnowLabel(kind))}
		if kind == "all" {
			o.Label, o.Hint = "Not known", "the published range of all snow counts"
		}
		body.Snow.Options = append(body.Snow.Options, o)
	}
	all := append(page.Form{body.Snow, body.File}, body.Form...)
	for i := range hourRows {
		n := strconv.Itoa(i + 1)
		row := hourFields{
			&page.Field{Kind: "text", Name: "time_" + n, Label: "Time " + n, Short: true},
			&page.Field{Kind: "number", Name: "air_" + n, Label: "Air " + n, Unit: "°C"},
			&page.Field{Kind: "number", Name: "wind_" + n, Label: "Wind " + n, Unit: "km/h"},
		}
		body.Hours = append(body.Hours, row)
		all = append(all, row.Time, row.Air, row.Wind)
	}
	return body, all
}

// on is the day that is asked for, today where none is.
func on(v *page.Visit, text string) (programme.Date, error) {
	if text == "" {
		return v.Today(), nil
	}
	return programme.ParseDate(text)
}

func changeDay(v *page.Visit) error {
	day, err := on(v, v.R.URL.Query().Get("on"))
	if err != nil {
		return err
	}
	h, err := v.Hill()
	if err != nil {
		return err
	}
	body, _ := dayForm()
	body.Day, body.Fact = day, v.NewID()
	if d, ok := h.DayOf(day); ok {
		body.Snow.Choose(d.Snow)
		body.Form.Get("from").Value, body.Form.Get("note").Value, body.Form.Get("place_m").Value = d.From, d.Note, page.TextOf(d.PlaceM)
		for i, one := range d.Hours[:min(len(d.Hours), hourRows)] {
			kmh := quantity.MetrePerSecond(one.WindMS).KilometresPerHour()
			body.Hours[i].Time.Value, body.Hours[i].Air.Value, body.Hours[i].Wind.Value = one.Time, tenth.Text(one.AirC), tenth.Text(kmh)
		}
	}
	return v.Render(http.StatusOK, "hill-day", page.View{Title: "Conditions of the day", Body: body})
}

func saveDay(v *page.Visit) error {
	var p page.Problems
	day, err := on(v, v.Typed("day"))
	if err != nil {
		return err
	}
	d := programme.DayDetails{Day: day, Snow: v.Typed("snow"), From: v.Typed("from"), Note: v.Typed("note"), PlaceM: v.Number(&p, "place_m", "m")}
	d.Hours = typedHours(v, &p)
	if file, sent := v.File("file"); sent {
		if len(d.Hours) > 0 {
			p.Add("file", "Send a file or write the times, not both. Empty the times, or leave the file out.")
		} else {
			d.Hours = fileHours(v, &p, file, day)
		}
	}
	if len(p) == 0 {
		_, err := v.Kit.Cases.PutDay(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, d)
		if err == nil {
			return v.Go("/hill", "day")
		}
		if programme.CodeOf(err) != programme.CodeInvalid {
			return err
		}
		p.Add(dayFieldOf(programme.SentenceOf(err)), programme.SentenceOf(err))
	}
	body, all := dayForm()
	all.Fill(v, p)
	body.Day, body.Fact = day, v.FormID("fact")
	return v.Render(http.StatusUnprocessableEntity, "hill-day", page.View{Title: "Conditions of the day", Problems: p, Body: body})
}

func dayFieldOf(sentence string) string {
	for _, f := range []struct{ words, field string }{{"height of the place", "place_m"}, {"snow is one of", "snow"}, {"forecast is from", "from"}, {"not a time", "time_1"}, {"does not come after", "time_1"}, {"air temperature", "air_1"}, {"wind at", "wind_1"}} {
		if strings.Contains(sentence, f.words) {
			return f.field
		}
	}
	return ""
}

// typedHours reads the rows that were written by hand.
func typedHours(v *page.Visit, p *page.Problems) []programme.DayHour {
	var out []programme.DayHour
	for i := range hourRows {
		n := strconv.Itoa(i + 1)
		time, before := v.Typed("time_"+n), len(*p)
		air, wind := v.Number(p, "air_"+n, "°C"), v.Number(p, "wind_"+n, "km/h")
		if time == "" && air == nil && wind == nil || len(*p) > before {
			continue
		}
		switch {
		case time == "":
			p.Add("time_"+n, "Write the time of row "+n+", such as 09:00.")
			continue
		case air == nil:
			p.Add("air_"+n, "Write the air of row "+n+".")
			continue
		case wind == nil:
			p.Add("wind_"+n, "Write the wind of row "+n+"; no wind is 0.")
			continue
		}
		if len(time) == 4 { // 9:00
			time = "0" + time
		}
		ms, err := quantity.KilometresPerHour(*wind)
		if err != nil {
			p.Add("wind_"+n, "That wind is not a usable number.")
			continue
		}
		out = append(out, programme.DayHour{Time: time, AirC: *air, WindMS: float64(ms)})
	}
	return out
}

// fileHours takes the times of a day out of a forecast that was sent.
func fileHours(v *page.Visit, p *page.Problems, f page.File, day programme.Date) []programme.DayHour {
	if f.TooBig {
		p.Add("file", "The forecast is larger than 1 MB; a day of one place is a few lines.")
		return nil
	}
	all, err := v.Kit.Forecast(f.Data)
	if err != nil {
		p.Add("file", programme.SentenceOf(err))
		return nil
	}
	var out []programme.DayHour
	for _, one := range all {
		if one.Day.IsZero() || one.Day == day {
			out = append(out, one.DayHour)
		}
	}
	if len(out) == 0 {
		p.Add("file", fmt.Sprintf("The file has no time of %s.", page.Day(day)))
	}
	return out
}
