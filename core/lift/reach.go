package lift

import (
	"math"

	"firnhand/core/entry"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Student is how a student gets to a place on the lift and settles there.
type Student struct {
	// Distance from where they wait to where they must be.
	Distance quantity.Range[quantity.Metre]
	// Speed over it, as measured on the gear of the day.
	Speed quantity.Range[quantity.MetrePerSecond]
	// Settle is from arriving to being ready to sit, or from the word to
	// standing at the unload.
	Settle quantity.Range[quantity.Second]
}

// Measured returns the speed of pushes timed over a known distance: value by
// their mean time, limits by the slowest and the fastest. With one time there
// is no range.
func Measured(over quantity.Metre, times []quantity.Second) (quantity.Range[quantity.MetrePerSecond], error) {
	var none quantity.Range[quantity.MetrePerSecond]
	if len(times) == 0 {
		return none, entry.Refuse("missing", "Time the student at least once, better three times.")
	}
	sum, least, most := 0.0, math.Inf(1), 0.0
	for _, t := range times {
		if err := entry.First(boundTime.Check(float64(t))); err != nil {
			return none, err
		}
		sum, least, most = sum+float64(t), min(least, float64(t)), max(most, float64(t))
	}
	if err := entry.First(boundDistance.Check(float64(over))); err != nil {
		return none, err
	}
	if !(least > 0) || over <= 0 {
		return none, entry.Refuse("out_of_range", "A timed push needs a distance and times above zero.")
	}
	d := float64(over)
	v := quantity.MetrePerSecond(d * float64(len(times)) / sum)
	low, high := quantity.MetrePerSecond(d/most), quantity.MetrePerSecond(d/least)
	return quantity.NewRange(min(max(v, low), high), low, high)
}

// Need returns the time the student needs: least with the shortest way at the
// greatest speed.
func (s Student) Need() (quantity.Range[quantity.Second], error) {
	var none quantity.Range[quantity.Second]
	if err := entry.First(spanOf(boundDistance, s.Distance), spanOf(boundWalk, s.Speed), spanOf(boundTime, s.Settle)); err != nil {
		return none, err
	}
	t := func(d quantity.Metre, v quantity.MetrePerSecond) quantity.Second {
		return quantity.Second(float64(d) / float64(v))
	}
	return quantity.NewRange(t(s.Distance.Value(), s.Speed.Value())+s.Settle.Value(), t(s.Distance.Low(), s.Speed.High())+s.Settle.Low(), t(s.Distance.High(), s.Speed.Low())+s.Settle.High())
}

// Carrier returns the usual length of a carrier along the line, proposed:
// measure it.
func Carrier() quantity.Range[quantity.Metre] {
	d, _ := source.Figure("carrier_length")
	return quantity.Must(quantity.NewRange(quantity.Metre(d.Value), quantity.Metre(d.Low), quantity.Metre(d.High)))
}

// Reserve returns the time to spare that is asked for, proposed.
func Reserve() quantity.Second { return quantity.Second(source.Value("lift_reserve")) }

// Verdict is how a reach comes out, judged on tenths of a second as printed.
type Verdict string

// The verdicts, best first.
const (
	Reached    Verdict = "reached"     // with the reserve, even at the worst end
	Tight      Verdict = "tight"       // not always, or without the reserve
	NotReached Verdict = "not_reached" // not even as measured on the mean
)

// Reach is a student's need against what two carriers leave.
type Reach struct {
	Need quantity.Range[quantity.Second]
	// Gap is the interval less the carrier's own passing.
	Gap     quantity.Range[quantity.Second]
	Margin  quantity.Range[quantity.Second] // gap less need; below zero where it is not reached
	Reserve quantity.Second
	Verdict Verdict
	// AskSpeed is the fastest lift at which need and reserve fit into the gap:
	// low at the worst end. AskShare is the same as a share of the speed
	// given. HasAsk is false where the speed of the lift is not known or no
	// speed would do.
	HasAsk   bool
	AskSpeed quantity.Range[quantity.MetrePerSecond]
	AskShare quantity.Range[quantity.Ratio]
	// Limit is the speed to name: the low end, rounded down to a tenth, never
	// above the speed of the lift. Zero is a stop.
	Limit quantity.MetrePerSecond
	Say   []string
}

// tenth is the step of the times and speeds that are printed.
var tenth = quantity.Decimals(1)

// Between sets a student's need against the time between two carriers of a
// length. At the load line that is the time from the carrier before to their
// own; at the unload it is the time to be clear before the next one comes.
func Between(l Line, s Student, carrier quantity.Range[quantity.Metre], reserve quantity.Second) (Reach, error) {
	if err := entry.First(spanOf(boundCarrier, carrier), boundTime.Check(float64(reserve)), boundInterval.Check(float64(l.Interval))); err != nil {
		return Reach{}, err
	}
	need, err := s.Need()
	if err != nil {
		return Reach{}, err
	}
	r := Reach{Need: need, Reserve: reserve}
	if l.Speed > 0 && carrier.High() >= l.Spacing {
		return Reach{}, entry.Refuse("contradiction", "Carriers of "+text(float64(carrier.High()), 1)+" m do not fit "+text(float64(l.Spacing), 1)+" m apart: check speed, interval and the length of the carrier.")
	}
	gap := func(m quantity.Metre) quantity.Second {
		if l.Speed == 0 {
			return l.Interval
		}
		return l.Interval - quantity.Second(float64(m)/float64(l.Speed))
	}
	r.Gap = quantity.Must(quantity.NewRange(gap(carrier.Value()), gap(carrier.High()), gap(carrier.Low())))
	r.Margin = r.Gap.Sub(need)
	r.judge()
	if l.Speed == 0 && carrier.High() > 0 && r.Verdict == Reached {
		r.Verdict = Tight // the carrier's own passing is not taken off yet
	}
	r.ask(l, carrier)
	r.words(l)
	return r, nil
}

func (r *Reach) judge() {
	value, low := tenth.Round(float64(r.Margin.Value())), tenth.Round(float64(r.Margin.Low()))
	switch {
	case low >= tenth.Round(float64(r.Reserve)) && low > 0:
		r.Verdict = Reached
	case value > 0:
		r.Verdict = Tight
	default:
		r.Verdict = NotReached
	}
}

// ask finds the fastest speed at which need and reserve fit: the room between
// two carriers over the time.
func (r *Reach) ask(l Line, carrier quantity.Range[quantity.Metre]) {
	if l.Speed == 0 {
		return
	}
	if !(r.Need.Low()+r.Reserve > 0) {
		return // nobody who needs no time needs another speed
	}
	at := func(m quantity.Metre, need quantity.Second) quantity.MetrePerSecond {
		return quantity.MetrePerSecond(float64(l.Spacing-m) / float64(need+r.Reserve))
	}
	speed := quantity.Must(quantity.NewRange(at(carrier.Value(), r.Need.Value()), at(carrier.High(), r.Need.High()), at(carrier.Low(), r.Need.Low())))
	share := quantity.Must(quantity.NewRange(quantity.Ratio(speed.Value()/l.Speed), quantity.Ratio(speed.Low()/l.Speed), quantity.Ratio(speed.High()/l.Speed)))
	const tenths, guard = 10, 1e-9
	r.HasAsk, r.AskSpeed, r.AskShare = true, speed, share
	down := math.Floor(float64(speed.Low())*tenths+guard) / tenths
	r.Limit = quantity.MetrePerSecond(min(down, float64(l.Speed)))
}

func (r *Reach) words(l Line) {
	say := func(s string) { r.Say = append(r.Say, s) }
	margin := text(float64(r.Margin.Low()), 1) + " to " + text(float64(r.Margin.High()), 1) + " s"
	switch r.Verdict {
	case Reached:
		say("Fits between two carriers with " + margin + " to spare, more than the reserve of " + text(float64(r.Reserve), 1) + " s. The lift staff decide.")
	case Tight:
		say("Does not fit between two carriers every time: " + margin + " to spare. Ask for a slower lift or a stop.")
	default:
		say("Does not fit between two carriers: " + margin + " to spare. Only with a slower or a stopped lift.")
	}
	slow, ok := source.Table("lifts").Where("item", "slow speed, operator").Only()
	switch {
	case l.Speed == 0:
		say("The speed of the lift is not known: the carrier's own passing is not taken off, and no speed can be named.")
	case !r.HasAsk:
	case r.Limit == 0:
		say("No speed leaves room enough: ask for the lift to be stopped, at both ends.")
	case ok && r.Verdict != Reached:
		least, _ := slow.Number("low")
		say("Ask for " + text(float64(r.Limit), 1) + " m/s or slower (" + text(100*float64(r.Limit)/float64(l.Speed), 0) + " % of this speed): a limit, not a speed to run at.")
		if float64(r.Limit) < least*float64(l.Speed) {
			say("Few lifts run that slowly (half to three quarters of normal is usual): ask for a stop.")
		}
	}
}

// Standing is the standing up at the unload: the seat carries the student over
// the standing zone while they come up.
type Standing struct {
	Time    quantity.Range[quantity.Second] // the seat is over the zone
	Margin  quantity.Range[quantity.Second]
	Verdict Verdict
	// Limit is the fastest lift at which standing up and reserve fit into the
	// zone, rounded down to a tenth, never above the lift's own speed.
	Limit quantity.MetrePerSecond
}

// StandUp sets the time a student takes to stand against the zone in which
// they must, at the speed of the line.
func StandUp(l Line, zone quantity.Range[quantity.Metre], stand quantity.Range[quantity.Second], reserve quantity.Second) (Standing, error) {
	if err := entry.First(spanOf(boundDistance, zone), spanOf(boundTime, stand), boundTime.Check(float64(reserve)), boundSpeed.Check(float64(l.Speed))); err != nil {
		return Standing{}, err
	}
	v := float64(l.Speed)
	t := quantity.Must(quantity.NewRange(quantity.Second(float64(zone.Value())/v), quantity.Second(float64(zone.Low())/v), quantity.Second(float64(zone.High())/v)))
	r := Reach{Margin: t.Sub(stand), Reserve: reserve}
	r.judge()
	s := Standing{Time: t, Margin: r.Margin, Verdict: r.Verdict, Limit: l.Speed}
	if need := float64(stand.High() + reserve); need > 0 {
		const tenths, guard = 10, 1e-9
		s.Limit = quantity.MetrePerSecond(min(math.Floor(float64(zone.Low())/need*tenths+guard)/tenths, v))
	}
	return s, nil
}

// WalkClass names the class of walkers a speed belongs to; "" where none fits.
// It is for a sense of scale only: pushing on skis is not walking.
func WalkClass(v quantity.MetrePerSecond) string {
	for _, r := range source.Table("gait_speed").Rows() {
		low, ok := r.Number("low_m_s")
		high, has := r.Number("high_m_s")
		if !ok || has && low == high || r.Ref() != "Perry1995" {
			continue
		}
		if float64(v) >= low && (!has || float64(v) < high) {
			return r.Text("group")
		}
	}
	return ""
}
