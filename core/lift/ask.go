package lift

import (
	"slices"
	"strconv"
	"strings"

	"firnhand/core/entry"
	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Item is one line of the request card.
type Item struct {
	Code  string
	Who   string // who does it: lead, helper, lift staff, patrol, student
	Say   string
	Basis []string
}

// Ask is the content of the request card for lift staff and patrol.
type Ask struct {
	// Rides is no where something forbids the lift today, unknown where what
	// could forbid it has not been answered, and yes otherwise. It is no
	// permission: the lift staff decide.
	Rides    Know
	Refusals []Item // why not
	Waits    []Item // what must be known before
	People   int    // at the load, student not counted
	Before   []Item // before the queue
	Asked    []Item // what lift staff are asked for
	Load     []Item
	Ride     []Item
	Unload   []Item
	Stopped  []Item // if the lift stops: evacuation note for patrol
}

// Asking makes the request card of a rider. The limit is the speed to name at
// the load, from [Between]; nil where nothing was computed.
func Asking(r Rider, at *Reach) (Ask, error) {
	if r.SinceCheck != nil {
		if err := entry.First(boundMinutes.Check(r.SinceCheck.Minutes())); err != nil {
			return Ask{}, err
		}
	}
	if at != nil && at.Limit < 0 {
		return Ask{}, entry.Refuse("out_of_range", "A speed to ask for must not lie below zero.")
	}
	a := Ask{Refusals: r.refusals(), Waits: r.waits(), People: r.people()}
	switch {
	case len(a.Refusals) > 0:
		a.Rides = No
	case len(r.OpenHolds) > 0 || r.Lowered != Yes:
		a.Rides = NotKnown
	default:
		a.Rides = Yes
	}
	a.Before = r.before()
	a.Asked = r.asked(at)
	a.Load = r.load()
	a.Ride = r.ride()
	a.Unload = r.unload()
	a.Stopped = r.stopped()
	return a, nil
}

func item(code, who, say string, basis ...string) Item { return Item{code, who, say, basis} }

func (r Rider) refusals() []Item {
	var out []Item
	for _, h := range r.Held {
		out = append(out, Item{"hold_" + h.ID, "lead", "No lift while this hold stands: " + h.Because, h.Basis})
	}
	if r.Lowered == No {
		out = append(out, item("no_lift_cannot_be_lowered", "lead", "No lift today: could not be lowered from a stopped lift.", "CP"))
	}
	if r.Sugar == Yes && r.SinceCheck != nil && r.SugarEvery > 0 && *r.SinceCheck > r.SugarEvery {
		out = append(out, item("sugar_check_due", "lead", "Not before the check is done: the last one was "+text(r.SinceCheck.Minutes(), 0)+
			" minutes ago, the programme asks for one every "+text(r.SugarEvery.Minutes(), 0)+".", "S37", "S37b"))
	}
	return out
}

// waits are what has to be known first.
func (r Rider) waits() []Item {
	var out []Item
	if len(r.OpenHolds) > 0 { // told as one: the card goes to lift staff, and what is asked is nobody's there
		h := Item{Code: "open_holds", Who: "lead", Say: "Today's questions are not all answered: settle first whether a hold stands."}
		for _, one := range r.OpenHolds {
			for _, b := range one.Basis {
				if !slices.Contains(h.Basis, b) {
					h.Basis = append(h.Basis, b)
				}
			}
		}
		out = append(out, h)
	}
	for _, q := range []struct {
		know      Know
		code, ask string
		basis     string
	}{
		{r.Lowered, "ask_lowered", "Could this student be lowered from a stopped lift today? No answer means no lift.", "CP"},
		{r.Strapped, "ask_strap", "Does the rule of strap and a helper on both sides hold for this student?", "S54"},
		{r.Sugar, "ask_sugar", "Does this student need a check before boarding?", "S37"},
		{r.Harness, "ask_harness", "Does the rescue harness fit? Try it on the flat.", "CP"},
		{r.TwoLift, "ask_two_lift", "Does it take two people to lift this student?", "CP"},
		{r.Bar, "ask_bar", "Has the carrier a bar that comes down? Without one a strap is used.", "S9"},
	} {
		if q.know == NotKnown || q.know == "" {
			out = append(out, item(q.code, "lead", q.ask, q.basis))
		}
	}
	if r.Harness == No {
		out = append(out, item("harness_no", "lead", "The rescue harness does not fit: settle with patrol how this student would come down, before riding.", "CP"))
	}
	if r.Sugar == Yes && r.SinceCheck == nil {
		out = append(out, item("ask_sugar_time", "lead", "When was the last check? It is done before boarding.", "S37", "S37b"))
	}
	return out
}

// people counts those at the load beside the student.
func (r Rider) people() int {
	const one, two = 1, 2
	if r.Strapped == Yes || r.Strapped == NotKnown || r.slider() || r.TwoLift == Yes || r.TwoLift == NotKnown {
		return two
	}
	return one
}

func (r Rider) before() []Item {
	out := []Item{
		item("stop_on_word", "student", "Stops on the word three times of three; or the handler passes instead, with one helper more.", "CP"),
		item("turn_up_both", "student", "Turns up to a stop from 60 degrees to the left and to the right.", "P"),
		item("sit_ten", "student", "Sits ten minutes cold and calm.", "CP"),
		item("rehearsed", "lead", "Loading and unloading rehearsed off the lift with everybody who helps, counted aloud.", "S5"),
		item("people_there", "lead", "All helpers are there: "+strconv.Itoa(r.people())+" beside the student.", "CP"),
		item("run_at_top", "lead", "The top has a run at today's level, and the weather still allows it.", "CP"),
		item("plan_if_stopped", "lead", "Everybody knows what happens if the lift stops.", "CP"),
	}
	if r.Sugar == Yes {
		out = append(out, item("sugar_before", "lead", "Sugar checked before boarding, every "+text(r.SugarEvery.Minutes(), 0)+" minutes at most; sugar that does not freeze is in the pocket.", "S37", "S37b"))
	}
	return out
}

func (r Rider) asked(at *Reach) []Item {
	speed := item("slow_or_stop", "lift staff", "Slow or stop at both ends.", "S5", "S9")
	if at != nil && at.HasAsk && at.Verdict != Reached {
		if at.Limit > 0 {
			speed.Say = "Slow to " + text(float64(at.Limit), 1) + " m/s or less, or stop, at the load; slow or stop at the unload."
		} else {
			speed.Say = "Stop at both ends."
		}
		speed.Basis = append(speed.Basis, "D")
	}
	out := []Item{
		speed,
		item("hand_at_button", "lift staff", "One hand stays at the stop button; nobody leaves it to help lift.", "S5", "S9"),
		item("chair_held", "lift staff", "The carrier held or steadied, where the staff do that.", "CP"),
		item("ramp", "lift staff", "How the ramp is today, top and bottom.", "CP"),
		item("watcher", "lift staff", "One person more to watch at the unload.", "CP"),
		item("radio", "lift staff", "The radio channel, and word to the top before the student boards.", "CP"),
		item("listed", "lift staff", "The student on the list of riders who need help coming down.", "CP"),
	}
	if r.slider() {
		out = append(out, item("slider_up", "lift staff", "How the slider goes up: on a carrier of its own, or hung by arrangement.", "CP"))
	}
	return out
}

// sides says who sits where.
func (r Rider) sides() string {
	switch {
	case r.people() > 1 && r.WeakSide != finding.NoSide:
		return "A helper on each side, the stronger on the student's " + r.WeakSide.Word() + "."
	case r.people() > 1:
		return "A helper on each side."
	case r.WeakSide != finding.NoSide:
		return "The lead on the student's " + r.WeakSide.Word() + "."
	}
	return "The lead beside the student."
}

func (r Rider) load() []Item {
	out := []Item{
		item("watch_two", "lead", "Watch two carriers go by, then move up.", "CP"),
		item("sides", "helper", r.sides(), "S5", "CP"),
		item("count", "lead", "One person counts aloud: ready, sit. The student says stop at any time.", "S5"),
		item("tuck", "helper", "Straps, cords and clothing tucked in; reins stowed before the queue.", "CP"),
	}
	if r.outriggers() {
		out = append(out, item("outriggers", "helper", "Outriggers flipped to skiing, both in the outer hand or across the lap.", "CP"))
	}
	if r.slider() {
		out = append(out, item("slider_off", "helper", "Out of the slider first; two helpers seat the student.", "CP"))
	}
	if r.Tie {
		out = append(out, item("tie_on", "lead", "The tie stays on: tell the staff the tips cannot part.", "CP"))
	}
	if r.Spacer {
		out = append(out, item("spacer", "lead", "With the spacer the student cannot step: slide up to the load line.", "CP"))
	}
	if r.TwoLift == Yes {
		out = append(out, item("two_lift", "helper", "Two people lift, by harness or hips, never by arms or armpits.", "CP"))
	}
	if r.Strapped == Yes {
		out = append(out, item("strap_load", "helper", "Strap on before the carrier leaves, a helper on both sides.", "S54"))
	}
	return append(out, item("bar", "lead", r.bar(), "S9"))
}

func (r Rider) bar() string {
	if r.Bar == No {
		return "No bar: strapped to the carrier, one release, opened before the unload."
	}
	return "Bar down for everybody; no bar means a strap."
}

func (r Rider) ride() []Item {
	out := []Item{item("look", "helper", "Look at face and fingers, talk; say early what happens at the top.", "CP")}
	if r.Strapped == Yes {
		out = append(out, item("strap_ride", "helper", "Strapped the whole way, a helper on both sides, both hands free.", "S54"))
	}
	if r.FeelsLess == Yes || r.FeelsLess == NotKnown {
		out = append(out, item("feels_less", "helper", "Parts that feel less do not warn: cover them, look at them at the top.", "CP"))
	}
	return out
}

func (r Rider) unload() []Item {
	clear := text(source.Value("unload_clear"), 0)
	out := []Item{
		item("bar_up", "lead", "Bar up on the lead's word, not before; tips up.", "S5"),
		item("stand_count", "lead", "Stand on the count, glide to the agreed place "+clear+" m clear.", "CP"),
	}
	if r.outriggers() {
		out = append(out, item("outriggers_ahead", "student", "Outriggers flat ahead before standing.", "CP"))
	}
	if r.Strapped == Yes || r.Bar == No {
		out = append(out, item("strap_off", "helper", "Strap opened at the last tower, a hand on the student until standing.", "CP"))
	}
	if r.sitting() {
		drop := quantity.Must(quantity.Feet(source.Value("unload_drop")))
		out = append(out, item("drop", "lead", "A sitting rider may drop up to "+text(drop.Centimetres(), 0)+" cm at the unload: ask for a stop.", "S13"))
	}
	return append(out, item("not_off", "lead", "Not off in time: stay seated, call stop.", "CP"))
}

func (r Rider) stopped() []Item {
	d, _ := source.Figure("evacuation_per_passenger")
	out := []Item{
		item("how_long", "lead", "Bringing people down takes about "+text(d.Low, 0)+" to "+text(d.High, 0)+" minutes for each passenger: count on an hour in the cold.", "S46"),
		item("mass", "patrol", r.mass(), "CP"),
		item("harness", "patrol", map[Know]string{Yes: "The rescue harness fits.", No: "The rescue harness does not fit."}[r.Harness], "CP"),
		item("bend", "patrol", "Cannot bend: "+r.stiff()+".", "CP"),
	}
	if r.Harness != Yes && r.Harness != No {
		out[2].Say = "Not known whether the rescue harness fits: try before riding."
	}
	if r.FeelsLess == Yes || r.FeelsLess == NotKnown {
		out = append(out, item("skin", "patrol", "Skin that cannot feel: pad the harness, no pressure on one place, keep warm.", "CP"))
	}
	if r.Alert == Yes || r.Alert == NotKnown {
		out = append(out, item("alert", "patrol", "The emergency plan is on the lesson card; the lead carries it.", "CP"))
	}
	if r.Strapped == Yes {
		out = append(out, item("strap_down", "patrol", "Comes down first and with company; a helper stays beside until then.", "CP"))
	}
	return append(out,
		item("who_up", "lead", "Tell patrol who is up and on which carrier, at once.", "CP"),
		item("skis", "patrol", "Skis come off when and as patrol says.", "CP"),
		item("warm", "helper", "Foil and hat on, fingers and toes moved, parts that cannot feel covered and looked at.", "CP"))
}

func (r Rider) mass() string {
	if r.Mass == nil {
		return "Weight not known: ask and write it down."
	}
	return "Weight " + text(float64(*r.Mass), 0) + " kg without gear."
}

func (r Rider) stiff() string {
	if len(r.CannotBend) == 0 {
		return "nothing was written down; ask"
	}
	return strings.Join(r.CannotBend, ", ")
}
