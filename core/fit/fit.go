// Package fit proposes settings that suit a body: handle heights, holes and
// cuffs of outriggers, where the runner stands, a slider's handle and width,
// spacer, lifts, plates, cants, ski length, and what to look for in a boot.
//
// Every answer is an [Item]: a value with its limits, the way it was found, the
// one measurement that would narrow it most and by how much, the sign of wrong
// fit to look for, and when to look again. A measurement taken on the person
// beats a prediction, always; whatever stands out against other people is told
// as a [Flag] and never refused. Nothing here sets a binding.
//
// The frame is that of core/body: origin on the snow midway between the
// ankles, x to the student's right, y forward, z up.
package fit

import (
	"math"
	"slices"

	"firnhand/core/body"
	"firnhand/core/decide"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Item is one proposed setting.
type Item struct {
	ID    string
	Label string
	Side  body.Side // NoSide where there is one for both
	// Known is false where there is no figure; Words then says why.
	Known            bool
	Value, Low, High float64 // in Unit; the limits are two standard errors where nothing else says so
	Unit             string  // "mm", "cm", "deg", "1" for a count
	Words            string  // what is done, or why there is no figure; may be empty
	Method           string  // how the value was found, in one sentence
	Basis            Basis   // which kind of way that was
	Narrow           *Narrow
	Sign             string // what wrong fit looks like
	RecheckMin       float64
	Recheck          string
	Sources          []string
	Warnings         []Warning
}

// Basis is the kind of way a value was found.
type Basis string

// The ways, best first.
const (
	OnPerson  Basis = "measured on the person as they ski"
	Combined  Basis = "measured barefoot and carried to boots and skis"
	Predicted Basis = "predicted; a start only"
	ByRule    Basis = "a rule of the trade"
	None      Basis = "not known"
)

// Narrow is the measurement that would narrow an item most.
type Narrow struct {
	Measure  string  // key of the person file, such as wrist_crease_boots_mm
	Sentence string  // what to do
	Now      float64 // half of the width of the limits, in the item's unit
	Then     float64 // the same after measuring
}

// Warning is a sentence that goes with an item or with everything.
type Warning struct {
	Code     string
	Sentence string
}

// Flag is a measurement that stands out against other people. It is no error.
type Flag struct {
	Measure   string
	Side      body.Side
	Value     float64
	Low, High float64
	Unit      string
	Sentence  string
	Sources   []string
}

// Check is one line of a checklist.
type Check struct {
	ID       string
	Side     body.Side
	Result   string // "pass", "fail", "unknown"
	Sentence string // what was looked at and what came out
	Do       string // what to do; empty where it passed
	Sources  []string
}

// The results of a check.
const (
	Pass    = "pass"
	Fail    = "fail"
	Unknown = "unknown"
)

// Holes are the settings of the outriggers at hand. Heights are along the
// shaft, from the snow to the top of the handle.
type Holes struct {
	First quantity.Metre // lowest hole
	Step  quantity.Metre
	Count int
	Plate quantity.Kilogram // what the maker's plate allows; 0 where there is none
}

// Stance is the straight-run stance, nil where it was not measured.
type Stance struct {
	Ankle body.Pair[*quantity.Radian]
	Knee  body.Pair[*quantity.Radian]
	Trunk *quantity.Radian
	Width *quantity.Metre // between the ankles
}

// Shell is what was seen at the bare shell of a boot; nil where nobody looked.
type Shell struct {
	Gap       *quantity.Metre
	ToesTouch *bool
	ToesFlat  *bool
	Closes    *bool
	HotSpot   *bool
}

// Input is what is known about a person and the gear at hand.
type Input struct {
	Body *body.Body
	// Way of skiing as core/decide names it: "outriggers", "slider", "none",
	// "one_ski_left" ...; "" where it is open, and then everything is given.
	Way           string
	CreaseBoots   body.Pair[*body.Reading] // wrist crease over the snow, in boots on skis, in the stance
	CreaseBare    body.Pair[*body.Reading] // wrist crease over the floor, barefoot and upright
	Lift          *body.Reading            // sole of the foot over the snow
	Stance        Stance
	HandOutside   body.Pair[*quantity.Metre] // handle outside the shoulder centre
	HandAhead     body.Pair[*quantity.Metre] // handle ahead of the shoulder centre
	RunnerOutside body.Pair[*quantity.Metre] // runner outside the ski
	RunnerAhead   body.Pair[*quantity.Metre] // runner ahead of the toe piece
	HingeHeight   *quantity.Metre            // hinge of the runner over the snow
	HingeMost     *quantity.Radian           // most tilt of the shaft the hinge takes with the runner flat
	Holes         body.Pair[*Holes]
	HandleNow     body.Pair[*quantity.Metre]
	Gap           *quantity.Metre // inside to inside of the boots, standing relaxed
	HipAtRisk     bool
	AnkleKnown    body.Pair[bool] // the ankle's bend was measured
	Cant          body.Pair[*quantity.Radian]
	FlexibleLeg   body.Pair[*bool]
	Shell         body.Pair[Shell]
	// Numbers are what the decision computed from its settings: heel lifts,
	// length plates, spacer. They are reported here, never computed again.
	Numbers decide.Numbers
	// Settings are the programme's numbers by name.
	Settings map[string]float64
}

// Sheet is everything proposed for one person.
type Sheet struct {
	Items    []Item
	Checks   []Check
	Flags    []Flag
	Warnings []Warning
}

// Item returns the item of an id and a side; ok is false where there is none.
func (s Sheet) Item(id string, side body.Side) (Item, bool) {
	i := slices.IndexFunc(s.Items, func(x Item) bool { return x.ID == id && x.Side == side })
	if i < 0 {
		return Item{}, false
	}
	return s.Items[i], true
}

// Propose fits everything the way of skiing needs. It refuses readings that
// are no numbers or cannot be lengths, and holes that are none.
func Propose(in Input) (Sheet, error) {
	if in.Body == nil {
		return Sheet{}, refuse("body_needed", "There is no body to fit.")
	}
	if err := in.check(); err != nil {
		return Sheet{}, err
	}
	var s Sheet
	w, err := in.worker()
	if err != nil {
		return Sheet{}, err
	}
	for _, side := range body.Sides {
		if in.outrigger(side) {
			s.Items = append(s.Items, w.outrigger(side)...)
		}
	}
	if in.slider() {
		s.Items = append(s.Items, w.slider()...)
	}
	s.Items = append(s.Items, w.spacer()...)
	for _, side := range body.Sides {
		s.Items = append(s.Items, w.lifts(side)...)
	}
	s.Items = append(s.Items, w.ski())
	s.Checks = w.shells()
	s.Flags = w.flags()
	s.Warnings = w.general()
	return s, nil
}

// Flags tells what stands out among the measurements alone, whatever the way of
// skiing.
func Flags(in Input) ([]Flag, error) {
	if in.Body == nil {
		return nil, refuse("body_needed", "There is no body to fit.")
	}
	if err := in.check(); err != nil {
		return nil, err
	}
	w, err := in.worker()
	if err != nil {
		return nil, err
	}
	return w.flags(), nil
}

// outrigger tells whether a side may need an outrigger.
func (in Input) outrigger(s body.Side) bool {
	switch in.Way {
	case "slider", "none", "sitting":
		return false
	case "one_outrigger_left":
		return s == body.Left
	case "one_outrigger_right":
		return s == body.Right
	}
	return true
}

func (in Input) slider() bool { return in.Way == "" || in.Way == "slider" }

func refuse(code, sentence string) *body.Error { return &body.Error{Code: code, Sentence: sentence} }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func (in Input) check() error {
	for _, s := range body.Sides {
		for what, r := range map[string]*body.Reading{"wrist crease in boots": in.CreaseBoots.At(s), "wrist crease barefoot": in.CreaseBare.At(s), "height of the sole over the snow": in.Lift} {
			if r == nil {
				continue
			}
			if !finite(float64(r.Value)) || !finite(float64(r.Error)) {
				return refuse("not_a_number", "The "+what+" is not a number.")
			}
			if r.Value < 0 || r.Value == 0 && r != in.Lift {
				return refuse("length_not_positive", "The "+what+" must be above zero.")
			}
			if r.Error < 0 {
				return refuse("error_negative", "The reading error of the "+what+" must not be below zero.")
			}
		}
		for what, l := range map[string]*quantity.Metre{"place of the hand": in.HandOutside.At(s), "place of the hand ahead": in.HandAhead.At(s),
			"place of the runner": in.RunnerOutside.At(s), "place of the runner ahead": in.RunnerAhead.At(s), "height of the runner's hinge": in.HingeHeight,
			"gap between the boots": in.Gap, "handle as it is set now": in.HandleNow.At(s), "room behind the heel": in.Shell.At(s).Gap} {
			if l != nil && (!finite(float64(*l)) || math.Abs(float64(*l)) > 2) {
				return refuse("length_impossible", "The "+what+" cannot be right; check the unit.")
			}
		}
		if in.Gap != nil && *in.Gap < 0 || in.Shell.At(s).Gap != nil && *in.Shell.At(s).Gap < 0 {
			return refuse("length_not_positive", "A gap must not be below zero.")
		}
		if c := in.Cant.At(s); c != nil && !(math.Abs(c.Degrees()) <= 45) {
			return refuse("angle_impossible", "A cant of more than 45 degrees cannot be right; check the unit.")
		}
		h := in.Holes.At(s)
		if h == nil {
			continue
		}
		first, step, plate := float64(h.First), float64(h.Step), float64(h.Plate)
		if !finite(first) || !finite(step) || !finite(plate) || first <= 0 || step <= 0 || h.Count < 1 || h.Count > 1000 || plate < 0 {
			return refuse("holes_impossible", "Holes need a first height and a step above zero, and at least one hole.")
		}
	}
	return nil
}

// worker holds what several items need.
type worker struct {
	in      Input
	frame   body.Frame
	stance  stance
	stature float64
	child   bool
}

// stance is the stance in use, with its range.
type stance struct {
	ankle, knee body.Pair[quantity.Radian]
	trunk       quantity.Radian
	measured    bool
	drop        float64 // metres the shoulder sinks
	dropSD      float64
	lift        float64 // sole over the snow
	liftSD      float64
	liftKnown   bool
	posed       body.Posed
	width       *quantity.Metre
}

func fig(id string) source.Datum {
	d, ok := source.Figure(id)
	if !ok {
		panic("fit: there is no figure " + id)
	}
	return d
}

// spreadOf takes the limits of a figure as two standard errors to each side.
func spreadOf(d source.Datum) float64 { return (d.High - d.Low) / 4 }

const (
	millimetre = 0.001
	centimetre = 0.01
	// wide is how many standard errors the limits of an item lie from its value.
	wide = 2
)

func degrees(v float64) quantity.Radian { return quantity.Radian(v / 180 * math.Pi) }

func readingError(r *body.Reading) float64 {
	if r.Error > 0 {
		return float64(r.Error)
	}
	return fig("reading_error").Value * millimetre
}

// worker settles the stance and poses the body in it.
func (in Input) worker() (*worker, error) {
	w := &worker{in: in, frame: in.Body.Frame()}
	w.stature = w.frame.Stature.Value
	p := in.Body.Person()
	w.child = p.AgeYears != nil && *p.AgeYears < fig("child_masses_until").Value
	st := &w.stance
	ankle, knee, trunk := fig("stance_ankle"), fig("stance_knee"), fig("stance_trunk")
	st.measured = in.Stance.Trunk != nil
	st.trunk = degrees(trunk.Value)
	if in.Stance.Trunk != nil {
		st.trunk = *in.Stance.Trunk
	}
	for _, s := range body.Sides {
		*st.ankle.Of(s), *st.knee.Of(s) = degrees(ankle.Value), degrees(knee.Value)
		if a := in.Stance.Ankle.At(s); a != nil {
			*st.ankle.Of(s) = *a
		} else {
			st.measured = false
		}
		if k := in.Stance.Knee.At(s); k != nil {
			*st.knee.Of(s) = *k
		} else {
			st.measured = false
		}
	}
	flexed, err := in.Body.Flex(st.ankle, st.knee, st.trunk)
	if err != nil {
		return nil, err
	}
	st.drop = float64(flexed.Drop)
	if st.measured {
		st.dropSD = fig("reading_error").Value * millimetre
	} else {
		low, err := in.Body.Flex(body.Both(degrees(ankle.Low)), body.Both(degrees(knee.Low)), degrees(trunk.Low))
		if err != nil {
			return nil, err
		}
		high, err := in.Body.Flex(body.Both(degrees(ankle.High)), body.Both(degrees(knee.High)), degrees(trunk.High))
		if err != nil {
			return nil, err
		}
		st.dropSD = float64(high.Drop-low.Drop) / (2 * wide)
	}
	lift := fig("boot_and_ski_lift")
	st.lift, st.liftSD = lift.Value*millimetre, spreadOf(lift)*millimetre
	if in.Lift != nil {
		st.lift, st.liftSD, st.liftKnown = float64(in.Lift.Value), readingError(in.Lift), true
	}
	pose := body.Pose{Trunk: body.Lean{Forward: st.trunk}, StanceWidth: in.Stance.Width}
	for _, s := range body.Sides {
		*pose.Leg.Of(s) = body.LegPose{Ankle: st.ankle.At(s), Knee: st.knee.At(s)}
	}
	if st.posed, err = in.Body.Pose(pose, body.Gear{Sole: quantity.Metre(st.lift)}); err != nil {
		return nil, err
	}
	st.width = in.Stance.Width
	return w, nil
}

// recheck fills what every setting shares.
func (i Item) recheck(sentence string) Item {
	i.RecheckMin = fig("recheck_on_snow").Value
	i.Recheck = sentence
	return i
}

// around gives an item its value and limits from a standard error.
func (i Item) around(value, sd float64) Item {
	i.Known, i.Value, i.Low, i.High = true, value, value-wide*sd, value+wide*sd
	return i
}

// narrowed says what measuring would bring; nil where it brings nothing.
func narrowed(measure, sentence string, now, then float64) *Narrow {
	if !(then < now) {
		return nil
	}
	return &Narrow{measure, sentence, wide * now, wide * then}
}

// narrowedTo is narrowed for halves of limits instead of standard errors.
func narrowedTo(measure, sentence string, now, then float64) *Narrow {
	if !(then < now) {
		return nil
	}
	return &Narrow{measure, sentence, now, then}
}

func (w *worker) general() []Warning {
	var out []Warning
	for _, n := range w.in.Body.Notes() {
		out = append(out, Warning{"body", n})
	}
	if !w.stance.measured {
		out = append(out, Warning{"stance_assumed", "No stance was measured; a beginner's straight run is taken. What decides is the student standing in boots on skis, runners flat, shoulders level."})
	}
	out = append(out, Warning{"caution", "These are starting settings. Bindings are set by a certified technician only; braces, prostheses, hips and pain belong to the physician, therapist or prosthetist; the maker's plate and the lift staff have the last word."})
	return out
}
