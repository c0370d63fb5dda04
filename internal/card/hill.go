package card

import (
	"math"
	"strconv"
	"strings"

	"firnhand/core/quantity"
)

// Hill is what a card says about slope, lift and cold of its day. A part that
// is nil says nothing. Figures are limits and predictions, never what to do.
type Hill struct {
	Slope *OnSlope
	Lift  *OnLift
	Cold  *Cold
}

// OnSlope is the slope that was chosen, with each side of the fan.
type OnSlope struct {
	Name   string
	StartM float64 // below its top, on the map; 0 from the top
	// Against is the first thing that speaks against it, First what has to be
	// known first; "" for none. With something against it the fan is left out.
	Against string
	First   string
	// Left and Right are the start angles from straight across of the steps
	// each side is on, degrees; 0 for none yet.
	Left, Right float64
	// FastKmh is what nine of ten stay below straight from the start with
	// nothing slowing; NeedM is the run-out nine of ten need, ThereM what is
	// there. Zero is not known.
	FastKmh, NeedM, ThereM float64
}

// OnLift is the lift that was chosen.
type OnLift struct {
	Name    string
	Against string // the first thing that forbids it
	First   string // what has to be known first
	// MostMS is the fastest lift the figures allow; Slow tells that the usual
	// speed is too fast, HasMost that one was found at all.
	MostMS  float64
	HasMost bool
	Slow    bool
	People  int // at the load beside the student
}

// Cold is the cold of a day for a student.
type Cold struct {
	StopAt float64
	// Past are the times at or past the programme's stop, and PastChill the
	// lowest wind chill of them.
	Past      []string
	PastChill float64
	// Time is the coldest of the others, "" for none, with its wind chill.
	// FirstMin is when to look at parts that feel less, LongestMin how often
	// then; 0 without a timer.
	Time                 string
	Chill                float64
	FirstMin, LongestMin float64
}

// tile is the start angle of a side, for the tiles of the plan.
func tile(degrees float64) Value {
	if degrees == 0 {
		return Value{}
	}
	return Value{Number: zeroText(degrees), Unit: "°"}
}

// fan returns the tiles of both sides.
func (h *Hill) fan() (left, right Value) {
	if h == nil || h.Slope == nil || h.Slope.Against != "" {
		return Value{}, Value{}
	}
	return tile(h.Slope.Left), tile(h.Slope.Right)
}

// lines are what stands in the plan.
func (h *Hill) lines() []Line {
	if h == nil {
		return nil
	}
	var out []Line
	if h.Slope != nil {
		out = append(out, Line{Label: "Slope", Text: shorten(h.Slope.says(), mostText)})
	}
	if h.Lift != nil {
		out = append(out, Line{Label: "Lift", Text: shorten(h.Lift.says(), mostText)})
	}
	if h.Cold != nil {
		out = append(out, Line{Label: "Chill", Text: shorten(h.Cold.says(), mostText)})
	}
	return out
}

func (s OnSlope) says() string {
	switch {
	case s.Against != "":
		return "Not " + s.Name + ": " + s.Against
	case s.First != "":
		return s.Name + ", first: " + s.First
	}
	text := s.Name
	if s.StartM > 0 {
		text += " from " + zeroText(s.StartM) + " m down"
	}
	if s.FastKmh > 0 {
		text += ": up to " + zeroText(math.Ceil(s.FastKmh)) + " km/h"
	}
	if s.NeedM > 0 {
		text += ", stop needs " + zeroText(math.Ceil(s.NeedM)) + " of " + zeroText(s.ThereM) + " m"
	}
	return text
}

func (l OnLift) says() string {
	beside := "; " + strconv.Itoa(l.People) + " beside"
	switch {
	case strings.HasPrefix(l.Against, "No lift"):
		return l.Against
	case l.Against != "":
		return "No lift: " + l.Against
	case l.First != "":
		return l.Name + ", first: " + l.First
	case l.Slow && l.HasMost && l.MostMS > 0:
		return l.Name + " at " + quantity.Decimals(1).Text(l.MostMS) + " m/s or less, or stopped" + beside
	case l.Slow:
		return l.Name + " stopped for load and unload" + beside
	}
	return l.Name + " slow or stopped at both ends" + beside
}

func (c Cold) says() string {
	var text string
	switch {
	case len(c.Past) > 0 && c.Time == "":
		return zeroText(c.PastChill) + " all day: nobody goes out"
	case len(c.Past) > 0:
		text = zeroText(c.PastChill) + ": nobody out at " + times(c.Past) + "; else " + zeroText(c.Chill)
	default:
		text = zeroText(c.Chill) + " at " + c.Time
	}
	text += ", stop at " + zeroText(c.StopAt)
	if c.FirstMin <= 0 {
		return text
	}
	text += "; feet after " + zeroText(math.Floor(c.FirstMin)) + " min"
	if c.LongestMin > c.FirstMin {
		text += ", then every " + zeroText(math.Floor(c.LongestMin))
	}
	return text
}

// times names the first few.
func times(all []string) string {
	const most = 3
	if len(all) > most {
		return strings.Join(all[:most], ", ") + " …"
	}
	return strings.Join(all, ", ")
}

// zeroText writes a number without decimals.
func zeroText(x float64) string { return quantity.Decimals(0).Text(x) }
