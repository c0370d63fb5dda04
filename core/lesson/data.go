package lesson

import (
	"slices"

	"firnhand/core/ladder"
)

// Step is the grain of a plan in minutes.
const Step = 5

// settings are the programme's numbers, as proposed.
var settings = []ladder.Setting{
	{Name: "rest_min", Value: 5, Min: 5, Max: 30, Means: "Minutes of a rest, chair on snow or indoors.", Basis: []string{"CP"}},
	{Name: "split_rest_min", Value: 15, Min: 5, Max: 30, Means: "The same where standing is split, ten minutes on.", Basis: []string{"P"}},
	{Name: "first_most_min", Value: 90, Min: 30, Max: 180, Means: "Most minutes on snow of a first lesson.", Basis: []string{"CP"}},
	{Name: "flat_most_min", Value: 20, Min: 5, Max: 60, Means: "Most minutes on the flat in a first lesson: flat work is tiring.", Basis: []string{"S4"}},
	{Name: "block_unknown_min", Value: 20, Min: 5, Max: 30, Means: "Longest block before a rest where the student's minutes are not known.", Basis: []string{"CP"}},
	{Name: "block_one_ski_min", Value: 15, Min: 5, Max: 30, Means: "Longest block before a rest on one ski: one leg carries everything.", Basis: []string{"S3", "P"}},
	{Name: "block_short_runs_min", Value: 10, Min: 5, Max: 30, Means: "Longest block before a rest in a muscle disease.", Basis: []string{"S36", "P"}},
	{Name: "fresh_pct", Value: 75, Min: 25, Max: 100, Means: "Percent of the minutes on snow in which something harder may begin.", Basis: []string{"P"}},
	{Name: "learn_most", Value: 6, Min: 1, Max: 10, Means: "Most skills worked on in a lesson after the first, each side counted.", Basis: []string{"P"}},
	{Name: "close_most_min", Value: 10, Min: 5, Max: 20, Means: "Most minutes on what works, at the end.", Basis: []string{"CP"}},
	{Name: "active_pct", Value: 60, Min: 20, Max: 100, Means: "Percent of a block that is spent in motion; the rest is standing, listening, waiting.", Basis: []string{"P"}},
	{Name: "start_hold", Value: 5, Min: 1, Max: 7, Means: "Help level of the first slide with hand aids.", Basis: []string{"CP"}},
	{Name: "start_light", Value: 4, Min: 1, Max: 7, Means: "Help level of a new skill with hand aids, and of the first slide without.", Basis: []string{"P"}},
	{Name: "start_reins", Value: 3, Min: 1, Max: 7, Means: "Help level of a new slide where reins are used.", Basis: []string{"P"}},
	{Name: "start_free", Value: 1, Min: 0, Max: 3, Means: "Help level of a new skill without hand aids, and of one passed with no hand on the student.", Basis: []string{"P"}},
	{Name: "worth_path", Value: 100, Min: 1, Max: 100, Means: "What a skill on the way to the goal counts.", Basis: []string{"P"}},
	{Name: "worth_plan", Value: 40, Min: 1, Max: 100, Means: "What another skill of the first plan counts.", Basis: []string{"P"}},
	{Name: "worth_less_help", Value: 60, Min: 1, Max: 100, Means: "What one level less help on the way to the goal counts.", Basis: []string{"P"}},
	{Name: "worth_ground", Value: 30, Min: 1, Max: 100, Means: "What harder ground on the way to the goal counts.", Basis: []string{"P"}},
	{Name: "beside_pct", Value: 20, Min: 0, Max: 100, Means: "Percent of that for skills beside the way.", Basis: []string{"P"}},
	{Name: "lagging_pct", Value: 110, Min: 100, Max: 200, Means: "Percent of that on the side that lags.", Basis: []string{"P"}},
	{Name: "more_help_pct", Value: 95, Min: 50, Max: 100, Means: "Percent of that for each level more help than a skill starts with.", Basis: []string{"P"}},
}

func init() {
	for i := range settings {
		settings[i].Proposed = slices.Contains(settings[i].Basis, "P")
	}
}

// Settings returns the programme's numbers as proposed.
func Settings() []ladder.Setting { return slices.Clone(settings) }

// Numbers are the settings in force, by name. A name that is not there has its
// proposed value.
type Numbers map[string]int

// check refuses a name that is no setting and a value outside its limits.
func (n Numbers) check() error {
	for name, v := range n {
		i := slices.IndexFunc(settings, func(s ladder.Setting) bool { return s.Name == name })
		switch {
		case i < 0:
			return refuse("unknown_setting", "There is no setting called %q.", name)
		case v < settings[i].Min || v > settings[i].Max:
			return refuse("out_of_range", "%s takes a whole number between %d and %d, not %d.", name, settings[i].Min, settings[i].Max, v)
		}
	}
	return nil
}

func (n Numbers) of(name string) int {
	if v, ok := n[name]; ok {
		return v
	}
	i := slices.IndexFunc(settings, func(s ladder.Setting) bool { return s.Name == name })
	return settings[i].Value
}

// doing is what the body does in a block, for its energy.
type doing uint8

const (
	still doing = iota
	walking
	climbing
	gliding
	turning
)

// codes are the activities of the Compendium that stand for it, while in
// motion.
var codes = [...]string{still: "17151", walking: "17140", climbing: "19075", gliding: "19150", turning: "19160"}

// byLoad are the activities from the lightest to the hardest.
var byLoad = [...]doing{still, gliding, walking, turning, climbing}

// load is the place of an activity among them.
func (d doing) load() int { return slices.Index(byLoad[:], d) }

// usual is what a skill usually takes.
type usual struct {
	minutes int // to work it through once
	chance  int // percent that it is then passed
	does    doing
	works   bool // something to end on
}

// usually is a programme's choice, to be signed off.
var usually = map[string]usual{
	"K01": {5, 95, still, false}, "K02": {5, 95, still, true}, "K03": {5, 90, walking, false}, "K04": {5, 85, still, false},
	"K05": {5, 80, walking, true}, "K06": {10, 90, walking, true}, "K07": {5, 80, walking, false}, "K08": {10, 80, walking, true},
	"K09": {5, 90, still, false}, "K10": {5, 70, climbing, false}, "K11": {10, 75, climbing, false}, "K12": {10, 60, climbing, false},
	"K13": {10, 75, still, false}, "K14": {10, 90, gliding, true}, "K15": {10, 80, gliding, true}, "K16": {10, 80, gliding, true},
	"K17": {5, 70, gliding, true}, "K18": {10, 75, gliding, true}, "K19": {15, 65, gliding, true}, "K20": {15, 60, gliding, true},
	"K21": {10, 70, gliding, true}, "K22": {5, 75, gliding, true}, "K23": {10, 70, gliding, true}, "K24": {10, 60, gliding, true},
	"K25": {15, 65, gliding, true}, "K26": {15, 60, gliding, true}, "K27": {15, 55, gliding, true}, "K28": {10, 60, gliding, true},
	"K29": {15, 55, turning, true}, "K30": {15, 55, turning, true}, "K31": {20, 50, turning, true}, "K32": {20, 50, turning, true},
	"K33": {15, 50, turning, true}, "K34": {20, 60, still, false}, "K35": {20, 50, turning, true}, "K36": {20, 50, turning, true},
	"K37": {20, 45, turning, true},
}

// Plan is what a first lesson follows.
type Plan struct {
	ID, Name string
	Skills   []string // in this order, as far as time and passes reach
	Core     []string // each of them only after those before it
	Goals    []string // the first that the set-up allows
	Basis    []string
}

// plans are the first lessons. Common practice, no source; the order of holds,
// flat, first slide, stops and fan is that of S2 and S4.
var plans = []Plan{
	{"PL-A", "two skis: flat, straight, wedge or turn uphill",
		[]string{"K01", "K02", "K05", "K06", "K07", "K09", "K14", "K15", "K16", "K19", "K20", "K21", "K22", "K23", "K25"},
		[]string{"K02", "K14", "K15", "K19", "K20", "K22", "K23", "K25"}, []string{"K20", "K25"}, []string{"CP", "S2"}},
	{"PL-B", "outriggers: crutch walk, flip, flat, straight with hip hold, brake, fan",
		[]string{"K01", "K02", "K03", "K04", "K06", "K14", "K15", "K18", "K22", "K23", "K25"},
		[]string{"K02", "K14", "K15", "K18", "K22", "K23", "K25"}, []string{"K25"}, []string{"CP", "S2", "S4"}},
	{"PL-C", "slider: dry fit, frame hold on the flat, carried reins, straight, gentle steer",
		[]string{"K01", "K02", "K06", "K14", "K15", "K22"}, []string{"K02", "K14", "K15", "K22"}, []string{"K22"}, []string{"CP"}},
	{"PL-D", "one ski: slides without hops, frequent chair",
		[]string{"K01", "K02", "K03", "K04", "K08", "K14", "K15", "K18"}, []string{"K02", "K14", "K15", "K18"}, []string{"K18"}, []string{"CP", "S3"}},
}

// Plans lists the first lessons.
func Plans() []Plan { return slices.Clone(plans) }

func planOf(id string) (Plan, bool) {
	i := slices.IndexFunc(plans, func(p Plan) bool { return p.ID == id })
	if i < 0 {
		return Plan{}, false
	}
	return plans[i], true
}

// milestones are the goals of later lessons when the student has none: the
// first that is not passed.
var milestones = []string{"K15", "K25", "K27", "K30", "K31", "K35", "K37"}

// noBraking are the skills that brake hard with the legs, kept from a muscle
// disease (rule G11).
var noBraking = []string{"K20", "K33", "K37"}

// byLift are the skills that need the chair.
var byLift = []string{"K34", "K35", "K36", "K37"}

// Around is what belongs to a lesson and takes no minutes on snow.
type Around struct {
	What  string
	Least int // minutes
	Most  int
}

// Before lists what comes before the snow. Common practice, no source.
func Before() []Around {
	return []Around{
		{What: "Meet: today's baseline, toilet, layers, medicines, sugar, stop word, touch consent", Least: 10, Most: 10},
		{What: "Fit, indoors and seated", Least: 15, Most: 20},
		{What: "Rehearse indoors: stance, crutch walk and flip with outriggers, fall with hands clear, loading on a chair", Least: 10, Most: 10},
	}
}

// After lists what comes after the snow. Common practice, no source.
func After() []Around {
	return []Around{{What: "Close: look at the feet, say one thing that got better and one next thing, write it down before lunch", Least: 10, Most: 10}}
}
