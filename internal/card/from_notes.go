package card

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// rank orders the cautions of a card: what ends the day first, what only
// explains last.
type rank uint8

const (
	emergency rank = iota // an event and what to do about it
	stopNow               // the stop rules of everybody
	never                 // what hurts if done
	timed                 // what is looked at by the clock
	notToday              // what is left out today
	caring                // how to go about it
	everybody             // what holds for every student
	reminder              // good to know; first to move to the record
	silent                // on the card by another line, or in the record only
)

// noteLine is a note as the card says it. An empty text takes the note's own
// sentence.
type noteLine struct {
	rank  rank
	label string
	text  string
	// unless names gates whose own line on the card says the same.
	unless []string
}

// noteLines says how the notes of the standing table stand on a card. A note
// that is not listed is shown in its own words, after those that are. {side}
// is left or right.
var noteLines = map[string]noteLine{
	// stop
	"stop_always":          {stopNow, "Stop now for", "pain, white or numb skin, new weakness, headache, sight change, chest sign, head strike, long spasm", nil},
	"head_strike_hospital": {emergency, "Head strike", "patrol and hospital, no trial run", []string{"G12"}},
	"head_strike_patrol":   {silent, "", "", nil},
	"shunt_after_fall":     {emergency, "After a fall", "ask: headache, double sight? Either one: stop, patrol", nil},
	"ad_emergency":         {emergency, "", "Pounding headache, flushing, blurred sight: sit up, loosen everything, look for the cause, patrol", []string{"G9L"}},
	"neck_watch":           {emergency, "Neck", "pain, head tilt, new unsteadiness, pins and needles: stop, medical review", nil},
	"sugar_stop":           {emergency, "Odd or silent", "or shaky: stop and check sugar", nil},
	"seizure_stop":         {emergency, "Seizure", "clear the space, time it, follow the plan, patrol; the day ends", nil},
	"spasm_stop":           {silent, "", "", nil},
	"heart_stop":           {emergency, "", "Weakness within half an hour, chest sign or dark urine: stop, doctor", nil},
	"uncontrolled_run":     {stopNow, "No next run", "after two falls, a second tip wander, a run out of control or a gear fault", nil},

	// warn
	"tie_excludes_sidestep_herringbone_one_ski":        {never, "Tie on", "no sidestep, herringbone, skating, kick turn or one-ski slide", nil},
	"wedge_stored_with_tie":                            {reminder, "", "A wedge learned with the tie is written down \"with tie\"", nil},
	"tie_twists_both_legs":                             {caring, "A fall", "twists both tied legs: slower terrain, look at bindings after each", nil},
	"hip_overdue_level3":                               {silent, "", "", nil}, // the hold says it
	"hip_overdue_level4_5":                             {silent, "", "", nil},
	"no_spreading_force":                               {never, "Never", "push or pull the legs apart: in testing, in boots, on snow", nil},
	"fast_before_safe":                                 {caring, "", "Old habits make fast before safe: short slopes until the stop is sure", nil},
	"heat_before_lesson":                               {caring, "", "No fire, no warm hut, no heavy layers before the lesson", nil},
	"vision_may_blur_with_effort":                      {caring, "Sight", "may blur with effort: ask at each break", nil},
	"rest_does_not_always_restore":                     {caring, "", "Rest does not always bring the legs back: stop while it still looks good", nil},
	"booked_after_noon":                                {reminder, "", "Booked after noon: offer the first slot of the day", nil},
	"insight_poor_test_stop_word_daily":                {caring, "Stop word", "test it first thing today; own limits are judged too high", nil},
	"old_note_conflicts_with_test":                     {never, "Old note", "says weak; the test with hips level does not. Measure, then gear, then the person", nil},
	"old_aid_no_longer_needed":                         {caring, "Old tie", "is no longer asked for: take it off and look", nil},
	"latex_free_whole_lesson":                          {never, "Latex-free", "tie, grips, tape, gloves, the whole lesson", nil},
	"no_hard_landing":                                  {never, "", "No hard landings", nil},
	"feet_cannot_warn":                                 {silent, "", "", nil},
	"startle_quiet_start":                              {caring, "Start quiet", "one voice, no haste", nil},
	"tone_rises_with_cold_and_effort":                  {reminder, "", "Cold, effort, fear and excitement stiffen: warm, calm, short", nil},
	"binding_by_certified_technician":                  {everybody, "Binding", "set by a certified technician; never tightened to stop releases", nil},
	"binding_certified_technician_reset_after_plate":   {never, "Binding", "after the plate: certified technician before snow", nil},
	"fallback_no_technician_in_boot_only_easy_terrain": {never, "No technician", "today: lift inside the boot only, easy terrain only", nil},
	"no_locked_knees":                                  {never, "Never", "ski on a locked knee", nil},
	"no_lift_cannot_be_lowered":                        {never, "No lift today", "could not be lowered from a stopped one", nil},
	"lift_strapped_helper_both_sides":                  {never, "On the lift", "strapped, a helper on both sides", []string{"G4L"}},
	"sugar_before_lift":                                {timed, "Sugar", "checked before boarding; sugar that does not freeze in the pocket", []string{"G10"}},
	"short_runs_no_long_braking":                       {never, "Short runs", "no long braking; lift with care", []string{"G11L"}},
	"body_temperature_not_regulated":                   {caring, "Layers", "by the clock, not by feel: the body does not warm or cool itself well", nil},
	"blood_thinner_or_shunt_easy_slopes":               {never, "Slopes", "nothing steep, nothing icy", nil},
	"guide_one_voice":                                  {silent, "", "", nil}, // the plan says it
	"good_leg_carries_all":                             {caring, "One leg", "carries everything: chair on snow, frequent rests", nil},
	"one_ski_recent_injury":                            {never, "", "A recent injury and one leg to ski on: ask again before snow", nil},
	"stump_cold_and_impact":                            {timed, "Stump", "warm and dry; look at it at every rest", nil},
	"stop_on_word_too_slow":                            {never, "Slow stop", "keep a line on until the stop on word is sure", nil},
	"offer_sitting":                                    {reminder, "", "Offer sitting as a choice; try both in one week", nil},
	"split_standing":                                   {timed, "Split standing", "10 min on, 15 min off", nil},
	"reins_handler_signed_off":                         {never, "Reins", "signed-off hands only, never above hip height, never wrapped round a hand", nil},

	// check
	"feet_20_30min":              {everybody, "At 20-30 min", "feet, cuffs, knees, tie, outrigger length", nil},
	"tie_every_third_lesson":     {reminder, "", "Every third lesson: is the tie still needed?", nil},
	"legs_vs_baseline_each_run":  {timed, "Each run", "legs against this morning's baseline", nil},
	"vision_each_break":          {silent, "", "", nil}, // said with vision_may_blur_with_effort
	"placement_monthly":          {silent, "", "", nil},
	"cant_paper_test_after_lift": {reminder, "", "Paper test for cant again after the lift", nil},
	"growth_3cm":                 {silent, "", "", nil},
	"bindings_after_fall":        {everybody, "After a fall", "bindings, tie, head", nil},
	"morning_baseline":           {reminder, "Morning", "walking, standing and push against the baseline, 2 min", nil},
	"outriggers_trial_when_4_of_5_both_hands_at_one_level_up": {silent, "", "", nil},

	// do
	"spacer_last_on":                  {caring, "Spacer", "on last, off before the lodge", nil},
	"tie_latex_free":                  {silent, "", "", nil}, // said with latex_free_whole_lesson
	"liner_first":                     {reminder, "Boot", "liner on the foot first, toes flat, then the shell", nil},
	"strap_limp_leg":                  {caring, "", "Strap the limp leg to the good one; chair for rests", nil},
	"touch_consent":                   {reminder, "", "Ask before each touch", nil},
	"hand_to_sitting_lead":            {silent, "", "", nil},
	"wish_heard_but_function_decides": {silent, "", "", nil},
	"never_pull_left_arm":             {never, "Never", "pull or hold by the left arm", nil},
	"never_pull_right_arm":            {never, "Never", "pull or hold by the right arm", nil},
	"left_lift_goes_under_brace":      {caring, "Left lift", "goes under the brace; does the boot still close?", nil},
	"right_lift_goes_under_brace":     {caring, "Right lift", "goes under the brace; does the boot still close?", nil},
	"left_turns_before_after":         {silent, "", "", nil},
	"right_turns_before_after":        {silent, "", "", nil},
}

// leftOut names what is not done today in one or two words, for the line "Not
// today". An avoid note that is not listed is shown in its own words; an empty
// text is in the record only.
var leftOut = map[string]string{
	"standing_today": "", "skiing_today": "", // the hold says it
	"spacer_over_natural_gap": "spacer wider than the natural gap", "wedge": "wedge",
	"stretch_knees_apart_in_test_9": "", "spacer": "spacer", "tie": "tie", "tie_day_one": "tie on day one", "slider": "slider",
	"outriggers": "outriggers", "poles": "poles", "brace_in": "brace in the boot",
	"second_outrigger_strapped_to_left_hand":  "second outrigger on the left hand",
	"second_outrigger_strapped_to_right_hand": "second outrigger on the right hand",
	"side_bar_on_left":                        "side bar on the left", "side_bar_on_right": "side bar on the right",
	"cues_from_left": "cues from the left", "cues_from_right": "cues from the right",
	"binding_tightened": "", "slope_side_binding_change": "binding change at the slope",
	"weak_leg_drills": "weak-leg drills", "push_strength_scores_as_proof": "strong pushes as proof",
	"after_lunch_by_fire_slot": "a slot after lunch", "one_long_block": "one long block", "evaluate_fresh_only": "",
	"boot_heater": "", // said with the look at the feet
	"rubber_tie":  "rubber", "steep_or_icy": "", "locked_knees": "",
}

// indoorsToo are the cautions, beside the stop rules, that matter while the
// student is only met and evaluated.
var indoorsToo = map[string]bool{
	"never_pull_left_arm": true, "never_pull_right_arm": true, "no_spreading_force": true, "latex_free_whole_lesson": true,
	"startle_quiet_start": true, "heat_before_lesson": true, "rest_does_not_always_restore": true, "old_note_conflicts_with_test": true,
	"insight_poor_test_stop_word_daily": true, "touch_consent": true, "stump_cold_and_impact": true, "feet_cannot_warn": true,
	"stretch_knees_apart_in_test_9": true, "evaluate_fresh_only": true,
}

// gear are the words of leftOut that name an aid the answer does not ask for.
var gear = map[string]bool{"spacer": true, "slider": true, "tie": true}

// ranked is a caution with its place.
type ranked struct {
	rank
	Line
}

// cautions lists every caution of the answer, most urgent first, and how many
// of them say what ends the day, hurts if done or goes by the clock. Lines that say the
// same are told once. Where nobody goes on snow, only what holds indoors too is
// said.
func (m maker) cautions(hold *Hold) (lines []Line, must int) {
	var all []ranked
	gates := map[string]bool{}
	for _, g := range m.a.Gates {
		if g.Card == "" || g.Open || g.Cleared || g.Effect != "none_with_rules" {
			continue
		}
		gates[g.ID] = true
		for _, l := range linesOf(g.Card) {
			all = append(all, ranked{emergency, l})
		}
	}
	var out []string
	indoors := hold != nil && hold.Kind == NoSkiing
	for _, n := range m.a.Notes {
		if indoors && n.Kind != "stop" && !indoorsToo[n.Code] {
			continue
		}
		if n.Kind == "avoid" {
			if text, known := leftOut[n.Code]; !known {
				for _, l := range linesOf("Not today: " + lower(n.Say)) {
					all = append(all, ranked{notToday, l})
				}
			} else if text != "" && !slices.Contains(out, text) {
				out = append(out, text)
			}
			continue
		}
		all = append(all, m.note(n.Code, n.Kind, n.Say, gates)...)
	}
	// Gear that nobody would reach for anyway stands last, where there is room.
	slices.SortStableFunc(out, func(a, b string) int { return btoi(gear[a]) - btoi(gear[b]) })
	for i, text := range joined(out, mostText) {
		all = append(all, ranked{[]rank{notToday, reminder}[min(i, 1)], Line{Label: "Not today", Text: text}})
	}
	if m.a.Numbers.FeetCheckMin != nil && !indoors && m.has("feet_cannot_warn") {
		text := "look at both feet, do not ask; cuff and strap too"
		if m.has("boot_heater") {
			text += "; no boot heaters"
		}
		all = append(all, ranked{timed, Line{Label: "Every " + whole(*m.a.Numbers.FeetCheckMin) + " min", Text: text}})
	}
	slices.SortStableFunc(all, func(a, b ranked) int { return int(a.rank) - int(b.rank) })
	for _, r := range all {
		if r.rank != silent && !slices.Contains(lines, r.Line) {
			lines = append(lines, r.Line)
			if r.rank <= timed {
				must++
			}
		}
	}
	return lines, must
}

// note turns one note into lines of the card.
func (m maker) note(code, kind, say string, gates map[string]bool) []ranked {
	nl, known := noteLines[code]
	switch {
	case !known && strings.HasPrefix(code, "feet_looked_at_every_"):
		return nil // said as a line with the minutes
	case !known:
		r := map[string]rank{"stop": stopNow, "warn": never, "check": timed, "do": caring}[kind]
		var out []ranked
		for _, l := range linesOf(say) {
			out = append(out, ranked{r, l})
		}
		return out
	case nl.rank == silent || slices.ContainsFunc(nl.unless, func(g string) bool { return gates[g] }):
		return nil
	}
	return []ranked{{nl.rank, Line{Label: nl.label, Text: nl.text}}}
}

// linesOf fits a sentence onto the card: what stands before its first colon
// becomes the label where it is short, and what is too long is broken at the
// end of a clause. A sentence that names a condition is left to the record.
func linesOf(say string) []Line {
	say = strings.TrimSuffix(strings.TrimSpace(say), ".")
	if DiagnosisIn(say) != "" {
		return []Line{{Label: "Caution", Text: inRecord}}
	}
	label, text, ok := strings.Cut(say, ": ")
	if !ok || utf8.RuneCountInString(label) > mostLabel {
		label, text = "", say
	}
	var out []Line
	for _, part := range clauses(text, mostText) {
		out = append(out, Line{Label: label, Text: part})
		label = ""
	}
	return out
}

// clauses breaks a text into pieces of at most most characters, at the end of
// a clause where there is one, else between words.
func clauses(text string, most int) []string {
	var out []string
	for utf8.RuneCountInString(text) > most {
		head := string([]rune(text)[:most])
		cut := -1
		for _, end := range []string{". ", "; ", ": ", ", ", " "} {
			if i := strings.LastIndex(head, end); i > 0 {
				cut = i + len(end)
				break
			}
		}
		if cut < 0 {
			cut = len(head)
		}
		out = append(out, strings.TrimSpace(text[:cut]))
		text = strings.TrimSpace(text[cut:])
	}
	return append(out, text)
}

// joined strings words together into as few texts of at most most characters
// as there must be.
func joined(words []string, most int) []string {
	var out []string
	for _, w := range words {
		if n := len(out); n > 0 && utf8.RuneCountInString(out[n-1])+2+utf8.RuneCountInString(w) <= most {
			out[n-1] += ", " + w
			continue
		}
		out = append(out, shorten(w, most))
	}
	return out
}
