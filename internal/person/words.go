package person

import (
	"strconv"
	"strings"

	"firnhand/core/finding"
)

// An alias is another spelling that the trade uses for a finding.
type alias struct {
	to     string            // id of the finding
	values map[string]string // what is written -> what is meant; words not listed are taken as they are
	years  bool              // written in years, meant in months
	flip   bool              // yes means no
}

// aliases lists the everyday spellings. docs/reference/person-file.md repeats
// them, and a test compares the two.
var aliases = map[string]alias{
	// Intake and gates.
	"age":                   {to: "age_years"},
	"weight_kg":             {to: "mass_kg"},
	"boot_sole":             {to: "boot_sole_mm"},
	"lessons":               {to: "lessons_before"},
	"downs":                 {to: "down_syndrome"},
	"aai_exam":              {to: "neck_exam"},
	"neck_examination":      {to: "neck_exam"},
	"neck_signs":            {to: "neck_sign", values: signs},
	"aai_signs":             {to: "neck_sign", values: signs},
	"shunt_signs":           {to: "shunt_sign", values: signs},
	"surgery_12m":           {to: "recent_injury"},
	"injury_12m":            {to: "recent_injury"},
	"operation_12m":         {to: "recent_injury"},
	"stroke_months":         {to: "event_months"},
	"stroke_years":          {to: "event_months", years: true},
	"tbi_months":            {to: "event_months"},
	"tbi_years":             {to: "event_months", years: true},
	"event_years":           {to: "event_months", years: true},
	"physician_ok":          {to: "release_letter"},
	"physician_release":     {to: "release_letter"},
	"doctor_ok":             {to: "release_letter"},
	"seizure_free_years":    {to: "seizure_free_months", years: true},
	"neurologist_letter":    {to: "seizure_letter"},
	"open_sore":             {to: "open_skin"},
	"open_wound":            {to: "open_skin"},
	"skin":                  {to: "open_skin", values: map[string]string{"intact": "no", "whole": "no", "fine": "no", "clear": "no", "open": "yes", "broken": "yes", "sore": "yes"}},
	"osteoporosis":          {to: "fragile_bone"},
	"brittle_bone":          {to: "fragile_bone"},
	"bone_specialist_ok":    {to: "bone_letter"},
	"gmfcs":                 {to: "gross_motor_level"},
	"hip_film_months":       {to: "hip_check_months"},
	"surgeon_ok":            {to: "hip_surgeon_word"},
	"surgeon_word":          {to: "hip_surgeon_word"},
	"lost_standing":         {to: "standing_loss"},
	"cardiac_symptom":       {to: "heart_symptom"},
	"cord_level":            {to: "cord_injury"},
	"cord_injury_level":     {to: "cord_injury"},
	"ad_card":               {to: "ad_plan"},
	"ad_signs":              {to: "ad_sign", values: signs},
	"diabetes_insulin":      {to: "insulin"},
	"sugar":                 {to: "sugar_today"},
	"muscular_dystrophy":    {to: "muscle_disease"},
	"cardiac_review_months": {to: "heart_review_months"},
	"cardiologist_months":   {to: "heart_review_months"},
	"anticoagulant":         {to: "blood_thinner"},
	"blood_thinners":        {to: "blood_thinner"},
	"botox_months":          {to: "botulinum_months"},
	"stable":                {to: "progressive", flip: true},
	"changing":              {to: "progressive"},
	"helmet":                {to: "helmet_possible"},
	"runs_away":             {to: "runs_off"},
	"latex":                 {to: "latex_allergy"},
	"multiple_sclerosis":    {to: "heat_sensitive"},
	"vision_today":          {to: "vision_loss_new", values: map[string]string{"clear": "no", "as_usual": "no", "usual": "no", "same": "no", "lost": "yes", "new_loss": "yes", "worse": "yes"}},
	"raynaud":               {to: "poor_circulation"},
	"technician":            {to: "technician_available"},
	"snow":                  {to: "snow_today"},

	// Tests.
	"walking":           {to: "gait"},
	"standing_s":        {to: "stand_s"},
	"one_leg_reps":      {to: "one_leg_bends"},
	"knees":             {to: "knee_path"},
	"braces":            {to: "brace"},
	"foot_correctable":  {to: "foot_corrects"},
	"ankle":             {to: "ankle_deg"},
	"toe_in":            {to: "toe_in_alone"},
	"scissoring":        {to: "scissor"},
	"strong_spasm":      {to: "spasm_strong"},
	"boot_gap_mm":       {to: "natural_boot_gap_mm"},
	"natural_gap_mm":    {to: "natural_boot_gap_mm"},
	"shoulder":          {to: "shoulder_weak", values: map[string]string{"painful": "yes", "loose": "yes", "half_out": "yes", "fine": "no", "strong": "no"}},
	"place":             {to: "place_of5"},
	"placement":         {to: "place_of5"},
	"balance_kept":      {to: "balance_lost_lifting_one", flip: true},
	"feeling":           {to: "sensation"},
	"vision":            {to: "vision_fades", values: map[string]string{"clear": "no", "steady": "no", "doubles_when_tired": "yes", "blurs_when_tired": "yes", "fades_when_tired": "yes", "blurs_when_warm": "yes"}},
	"sight_m":           {to: "vision_m"},
	"field_cut":         {to: "field_gap"},
	"upright_min":       {to: "endurance_min"},
	"best_cue":          {to: "cue"},
	"failing_cue":       {to: "cue_fails"},
	"stop_signal":       {to: "stop_word"},
	"head_holds":        {to: "head_holds_helmet"},
	"sits_without_pain": {to: "sitting_painless"},
}

var signs = map[string]string{"none": "no", "any": "yes"}

// valueWords are further words for the values of some findings.
var valueWords = map[string]map[string]string{
	"waiver":       {"yes": "valid", "signed": "valid", "no": "missing", "none": "missing"},
	"ad_plan":      {"on_card": "yes", "on_file": "yes", "none": "no"},
	"neck_exam":    {"on_file": "yes", "done": "yes", "none": "no"},
	"cord_injury":  {"no": "none"},
	"gait":         {"0": "W0", "1": "W1", "2": "W2", "3": "W3", "4": "W4", "5": "W5"},
	"load_test":    {"pass": "yes", "passes": "yes", "fail": "no", "fails": "no"},
	"leg":          {"normal": "whole", "missing": "absent", "none": "absent", "below_knee_prosthesis": "below_knee", "above_knee_prosthesis": "above_knee"},
	"brace":        {"no": "none", "afo": "ankle", "afo_hinged": "ankle", "afo_rigid": "ankle", "hinged": "ankle", "rigid": "ankle", "hinged_ankle": "ankle", "rigid_ankle": "ankle", "kafo": "long_locked", "kafo_locked": "long_locked", "long_leg_locked": "long_locked"},
	"toe_in_alone": {"alone": "yes", "drag": "drags"},
	"scissor":      {"no": "none", "when_excited": "excited", "when_tired": "excited"},
	"sensation":    {"normal": "full"},
	"startle":      {"no": "none"},
	"field_gap":    {"no": "none"},
	"deaf_side":    {"no": "none"},
}

// painful are the findings for which any words but no, none and unknown mean
// yes; the words are kept as a note.
var painful = map[string]bool{"hip_pain": true, "load_pain": true}

// remarks are keys that are kept as a note: people want them, no rule reads
// them.
var remarks = map[string]string{
	"bladder_plan":           "Bladder plan",
	"leg_length_followed_by": "Leg length followed by",
	"condition":              "Condition, in the student's words",
	"diagnosis":              "Condition, in the student's words",
	"event":                  "What happened",
	"medicines":              "Medicines",
	"tone":                   "Tone",
	"sway":                   "Sway",
	"buckle_s":               "Seconds until a knee buckled",
}

// lateralWords are the four pushes as the trade writes them.
var lateralWords = map[string]struct {
	out  bool
	side finding.Side
}{
	"LO": {true, finding.Left}, "LI": {false, finding.Left}, "RO": {true, finding.Right}, "RI": {false, finding.Right},
}

// laterals names the findings behind each form of the push test.
var laterals = map[string][2]string{ // out, in
	"lateral":          {"push_out", "push_in"},
	"lateral_on_block": {"push_out", "push_in"},
	"lateral_flat":     {"push_out_flat", "push_in_flat"},
}

// kneeWords splits "controlled_knees_in" into the two findings it holds.
func kneeWords(text string) (bend, path string, ok bool) {
	bend, path, ok = strings.Cut(text, "_knees_")
	return bend, path, ok
}

// meant returns the text that the vocabulary reads for what was written for a
// finding, and words to keep as a note.
func meant(d *finding.Def, a alias, written string) (text, keep string) {
	low := strings.ToLower(written)
	word := strings.ReplaceAll(low, " ", "_")
	if v, ok := a.values[word]; ok {
		return v, ""
	}
	if v, ok := valueWords[d.ID][word]; ok {
		return v, ""
	}
	switch low {
	case "n/a":
		return "na", ""
	case "", "unknown", "na":
		return low, ""
	}
	switch d.Scale {
	case finding.Text:
		return written, ""
	case finding.Number:
		if a.years {
			return years(written), ""
		}
		return capped(d, written), ""
	}
	if d.ID == "load_test" {
		if v := loaded(low); v != "" {
			return v, ""
		}
	}
	if d.ID == "cord_injury" {
		if v := cordLevel(low); v != "" {
			return v, ""
		}
	}
	text = levelMeant(d, word, written)
	if a.flip {
		switch text {
		case "yes":
			return "no", ""
		case "no":
			return "yes", ""
		}
	}
	if painful[d.ID] && text != "yes" && text != "no" {
		if low == "none" {
			return "no", ""
		}
		return "yes", written
	}
	return text, ""
}

// levelMeant finds a level by its label, true and false among yes and no, and
// L and R among sides.
func levelMeant(d *finding.Def, word, written string) string {
	for _, l := range d.Levels {
		if strings.EqualFold(l.ID, written) {
			return l.ID
		}
	}
	same := ""
	for _, l := range d.Levels {
		if strings.ReplaceAll(strings.ToLower(l.Label), " ", "_") == word {
			same = l.ID
		}
	}
	if same != "" {
		return same
	}
	swap := map[string]string{"true": "yes", "false": "no"}
	if d.SideValue {
		swap = map[string]string{"l": "left", "r": "right"}
	}
	if s, ok := swap[word]; ok {
		return s
	}
	return written
}

// capped reads "60+" where 60 is as far as the finding counts.
func capped(d *finding.Def, written string) string {
	if n, ok := strings.CutSuffix(written, "+"); ok && strings.TrimSpace(n) == finding.FormatNumber(d.Max) {
		return n
	}
	return written
}

// loadSeconds is how long the load test lasts (trade's sequence, test 3: ski
// stance for 2 minutes).
const loadSeconds = 120

// loaded reads the load test written as the seconds that were held.
func loaded(low string) string {
	n, err := strconv.Atoi(strings.TrimSpace(strings.TrimSuffix(low, "s")))
	switch {
	case err != nil || n < 0 || n > 3600:
		return ""
	case n >= loadSeconds:
		return "yes"
	}
	return "no"
}

// years turns "4", "1.5" or "4 years" into months; anything else stays as it
// is for the vocabulary to refuse.
func years(text string) string {
	t := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "years"))
	x, err := strconv.ParseFloat(t, 64)
	if err != nil {
		return text
	}
	return strconv.FormatFloat(x*12, 'f', -1, 64) // exact: months of a year
}

// cordLevel reads a level of the spine such as T4, l1 or T6_incomplete.
func cordLevel(low string) string {
	if i := strings.IndexAny(low, " _,"); i > 0 {
		low = low[:i]
	}
	if len(low) < 2 {
		return ""
	}
	n, err := strconv.Atoi(low[1:])
	if err != nil || n < 1 {
		return ""
	}
	switch {
	case low[0] == 'c' && n <= 8, low[0] == 't' && n <= 6:
		return "T6_or_above"
	case low[0] == 't' && n <= 10:
		return "T7_to_T10"
	case low[0] == 't' && n <= 12, low[0] == 'l' && n <= 5, low[0] == 's' && n <= 5:
		return "below_T10"
	}
	return ""
}
