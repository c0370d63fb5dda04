package cold

import (
	"math"
	"sync"

	"firnhand/core/entry"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Band is a band of wind chill with what it does to bare skin.
type Band struct {
	// From is the warm end and To the cold end, both printed and both
	// included; To is -Inf in the last band.
	From, To float64
	// Freezes tells whether the band gives minutes.
	Freezes     bool
	Least, Most quantity.Second // until bare skin freezes
	Words       string
	Ref         string
}

// Bands lists the published bands, warmest first. Above the first there is no
// published risk.
func Bands() []Band { return bands() }

var bands = sync.OnceValue(func() []Band {
	var list []Band
	for _, r := range source.Table("cold_bands").Rows() {
		b := Band{Words: r.Text("words"), Ref: r.Ref(), To: math.Inf(-1)}
		b.From, _ = r.Number("wind_chill_from")
		if to, ok := r.Number("wind_chill_to"); ok {
			b.To = to
		}
		most, ok := r.Number("most_min")
		least, _ := r.Number("least_min")
		if b.Freezes = ok; ok {
			b.Least, b.Most = quantity.Must(quantity.Minutes(least)), quantity.Must(quantity.Minutes(most))
		}
		list = append(list, b)
	}
	return list
})

// BandOf returns the band of a wind chill, by the whole number that is
// printed; ok is false above the first band.
func BandOf(c Chill) (b Band, ok bool) {
	if !c.Known {
		return Band{}, false
	}
	w := c.Printed()
	for _, b := range bands() {
		if w <= b.From && w >= b.To {
			return b, true
		}
	}
	return Band{}, false
}

// Frostbite returns the minutes after which the bare cheek of the most
// susceptible in twenty freezes, by the formula that goes with the wind chill.
// It counts in wind from 25 km/h to the end of the chart and up to 15 minutes;
// elsewhere ok is false and outside says why.
func Frostbite(air quantity.Celsius, wind quantity.MetrePerSecond) (minutes float64, outside string, ok bool) {
	k := known()
	if entry.First(boundAir.Check(float64(air)), boundWind.Check(float64(wind))) != nil {
		return 0, "The air or the wind is not a usable number.", false
	}
	v, t := wind.KilometresPerHour(), float64(air)
	const tiny = 1e-9
	if v < k.frostLeast-tiny {
		return 0, "The formula for minutes to frostbite counts from " + text(k.frostLeast, 0) + " km/h.", false
	}
	if most := k.forms[InCelsius].windChart; v > most+tiny {
		return 0, "The formula for minutes to frostbite is not used beyond the chart's " + text(most, 0) + " km/h.", false
	}
	if t >= k.frostAir {
		return 0, "In air above " + text(k.frostAir, 1) + " °C the formula for minutes to frostbite gives none.", false
	}
	bracket := k.frostConstant - k.frostWind*(k.share*v+k.walk)
	minutes = bracket * math.Pow(k.frostAir-t, k.frostPower)
	if minutes > k.frostMost+tiny {
		return 0, "The formula for minutes to frostbite counts up to " + text(k.frostMost, 0) + " minutes; this would be longer.", false
	}
	return minutes, "", true
}

// Freezing is how soon bare skin freezes.
type Freezing struct {
	Chill  Chill
	Band   Band
	InBand bool // false above the first band
	// Minutes is what the formula gives; HasMinutes is false outside its
	// range, and Outside then says why.
	Minutes    float64
	HasMinutes bool
	// BandWins tells that the formula lies outside the band and is not used.
	BandWins bool
	// Freezes tells whether there is a time; Least and Most are it, those of
	// the band.
	Freezes     bool
	Least, Most quantity.Second
	Outside     []string
	Notes       []string
}

// Freeze returns how soon bare skin freezes in air and wind at 10 m. The band
// decides; the formula stands beside it.
func Freeze(air quantity.Celsius, wind quantity.MetrePerSecond) (Freezing, error) {
	c, err := Of(InCelsius, air, wind)
	if err != nil {
		return Freezing{}, err
	}
	f := Freezing{Chill: c, Outside: c.Outside}
	f.Band, f.InBand = BandOf(c)
	f.Freezes, f.Least, f.Most = f.Band.Freezes, f.Band.Least, f.Band.Most
	minutes, why, ok := Frostbite(air, wind)
	f.Minutes, f.HasMinutes = minutes, ok
	switch {
	case !ok:
		f.Outside = append(f.Outside, why)
	case minutes < f.Least.Minutes() || minutes > f.Most.Minutes():
		f.BandWins = true
		f.Notes = append(f.Notes, "The formula gives "+text(minutes, 1)+" minutes, outside the band; the band is used.")
	}
	if k := known(); f.Freezes && wind.KilometresPerHour() > k.sustained {
		f.Notes = append(f.Notes, "Sustained wind above "+text(k.sustained, 0)+" km/h freezes skin quicker than the band says.")
	}
	return f, nil
}
