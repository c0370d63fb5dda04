package progress

import (
	"slices"
	"strconv"
	"strings"

	"firnhand/core/ladder"
)

// Rule is one of the counting rules, as people read it. What it counts is in
// the code of the same id; the numbers are settings.
type Rule struct {
	ID      string
	When    string
	Then    string
	Because string
	Basis   []string
}

// The rules of help levels.
const (
	Fade       = "A1"
	StartOfDay = "A2"
	NewThing   = "A3"
	BackOne    = "A4"
	BackTwo    = "A5"
	Plateau    = "A6"
	Slacken    = "A7"
	OneChange  = "A8"
	NewSetUp   = "A9"
)

// In the table a setting stands in braces.
var rules = []Rule{
	{Fade, "{fade_in_a_row} clean in a row in one lesson, with the same help, on the same terrain, fresh; each side of a skill with sides for itself",
		"one level less help", "What holds three times is no accident; what holds tired or elsewhere is another skill.", []string{"P"}},
	{StartOfDay, "a lesson begins", "one level above where the record stands: its last level, less what three clean had earned; the level above itself does not raise it", "Yesterday's level was earned warmed up, on yesterday's snow.", []string{"P"}},
	{NewThing, "new terrain or a new helper, or ice, slush, crowd or flat light (rule TR4)", "one level above", "Something new takes attention that the skill needs.", []string{"P"}},
	{BackOne, "{back_misses} misses in {back_of}, one uncontrolled fall, or quality lost beyond {tired_pct} % of the known minutes",
		"one level more help", "Practised misses are learned too.", []string{"P"}},
	{BackTwo, "pain, spasm, contact, or fear that does not settle", "two levels more help, or stop; with pain stop the lesson", "The body or the head says that this was too much.", []string{"P"}},
	{Plateau, "no drop of the help level in {plateau_lessons} lessons", "change the cue, then the set-up, then evaluate again; never only more of the same",
		"More of the same gives more of the same.", []string{"P"}},
	{Slacken, "reins used and never slackened in {slacken_lessons} lessons", "a written reason, or slack reins", "Held lines teach to lean on them.", []string{"P", "S17"}},
	{OneChange, "two of help, terrain, set-up and helper change at once, other than to more help", "change one thing at a time", "Else nobody knows what made the difference.", []string{"CP"}},
	{NewSetUp, "the first try of a skill with other aids", "a parallel record, one level above the last with the other aids", "Taking an aid off reopens a skill; adding one never deletes a pass.", []string{"CP"}},
}

// Rules lists the counting rules with the numbers in force.
func (n Numbers) Rules() []Rule {
	var numbers []string
	for _, s := range settings {
		numbers = append(numbers, "{"+s.Name+"}", strconv.Itoa(n.of(s.Name)))
	}
	fill := strings.NewReplacer(numbers...)
	out := slices.Clone(rules)
	for i := range out {
		out[i].When = fill.Replace(out[i].When)
	}
	return out
}

// RuleOf returns a rule by its id.
func RuleOf(id string) (Rule, bool) {
	i := slices.IndexFunc(rules, func(r Rule) bool { return r.ID == id })
	if i < 0 {
		return Rule{}, false
	}
	return rules[i], true
}

// settings are the programme's numbers in the rules and in how the model is
// read, as proposed.
var settings = []ladder.Setting{
	{Name: "fade_in_a_row", Value: 3, Min: 2, Max: 6, Means: "Clean attempts in a row after which help goes down by one level."},
	{Name: "back_misses", Value: 2, Min: 1, Max: 5, Means: "Misses among the last attempts after which help goes up by one level."},
	{Name: "back_of", Value: 3, Min: 2, Max: 10, Means: "The number of last attempts among which misses are counted."},
	{Name: "tired_pct", Value: 80, Min: 50, Max: 100, Means: "Percent of the known minutes beyond which an attempt is no longer fresh."},
	{Name: "fresh_min", Value: 20, Min: 5, Max: 60, Means: "Minutes into a lesson up to which an attempt is fresh, where the student's minutes are not known."},
	{Name: "plateau_lessons", Value: 3, Min: 2, Max: 10, Means: "Lessons with no drop of the help level that make a plateau."},
	{Name: "slacken_lessons", Value: 4, Min: 2, Max: 10, Means: "Lessons with reins never slackened that want a written reason."},
	{Name: "judge_attempts", Value: 5, Min: 3, Max: 20, Means: "Attempts of a skill, side and set-up below which the model says too few to judge."},
	{Name: "doubt_pct", Value: 50, Min: 20, Max: 80, Means: "Chance of a clean attempt with less help, in percent, below which the model speaks against what the rule allows."},
	{Name: "ready_pct", Value: 80, Min: 50, Max: 99, Means: "The same, from which the model says that the rule waits longer than it had to."},
	{Name: "gap_pct", Value: 90, Min: 60, Max: 99, Means: "How sure the model must be, in percent, to name one side as the weaker."},
}

func init() {
	for i := range settings {
		settings[i].Basis, settings[i].Proposed = []string{"P"}, true
	}
}

// Settings returns the programme's numbers as proposed.
func Settings() []ladder.Setting { return slices.Clone(settings) }

// Numbers are the settings in force, by name. A name that is not there has its
// proposed value.
type Numbers map[string]int

// Check refuses a name that is no setting and a value outside its limits.
func (n Numbers) Check() error {
	for name, v := range n {
		i := slices.IndexFunc(settings, func(s ladder.Setting) bool { return s.Name == name })
		switch {
		case i < 0:
			return refuse("unknown_setting", "There is no setting called %q.", name)
		case v < settings[i].Min || v > settings[i].Max:
			return refuse("out_of_range", "%s takes a whole number between %d and %d, not %d.", name, settings[i].Min, settings[i].Max, v)
		}
	}
	if n.of("back_misses") > n.of("back_of") {
		return refuse("order", "back_misses cannot be more than back_of.")
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
