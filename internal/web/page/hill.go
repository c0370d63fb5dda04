package page

import (
	"firnhand/core/slope"
	"firnhand/programme"
)

// ShapeFile is a file with the shape of a slope, and which part of it.
type ShapeFile struct {
	Name       string // as it was called; its ending says what it is
	Data       []byte
	Line       int     // which of several lines, from 1; 0 where there is one
	FromM, ToM float64 // on the map along the line; ToM 0 for its end
	Reverse    bool    // the file goes up the slope
}

// Shape is the shape of a slope as read.
type Shape struct {
	Stations  []slope.Station
	Drawn     bool
	From      string   // in words
	AcrossPct *float64 // of a plane through points beside the line; nil without
}

// ForecastHour is one time of a forecast; Day is zero where it names none.
type ForecastHour struct {
	Day programme.Date
	programme.DayHour
}

// Hill returns the programme's hill as of now.
func (v *Visit) Hill() (programme.Hill, error) {
	return v.Kit.Cases.HillAt(v.R.Context(), v.Actor, programme.AsOf{})
}

// Minutes returns the time of the day where the programme is, in minutes since
// midnight.
func (v *Visit) Minutes() int {
	const hour = 60
	t := v.Kit.Clock.Now().In(v.Kit.Zone)
	return t.Hour()*hour + t.Minute()
}
