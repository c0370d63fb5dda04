package programme

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"firnhand/core/body"
	"firnhand/core/finding"
)

// MeasureKind is one thing that is measured on a person or their gear, for
// body, fit and stance: a number with a unit, or one of a few words.
type MeasureKind struct {
	Key   string // "wrist_crease_boots_mm"; the unit of a number is its end
	Label string
	Means string // how it is taken
	Sided bool   // the student's left and right apart
	// Low and High are limits of entry, beyond which a slip of the pen is more
	// likely than a person.
	Low, High float64
	Levels    []MeasureLevel // nil for a number
	Topic     string         // the id of one of MeasureTopics
}

// MeasureLevel is one word that a measure takes.
type MeasureLevel struct{ ID, Label string }

// Unit returns the unit of a number, "" for a measure in words.
func (k MeasureKind) Unit() string {
	if k.Levels != nil {
		return ""
	}
	return k.Key[strings.LastIndex(k.Key, "_")+1:]
}

// MeasureTopic is what is measured in one go.
type MeasureTopic struct{ ID, Title, How string }

// MeasureTopics lists the topics in the order of the work.
var MeasureTopics = []MeasureTopic{
	{"scales", "Bathroom scales", "Weighed as the student is written down: barefoot, nothing in the hands, a scale under each foot, looking ahead. Then the most that one leg, and one arm pushing down, puts on a scale while the student stays upright beside a rail."},
	{"stance", "Stance", "In boots on skis on the flat, in the stance of the straight run, with an angle gauge from the side."},
	{"hands", "Hands, handles and runners", "In boots on skis, arms hanging or hands where they ski, shoulders level."},
	{"limbs", "Limbs that end early, prostheses", "Ask, and measure the residual limb from the joint above to its end, without liner. A prosthesis is weighed with its liner."},
	{"lengths", "Heights and lengths", "Barefoot on the floor, standing upright; with a contracture as far as the student stands."},
	{"gear", "Weight and height of the gear", "Weigh what is on the feet and in the hands."},
	{"boots", "Boots, bare shell", "Bare foot in the bare shell, toes touching the front, then the liner on the foot."},
}

func yesNo() []MeasureLevel { return []MeasureLevel{{"yes", "Yes"}, {"no", "No"}} }

func levelsOf(arm bool) []MeasureLevel {
	out := []MeasureLevel{{"whole", "Whole"}}
	words := map[body.Level]string{body.AtFoot: "Through the ankle", body.Transtibial: "Below the knee", body.AtKnee: "Through the knee", body.Transfemoral: "Above the knee",
		body.AtHip: "Through the hip", body.AtHand: "Through the wrist", body.Transradial: "Below the elbow", body.AtElbow: "Through the elbow", body.Transhumeral: "Above the elbow", body.AtShoulder: "Through the shoulder"}
	for _, l := range body.Levels() {
		if l.Arm() == arm {
			out = append(out, MeasureLevel{string(l), words[l]})
		}
	}
	return out
}

// measureKinds are listed in the order in which they are asked.
var measureKinds = []MeasureKind{
	{Key: "scale_kg", Label: "Scale under the foot", Means: "what a bathroom scale shows under the foot, standing on two", Sided: true, High: 300, Topic: "scales"},
	{Key: "scale_hands", Label: "Did the hands rest on something?", Means: "hands rested on something while on the two scales", Levels: yesNo(), Topic: "scales"},
	{Key: "scale_error_kg", Label: "Error of one scale", Means: "how far off one bathroom scale may be", Low: 0.05, High: 10, Topic: "scales"},
	{Key: "leg_most_kg", Label: "Most that the leg puts on a scale", Means: "most that one leg puts on a scale, held for a few seconds", Sided: true, High: 300, Topic: "scales"},
	{Key: "arm_most_kg", Label: "Most that the arm pushes down", Means: "most that one arm pushes down on a scale, held for a few seconds", Sided: true, High: 150, Topic: "scales"},

	{Key: "stance_width_mm", Label: "Between the middles of the two feet", Means: "between the middles of the two feet", High: 1200, Topic: "stance"},
	{Key: "stance_ankle_deg", Label: "Shin ahead of the vertical", Means: "shank ahead of the vertical in the boot", Sided: true, Low: -20, High: 45, Topic: "stance"},
	{Key: "stance_knee_deg", Label: "Bend of the knee", Means: "bend of the knee in the straight-run stance", Sided: true, Low: -30, High: 120, Topic: "stance"},
	{Key: "stance_trunk_deg", Label: "Trunk ahead of the vertical", Means: "trunk ahead of the vertical", Low: -30, High: 90, Topic: "stance"},

	{Key: "wrist_crease_boots_mm", Label: "Wrist crease over the snow", Means: "wrist crease over the snow, in boots on skis, in the skiing stance, arm hanging", Sided: true, Low: 150, High: 1500, Topic: "hands"},
	{Key: "wrist_crease_barefoot_mm", Label: "Wrist crease over the floor, barefoot", Means: "wrist crease over the floor, barefoot, upright, arm hanging", Sided: true, Low: 150, High: 1400, Topic: "hands"},
	{Key: "runner_ahead_mm", Label: "Outrigger runner ahead of the toe piece", Means: "outrigger runner ahead of the toe piece", Sided: true, Low: -500, High: 800, Topic: "hands"},
	{Key: "runner_outside_mm", Label: "Outrigger runner outside the ski", Means: "outrigger runner outside the ski", Sided: true, High: 800, Topic: "hands"},
	{Key: "hand_ahead_mm", Label: "Handle ahead of the shoulder", Means: "handle ahead of the shoulder centre in the stance", Sided: true, Low: -400, High: 800, Topic: "hands"},
	{Key: "hand_outside_mm", Label: "Handle outside the shoulder", Means: "handle outside the shoulder centre in the stance", Sided: true, Low: -400, High: 800, Topic: "hands"},
	{Key: "hinge_height_mm", Label: "Hinge of the outrigger's runner over the snow", Means: "hinge of the outrigger's runner over the snow", High: 300, Topic: "hands"},
	{Key: "hinge_most_deg", Label: "Most tilt the hinge takes", Means: "most tilt of the shaft the hinge takes with the runner flat", High: 90, Topic: "hands"},
	{Key: "handle_now_mm", Label: "Handle over the snow, as it is set now", Means: "handle height over the snow as set now", Sided: true, Low: 150, High: 1500, Topic: "hands"},

	{Key: "leg_level", Label: "Where the leg ends", Means: "level of a leg that ends early", Sided: true, Levels: levelsOf(false), Topic: "limbs"},
	{Key: "leg_residual_mm", Label: "What remains of the cut thigh or shin", Means: "length of what remains of the cut thigh or shank, from the joint above", Sided: true, Low: 1, High: 900, Topic: "limbs"},
	{Key: "leg_prosthesis", Label: "Is a leg prosthesis worn on snow?", Means: "a leg prosthesis is worn on snow", Sided: true, Levels: yesNo(), Topic: "limbs"},
	{Key: "leg_prosthesis_kg", Label: "Weight of the leg prosthesis", Means: "mass of the leg prosthesis", Sided: true, High: 20, Topic: "limbs"},
	{Key: "leg_prosthesis_balance_mm", Label: "Where the leg prosthesis balances, from its sole", Means: "where the leg prosthesis balances on a finger, from its sole", Sided: true, High: 1500, Topic: "limbs"},
	{Key: "arm_level", Label: "Where the arm ends", Means: "level of an arm that ends early", Sided: true, Levels: levelsOf(true), Topic: "limbs"},
	{Key: "arm_residual_mm", Label: "What remains of the cut upper arm or forearm", Means: "length of what remains of the cut upper arm or forearm, from the joint above", Sided: true, Low: 1, High: 900, Topic: "limbs"},
	{Key: "arm_prosthesis", Label: "Is an arm prosthesis worn on snow?", Means: "an arm prosthesis is worn on snow", Sided: true, Levels: yesNo(), Topic: "limbs"},
	{Key: "arm_prosthesis_kg", Label: "Weight of the arm prosthesis", Means: "mass of the arm prosthesis", Sided: true, High: 20, Topic: "limbs"},
	{Key: "arm_prosthesis_balance_mm", Label: "Where the arm prosthesis balances, from its fingertips", Means: "where the arm prosthesis balances on a finger, from its far end", Sided: true, High: 1500, Topic: "limbs"},
	{Key: "weighed_with_prosthesis", Label: "Was the student weighed with prostheses?", Means: "the body mass includes the prostheses", Levels: yesNo(), Topic: "limbs"},

	{Key: "body_table", Label: "Which body tables fit?", Means: "which body tables are used; the mean of both where it is not said", Levels: []MeasureLevel{{"F", "Women's"}, {"M", "Men's"}}, Topic: "lengths"},
	{Key: "upper_arm_mm", Label: "Shoulder edge to elbow", Means: "bony edge of the shoulder to the outer bone of the elbow", Sided: true, Low: 60, High: 600, Topic: "lengths"},
	{Key: "forearm_mm", Label: "Elbow to wrist bone", Means: "outer bone of the elbow to the wrist bone", Sided: true, Low: 50, High: 500, Topic: "lengths"},
	{Key: "forearm_grip_mm", Label: "Elbow to the middle of the fist", Means: "outer bone of the elbow to the middle of the fist", Sided: true, Low: 60, High: 600, Topic: "lengths"},
	{Key: "hand_length_mm", Label: "Wrist crease to fingertip", Means: "wrist crease to fingertip", Sided: true, Low: 30, High: 300, Topic: "lengths"},
	{Key: "hip_breadth_mm", Label: "Breadth of the hips", Means: "breadth of the hips, standing, clothed as on snow", Low: 100, High: 900, Topic: "lengths"},
	{Key: "shoulder_width_mm", Label: "Breadth of the shoulders", Means: "bony edge to bony edge of the shoulders", Low: 100, High: 700, Topic: "lengths"},
	{Key: "ankle_height_mm", Label: "Ankle over the floor", Means: "middle of the outer ankle bone over the floor", Low: 20, High: 200, Topic: "lengths"},
	{Key: "knee_height_mm", Label: "Knee over the floor", Means: "outer bone of the knee over the floor", Low: 80, High: 900, Topic: "lengths"},
	{Key: "hip_height_mm", Label: "Hip bone over the floor", Means: "top of the greater trochanter over the floor", Low: 150, High: 1500, Topic: "lengths"},
	{Key: "shoulder_height_mm", Label: "Shoulder edge over the floor", Means: "bony edge of the shoulder over the floor", Low: 250, High: 2200, Topic: "lengths"},
	{Key: "neck_height_mm", Label: "Base of the neck over the floor", Means: "bone at the base of the neck over the floor", Low: 300, High: 2300, Topic: "lengths"},
	{Key: "foot_length_mm", Label: "Length of the foot", Means: "heel to longest toe", Low: 60, High: 450, Topic: "lengths"},
	{Key: "reading_error_mm", Label: "How far off one reading may be", Means: "how far off one reading may be", Low: 0.5, High: 100, Topic: "lengths"},

	{Key: "boot_ski_lift_mm", Label: "Sole of the foot over the snow", Means: "sole of the foot over the snow in boots on skis", High: 200, Topic: "gear"},
	{Key: "boots_kg", Label: "Both boots", Means: "both boots together", High: 30, Topic: "gear"},
	{Key: "skis_kg", Label: "Both skis with bindings", Means: "both skis with bindings together", High: 40, Topic: "gear"},
	{Key: "outrigger_kg", Label: "Outrigger", Means: "one outrigger", Sided: true, High: 10, Topic: "gear"},

	{Key: "shell_gap_mm", Label: "Room behind the heel", Means: "room behind the heel in the bare shell, toes touching", Sided: true, High: 80, Topic: "boots"},
	{Key: "toes_touch", Label: "Do the toes touch the front?", Means: "toes touch the front of the bare shell", Sided: true, Levels: yesNo(), Topic: "boots"},
	{Key: "toes_flat", Label: "Do the toes lie flat?", Means: "toes lie flat in the liner", Sided: true, Levels: yesNo(), Topic: "boots"},
	{Key: "closes", Label: "Does the boot close?", Means: "boot closes over foot and brace", Sided: true, Levels: yesNo(), Topic: "boots"},
	{Key: "hot_spot", Label: "Is there a spot that hurts or stays red?", Means: "a spot that hurts or stays red", Sided: true, Levels: yesNo(), Topic: "boots"},
	{Key: "flexible_leg", Label: "Does the leg's shape follow the hand?", Means: "leg shape follows the hand", Sided: true, Levels: yesNo(), Topic: "boots"},
	{Key: "cant_deg", Label: "Angle of the gap under the edge", Means: "angle of the gap under the edge, thick side inside positive", Sided: true, Low: -15, High: 15, Topic: "boots"},
}

// MeasureKinds lists everything that can be measured, in the order in which it
// is asked.
func MeasureKinds() []MeasureKind { return slices.Clone(measureKinds) }

// MeasureKindOf finds a measure by its key.
func MeasureKindOf(key string) (MeasureKind, bool) {
	i := slices.IndexFunc(measureKinds, func(k MeasureKind) bool { return k.Key == key })
	if i < 0 {
		return MeasureKind{}, false
	}
	return measureKinds[i], true
}

// MeasureKey names one value.
type MeasureKey struct {
	Measure string `json:"measure"` // key of a MeasureKind
	Side    string `json:"side"`    // "none", "left" or "right", always the student's
}

// Measures are measured values as they are written: "815", "yes",
// "transtibial".
type Measures map[MeasureKey]string

// Word returns a value as it is written; "" where there is none.
func (m Measures) Word(key string, s finding.Side) string { return m[MeasureKey{key, sideWord(s)}] }

// Number returns a number in the unit of its key.
func (m Measures) Number(key string, s finding.Side) (float64, bool) {
	v, err := strconv.ParseFloat(m.Word(key, s), 64)
	return v, err == nil
}

// Yes returns an answer; nil where nobody looked.
func (m Measures) Yes(key string, s finding.Side) *bool {
	switch m.Word(key, s) {
	case "yes":
		v := true
		return &v
	case "no":
		v := false
		return &v
	}
	return nil
}

// Set puts in a number.
func (m Measures) Set(key string, s finding.Side, v float64) {
	m[MeasureKey{key, sideWord(s)}] = finding.FormatNumber(v)
}

// Parse reads one value of a kind as it is typed, and returns it as it is
// written. "unknown" and "" give "": the measure is then not known.
func (k MeasureKind) Parse(text string) (string, error) {
	text = strings.TrimSpace(text)
	if text == "" || strings.EqualFold(text, "unknown") {
		return "", nil
	}
	if k.Levels != nil {
		for _, l := range k.Levels {
			if strings.EqualFold(l.ID, text) {
				return l.ID, nil
			}
		}
		words := make([]string, len(k.Levels))
		for i, l := range k.Levels {
			words[i] = l.ID
		}
		return "", Refuse(CodeInvalid, "%s: %s is not one of %s.", k.Label, clip(text), strings.Join(words, ", "))
	}
	unit := k.Unit()
	number := strings.TrimSpace(strings.TrimSuffix(text, unit))
	if unit == "deg" {
		number = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(number, "degrees"), "°"))
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(number, ",", "."), 64)
	switch {
	case err != nil || math.IsNaN(v) || math.IsInf(v, 0):
		return "", Refuse(CodeInvalid, "%s: %q is not a number in %s.", k.Label, clip(text), unitWord(unit))
	case v < k.Low || v > k.High:
		return "", Refuse(CodeInvalid, "%s: %s %s cannot be right; it lies between %s and %s. Check the unit.", k.Label, finding.FormatNumber(v), unitWord(unit),
			finding.FormatNumber(k.Low), finding.FormatNumber(k.High))
	}
	return finding.FormatNumber(v), nil
}

func unitWord(unit string) string {
	if unit == "deg" {
		return "degrees"
	}
	return unit
}

// Says writes a value for people: "815 mm", "Below the knee".
func (k MeasureKind) Says(value string) string {
	if value == "" {
		return "not known"
	}
	for _, l := range k.Levels {
		if l.ID == value {
			return l.Label
		}
	}
	if u := k.Unit(); u != "" {
		return value + " " + unitWord(u)
	}
	return value
}
