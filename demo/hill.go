package demo

import (
	"context"
	"fmt"
	"io/fs"
	"math"
	"sort"

	"firnhand/core/lift"
	"firnhand/core/slope"
	"firnhand/programme"
)

// The form of hill.yaml.

type hillFile struct {
	Slopes   []slopeHillFile         `yaml:"slopes"`
	Lifts    []liftHillFile          `yaml:"lifts"`
	Days     []dayHillFile           `yaml:"days"`
	Glides   []glidesHillFile        `yaml:"glides"`
	Students map[string][]onHillFile `yaml:"students"`
}

// Entry is when something of hill.yaml was written down, and by whom.
type Entry struct {
	On string `yaml:"on"`
	By string `yaml:"by"`
}

type slopeHillFile struct {
	Entry     `yaml:",inline"`
	Name      string       `yaml:"name"`
	From      string       `yaml:"from"`
	Points    [][2]float64 `yaml:"points"`
	ErrorPct  float64      `yaml:"error_pct"`
	AcrossPct *float64     `yaml:"across_pct"`
	WidthM    *float64     `yaml:"width_m"`
	RunOutM   *float64     `yaml:"run_out_m"`
	RunOutPct *float64     `yaml:"run_out_pct"`
	TopM      *float64     `yaml:"top_m"`
	Note      string       `yaml:"note"`
}

type liftHillFile struct {
	Entry     `yaml:",inline"`
	Name      string    `yaml:"name"`
	Kind      string    `yaml:"kind"`
	SpeedMS   *float64  `yaml:"speed_m_s"`
	Interval  *float64  `yaml:"interval_s"`
	Seats     int       `yaml:"seats"`
	SlowestMS *float64  `yaml:"slowest_m_s"`
	LengthM   *float64  `yaml:"length_m"`
	WaitM     []float64 `yaml:"wait_m"`
	ClearM    []float64 `yaml:"clear_m"`
	ZoneM     []float64 `yaml:"zone_m"`
	CarrierM  []float64 `yaml:"carrier_m"`
	Bar       string    `yaml:"bar"`
	Note      string    `yaml:"note"`
}

type dayHillFile struct {
	Entry  `yaml:",inline"`
	Day    string   `yaml:"day"`
	Snow   string   `yaml:"snow"`
	From   string   `yaml:"from"`
	PlaceM *float64 `yaml:"place_m"`
	Hours  [][3]any `yaml:"hours"` // time, °C, km/h
	Note   string   `yaml:"note"`
}

type glidesHillFile struct {
	Entry   `yaml:",inline"`
	Day     string    `yaml:"day"`
	Slope   string    `yaml:"slope"`
	LengthM float64   `yaml:"length_m"`
	Pct     float64   `yaml:"pct"`
	PctSD   float64   `yaml:"pct_sd"`
	MassKG  float64   `yaml:"mass_kg"`
	TimesS  []float64 `yaml:"times_s"`
	Note    string    `yaml:"note"`
}

type onHillFile struct {
	Entry     `yaml:",inline"`
	Choice    *choiceFile    `yaml:"choice"`
	LiftTimes *liftTimesFile `yaml:"lift_times"`
	Stops     *stopsFile     `yaml:"stops"`
	Effort    *effortFile    `yaml:"effort"`
}

type choiceFile struct {
	Slope  string  `yaml:"slope"`
	Lift   string  `yaml:"lift"`
	Left   int     `yaml:"left"`
	Right  int     `yaml:"right"`
	StartM float64 `yaml:"start_m"`
	Note   string  `yaml:"note"`
}

type liftTimesFile struct {
	Lift    string    `yaml:"lift"`
	PushM   float64   `yaml:"push_m"`
	PushS   []float64 `yaml:"push_s"`
	SettleS []float64 `yaml:"settle_s"`
	StandS  []float64 `yaml:"stand_s"`
	ClearS  []float64 `yaml:"clear_s"`
	Harness string    `yaml:"harness"`
	Gear    string    `yaml:"gear"`
}

type stopsFile struct {
	Slope  string       `yaml:"slope"`
	Pct    float64      `yaml:"pct"`
	How    string       `yaml:"how"`
	Trials [][3]float64 `yaml:"trials"` // km/h, m, s
}

type effortFile struct {
	WalkM   float64   `yaml:"walk_m"`
	WalkMin float64   `yaml:"walk_min"`
	VO2Max  []float64 `yaml:"vo2max"`
	Note    string    `yaml:"note"`
}

// hillReader turns hill.yaml into steps.
type hillReader struct {
	*reader
	slopes, lifts map[string]programme.ID
}

// hill reads hill.yaml; the students must be read before.
func (r *reader) hill(fsys fs.FS) error {
	var f hillFile
	if err := unmarshal(fsys, "hill.yaml", &f); err != nil {
		return err
	}
	h := hillReader{r, map[string]programme.ID{}, map[string]programme.ID{}}
	for _, s := range f.Slopes {
		if err := h.slope(s); err != nil {
			return fmt.Errorf("%s: %w", s.Name, err)
		}
	}
	for _, l := range f.Lifts {
		if err := h.lift(l); err != nil {
			return fmt.Errorf("%s: %w", l.Name, err)
		}
	}
	for _, d := range f.Days {
		if err := h.day(d); err != nil {
			return fmt.Errorf("%s: %w", d.Day, err)
		}
	}
	for _, g := range f.Glides {
		if err := h.glides(g); err != nil {
			return fmt.Errorf("glides of %s: %w", g.On, err)
		}
	}
	keys := make([]string, 0, len(f.Students))
	for key := range f.Students {
		keys = append(keys, key)
	}
	sort.Strings(keys)
	for _, key := range keys {
		s, ok := r.p.StudentByKey(key)
		if !ok {
			return fmt.Errorf("there is no student %q", key)
		}
		for _, e := range f.Students[key] {
			if err := h.student(s, e); err != nil {
				return fmt.Errorf("%s, %s: %w", key, e.On, err)
			}
		}
	}
	return nil
}

// step adds a step at an event.
func (h hillReader) step(e Entry, name string, do func(context.Context, programme.UseCases, programme.Actor, programme.Made) (programme.Receipt, error)) error {
	at, err := h.moment(e.On)
	if err != nil {
		return err
	}
	by, err := h.person(e.By)
	if err != nil {
		return err
	}
	h.add(at, "hill.yaml: "+name, func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return do(ctx, uc, by.Actor(), m)
	}, programme.Made{ID: id(at, "hill/"+name+"/"+e.On)})
	return nil
}

// named makes the id of a slope or lift at its first mention.
func (h hillReader) named(known map[string]programme.ID, e Entry, kind, name string) (programme.ID, error) {
	if _, had := known[name]; !had {
		at, err := h.moment(e.On)
		if err != nil {
			return "", err
		}
		known[name] = id(at, kind+"/"+name)
	}
	return known[name], nil
}

// knownAs finds a slope or lift; "" is none.
func knownAs(known map[string]programme.ID, name string) (programme.ID, error) {
	if name == "" {
		return "", nil
	}
	found, ok := known[name]
	if !ok {
		return "", fmt.Errorf("the hill has no %q", name)
	}
	return found, nil
}

func (h hillReader) slope(f slopeHillFile) error {
	on, err := h.named(h.slopes, f.Entry, "slope", f.Name)
	if err != nil {
		return err
	}
	d := programme.SlopeDetails{Slope: on, Name: f.Name, Drawn: true, From: f.From, ErrorPct: f.ErrorPct, AcrossPct: f.AcrossPct, WidthM: f.WidthM, RunOutM: f.RunOutM, RunOutPct: f.RunOutPct, TopM: f.TopM, Note: f.Note}
	for _, p := range f.Points {
		d.Stations = append(d.Stations, slope.Station{Distance: p[0], Height: p[1]})
	}
	return h.step(f.Entry, "slope "+f.Name, func(ctx context.Context, uc programme.UseCases, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return uc.PutSlope(ctx, a, m, d)
	})
}

func (h hillReader) lift(f liftHillFile) error {
	at, err := h.named(h.lifts, f.Entry, "lift", f.Name)
	if err != nil {
		return err
	}
	on, err := h.moment(f.On)
	if err != nil {
		return err
	}
	d := programme.LiftDetails{Lift: at, Name: f.Name, What: lift.Kind(f.Kind), SpeedMS: f.SpeedMS, Interval: f.Interval, Seats: f.Seats, SlowestMS: f.SlowestMS, LengthM: f.LengthM,
		WaitM: f.WaitM, ClearM: f.ClearM, ZoneM: f.ZoneM, CarrierM: f.CarrierM, Bar: lift.Know(f.Bar), Measured: programme.DateOf(on), Note: f.Note}
	return h.step(f.Entry, "lift "+f.Name, func(ctx context.Context, uc programme.UseCases, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return uc.PutLift(ctx, a, m, d)
	})
}

func (h hillReader) day(f dayHillFile) error {
	day, err := programme.ParseDate(f.Day)
	if err != nil {
		return err
	}
	d := programme.DayDetails{Day: day, Snow: f.Snow, From: f.From, PlaceM: f.PlaceM, Note: f.Note}
	for _, row := range f.Hours {
		time, ok := row[0].(string)
		air, okAir := asNumber(row[1])
		wind, okWind := asNumber(row[2])
		if !ok || !okAir || !okWind {
			return fmt.Errorf("%v is not a time with °C and km/h", row)
		}
		const kmhPerMS = 3.6
		d.Hours = append(d.Hours, programme.DayHour{Time: time, AirC: air, WindMS: math.Round(wind/kmhPerMS*1000) / 1000})
	}
	return h.step(f.Entry, "day "+f.Day, func(ctx context.Context, uc programme.UseCases, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return uc.PutDay(ctx, a, m, d)
	})
}

// asNumber takes what YAML reads as some kind of number.
func asNumber(v any) (float64, bool) {
	switch x := v.(type) {
	case float64:
		return x, true
	case uint64:
		return float64(x), true
	case int64:
		return float64(x), true
	case int:
		return float64(x), true
	}
	return 0, false
}

func (h hillReader) glides(f glidesHillFile) error {
	day, err := programme.ParseDate(f.Day)
	if err != nil {
		return err
	}
	on, err := knownAs(h.slopes, f.Slope)
	if err != nil {
		return err
	}
	const watchSD = 0.2 // proposed, see core/source stopwatch_sd
	g := programme.TimedGlides{Day: day, Slope: on, LengthM: f.LengthM, Pct: f.Pct, PctSD: f.PctSD, MassKG: f.MassKG, WatchSD: watchSD, TimesS: f.TimesS, Note: f.Note}
	return h.step(f.Entry, "glides "+f.Slope, func(ctx context.Context, uc programme.UseCases, a programme.Actor, m programme.Made) (programme.Receipt, error) {
		return uc.RecordGlides(ctx, a, m, g)
	})
}

// student adds what a student does on the hill; an entry holds one thing.
func (h hillReader) student(s Student, e onHillFile) error {
	at, err := h.moment(e.On)
	if err != nil {
		return err
	}
	day := programme.DateOf(at)
	type recorded = func(context.Context, programme.UseCases, programme.Actor, programme.Made) (programme.Receipt, error)
	var todo []recorded
	if f := e.Choice; f != nil {
		c := programme.HillChoice{StepLeft: f.Left, StepRight: f.Right, StartM: f.StartM, Note: f.Note}
		if c.Slope, err = knownAs(h.slopes, f.Slope); err != nil {
			return err
		}
		if c.Lift, err = knownAs(h.lifts, f.Lift); err != nil {
			return err
		}
		todo = append(todo, func(ctx context.Context, uc programme.UseCases, a programme.Actor, m programme.Made) (programme.Receipt, error) {
			return uc.ChooseHill(ctx, a, m, s.ID, c)
		})
	}
	if f := e.LiftTimes; f != nil {
		t := programme.LiftTimes{Day: day, PushM: f.PushM, PushS: f.PushS, SettleS: f.SettleS, StandS: f.StandS, ClearS: f.ClearS, Harness: lift.Know(f.Harness), Gear: f.Gear}
		if t.Lift, err = knownAs(h.lifts, f.Lift); err != nil {
			return err
		}
		todo = append(todo, func(ctx context.Context, uc programme.UseCases, a programme.Actor, m programme.Made) (programme.Receipt, error) {
			return uc.RecordLiftTimes(ctx, a, m, s.ID, t)
		})
	}
	if f := e.Stops; f != nil {
		st := programme.MeasuredStops{Day: day, Pct: f.Pct, How: f.How}
		if st.Slope, err = knownAs(h.slopes, f.Slope); err != nil {
			return err
		}
		for _, t := range f.Trials {
			st.Trials = append(st.Trials, programme.StopMeasure{SpeedKmh: t[0], LengthM: t[1], TimeS: t[2]})
		}
		todo = append(todo, func(ctx context.Context, uc programme.UseCases, a programme.Actor, m programme.Made) (programme.Receipt, error) {
			return uc.RecordStops(ctx, a, m, s.ID, st)
		})
	}
	if f := e.Effort; f != nil {
		const minute = 60
		b := programme.EffortBasis{Day: day, WalkM: f.WalkM, WalkS: f.WalkMin * minute, CapacityML: f.VO2Max, Note: f.Note}
		todo = append(todo, func(ctx context.Context, uc programme.UseCases, a programme.Actor, m programme.Made) (programme.Receipt, error) {
			return uc.RecordEffort(ctx, a, m, s.ID, b)
		})
	}
	if len(todo) != 1 {
		return fmt.Errorf("an entry holds exactly one thing, this one %d", len(todo))
	}
	return h.step(e.Entry, "student/"+s.Key, todo[0])
}
