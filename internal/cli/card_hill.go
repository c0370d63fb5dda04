package cli

import (
	"slices"
	"strings"

	"firnhand/core/quantity"
	"firnhand/core/slope"
	"firnhand/internal/card"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// hillOf takes slope, lift and cold of an order's day onto a card. It does not
// ask what time it is, so that the same order makes the same card: the coldest
// time of the day counts. A part that cannot be worked out says nothing.
func hillOf(o page.CardOrder) *card.Hill {
	h := &card.Hill{}
	own, on := 0.0, programme.ID("")
	if q, ok := programme.SlopeAskOf(o.Record, o.ForDay, 0); ok {
		if s, err := programme.SlopeOn(o.Table, o.Record, o.Hill, q); err == nil {
			h.Slope, own, on = slopeLine(s), s.SkiingMS(), s.Slope.Slope
		}
	}
	c, _ := o.Record.Hill.Choice()
	if c.Lift != "" {
		if l, err := programme.LiftOn(o.Table, o.Record, o.Hill, c.Lift); err == nil {
			h.Lift = liftLine(l)
		}
	}
	if day, err := programme.ColdOn(o.Table, o.Record, o.Hill, programme.ColdAsk{Day: o.ForDay, OwnMS: own, Slope: on, Lift: c.Lift}); err == nil && len(day.Hours) > 0 {
		h.Cold = coldLine(day)
	}
	return h
}

// slopeLine leaves to their own places on the card what holds and the cold.
func slopeLine(s *programme.OnSlope) *card.OnSlope {
	elsewhere := func(r programme.HillReason) bool {
		return strings.HasPrefix(r.Code, "gate") || strings.HasPrefix(r.Code, "cold_") || strings.HasPrefix(r.Code, "terrain_open")
	}
	out := &card.OnSlope{Name: s.Slope.Name, StartM: s.StartM, Against: firstOf(s.Reasons, programme.HillAgainst, elsewhere), First: firstOf(s.Reasons, programme.HillOpen, elsewhere)}
	out.Left, out.Right = fanStart(s, slope.Left), fanStart(s, slope.Right)
	if len(s.Needs) > 0 {
		return out
	}
	out.FastKmh = quantity.MetrePerSecond(s.Worst.Speed.P90).KilometresPerHour()
	if there := s.RunOut.ThereM; there != nil {
		out.NeedM, out.ThereM = s.RunOut.P90, *there
	}
	return out
}

func firstOf(all []programme.HillReason, w programme.HillVerdict, but func(programme.HillReason) bool) string {
	i := slices.IndexFunc(all, func(r programme.HillReason) bool { return r.Weighs == w && !but(r) })
	if i < 0 {
		return ""
	}
	return all[i].Say
}

// fanStart is the start angle of the step a side is on, degrees.
func fanStart(s *programme.OnSlope, side slope.Side) float64 {
	n := s.Step[side]
	if n == 0 {
		return 0
	}
	return quantity.Radian(slope.TradeLadder()[n-1]).Degrees()
}

func liftLine(l *programme.OnLift) *card.OnLift {
	none := func(programme.HillReason) bool { return false }
	out := &card.OnLift{Name: l.Lift.Name, Against: firstOf(l.Reasons, programme.HillHeld, none), First: firstOf(l.Reasons, programme.HillOpen, none),
		Slow: l.Verdict == programme.HillAgainst, HasMost: l.HasLimit, MostMS: float64(l.Limit), People: l.Ask.People}
	if l.Lift.Ended {
		out.Against = l.Lift.Name + " is no longer used."
	}
	return out
}

// coldLine parts the times at the programme's stop from the others, and takes
// of those the first that is nearest to it.
func coldLine(c *programme.ColdDay) *card.Cold {
	out := &card.Cold{}
	for _, h := range c.Hours {
		w := h.Watch
		chill := w.Freezing.Chill.Printed()
		out.StopAt = w.StopAt
		switch {
		case w.Stop:
			if len(out.Past) == 0 || chill < out.PastChill {
				out.PastChill = chill
			}
			out.Past = append(out.Past, h.Time)
		case out.Time == "" || chill < out.Chill:
			out.Time, out.Chill, out.FirstMin, out.LongestMin = h.Time, chill, 0, 0
			if w.Timed {
				out.FirstMin, out.LongestMin = w.First.Minutes(), w.Longest.Minutes()
			}
		}
	}
	return out
}
