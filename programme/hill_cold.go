package programme

import (
	"firnhand/core/cold"
	"firnhand/core/decide"
	"firnhand/core/quantity"
)

// ColdAsk is what is asked about the cold of a day.
type ColdAsk struct {
	Day   Date
	Now   int     // minutes since midnight
	OwnMS float64 // the student's own speed
	Slope ID      // at whose height; "" for that of the forecast
	Lift  ID      // whose carrier the student rides; "" for none
}

// ColdHour is one time of the day.
type ColdHour struct {
	DayHour
	AirHereC float64 // at the height of the slope
	FeltMS   float64 // the wind that cools the face as much as wind and own or chair speed do
	Now      bool
	Watch    cold.Watch
}

// ColdDay is the cold of a day for a student.
type ColdDay struct {
	Day    DayState
	Known  bool // there is a forecast
	Feel   cold.Feel
	Limits cold.Limits
	OwnMS  float64
	ChairM float64 // speed of the carrier, m/s
	Hours  []ColdHour
	Notes  []string
}

// ColdOn goes through a day's forecast for the student of a record. It is pure.
func ColdOn(t *decide.Table, r Record, h Hill, q ColdAsk) (*ColdDay, error) {
	out := &ColdDay{OwnMS: q.OwnMS, Limits: coldLimits(t)}
	out.Feel = cold.FeelOf(DecisionOf(t, r).Input.Findings)
	if l, ok := h.LiftByID(q.Lift); ok {
		if l.SpeedMS != nil {
			out.ChairM = *l.SpeedMS
		}
	}
	out.Day, out.Known = h.DayOf(q.Day)
	out.Known = out.Known && len(out.Day.Hours) > 0
	if !out.Known {
		return out, nil
	}
	lower := 0.0
	if s, ok := h.SlopeByID(q.Slope); ok && s.TopM != nil && out.Day.PlaceM != nil && *s.TopM != *out.Day.PlaceM {
		air, err := cold.AtHeight(0, quantity.Metre(*out.Day.PlaceM), quantity.Metre(*s.TopM))
		if err != nil {
			return nil, hillFault(err)
		}
		lower = float64(air)
		out.Notes = append(out.Notes, "The air is taken from the place of the forecast to the top of the slope by 6.5 degrees a kilometre, an average. On a clear calm morning the valley may be the colder place: measure on the slope.")
	}
	if q.OwnMS > 0 || out.ChairM > 0 {
		out.Notes = append(out.Notes, "Own or chair speed counts head-on into the wind, the worst case.")
	}
	now, _ := out.Day.At(q.Now)
	for _, one := range out.Day.Hours {
		c := ColdHour{DayHour: one, AirHereC: one.AirC + lower, Now: one.Time == now.Time}
		f, felt, err := cold.Through(cold.Moment{Air: quantity.Celsius(c.AirHereC), Wind: speedMS(one.WindMS)}, speedMS(q.OwnMS), speedMS(out.ChairM))
		if err != nil {
			return nil, hillFault(err)
		}
		if c.Watch, err = cold.Look(f, out.Feel, out.Limits); err != nil {
			return nil, hillFault(err)
		}
		c.FeltMS = float64(felt)
		out.Hours = append(out.Hours, c)
	}
	return out, nil
}

// coldLimits are the programme's own numbers on the cold.
func coldLimits(t *decide.Table) cold.Limits {
	need := map[string]float64{}
	for _, s := range t.Settings() {
		need[s.Name] = s.Value
	}
	return cold.Limits{Stop: quantity.Celsius(need["wind_chill_stop_c"]), StopReduced: quantity.Celsius(need["wind_chill_stop_reduced_c"]),
		Look: quantity.Must(quantity.Minutes(need["feet_check_min"]))}
}

// NowHour returns the time that holds now.
func (c *ColdDay) NowHour() (h ColdHour, ok bool) {
	for _, one := range c.Hours {
		if one.Now {
			return one, true
		}
	}
	return h, false
}

// reasons are what the cold says about going out.
func (c *ColdDay) reasons() []HillReason {
	if !c.Known {
		return []HillReason{{Code: "no_forecast", Weighs: HillClear, Say: "There is no forecast for this day: look at the thermometer and the flag before going out.", Basis: []string{"CP"}}}
	}
	var out []HillReason
	if now, ok := c.NowHour(); ok && now.Watch.Stop {
		out = append(out, HillReason{Code: "cold_stop", Weighs: HillAgainst, Say: "The wind chill is at or past the programme's stop for this student: nobody goes out.", Basis: []string{"S38", "P"}})
	}
	later := ""
	for _, one := range c.Hours {
		if one.Watch.Stop && !one.Now {
			later = one.Time
			break
		}
	}
	if later != "" && len(out) == 0 {
		out = append(out, HillReason{Code: "cold_stop_at", Weighs: HillClear, Say: "At " + later + " the forecast is past the programme's stop for this student.", Basis: []string{"S38", "P"}})
	}
	return out
}
