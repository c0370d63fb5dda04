package programme

import (
	"math"

	"firnhand/core/quantity"
	"firnhand/core/slope"
	"firnhand/core/source"
)

// SnowToday is what is held about the friction of a day's snow on a slope.
type SnowToday struct {
	Kind     string      // of snow, as recorded for the day
	Friction slope.Known // 90 % where it was timed, else the published range
	// Chance is the friction as timed; nil where nothing was.
	Chance slope.Chance
	Answer *slope.Answer // from the timed glides; nil without any
	Timed  int           // glides that count
	// Elsewhere tells that they were timed on another slope of the hill.
	Elsewhere bool
	// Problem says why glides that were recorded do not count.
	Problem string
}

// SnowOn returns the friction of a day on a slope: from the glides timed there
// that day, else from those timed elsewhere on the hill that day, else the
// published range of the day's kind of snow.
func SnowOn(h Hill, day Date, s SlopeState) (SnowToday, error) {
	out := SnowToday{Kind: "all"}
	if d, ok := h.DayOf(day); ok {
		out.Kind = d.Snow
	}
	var err error
	if out.Friction, err = slope.FrictionOf(out.Kind); err != nil {
		return out, hillFault(err)
	}
	glides := h.GlidesOn(day, s.Slope)
	if len(glides) == 0 {
		glides = h.GlidesOn(day, "")
		out.Elsewhere = len(glides) > 0
	}
	if len(glides) == 0 {
		return out, nil
	}
	air, err := slope.AirAt(1000)
	if s.TopM != nil {
		if at, e := slope.AirAt(*s.TopM); e == nil {
			air, err = at, nil
		}
	}
	if err != nil {
		return out, hillFault(err)
	}
	q := slope.SnowAsk{Snow: out.Kind, Air: air, Area: slope.Upright()}
	q.Gravity = source.Value("gravity_standard")
	for _, g := range glides {
		q.Mass = g.MassKG
		q.WatchSD = max(q.WatchSD, g.WatchSD)
		q.Timed = append(q.Timed, slope.Timed{Slope: math.Atan(g.Pct / 100), SlopeSD: gradientSD(g.Pct, g.PctSD), Length: g.LengthM, From: g.StartMS,
			Times: g.TimesS, Short: g.Short, Mass: g.MassKG})
		out.Timed += len(g.TimesS) + g.Short
	}
	a, p, err := q.Answer()
	if err != nil {
		// Times that no snow explains are told, and the published range stays.
		out.Problem, out.Timed, out.Elsewhere = SentenceOf(hillFault(err)), 0, false
		return out, nil
	}
	out.Answer, out.Chance = a, p
	const most = 0.9
	out.Friction = slope.Known{Span: p.Within(most), From: append(append([]string{}, a.Sources...), out.Friction.From...)}
	return out, nil
}

// gradientSD carries the error of a gradient over to the angle, rad.
func gradientSD(pct, sd float64) float64 {
	g := pct / 100
	return sd / 100 / (1 + g*g)
}

// Says tells in one sentence from where the friction is.
func (s SnowToday) Says() string {
	three := quantity.Decimals(3)
	span := three.Text(s.Friction.Value) + ", between " + three.Text(s.Friction.Low) + " and " + three.Text(s.Friction.High)
	switch {
	case s.Answer != nil && s.Elsewhere:
		return "Friction " + span + ", from glides timed today on another slope."
	case s.Answer != nil:
		return "Friction " + span + ", from glides timed here today."
	case s.Kind == "all":
		return "Friction anywhere between " + three.Text(s.Friction.Low) + " and " + three.Text(s.Friction.High) + ", the published range of all snow: nothing was timed today."
	}
	return "Friction between " + three.Text(s.Friction.Low) + " and " + three.Text(s.Friction.High) + ", the range given for " + SnowLabel(s.Kind) + ": nothing was timed today."
}

// SnowLabel returns a kind of snow in words.
func SnowLabel(kind string) string {
	return map[string]string{"all": "snow of any kind", "cold": "cold dry groomed snow", "wet": "wet or slushy snow", "fresh": "fresh unpacked snow"}[kind]
}
