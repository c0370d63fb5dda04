package programme

import (
	"errors"
	"math"
	"slices"
	"strings"

	"firnhand/core/body"
	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/fit"
	"firnhand/core/quantity"
)

// Fitting is what the person who asks for a proposal measured for it and has
// at hand. Everything may be missing: the proposal is then less sure.
type Fitting struct {
	CreaseLeftCM  *float64 // wrist crease over the snow, in boots on skis, in the stance
	CreaseRightCM *float64
	HipBreadthCM  *float64 // standing, clothed for snow
	Holes         *HoleRow // of the outriggers at hand
}

// HoleRow is what a pair of outriggers can be set to: heights along the shaft,
// from the snow to the top of the handle.
type HoleRow struct {
	FirstCM float64 // lowest hole
	StepCM  float64
	Count   int
}

// TakenReading is a reading that a proposal was computed with.
type TakenReading struct {
	Measure string  `json:"measure"` // in words
	Side    string  `json:"side"`
	Value   float64 `json:"value_in_unit"`
	Unit    string  `json:"unit"`
}

// What was read for a proposal, in words.
const (
	creaseTaken = "Wrist crease over the snow, in boots on skis"
	hipsTaken   = "Breadth of the hips, clothed for snow"
)

func (f Fitting) taken() []TakenReading {
	var out []TakenReading
	add := func(what, side string, v *float64) {
		if v != nil {
			out = append(out, TakenReading{what, side, *v, "cm"})
		}
	}
	add(creaseTaken, "left", f.CreaseLeftCM)
	add(creaseTaken, "right", f.CreaseRightCM)
	add(hipsTaken, "none", f.HipBreadthCM)
	return out
}

// Limits of what is entered for a proposal, in cm: a slip of the pen beyond.
const (
	creaseLowCM, creaseHighCM = 15, 150
	hipLowCM, hipHighCM       = 10, 90
	holeLowCM, holeHighCM     = 20, 160
	holeStepMostCM            = 10
)

func (f Fitting) check() error {
	for _, v := range []struct {
		what      string
		v         *float64
		low, high float64
	}{
		{"The left wrist crease", f.CreaseLeftCM, creaseLowCM, creaseHighCM}, {"The right wrist crease", f.CreaseRightCM, creaseLowCM, creaseHighCM},
		{"The breadth of the hips", f.HipBreadthCM, hipLowCM, hipHighCM},
	} {
		if v.v != nil && !(*v.v >= v.low && *v.v <= v.high) {
			return Refuse(CodeInvalid, "%s is %s cm; it must lie between %g and %g cm.", v.what, finding.FormatNumber(*v.v), v.low, v.high)
		}
	}
	if h := f.Holes; h != nil {
		switch {
		case !(h.FirstCM >= holeLowCM && h.FirstCM <= holeHighCM):
			return Refuse(CodeInvalid, "The lowest hole lies between %d and %d cm.", holeLowCM, holeHighCM)
		case h.Count < 1 || h.Count > MaxHoles:
			return Refuse(CodeInvalid, "A pair has between 1 and %d holes.", MaxHoles)
		case h.Count > 1 && !(h.StepCM > 0 && h.StepCM <= holeStepMostCM):
			return Refuse(CodeInvalid, "Holes are more than 0 and at most %d cm apart.", holeStepMostCM)
		}
	}
	return nil
}

// ProposalOf proposes a set-up for a record, as of the record's day: what the
// rules decide, with the numbers that fit this body. It is pure. It refuses
// while the way of skiing is open, and for sitting.
func ProposalOf(t *decide.Table, r Record, f Fitting) (SetUpProposal, error) {
	if err := f.check(); err != nil {
		return SetUpProposal{}, err
	}
	p, err := proposing(t, r, f)
	if err != nil {
		return SetUpProposal{}, err
	}
	if err := p.fit(t); err != nil {
		return SetUpProposal{}, err
	}
	out := SetUpProposal{Items: p.items(), UpTo: r.UpTo, Rules: t.Version, Taken: f.taken()}
	return out, out.check()
}

// proposing decides how a record's student skis. It refuses while that is open,
// and for sitting.
func proposing(t *decide.Table, r Record, f Fitting) (proposer, error) {
	d := DecisionOf(t, r)
	return proposingFrom(t.Decide(d.Input), d.Input.Findings, r.Measured(), f)
}

// ProposedItems are the lines of a proposal for an answer, the findings it was
// made from and what was measured, wherever they come from. It refuses as
// [ProposalOf] does.
func ProposedItems(t *decide.Table, a *decide.Answer, set finding.Set, m Measures, f Fitting) ([]SetUpItem, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	p, err := proposingFrom(a, set, m, f)
	if err != nil {
		return nil, err
	}
	if err := p.fit(t); err != nil {
		return nil, err
	}
	return p.items(), nil
}

func proposingFrom(a *decide.Answer, set finding.Set, m Measures, f Fitting) (proposer, error) {
	p := proposer{a: a, set: set, m: m, f: f}
	way, ok := p.a.Axis("way")
	switch {
	case !ok || way.Open:
		return p, Refuse(CodeConflict, "The way of skiing is not decided yet. Finish the evaluation first.")
	case way.Value == "sitting":
		return p, Refuse(CodeConflict, "The answer is sitting: the sitting lead fits that.")
	}
	p.way = way.Value
	return p, nil
}

// proposer makes one proposal.
type proposer struct {
	a     *decide.Answer
	set   finding.Set
	m     Measures
	f     Fitting
	way   string
	sheet *fit.Sheet // nil where too little is known of the body
}

func (p *proposer) number(id string, side finding.Side) (float64, bool) {
	v := p.set.Get(id, side, finding.Fresh)
	return v.X, v.Kind == finding.Known
}

func (p *proposer) level(id string, side finding.Side) string {
	v := p.set.Get(id, side, finding.Fresh)
	def, ok := finding.Lookup(id)
	if !ok || v.Kind != finding.Known {
		return ""
	}
	return finding.Format(def, v)
}

// fit asks core for the numbers. A body that is not known well enough leaves
// them to be measured.
func (p *proposer) fit(t *decide.Table) error {
	in, err := p.input(t)
	var unfit *body.Error
	switch {
	case errors.As(err, &unfit):
		return nil
	case err != nil:
		return Fail(CodeInternal, err, "The body could not be computed.")
	case in.Body == nil:
		return nil
	}
	s, err := fit.Propose(in)
	switch {
	case errors.As(err, &unfit):
		return Refuse(CodeInvalid, "%s", unfit.Sentence)
	case err != nil:
		return Fail(CodeInternal, err, "The set-up could not be computed.")
	}
	p.sheet = &s
	return nil
}

// input is what core fits from. Its body is nil where nobody was weighed; a
// body that core refuses is a *body.Error. What was read for the proposal comes
// before what was measured earlier.
func (p *proposer) input(t *decide.Table) (fit.Input, error) {
	person, weighed := PersonOf(p.set, p.m)
	if !weighed {
		return fit.Input{}, nil
	}
	if v := metres(p.f.HipBreadthCM); v != nil {
		person.Measured.HipBreadth = &body.Reading{Value: *v}
	}
	b, err := body.New(person)
	if err != nil {
		return fit.Input{}, err
	}
	in := FitInput(t, p.a, p.set, p.m)
	in.Body, in.Way = b, p.way
	for side, v := range map[finding.Side]*float64{finding.Left: p.f.CreaseLeftCM, finding.Right: p.f.CreaseRightCM} {
		if m := metres(v); m != nil {
			*in.CreaseBoots.Of(side) = &body.Reading{Value: *m}
		}
		if h := p.f.Holes; h != nil {
			*in.Holes.Of(side) = &fit.Holes{First: *metres(&h.FirstCM), Step: *metres(&h.StepCM), Count: h.Count}
		}
	}
	return in, nil
}

func metres(cm *float64) *quantity.Metre {
	if cm == nil {
		return nil
	}
	m := quantity.Must(quantity.Centimetres(*cm))
	return &m
}

// Changed says in one sentence what the answer decides otherwise than the sheet:
// the way of skiing or the tie. "" where it still decides the same, or is open.
func (s SetUpState) Changed(a *decide.Answer) string {
	for _, axis := range []string{"way", "tie"} {
		it, _, on := s.Item(axis, "none")
		x, ok := a.Axis(axis)
		if on && ok && !x.Open && it.Words != "" && it.Words != x.Label {
			return it.Label + ": " + it.Words + " on the sheet, " + x.Label + " by the evaluation now."
		}
	}
	return ""
}

// setUpLines are the numbers of a sheet, in the order of the work. A line is there
// where use says so; without core's figure it stands to be measured.
var setUpLines = []struct {
	id, label, unit string
	scale           float64       // of core's unit
	step            quantity.Step // a printed figure is rounded to
	sided           bool
	use             func(p *proposer, side finding.Side) bool
	measure         string // where core has nothing to say
}{
	{"outrigger_handle", "Outrigger handle", "cm", 0.1, quantity.Every(5, 1), true, (*proposer).outrigger, "wrist crease to snow, in boots on skis"},
	{"cuff_below_elbow", "Cuff below the elbow", "cm", 0.1, quantity.Every(5, 1), true, (*proposer).outrigger, "top of the cuff to the elbow, hand on the grip"},
	{"brake", "Outrigger brake", "turns", 1, quantity.Every(5, 1), true, (*proposer).outrigger, "screw out, both sides alike, until it holds on the flat; count the turns"},
	{"slider_handle", "Slider handle", "cm", 0.1, quantity.Every(5, 1), true, (*proposer).slider, "wrist crease to snow, in boots on skis"},
	{"slider_width", "Slider width inside", "cm", 0.1, quantity.Decimals(0), false, (*proposer).slider, "hip breadth, clothed, with 3 to 5 cm clear at each hip"},
	{"spacer", "Spacer", "mm", 1, quantity.Decimals(0), false, (*proposer).spacer, "gap between the boots, standing relaxed"},
	{"heel_lift", "Heel lift", "mm", 1, quantity.Decimals(0), true, (*proposer).heel, "ankle bend first; then knee bend, heels down"},
	{"length_in_boot", "Lift in the boot", "mm", 1, quantity.Decimals(0), true, (*proposer).inBoot, "block under the short leg until the hips are level"},
	{"length_plate", "Plate under boot", "mm", 1, quantity.Decimals(0), true, (*proposer).plate, "by a certified technician, toe and heel alike"},
	{"ski_length", "Ski length", "cm", 1, quantity.Decimals(0), false, (*proposer).always, "stand the ski beside the student"},
}

func (p *proposer) always(finding.Side) bool { return true }
func (p *proposer) slider(finding.Side) bool { return p.way == "slider" }
func (p *proposer) spacer(finding.Side) bool { return p.a.Is("tie", "rigid_spacer") }

func (p *proposer) outrigger(s finding.Side) bool {
	switch p.way {
	case "outriggers", "one_ski_left", "one_ski_right":
		return true
	}
	return p.way == "one_outrigger_"+s.Word()
}

// heel: a lift to set, or one that is not decided.
func (p *proposer) heel(s finding.Side) bool {
	x, ok := p.a.Axis("heel_" + s.Word())
	return ok && (x.Open || x.Value == "lift" || x.Value == "try")
}

func (p *proposer) inBoot(s finding.Side) bool {
	x, ok := p.a.Axis("length_" + s.Word())
	return ok && !x.Open && x.Value != "none"
}

func (p *proposer) plate(s finding.Side) bool { return p.a.Is("length_"+s.Word(), "plate") }

// setUpWords are the lines that are set in words, by the axis that decides them;
// usual values need no line.
var setUpWords = []struct {
	axis, label string
	sided       bool
	usual       []string
	wrong       string
}{
	{"way", "Way of skiing", false, nil, ""},
	{"tie", "Tip tie", false, []string{"not_used"}, "Tips cross or wander more than a boot's width; the tie pulls one ski on edge."},
	{"trough", "Forearm trough", true, []string{"no"}, "Lifted off the skis, shoulder pushed up, or the arm slides out."},
	{"braces", "Brace", true, []string{"none"}, "A red mark that lasts over 20 minutes; the boot does not close."},
	{"boot", "Boot", true, []string{"usual"}, "Toes not flat, a hot spot, the heel lifts inside."},
	{"cant", "Cant", true, []string{"none"}, "Paper still slides under one edge; the knee is not over the toes."},
	{"reins", "Reins", false, []string{"not_used", "none"}, "Pulled into the back seat: the line runs above hip height."},
}

func (p *proposer) items() []SetUpItem {
	out := p.words(true)
	for _, l := range setUpLines {
		sides := []finding.Side{finding.NoSide}
		if l.sided {
			sides = []finding.Side{finding.Left, finding.Right}
		}
		for _, s := range sides {
			if !l.use(p, s) {
				continue
			}
			it := SetUpItem{SetUpKey: SetUpKey{l.id, sideWord(s)}, Label: l.label, Unit: l.unit, Measure: l.measure, Basis: []string{"CP"}}
			if l.id == "brake" {
				it.Wrong = []string{"Pitches forward at the first slide: too long.", "Cannot slow: too short.", "Always veers one way: unequal brakes or lengths."}
				it.Recheck = "After the first slides; equal on both sides first."
			}
			if p.sheet != nil {
				if got, ok := p.sheet.Item(l.id, s); ok {
					p.fill(&it, got, l.scale, l.step)
				}
			}
			if l.id == "outrigger_handle" {
				p.holes(&it, s)
			}
			out = append(out, it)
		}
	}
	return append(out, p.words(false)...)
}

func sideWord(s finding.Side) string {
	if s == finding.NoSide {
		return "none"
	}
	return s.Word()
}

// words returns the lines set in words: the way first, the others last.
func (p *proposer) words(way bool) []SetUpItem {
	var out []SetUpItem
	for _, w := range setUpWords {
		if (w.axis == "way") != way {
			continue
		}
		ids := map[string]finding.Side{w.axis: finding.NoSide}
		order := []string{w.axis}
		if w.sided {
			ids = map[string]finding.Side{w.axis + "_left": finding.Left, w.axis + "_right": finding.Right}
			order = []string{w.axis + "_left", w.axis + "_right"}
		}
		for _, id := range order {
			x, ok := p.a.Axis(id)
			if !ok || !x.Open && slices.Contains(w.usual, x.Value) {
				continue
			}
			it := SetUpItem{SetUpKey: SetUpKey{w.axis, sideWord(ids[id])}, Label: w.label, Words: x.Label, Basis: x.Basis}
			if x.Open {
				it.Words, it.Measure = "", "not decided yet: the evaluation lacks a test"
			}
			if w.wrong != "" {
				it.Wrong = []string{w.wrong}
			}
			out = append(out, it)
		}
	}
	return out
}

// fill takes a figure of core, rounded once; its limits are rounded outward so
// that they never promise more than was computed.
func (p *proposer) fill(it *SetUpItem, got fit.Item, scale float64, step quantity.Step) {
	if got.Known {
		size := step.Size()
		value := step.Round(got.Value * scale)
		low := step.Round(math.Floor(got.Low*scale/size+roundGuard) * size)
		high := step.Round(math.Ceil(got.High*scale/size-roundGuard) * size)
		low, high = min(low, value), max(high, value)
		it.Value, it.Low, it.High = &value, &low, &high
	} else if got.Words != "" {
		it.Measure = sentence(got.Words)
	}
	if got.Narrow != nil {
		it.Measure = sentence(got.Narrow.Sentence)
	}
	if got.Sign != "" {
		it.Wrong = signs(got.Sign)
	}
	it.Recheck = sentence(got.Recheck)
	for _, w := range got.Warnings {
		it.Warnings = append(it.Warnings, sentence(w.Sentence))
	}
	it.Basis = got.Sources
}

// roundGuard keeps a limit that lies on a step from moving by one.
const roundGuard = 1e-9

// holes puts in the pair at hand and the hole that fits.
func (p *proposer) holes(it *SetUpItem, s finding.Side) {
	h := p.f.Holes
	if h == nil {
		return
	}
	for i := range h.Count {
		it.Holes = append(it.Holes, quantity.Every(1, 1).Round(h.FirstCM+float64(i)*h.StepCM))
	}
	if p.sheet == nil {
		return
	}
	if hole, ok := p.sheet.Item("outrigger_hole", s); ok {
		if hole.Known {
			it.Hole = int(hole.Value)
		}
		for _, w := range hole.Warnings {
			it.Warnings = append(it.Warnings, sentence(w.Sentence))
		}
	}
}

// signs splits "Too long: ... . Too short: ... ." into its sentences.
func signs(s string) []string {
	var out []string
	for _, one := range strings.Split(s, ". ") {
		if one = strings.TrimSuffix(strings.TrimSpace(one), "."); one != "" {
			out = append(out, sentence(one+"."))
		}
	}
	return out
}

// sentence keeps what fits into a line of the sheet, by whole sentences.
func sentence(s string) string {
	for len([]rune(s)) > MaxShort {
		i := strings.LastIndex(strings.TrimSuffix(s, "."), ". ")
		if i < 0 {
			return string([]rune(s)[:MaxShort])
		}
		s = s[:i+1]
	}
	return s
}
