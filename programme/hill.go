package programme

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"firnhand/core/lift"
	"firnhand/core/slope"
)

// The kinds of fact about the hill. They carry no student.
const (
	KindSlope  Kind = "slope"  // SlopeDetails; the latest of each slope stands
	KindLift   Kind = "lift"   // LiftDetails; the latest of each lift stands
	KindDay    Kind = "day"    // DayDetails; the latest of each day stands
	KindGlides Kind = "glides" // TimedGlides of one day on one part of a slope; all stand
)

// SlopeDetails is the payload of a KindSlope fact: a teaching slope as it
// stands from then on. A figure that is nil was not measured.
type SlopeDetails struct {
	Slope ID     `json:"slope"` // the slope, the same in every later fact about it
	Name  string `json:"name"`
	// Stations are the run from its top, straight down: metres on the map and
	// heights in m. The heights may count from anywhere.
	Stations []slope.Station `json:"stations"`
	// Drawn tells that somebody set the stations down, so that they count as they
	// are; else they are a recording and are smoothed.
	Drawn bool   `json:"drawn"`
	From  string `json:"from"` // where the stations are from, in words: "GPX track teasel.gpx"
	// AcrossPct is the fall across the run, to the left positive.
	AcrossPct *float64 `json:"across_pct,omitempty"`
	// ErrorPct is the standard deviation of the gradients.
	ErrorPct float64  `json:"gradient_sd_pct"`
	WidthM   *float64 `json:"width_m,omitempty"`
	// RunOutM is the free ground after the last station, RunOutPct its gradient,
	// downhill positive: below zero it rises.
	RunOutM   *float64 `json:"run_out_m,omitempty"`
	RunOutPct *float64 `json:"run_out_pct,omitempty"`
	TopM      *float64 `json:"top_above_sea_m,omitempty"`
	Note      string   `json:"note,omitempty"`
	Ended     bool     `json:"ended,omitempty"` // no longer used
}

// LiftDetails is the payload of a KindLift fact: a lift as it was measured.
// Two of speed, interval and spacing, or people an hour with places, say the
// rest. A figure that is nil was not measured.
type LiftDetails struct {
	Lift     ID        `json:"lift"` // the lift, the same in every later fact about it
	Name     string    `json:"name"`
	What     lift.Kind `json:"kind"`
	SpeedMS  *float64  `json:"speed_m_s,omitempty"` // at the load line
	Interval *float64  `json:"interval_s,omitempty"`
	SpacingM *float64  `json:"spacing_m,omitempty"`
	Seats    int       `json:"seats,omitempty"`
	PerHour  *float64  `json:"people_per_hour,omitempty"`
	// SlowestMS is the slowest it runs when asked; 0: it stops only.
	SlowestMS *float64  `json:"slowest_m_s,omitempty"`
	LengthM   *float64  `json:"length_m,omitempty"`         // of the ride
	WaitM     []float64 `json:"wait_to_load_m,omitempty"`   // from the wait line to the load line, as measured
	ClearM    []float64 `json:"stand_to_clear_m,omitempty"` // from standing up to the agreed clear place
	ZoneM     []float64 `json:"stand_zone_m,omitempty"`     // in which one must stand up
	CarrierM  []float64 `json:"carrier_length_m,omitempty"` // along the line
	Bar       lift.Know `json:"bar,omitempty"`              // a bar that comes down
	Measured  Date      `json:"measured_on"`
	Note      string    `json:"note,omitempty"`
	Ended     bool      `json:"ended,omitempty"` // no longer used
}

// DayDetails is the payload of a KindDay fact: what is known of a day on the
// hill, forecast or seen.
type DayDetails struct {
	Day   Date      `json:"day"`
	Hours []DayHour `json:"hours"` // in order of time; may be none
	// PlaceM is the height above the sea for which the air counts; nil: the hill.
	PlaceM *float64 `json:"place_above_sea_m,omitempty"`
	Snow   string   `json:"snow"`           // one of slope.Snows
	From   string   `json:"from,omitempty"` // who says so
	Note   string   `json:"note,omitempty"`
}

// DayHour is the air and the wind from a time on.
type DayHour struct {
	Time   string  `json:"time"` // "09:00"
	AirC   float64 `json:"air_c"`
	WindMS float64 `json:"wind_m_s"` // 10 m above the ground
}

// TimedGlides is the payload of a KindGlides fact: glides straight down one
// part of a slope, timed by hand. It names no student: who slid is only a mass.
type TimedGlides struct {
	Day     Date      `json:"day"`
	Slope   ID        `json:"slope"`
	LengthM float64   `json:"length_m"`     // of the part, on the snow
	Pct     float64   `json:"gradient_pct"` // of the part, as measured, downhill positive
	PctSD   float64   `json:"gradient_sd_pct"`
	StartMS float64   `json:"start_m_s"` // speed at its beginning; 0 from rest
	MassKG  float64   `json:"mass_kg"`   // who slid, with gear
	WatchSD float64   `json:"watch_sd_s"`
	TimesS  []float64 `json:"times_s,omitempty"`     // of those that came to the end
	Short   int       `json:"short_count,omitempty"` // those that stopped before; then no times
	Note    string    `json:"note,omitempty"`
}

// Limits of what is known of a hill.
const (
	MaxStations = 1000
	MaxHours    = 48  // of one day
	MaxTimes    = 50  // of one part, or of one student
	MaxDistM    = 200 // at a lift
	MaxRunM     = 20000
)

// figure is one that may be missing, with what it may be.
type figure struct {
	what      string // as a sentence begins
	value     *float64
	low, high float64
	unit      string
	above     bool // low itself is refused
}

func (f figure) check() error {
	if f.value == nil {
		return nil
	}
	v := *f.value
	if math.IsNaN(v) || math.IsInf(v, 0) || v < f.low || v > f.high || f.above && v == f.low {
		from := "between " + plain(f.low) + " and "
		if f.above {
			from = "above " + plain(f.low) + " and at most "
		}
		return Refuse(CodeInvalid, "%s must be %s%s%s; check the value and its unit.", f.what, from, plain(f.high), unit(f.unit))
	}
	return nil
}

// plain writes a limit without needless digits.
func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func unit(u string) string {
	if u == "" {
		return ""
	}
	return " " + u
}

func figures(list ...figure) error {
	for _, f := range list {
		if err := f.check(); err != nil {
			return err
		}
	}
	return nil
}

// every checks each of several readings of one thing.
func every(what string, values []float64, low, high float64, unit string) error {
	if len(values) > MaxTimes {
		return Refuse(CodeInvalid, "%s: at most %d readings are kept.", what, MaxTimes)
	}
	for i := range values {
		if err := (figure{what, &values[i], low, high, unit, true}).check(); err != nil {
			return err
		}
	}
	return nil
}

func (d *SlopeDetails) check() error {
	if err := d.Slope.Check(); err != nil {
		return err
	}
	if len(d.Stations) > MaxStations {
		return Refuse(CodeInvalid, "A slope has at most %d stations.", MaxStations)
	}
	if err := d.line(); err != nil {
		return err
	}
	for _, err := range []error{
		text("The name of the slope", &d.Name, MaxName, true, false),
		text("Where the shape is from", &d.From, MaxShort, true, false),
		text("The note", &d.Note, MaxText, false, true),
	} {
		if err != nil {
			return err
		}
	}
	return figures(
		figure{"The fall across", d.AcrossPct, -100, 100, "%", false},
		figure{"The error of the gradients", &d.ErrorPct, 0, 20, "%", false},
		figure{"The width", d.WidthM, 0, 1000, "m", true},
		figure{"The length of the run-out", d.RunOutM, 0, 2000, "m", false},
		figure{"The gradient of the run-out", d.RunOutPct, -100, 100, "%", false},
		figure{"The height of the top", d.TopM, 0, 6000, "m above the sea", false},
	)
}

// line checks the stations: a run from its top, in order, that can be one.
func (d *SlopeDetails) line() error {
	s := d.Stations
	if len(s) < 2 {
		return Refuse(CodeInvalid, "A slope needs at least two points, each with a distance and a height.")
	}
	for i, at := range s {
		for _, v := range []float64{at.Distance, at.Height} {
			if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > MaxRunM {
				return Refuse(CodeInvalid, "Point %d has a distance or a height that cannot be right.", i+1)
			}
		}
		if i > 0 && at.Distance <= s[i-1].Distance {
			return Refuse(CodeInvalid, "The distances must rise from the top of the slope to its end: point %d does not lie behind point %d.", i+1, i)
		}
	}
	length, fall := s[len(s)-1].Distance-s[0].Distance, s[0].Height-s[len(s)-1].Height
	switch {
	case s[0].Distance != 0:
		return Refuse(CodeInvalid, "The distances count from the top: the first is 0.")
	case length < 5:
		return Refuse(CodeInvalid, "The slope is only %s m long; check whether the distances are in kilometres.", plain(length))
	case fall <= 0:
		return Refuse(CodeInvalid, "The slope does not fall from its first point to its last. Begin at the top.")
	case fall > 2*length:
		return Refuse(CodeInvalid, "The slope falls %s m over %s m, which is a wall; check the units of distances and heights.", plain(math.Round(fall)), plain(math.Round(length)))
	}
	return nil
}

func (d *LiftDetails) check(today Date) error {
	if err := d.Lift.Check(); err != nil {
		return err
	}
	if !slices.Contains(lift.Kinds(), d.What) {
		return Refuse(CodeInvalid, "A lift is one of fixed_chair, detachable_chair, t_bar, single, carpet, not %q.", clip(string(d.What)))
	}
	switch d.Bar {
	case "":
		d.Bar = lift.NotKnown
	case lift.Yes, lift.No, lift.NotKnown:
	default:
		return Refuse(CodeInvalid, "Whether there is a bar is yes, no or unknown, not %q.", clip(string(d.Bar)))
	}
	for _, err := range []error{
		text("The name of the lift", &d.Name, MaxName, true, false),
		text("The note", &d.Note, MaxText, false, true),
		figures(
			figure{"The speed of the lift", d.SpeedMS, 0, 15, "m/s", true},
			figure{"The interval", d.Interval, 0, 600, "s", true},
			figure{"The spacing", d.SpacingM, 0, 1000, "m", true},
			figure{"The number of people an hour", d.PerHour, 0, 20000, "", true},
			figure{"The slowest speed", d.SlowestMS, 0, 15, "m/s", false},
			figure{"The length of the ride", d.LengthM, 0, 10000, "m", true},
		),
		every("The distance from the wait line to the load line", d.WaitM, 0, MaxDistM, "m"),
		every("The distance to the clear place", d.ClearM, 0, MaxDistM, "m"),
		every("The zone to stand up in", d.ZoneM, 0, MaxDistM, "m"),
		every("The length of a carrier", d.CarrierM, 0, 10, "m"),
	} {
		if err != nil {
			return err
		}
	}
	switch {
	case d.Seats < 0 || d.Seats > 20:
		return Refuse(CodeInvalid, "The places of a carrier are between 1 and 20, or not known.")
	case d.Measured.IsZero():
		return Refuse(CodeInvalid, "The day on which the lift was measured is missing.")
	case d.Measured.After(today):
		return Refuse(CodeInvalid, "The day of measuring, %s, is in the future.", d.Measured)
	case d.SpeedMS != nil && d.SlowestMS != nil && *d.SlowestMS > *d.SpeedMS:
		return Refuse(CodeInvalid, "The slowest speed lies above the usual one.")
	}
	if _, err := d.Line(); err != nil {
		return err
	}
	return nil
}

// Line returns the lift at its load line. For a carpet, on which people stand
// one behind the other, the spacing is what the staff let between them.
func (d LiftDetails) Line() (lift.Line, error) {
	l, err := lift.Solve(lift.Given{Speed: of[speedMS](d.SpeedMS), Interval: of[seconds](d.Interval), Spacing: of[metresLong](d.SpacingM),
		Seats: d.Seats, PerHour: d.PerHour})
	if err != nil {
		return l, hillFault(err)
	}
	return l, nil
}

func (d *DayDetails) check() error {
	if d.Day.IsZero() {
		return Refuse(CodeInvalid, "The day is missing.")
	}
	if d.Snow == "" {
		d.Snow = "all"
	}
	if !slices.Contains(slope.Snows(), d.Snow) {
		return Refuse(CodeInvalid, "The snow is one of %s, not %q.", strings.Join(slope.Snows(), ", "), clip(d.Snow))
	}
	if len(d.Hours) > MaxHours {
		return Refuse(CodeInvalid, "A day has at most %d times.", MaxHours)
	}
	last := -1
	for i := range d.Hours {
		h := &d.Hours[i]
		at, ok := h.Minutes()
		switch {
		case !ok:
			return Refuse(CodeInvalid, "%q is not a time of the day; write 09:00.", clip(h.Time))
		case at <= last:
			return Refuse(CodeInvalid, "The time %s does not come after the one before it.", h.Time)
		}
		last = at
		if err := figures(figure{"The air temperature at " + h.Time, &h.AirC, -90, 60, "°C", false},
			figure{"The wind at " + h.Time, &h.WindMS, 0, 120, "m/s", false}); err != nil {
			return err
		}
	}
	for _, err := range []error{
		figures(figure{"The height of the place of the forecast", d.PlaceM, 0, 6000, "m above the sea", false}),
		text("Where the forecast is from", &d.From, MaxShort, len(d.Hours) > 0, false),
		text("The note", &d.Note, MaxText, false, true),
	} {
		if err != nil {
			return err
		}
	}
	return nil
}

// Minutes returns the time as minutes since midnight; ok is false where it is
// no time such as 09:00.
func (h DayHour) Minutes() (n int, ok bool) {
	var hh, mm int
	if len(h.Time) != 5 || h.Time[2] != ':' {
		return 0, false
	}
	for i, to := range map[int]*int{0: &hh, 3: &mm} {
		v, err := strconv.ParseUint(h.Time[i:i+2], 10, 8)
		if err != nil {
			return 0, false
		}
		*to = int(v)
	}
	return hh*60 + mm, hh < 24 && mm < 60
}

// At returns the hour of the day that holds at a time in minutes since
// midnight: the last one begun, or the first of all; ok is false without any.
func (d DayDetails) At(minutes int) (h DayHour, ok bool) {
	for _, one := range d.Hours {
		at, _ := one.Minutes()
		if ok && at > minutes {
			break
		}
		h, ok = one, true
	}
	return h, ok
}

func (g *TimedGlides) check(today Date) error {
	switch {
	case g.Day.IsZero():
		return Refuse(CodeInvalid, "The day of the glides is missing.")
	case g.Day.After(today):
		return Refuse(CodeInvalid, "The day of the glides, %s, is in the future.", g.Day)
	}
	if err := g.Slope.Check(); err != nil {
		return err
	}
	for _, err := range []error{
		figures(
			figure{"The length of a timed glide", &g.LengthM, 0, 1000, "m", true},
			figure{"The gradient of the part", &g.Pct, -50, 100, "%", false},
			figure{"The error of that gradient", &g.PctSD, 0, 20, "%", false},
			figure{"The speed at the beginning", &g.StartMS, 0, 40, "m/s", false},
			figure{"The mass of who slid", &g.MassKG, 10, 400, "kg", false},
			figure{"The error of the stopwatch", &g.WatchSD, 0, 10, "s", true},
		),
		every("A time", g.TimesS, 0, 600, "s"),
		text("The note", &g.Note, MaxText, false, true),
	} {
		if err != nil {
			return err
		}
	}
	switch {
	case g.Short < 0 || g.Short > MaxTimes:
		return Refuse(CodeInvalid, "The number of glides that stopped on the way cannot be right.")
	case len(g.TimesS) > 0 && g.Short > 0:
		return Refuse(CodeInvalid, "On one part some glides came to the end and some did not, which one friction does not do. Record them as parts of their own.")
	case len(g.TimesS) == 0 && g.Short == 0:
		return Refuse(CodeInvalid, "There is no glide to record: give times, or how many stopped on the way.")
	}
	return nil
}
