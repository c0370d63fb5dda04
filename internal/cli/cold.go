package cli

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"

	"firnhand/core/cold"
	"firnhand/core/decide"
	"firnhand/core/quantity"
	"firnhand/internal/forecast"
)

// coldCmd is about cold and wind.
type coldCmd struct {
	Chill coldChillCmd `cmd:"" help:"Wind chill, with the skier's own speed and the chair's."`
	Time  coldTimeCmd  `cmd:"" help:"How soon bare skin freezes."`
	Check coldCheckCmd `cmd:"" help:"The programme's stop, and when to look at parts that cannot feel; now or through a forecast."`
}

// weatherFlags are the air and the wind, and who moves in it.
type weatherFlags struct {
	airIn
	Wind     speedIn  `embed:"" prefix:"wind-" group:"Wind at 10 m above the ground"`
	Own      speedIn  `embed:"" prefix:"own-" group:"The skier's own speed, head-on into the wind"`
	Chair    speedIn  `embed:"" prefix:"chair-" group:"The speed of the chair, head-on into the wind"`
	StationM *float64 `name:"station-m" placeholder:"N" help:"Height of the place the temperature is for."`
	SlopeM   *float64 `name:"slope-m" placeholder:"N" help:"Height of the slope."`
}

// weather is what the flags say.
type weather struct {
	air                    quantity.Celsius // at the slope
	given                  quantity.Celsius // as read
	wind, own, chair, felt quantity.MetrePerSecond
	notes                  []string
}

// moving returns own and chair speed.
func (f *weatherFlags) moving() (own, chair quantity.MetrePerSecond, err error) {
	if own, _, err = f.Own.get("own-"); err != nil {
		return 0, 0, err
	}
	chair, _, err = f.Chair.get("chair-")
	return own, chair, err
}

// weather reads the flags.
func (f *weatherFlags) weather() (weather, error) {
	air, ok, err := f.airIn.get()
	if err != nil {
		return weather{}, err
	}
	wind, blows, err := f.Wind.get("wind-")
	if err != nil {
		return weather{}, err
	}
	if !ok || !blows {
		return weather{}, refuse("missing", "Give the air and the wind, such as --temp-c -12 --wind-kmh 25; no wind is --wind-kmh 0.")
	}
	own, chair, err := f.moving()
	if err != nil {
		return weather{}, err
	}
	return f.at(air, wind, own, chair)
}

// at takes the air to the height of the slope and the wind to what is felt.
func (f *weatherFlags) at(air quantity.Celsius, wind, own, chair quantity.MetrePerSecond) (weather, error) {
	w := weather{air: air, given: air, wind: wind, own: own, chair: chair}
	if (f.StationM == nil) != (f.SlopeM == nil) {
		return w, refuse("missing", "The fall of temperature with height wants both --station-m and --slope-m.")
	}
	if f.StationM != nil {
		var err error
		if w.air, err = cold.AtHeight(air, quantity.Metre(*f.StationM), quantity.Metre(*f.SlopeM)); err != nil {
			return w, hillFault(err)
		}
		w.notes = append(w.notes, "Air taken from "+fixed(*f.StationM, 0)+" m to "+fixed(*f.SlopeM, 0)+" m with 6.5 degrees a kilometre, an average; on a clear calm morning the valley may be the colder place. Measure on the slope.")
	}
	felt, err := cold.Felt(wind, max(own, chair))
	if err != nil {
		return w, hillFault(err)
	}
	w.felt = felt
	if own > 0 || chair > 0 {
		w.notes = append(w.notes, "Own or chair speed counted head-on into the wind, the worst case.")
	}
	return w, nil
}

type bandView struct {
	From  float64  `json:"from_wind_chill"`
	To    *float64 `json:"to_wind_chill"`
	Words string   `json:"words"`
	Least *float64 `json:"least_min"`
	Most  *float64 `json:"most_min"`
}

func viewBand(b cold.Band, in bool) *bandView {
	if !in {
		return nil
	}
	v := bandView{From: b.From, Words: b.Words}
	if !math.IsInf(b.To, 0) {
		v.To = ptr(b.To)
	}
	if b.Freezes {
		v.Least, v.Most = ptr(b.Least.Minutes()), ptr(b.Most.Minutes())
	}
	return &v
}

// chillView is a wind chill as JSON. wind_chill_c and wind_chill_f are on the
// scales of Celsius and Fahrenheit; the printed ones are what decides.
type chillView struct {
	Form     string    `json:"form"`
	AirC     float64   `json:"air_c"`
	AirF     float64   `json:"air_f"`
	WindKmh  float64   `json:"wind_kmh"`
	WindMph  float64   `json:"wind_mph"`
	FeltKmh  float64   `json:"felt_wind_kmh"`
	Known    bool      `json:"known"`
	ChillC   *float64  `json:"wind_chill_c"`
	ChillF   *float64  `json:"wind_chill_f"`
	PrintedC *float64  `json:"wind_chill_printed_c"`
	PrintedF *float64  `json:"wind_chill_printed_f"`
	Band     *bandView `json:"band"`
	Outside  []string  `json:"outside"`
	Notes    []string  `json:"notes"`
	Sources  []string  `json:"sources"`
	Cautions []string  `json:"cautions"`
}

func viewChill(c cold.Chill, w weather) chillView {
	band, in := cold.BandOf(c)
	v := chillView{Form: string(c.Form), AirC: float64(w.air), AirF: w.air.Fahrenheit(), WindKmh: w.wind.KilometresPerHour(), WindMph: w.wind.MilesPerHour(),
		FeltKmh: w.felt.KilometresPerHour(), Known: c.Known, Band: viewBand(band, in), Outside: list(c.Outside), Notes: list(w.notes),
		Sources: []string{map[cold.Form]string{cold.InCelsius: "ECChart", cold.InFahrenheit: "NWS2001"}[c.Form], "S38"}, Cautions: cold.Cautions()}
	if c.Known {
		v.ChillC, v.ChillF = ptr(float64(c.Value)), ptr(c.Fahrenheit())
		v.PrintedC, v.PrintedF = ptr(c.Printed()), ptr(quantity.Decimals(0).Round(c.Fahrenheit()))
	}
	return v
}

// coldChillCmd is wind chill.
type coldChillCmd struct {
	weatherFlags
	Form string `enum:",celsius,fahrenheit" default:"" help:"celsius (Environment Canada) or fahrenheit (US National Weather Service); without it the one of the temperature given."`
	JSON bool   `name:"json" help:"As JSON."`
}

// Run computes.
func (c *coldChillCmd) Run(a *app) error {
	w, err := c.weather()
	if err != nil {
		return err
	}
	form := cold.Form(c.Form)
	if form == "" {
		if form = cold.InCelsius; c.airIn.F != nil {
			form = cold.InFahrenheit
		}
	}
	chill, err := cold.Of(form, w.air, w.felt)
	if err != nil {
		return hillFault(err)
	}
	v := viewChill(chill, w)
	if c.JSON {
		return a.printJSON(v)
	}
	p := &sheet{w: a.Out}
	p.line("%s", chillSays(v))
	v.weather(p)
	p.tell(v.Outside, v.Notes, v.Cautions)
	return p.err
}

func chillSays(v chillView) string {
	switch {
	case !v.Known:
		return "No wind chill in air this warm"
	case v.Form == string(cold.InFahrenheit):
		return "Wind chill " + fixed(*v.PrintedF, 0) + " on the Fahrenheit scale (" + fixed(*v.PrintedC, 0) + " Celsius)"
	}
	return "Wind chill " + fixed(*v.PrintedC, 0) + " (" + fixed(*v.PrintedF, 0) + " on the Fahrenheit scale)"
}

// weather prints what it was computed from.
func (v chillView) weather(p *sheet) {
	p.labelled(2, 20, "Air", fixed(v.AirC, 1)+" °C ("+fixed(v.AirF, 1)+" °F)")
	p.labelled(2, 20, "Wind at 10 m", fixed(v.WindKmh, 0)+" km/h ("+fixed(v.WindMph, 0)+" mile/h)")
	if v.FeltKmh != v.WindKmh {
		p.labelled(2, 20, "Felt, moving", "as "+fixed(v.FeltKmh, 1)+" km/h at 10 m")
	}
	if v.Band != nil {
		p.labelled(2, 20, "Band", v.Band.says())
	}
}

func (b bandView) says() string {
	to := "and colder"
	if b.To != nil {
		to = "to " + fixed(*b.To, 0)
	}
	return fixed(b.From, 0) + " " + to + ": " + b.Words
}

// freezingView is how soon skin freezes, as JSON.
type freezingView struct {
	chillView
	Freezes    bool     `json:"freezes"`
	Least      *float64 `json:"freezes_least_min"`
	Most       *float64 `json:"freezes_most_min"`
	FormulaMin *float64 `json:"formula_min"`
	BandWins   bool     `json:"band_wins"`
	HalvedMin  *float64 `json:"halved_least_min"`
}

func viewFreezing(f cold.Freezing, w weather) freezingView {
	v := freezingView{chillView: viewChill(f.Chill, w), Freezes: f.Freezes, BandWins: f.BandWins}
	v.Outside, v.Notes = list(f.Outside), append(list(w.notes), f.Notes...)
	if f.Freezes {
		v.Least, v.Most = ptr(f.Least.Minutes()), ptr(f.Most.Minutes())
		v.HalvedMin = ptr(f.Halved().Minutes())
	}
	if f.HasMinutes {
		v.FormulaMin = ptr(f.Minutes)
		v.Sources = append(v.Sources, "Osczevski2005")
	}
	return v
}

// coldTimeCmd is the time to freezing.
type coldTimeCmd struct {
	weatherFlags
	JSON bool `name:"json" help:"As JSON."`
}

// Run computes.
func (c *coldTimeCmd) Run(a *app) error {
	w, err := c.weather()
	if err != nil {
		return err
	}
	f, err := cold.Freeze(w.air, w.felt)
	if err != nil {
		return hillFault(err)
	}
	v := viewFreezing(f, w)
	if c.JSON {
		return a.printJSON(v)
	}
	p := &sheet{w: a.Out}
	v.print(p)
	p.tell(v.Outside, v.Notes, v.Cautions)
	return p.err
}

func (v freezingView) print(p *sheet) {
	p.line("%s", chillSays(v.chillView))
	v.weather(p)
	if v.Freezes {
		p.labelled(2, 20, "Bare skin freezes", "in "+fixed(*v.Least, 0)+" to "+fixed(*v.Most, 0)+" min")
		p.labelled(2, 20, "Cannot feel", "half of that: look after "+fixed(*v.HalvedMin, 1)+" min at the latest")
	} else {
		p.labelled(2, 20, "Bare skin freezes", "the bands give no time here")
	}
	if v.FormulaMin != nil {
		p.labelled(2, 20, "Formula", fixed(*v.FormulaMin, 1)+" min for the most susceptible (from memory)")
	}
}

// coldCheckCmd is the stop and the timer.
type coldCheckCmd struct {
	weatherFlags
	Forecast string `placeholder:"FILE" help:"A forecast as comma-separated values: time, temp_c, wind_kmh; - reads from standard input."`
	Feeling  string `enum:",full,reduced,missing,unknown" default:"" help:"What the part that feels least can feel: full, reduced (or poor circulation), missing, unknown."`
	Person   string `placeholder:"FILE" help:"Take the feeling from a person's file."`
	On       string `placeholder:"DATE" help:"With --person: as of this day (YYYY-MM-DD) instead of today."`
	Rules    string `placeholder:"FILE" xor:"from" help:"The programme's numbers from this rule table instead of the one built in."`
	Data     string `placeholder:"FILE" xor:"from" help:"The programme's numbers as signed off in the records of this file."`
	Keys     string `placeholder:"FILE" help:"Key file of the records; without it FILE.keys beside them."`
	JSON     bool   `name:"json" help:"As JSON."`
}

type watchView struct {
	When string `json:"time,omitempty"`
	freezingView
	Feeling string   `json:"feeling"`
	StopAt  float64  `json:"stop_at_wind_chill"`
	Stop    bool     `json:"stop"`
	ToStop  *float64 `json:"to_stop_wind_chill"`
	Timed   bool     `json:"timed"`
	First   *float64 `json:"first_look_min"`
	Longest *float64 `json:"longest_between_looks_min"`
	Say     []string `json:"say"`
}

// Run computes.
func (c *coldCheckCmd) Run(a *app) error {
	limits, err := c.limits(a)
	if err != nil {
		return err
	}
	feel, err := c.feel(a)
	if err != nil {
		return err
	}
	if c.Forecast != "" {
		return c.through(a, feel, limits)
	}
	w, err := c.weather()
	if err != nil {
		return err
	}
	v, err := watch("", w, feel, limits)
	if err != nil {
		return err
	}
	if c.JSON {
		err = a.printJSON(v)
	} else {
		p := &sheet{w: a.Out}
		for _, s := range v.Say {
			p.para(0, s)
		}
		p.blank()
		v.print(p)
		p.tell(v.Outside, v.Notes, v.Cautions)
		err = p.err
	}
	if err == nil && v.Stop {
		return errHeld
	}
	return err
}

func watch(when string, w weather, feel cold.Feel, by cold.Limits) (watchView, error) {
	f, err := cold.Freeze(w.air, w.felt)
	if err != nil {
		return watchView{}, hillFault(err)
	}
	l, err := cold.Look(f, feel, by)
	if err != nil {
		return watchView{}, hillFault(err)
	}
	v := watchView{When: when, freezingView: viewFreezing(f, w), Feeling: string(feel), StopAt: l.StopAt, Stop: l.Stop, Timed: l.Timed, Say: list(l.Say)}
	if f.Chill.Known {
		v.ToStop = ptr(l.ToStop)
	}
	if l.Timed {
		v.First, v.Longest = ptr(l.First.Minutes()), ptr(l.Longest.Minutes())
	}
	return v, nil
}

// limits are the programme's numbers.
func (c *coldCheckCmd) limits(a *app) (cold.Limits, error) {
	from := settingsListCmd{Rules: c.Rules, Data: c.Data, Keys: c.Keys}
	t, _, err := from.source(a)
	if err != nil {
		return cold.Limits{}, err
	}
	return coldLimits(t)
}

// coldLimits reads them from a rule table.
func coldLimits(t *decide.Table) (cold.Limits, error) {
	need := map[string]float64{}
	for _, s := range t.Settings() {
		need[s.Name] = s.Value
	}
	for _, name := range []string{"wind_chill_stop_c", "wind_chill_stop_reduced_c", "feet_check_min"} {
		if _, ok := need[name]; !ok {
			return cold.Limits{}, refuse("no_setting", "The rule table has no setting %s.", name)
		}
	}
	look, err := quantity.Minutes(need["feet_check_min"])
	return cold.Limits{Stop: quantity.Celsius(need["wind_chill_stop_c"]), StopReduced: quantity.Celsius(need["wind_chill_stop_reduced_c"]), Look: look}, hillFault(err)
}

// feel is what the person can feel.
func (c *coldCheckCmd) feel(a *app) (cold.Feel, error) {
	switch {
	case c.Feeling != "" && c.Person != "":
		return "", refuse("given_twice", "Give --feeling or --person, not both.")
	case c.Person != "":
		d, err := a.decide(c.Person, c.Rules, c.On)
		if err != nil {
			return "", err
		}
		return cold.FeelOf(d.c.Input.Findings), nil
	case c.Feeling == "":
		return cold.NotKnown, nil
	}
	return cold.Feel(c.Feeling), nil
}

// through goes through a forecast.
func (c *coldCheckCmd) through(a *app, feel cold.Feel, by cold.Limits) error {
	if _, given, _ := c.airIn.get(); given {
		return refuse("given_twice", "Give a forecast or the air and the wind, not both.")
	}
	data, err := a.read(c.Forecast, forecast.MaxBytes, "a forecast of one place has a few lines")
	if err != nil {
		return err
	}
	hours, err := forecast.Read(bytes.NewReader(data))
	if err != nil {
		return inFile(forecastFault(err), c.Forecast)
	}
	own, chair, err := c.moving()
	if err != nil {
		return err
	}
	views, first := []watchView{}, ""
	for _, h := range hours {
		w, err := c.at(h.Air, h.Wind, own, chair)
		if err != nil {
			return err
		}
		v, err := watch(h.When, w, feel, by)
		if err != nil {
			return err
		}
		if v.Stop && first == "" {
			first = h.When
		}
		views = append(views, v)
	}
	if c.JSON {
		err = a.printJSON(map[string]any{"hours": views, "feeling": string(feel), "first_stop_time": first, "stop": first != ""})
	} else {
		err = printForecast(&sheet{w: a.Out}, views, first)
	}
	if err == nil && first != "" {
		return errHeld
	}
	return err
}

func printForecast(p *sheet, views []watchView, first string) error {
	if first == "" {
		p.line("No stop in this forecast; feeling: %s", views[0].Feeling)
	} else {
		p.line("Stop from %s; feeling: %s", first, views[0].Feeling)
	}
	p.line("The programme's stop for this student is at a wind chill of %s.", fixed(views[0].StopAt, 0))
	p.line("\n%-20s %8s %8s %7s  %s", "time", "air °C", "km/h", "chill", "")
	for _, v := range views {
		text := "-"
		if v.PrintedC != nil {
			text = fixed(*v.PrintedC, 0)
		}
		what := []string{}
		if v.Stop {
			what = append(what, "STOP")
		}
		if v.Timed {
			what = append(what, "look after "+fixed(*v.First, 1)+" min")
		}
		p.line("%-20s %8s %8s %7s  %s", v.When, fixed(v.AirC, 1), fixed(v.WindKmh, 0), text, strings.Join(what, ", "))
	}
	p.tell(nil, views[0].Notes, views[0].Cautions)
	return p.err
}

// forecastFault gives a refused forecast the one shape.
func forecastFault(err error) error {
	var e *forecast.Error
	if !errors.As(err, &e) {
		return err
	}
	f := refuse(e.Code, "%s", e.Sentence)
	if f.line = e.Line; e.Line > 0 {
		f.sentence = fmt.Sprintf("Line %d: %s", e.Line, e.Sentence)
	}
	return f
}
