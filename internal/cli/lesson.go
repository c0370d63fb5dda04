package cli

import (
	"bytes"
	"slices"
	"strconv"
	"strings"
	"time"

	"firnhand/core/cold"
	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/lesson"
	"firnhand/core/quantity"
	"firnhand/core/slope"
	"firnhand/internal/forecast"
	"firnhand/internal/picture"
	"firnhand/internal/picture/timeline"
	"firnhand/internal/terrain"
)

// lessonCmd plans a lesson from a person's file.
type lessonCmd struct {
	File    string `arg:"" optional:"" help:"The person's file; - reads from standard input."`
	Minutes int    `default:"60" placeholder:"N" help:"Minutes on snow, rests included."`
	Passes  string `placeholder:"FILE" help:"Passes so far as comma-separated values (firnhand ladder); without it a first lesson."`
	Goal    string `placeholder:"SKILL" help:"A skill of the ladder, such as K31; without it that of the plan or the next milestone."`
	On      string `placeholder:"DATE" help:"As of this day (YYYY-MM-DD) instead of today."`
	Rules   string `placeholder:"FILE" help:"Decide by this rule table instead of the one built in."`

	Terrain  []string  `placeholder:"NAME" group:"The hill" help:"Terrains there are: run_out, beginner, novice, short_pitch. Without any: run_out and beginner."`
	SlopePct []float64 `name:"slope-pct" placeholder:"N" group:"The hill" help:"A slope there is, by the gradient of its steepest 50 m."`
	Slope    []string  `placeholder:"FILE" group:"The hill" help:"A slope there is, as GPX, GeoJSON or CSV; its steepest 50 m count."`
	Carpet   bool      `group:"The hill" help:"There is a carpet."`
	Chair    bool      `group:"The hill" help:"There is a chair."`
	Hard     bool      `group:"The hill" help:"Ice, slush, crowd or flat light, also where the file does not say so."`
	People   *int      `placeholder:"N" help:"People there are, lead included; without it as many as the student needs."`

	Forecast string `placeholder:"FILE" group:"The weather" help:"A forecast as comma-separated values; the worst of the lesson counts."`
	From     string `placeholder:"HH:MM" group:"The weather" help:"When the lesson begins on snow; with --forecast."`
	weatherFlags

	Multiplier *float64 `placeholder:"N" group:"Effort" help:"What this student's moving costs over a healthy adult's."`
	Group      string   `placeholder:"WORDS" group:"Effort" help:"Take the published multiplier of a group (firnhand effort gait)."`
	WalkedM    *float64 `name:"walked-m" placeholder:"N" group:"Effort" help:"Distance of this student's timed walk on the level: gives a multiplier."`
	WalkedMin  float64  `name:"walked-min" default:"6" placeholder:"N" group:"Effort" help:"Minutes of that walk."`
	Capacity   string   `name:"vo2max-ml-kg-min" placeholder:"N[,LOW..HIGH]" group:"Effort" help:"Greatest oxygen uptake, measured; gives the budget and the rests."`

	Set      map[string]int `placeholder:"NAME=N" help:"A number of the programme, such as rest_min=10; --settings lists them."`
	Settings bool           `help:"List the programme's numbers in the plan."`
	Draw     string         `placeholder:"FILE" help:"Draw the lesson into this file, .svg or .pdf."`
	Width    float64        `name:"width-mm" default:"160" help:"Width of the drawing."`
	Height   float64        `name:"height-mm" default:"0" help:"Height of the drawing; 0 for what it needs."`
	JSON     bool           `name:"json" help:"As JSON."`
}

// Run plans and prints.
func (c *lessonCmd) Run(a *app) error {
	if c.Settings {
		return c.settings(a)
	}
	if c.File == "" {
		return refuse("usage", "Name the person's file: firnhand lesson FILE. With --settings it lists the numbers in a plan.")
	}
	d, err := a.decide(c.File, c.Rules, c.On)
	if err != nil {
		return err
	}
	q, notes, err := c.request(a, d)
	if err != nil {
		return err
	}
	r, err := lesson.Make(q)
	if err != nil {
		return ladderFault(err)
	}
	r.Say = append(notes, r.Say...)
	if c.Draw != "" && r.None == nil {
		t := timeline.Of(r)
		height := c.Height
		if height == 0 {
			height = t.HeightFor()
		}
		if err := a.draw(c.Draw, func(w, h float64) picture.Drawing { return t.Draw(w, h) }, c.Width, height); err != nil {
			return err
		}
	}
	v := viewLesson(d, q, r)
	if c.JSON {
		err = a.printJSON(v)
	} else {
		p := &sheet{w: a.Out}
		v.print(p)
		err = p.err
	}
	if err == nil && r.None != nil && slices.Contains([]string{"hold", "cold_stop", "cold"}, r.None.Code) || err == nil && d.held() {
		return errHeld
	}
	return err
}

// settings lists the programme's numbers.
func (c *lessonCmd) settings(a *app) error {
	var list []ladderSetting
	for _, s := range lesson.Settings() {
		list = append(list, viewSetting(s))
	}
	if c.JSON {
		return a.printJSON(map[string]any{"settings": list})
	}
	p := &sheet{w: a.Out}
	for _, s := range list {
		p.labelled(2, 24, s.Name, strconv.Itoa(s.Value)+" ("+strconv.Itoa(s.Low)+" to "+strconv.Itoa(s.High)+"), basis "+strings.Join(s.Basis, " ")+signing(s))
		p.para(24, s.Means)
	}
	return p.err
}

func signing(s ladderSetting) string {
	if s.Proposed {
		return "; proposed, not signed off"
	}
	return ""
}

func viewSetting(s ladder.Setting) ladderSetting {
	return ladderSetting{s.Name, s.Value, s.Min, s.Max, s.Means, s.Basis, s.Proposed}
}

// request is what the flags and the decision ask for. Notes say what was taken
// for granted.
func (c *lessonCmd) request(a *app, d *decided) (lesson.Request, []string, error) {
	var notes []string
	s, err := lesson.StudentOf(d.answer)
	if err != nil {
		f := ladderFault(err).(*fault)
		if x, ok := d.answer.Axis("plan"); ok && x.Open {
			f.sentence += " It waits for " + waits(x.WaitsFor) + "."
		}
		return lesson.Request{}, nil, inFile(f, c.File)
	}
	q := lesson.Request{Student: s, Numbers: c.Set}
	q.Student.Goal = strings.ToUpper(c.Goal)
	if s.Plan != "PL-H" && s.Plan != "PL-F" {
		if q.Student.Passes, err = a.passes(c.Passes, s.Setup.Aids); err != nil {
			return q, nil, err
		}
	}
	findings := d.c.Input.Findings
	if q.Student.Effort, err = c.effort(findings); err != nil {
		return q, nil, err
	}
	q.Day = lesson.Day{Minutes: c.Minutes, Carpet: c.Carpet, Chair: c.Chair, People: s.People,
		Hard: c.Hard || hardSnow(findings)}
	if c.People != nil {
		q.Day.People = *c.People
	} else if s.People > 0 {
		notes = append(notes, "The "+strconv.Itoa(s.People)+" people this student needs are taken to be there; --people says how many are.")
	}
	if q.Day.Terrains, err = c.terrains(a); err != nil {
		return q, nil, err
	}
	if len(c.Terrain)+len(c.SlopePct)+len(c.Slope) == 0 {
		notes = append(notes, "A run-out and a beginner slope are taken to be there; --terrain, --slope-pct or --slope say what is.")
	}
	var more []string
	q.Day.Cold, more, err = c.cold(a, d)
	return q, append(notes, more...), err
}

// hardSnow tells whether the file says ice, slush, crowd or flat light.
func hardSnow(fs finding.Set) bool {
	v := fs.Get("snow_today", finding.NoSide, finding.Fresh)
	def, ok := finding.Lookup("snow_today")
	return ok && v.Kind == finding.Known && def.Levels[int(v.X)].ID != def.Normal
}

// terrains collects the terrains that flags and files name.
func (c *lessonCmd) terrains(a *app) ([]string, error) {
	l := ladder.Standing()
	out := slices.Clone(c.Terrain)
	add := func(pct float64, what string) error {
		t, ok := l.TerrainOf(pct)
		if !ok {
			return refuse("too_steep", "%s has %s %%: steeper than any terrain of the ladder, or not a gradient.", what, fixed(pct, 1))
		}
		out = append(out, t.ID)
		return nil
	}
	for _, pct := range c.SlopePct {
		if err := add(pct, "A slope"); err != nil {
			return nil, err
		}
	}
	for _, file := range c.Slope {
		data, err := a.read(file, terrain.MaxBytes, "a run has a few hundred points")
		if err != nil {
			return nil, err
		}
		run, err := terrain.Read(file, data, terrain.Options{})
		if err != nil {
			return nil, inFile(hillFault(err), file)
		}
		p, err := slope.Smooth(run.Stations, slope.Usual())
		if err != nil {
			return nil, inFile(hillFault(err), file)
		}
		if err := add(100*p.Steepest(min(50, p.Length())).Gradient, file); err != nil {
			return nil, err
		}
	}
	if len(c.Terrain)+len(c.SlopePct)+len(c.Slope) == 0 {
		return []string{"run_out", "beginner"}, nil
	}
	return out, nil
}

// effort is what moving costs this student; nil where the mass is not known.
func (c *lessonCmd) effort(fs finding.Set) (*lesson.Effort, error) {
	mass := fs.Get("mass_kg", finding.NoSide, finding.Fresh)
	s := studentFlags{Multiplier: c.Multiplier, Group: c.Group, WalkedM: c.WalkedM, WalkedMin: c.WalkedMin, Capacity: c.Capacity}
	m, err := s.multiplier()
	if err != nil {
		return nil, err
	}
	capacity, tested, err := s.capacity()
	if err != nil {
		return nil, err
	}
	if mass.Kind != finding.Known {
		if m != nil || tested {
			return nil, refuse("missing", "Effort wants the mass in the person's file: mass_kg.")
		}
		return nil, nil
	}
	e := &lesson.Effort{Mass: quantity.Kilogram(mass.X), Multiplier: m}
	if tested {
		e.Capacity = &capacity
	}
	return e, nil
}

// cold is the watch at the worst of the lesson; nil without weather.
func (c *lessonCmd) cold(a *app, d *decided) (*cold.Watch, []string, error) {
	_, air, _ := c.airIn.get()
	_, blows, _ := c.Wind.get("wind-")
	if c.Forecast == "" && !air && !blows {
		if c.From != "" {
			return nil, nil, refuse("missing", "--from goes with --forecast.")
		}
		return nil, nil, nil
	}
	limits, err := coldLimits(d.table)
	if err != nil {
		return nil, nil, err
	}
	feel := cold.FeelOf(d.c.Input.Findings)
	look := func(w weather) (*cold.Watch, error) {
		f, err := cold.Freeze(w.air, w.felt)
		if err != nil {
			return nil, hillFault(err)
		}
		l, err := cold.Look(f, feel, limits)
		return &l, hillFault(err)
	}
	if c.Forecast == "" {
		w, err := c.weather()
		if err != nil {
			return nil, nil, err
		}
		l, err := look(w)
		return l, w.notes, err
	}
	if air || blows {
		return nil, nil, refuse("given_twice", "Give a forecast or the air and the wind, not both.")
	}
	data, err := a.read(c.Forecast, forecast.MaxBytes, "a forecast of one place has a few lines")
	if err != nil {
		return nil, nil, err
	}
	hours, err := forecast.Read(bytes.NewReader(data))
	if err != nil {
		return nil, nil, inFile(forecastFault(err), c.Forecast)
	}
	hours, note, err := c.during(hours)
	if err != nil {
		return nil, nil, err
	}
	own, chair, err := c.moving()
	if err != nil {
		return nil, nil, err
	}
	var worst *cold.Watch
	notes := note
	for _, h := range hours {
		w, err := c.at(h.Air, h.Wind, own, chair)
		if err != nil {
			return nil, nil, err
		}
		l, err := look(w)
		if err != nil {
			return nil, nil, err
		}
		if worst == nil || l.ToStop < worst.ToStop {
			worst = l
		}
		for _, n := range w.notes {
			if !slices.Contains(notes, n) {
				notes = append(notes, n)
			}
		}
	}
	return worst, notes, nil
}

// during keeps the hours of a forecast that the lesson lies in: the last one
// before it begins and those until it ends. Without a time all of them count.
func (c *lessonCmd) during(hours []forecast.Hour) ([]forecast.Hour, []string, error) {
	if c.From == "" {
		return hours, []string{"Without --from the worst of the whole forecast counts."}, nil
	}
	at, err := time.Parse("15:04", c.From)
	if err != nil {
		return nil, nil, refuse("no_time", "%q is not a time; write 09:30.", clipped(c.From))
	}
	minute := func(t time.Time) int { return t.Hour()*60 + t.Minute() }
	begin := minute(at)
	end := begin + c.Minutes
	var out []forecast.Hour
	for i, h := range hours {
		last := i+1 == len(hours) || minute(hours[i+1].At) > begin || hours[i+1].At.YearDay() != h.At.YearDay()
		switch m := minute(h.At); {
		case m > end:
		case m > begin, m <= begin && last:
			out = append(out, h)
		}
	}
	if out == nil {
		return nil, nil, refuse("no_hours", "The forecast says nothing of the time from %s on.", c.From)
	}
	return out, nil, nil
}
