package effort

import (
	"firnhand/core/entry"
	"firnhand/core/quantity"
)

// Capacity is the greatest oxygen uptake of a student in mL/(kg min), with its
// range. It is measured, or it is not known; it is never guessed here.
type Capacity struct {
	value, low, high float64
}

// NewCapacity returns a capacity. Give value three times where no range is
// known.
func NewCapacity(value, low, high float64) (Capacity, error) {
	if err := entry.First(boundOxygen.Check(value), boundOxygen.Check(low), boundOxygen.Check(high)); err != nil {
		return Capacity{}, err
	}
	if low > value || value > high {
		return Capacity{}, entry.Refuse("order", "The low end of a range must not lie above its value, nor the value above the high end.")
	}
	return Capacity{value, low, high}, nil
}

// Oxygen returns value, low and high in mL/(kg min).
func (c Capacity) Oxygen() (value, low, high float64) { return c.value, c.low, c.high }

// Load tells how a share of the capacity is kept up.
type Load string

// The loads, lightest first.
const (
	KeptUp    Load = "kept_up"     // within what work is usually kept to
	Edge      Load = "edge"        // within the limits the sources give, above their low end
	NotKeptUp Load = "not_kept_up" // above all of them
	Beyond    Load = "beyond"      // above the capacity itself
)

// Share is a rate as a share of the capacity.
type Share struct {
	Pct  quantity.Range[quantity.Ratio] // 1 is the whole capacity
	Load Load                           // of the printed value
	// Worst is the load at the high end of the range.
	Worst Load
	Words string
}

// ShareOf returns a rate as a share of a capacity. The loads are judged on
// whole percents, as they are printed.
func ShareOf(r Rate, c Capacity) (Share, error) {
	if !r.Known {
		return Share{}, entry.Refuse("unknown_rate", "The rate is not known, so its share of the capacity is not known either.")
	}
	if c == (Capacity{}) {
		return Share{}, entry.Refuse("unknown_capacity", "The capacity is not known.")
	}
	pct := quantity.Must(quantity.NewRange(quantity.Ratio(OxygenOf(r.PerKg.Value())/c.value), quantity.Ratio(OxygenOf(r.PerKg.Low())/c.high), quantity.Ratio(OxygenOf(r.PerKg.High())/c.low)))
	s := Share{Pct: pct, Load: loadOf(pct.Value()), Worst: loadOf(pct.High())}
	f := figures()
	span := text(f.shareLow, 0) + " to " + text(f.shareHigh, 0) + " %"
	s.Words = map[Load]string{
		KeptUp:    "Within the share of the capacity that is kept up for long (" + span + " at most).",
		Edge:      "Within the limits given for work that is kept up (" + span + " at most), at their upper part: plan rests.",
		NotKeptUp: "Above what is kept up for long (" + span + " at most): short bouts only, each with its rest.",
		Beyond:    "Above the capacity itself: it cannot be kept up for more than moments.",
	}[s.Load]
	return s, nil
}

func loadOf(share quantity.Ratio) Load {
	f := figures()
	switch pct := quantity.Decimals(0).Round(share.Percent()); {
	case pct <= f.shareLow:
		return KeptUp
	case pct <= f.shareHigh:
		return Edge
	case pct <= 100:
		return NotKeptUp
	}
	return Beyond
}

// Budget returns the energy a student of a mass can use in a time without
// tiring beyond what the sources keep work to: low and high by the two ends of
// the share, value in their middle. It is in kilocalories, rest included.
func Budget(c Capacity, mass quantity.Kilogram, time quantity.Second) (value, low, high float64, err error) {
	if err := entry.First(boundMass.Check(float64(mass)), boundTime.Check(float64(time))); err != nil {
		return 0, 0, 0, err
	}
	if c == (Capacity{}) {
		return 0, 0, 0, entry.Refuse("unknown_capacity", "The capacity is not known.")
	}
	f := figures()
	at := func(vo2, sharePct float64) float64 {
		share, _ := quantity.Percent(sharePct)
		p := quantity.Watt(float64(OfOxygen(vo2)) * float64(share) * float64(mass))
		return p.KilocaloriesPerMinute() * time.Minutes()
	}
	return at(c.value, f.shareMid), at(c.low, f.shareLow), at(c.high, f.shareHigh), nil
}

// Standard is the pair of powers of Murrell's rule: the work above which rest
// is owed, and the work at rest.
type Standard struct {
	Limit, Resting quantity.Watt
}

// Murrell returns the standard as published: 5 and 1.5 kcal a minute, for a
// grown man in good health.
func Murrell() Standard {
	f := figures()
	return Standard{quantity.Must(quantity.KilocaloriesPerMinute(f.murrellLimit)), quantity.Must(quantity.KilocaloriesPerMinute(f.murrellRest))}
}

// StandardOf returns the standard of a student: the limit is the low end of
// the share that is kept up, never above Murrell's; at rest one metabolic
// equivalent. Where that leaves no work above rest, outside says so.
func StandardOf(c Capacity, mass quantity.Kilogram) (s Standard, outside []string, err error) {
	if err := entry.First(boundMass.Check(float64(mass))); err != nil {
		return Standard{}, nil, err
	}
	if c == (Capacity{}) {
		return Standard{}, nil, entry.Refuse("unknown_capacity", "The capacity is not known.")
	}
	f := figures()
	share, _ := quantity.Percent(f.shareLow)
	m := Murrell()
	s.Resting = min(quantity.Watt(float64(OfOxygen(f.rest))*float64(mass)), m.Resting)
	s.Limit = min(quantity.Watt(float64(OfOxygen(c.low))*float64(share)*float64(mass)), m.Limit)
	if s.Limit <= s.Resting {
		s.Limit = s.Resting
		outside = append(outside, "This capacity leaves nothing above rest that could be kept up: any effort is a short bout, and a physician or therapist says how much.")
	}
	return s, outside, nil
}

// Rest returns the rest owed after working so long at so much, by Murrell's
// rule R = T (M - S)/(M - B) with S the limit and B the work at rest: nothing
// up to the limit, and always less than the work where the limit lies above
// rest.
func Rest(work quantity.Second, at quantity.Watt, by Standard) (quantity.Second, error) {
	if err := entry.First(boundTime.Check(float64(work)), boundPower.Check(float64(at)), boundPower.Check(float64(by.Limit)), boundPower.Check(float64(by.Resting))); err != nil {
		return 0, err
	}
	if by.Limit < by.Resting {
		return 0, entry.Refuse("order", "The work above which rest is owed must not lie below the work at rest.")
	}
	if at <= by.Limit {
		return 0, nil
	}
	return work * quantity.Second((at-by.Limit)/(at-by.Resting)), nil
}

// Bout is a piece of work.
type Bout struct {
	What string
	Time quantity.Second
	Rate quantity.Range[quantity.Watt]
}

// Ledger is what a lesson's bouts add up to.
type Ledger struct {
	Work quantity.Second
	// Energy in kilocalories, rest metabolism included: value, low, high.
	Kcal, KcalLow, KcalHigh float64
	// Rest is owed bout by bout: light work does not pay for hard work.
	Rest, RestHigh quantity.Second
}

// Spend adds bouts up.
func Spend(bouts []Bout, by Standard) (Ledger, error) {
	var l Ledger
	for _, b := range bouts {
		rest, err := Rest(b.Time, b.Rate.Value(), by)
		if err != nil {
			return Ledger{}, err
		}
		high, err := Rest(b.Time, b.Rate.High(), by)
		if err != nil {
			return Ledger{}, err
		}
		min := b.Time.Minutes()
		l.Work += b.Time
		l.Rest, l.RestHigh = l.Rest+rest, l.RestHigh+high
		l.Kcal += b.Rate.Value().KilocaloriesPerMinute() * min
		l.KcalLow += b.Rate.Low().KilocaloriesPerMinute() * min
		l.KcalHigh += b.Rate.High().KilocaloriesPerMinute() * min
	}
	return l, nil
}
