package decide

import (
	"strings"
	"testing"
)

// People for the gates of trade A2 and A3.
var gatePeople = []invented{
	{"Lena, 12, Down syndrome, neck sign", `
		down_syndrome yes
		neck_exam yes
		neck_sign yes`, `
		gate = hold             # G1: any neck sign [S13][S24]
		gate G1 = hold
		plan = PL-H             # PL-H: meet, tour, evaluation only
		terrain = no_snow
		avoid skiing_today
		stop neck_watch`},
	{"Lena without the sign", `
		down_syndrome yes
		neck_exam yes`, `
		gate = none             # G1: examination on file, no sign
		stop neck_watch         # A2: those signs stop the day [S24]
		plan = PL-A`},
	{"Lena without the examination", `
		down_syndrome yes
		neck_exam no`, `
		gate = hold             # G1: no examination on file
		gate G1 = hold`},
	{"Tomas, 10, shunt two months after surgery", `
		shunt yes
		shunt_surgery_months 2`, `
		gate = hold             # G2: surgery under 3 months [P]
		gate G2 = hold
		plan = PL-H`},
	{"Tomas a year later", `
		shunt yes
		shunt_surgery_months 14`, `
		gate = none             # G2
		stop shunt_after_fall   # A2: after a fall ask about headache and double vision [S6]
		warn blood_thinner_or_shunt_easy_slopes # X13
		avoid steep_or_icy`},
	{"Tomas with a headache", `
		shunt yes
		shunt_surgery_months 14
		shunt_sign yes`, `
		gate = hold             # G2: any sign [S32]`},
	{"Ines, 11, spina bifida, elastic tie", `
		age_years 11
		spina_bifida yes
		gait W3
		stand_s 8
		push_out LR 2
		push_in LR 3
		sensation LR none
		wish standing`, `
		gate = none
		way = outriggers        # D4: W3, arms good
		way by D4
		tie = elastic           # T1: lowest push 2
		do tie_latex_free       # T6: latex-free also without a known allergy
		warn latex_free_whole_lesson # A2 [S33]
		avoid rubber_tie        # X11
		avoid boot_heater       # X12
		warn no_hard_landing    # A2 [S6]
		warn feet_cannot_warn   # A2: feet that cannot feel are looked at
		check feet_looked_at_every_30_min # E7 [P]
		wind_chill_stop_c = -15 # E7 [P]
		reins = none_at_start
		check growth_3cm`},
	{"Omar, 34, cord injury T5, walks on crutches", `
		cord_injury T6_or_above
		ad_plan yes
		gait W3
		stand_s 15`, `
		gate = none_with_rules  # G9: plan on the card [S25]
		gate G9L = none_with_rules
		stop ad_emergency       # A2 [S25b]
		warn body_temperature_not_regulated # A2 [S50]
		way = outriggers        # D4
		plan = PL-B`},
	{"Omar without his plan", `
		cord_injury T6_or_above
		ad_plan no`, `
		gate = hold             # G9
		gate G9 = hold`},
	{"Omar with a pounding headache", `
		cord_injury T6_or_above
		ad_plan yes
		ad_sign yes`, `
		gate = hold             # A2: emergency
		gate G9S = hold`},
	{"Vera, 40, cord injury T8, no plan on file", `
		cord_injury T7_to_T10
		ad_plan no`, `
		gate = none_with_rules  # A2: occasional at T7-T10 [S25b], so said but not held
		stop ad_emergency`},
	{"Piet, 16, muscular dystrophy, heart seen 5 months ago", `
		age_years 16
		muscle_disease yes
		heart_review_months 5`, `
		gate = none_with_rules  # G11: reviewed; the limit stays
		gate G11L = none_with_rules
		warn short_runs_no_long_braking # A2 [S36]
		warn offer_sitting      # B4: dystrophy
		stop heart_stop`},
	{"Piet, heart seen 13 months ago", `
		muscle_disease yes
		heart_review_months 13`, `
		gate = hold             # G11: within 12 months [P]`},
	{"Piet, heart never seen", `
		muscle_disease yes`, `
		gate = hold             # G11`},
	{"Piet after a hard lesson", `
		muscle_disease yes
		heart_review_months 5
		muscle_overwork_sign yes`, `
		gate = hold             # A2: pain a day after the last session [S36b]
		gate G11S = hold`},
	{"Ada, 29, insulin", `
		insulin yes`, `
		gate = none_with_rules  # G10
		gate G10 = none_with_rules
		warn sugar_before_lift  # [S37b]
		stop sugar_stop`},
	{"Ada, low this morning", `
		insulin yes
		sugar_today low`, `
		gate = hold             # A2: low: not today [S37]
		gate G10S = hold`},
	{"Karl, 19, seizure two months ago", `
		seizure_free_months 2
		seizure_letter yes`, `
		gate = hold             # G4: under the program's limit of 3 months [S14], letter or not
		gate G4 = hold`},
	{"Karl at three months with a letter", `
		seizure_free_months 3
		seizure_letter yes`, `
		gate = none_with_rules  # G4: 3-12 months, letter + lift rule
		gate G4L = none_with_rules
		people = 2              # P5: +1
		stop seizure_stop`},
	{"Karl at six months with a letter", `
		seizure_free_months 6
		seizure_letter yes`, `
		gate = none_with_rules  # G4
		people = 2              # P1 + P5
		warn lift_strapped_helper_both_sides # E5 [S54]`},
	{"Karl at six months without a letter", `
		seizure_free_months 6
		seizure_letter no`, `
		gate = hold             # G4: letter between 3 and 12 months [P]`},
	{"Karl at fourteen months", `
		seizure_free_months 14
		seizure_letter no`, `
		gate = none             # G4: over 12 months standard [S31]
		people = 1
		no warn lift_strapped_helper_both_sides
		stop seizure_stop`},
	{"Karl at twelve months", `
		seizure_free_months 12
		seizure_letter no`, `
		gate = none             # S31: "12 months or more"`},
	{"Karl, missed dose", `
		seizure_free_months 14
		seizure_risk_today yes`, `
		gate = hold             # A2: missed dose, fever, no sleep`},
	{"Rosa, open skin under the cuff", `
		open_skin yes`, `
		gate = hold             # G5
		gate G5 = hold`},
	{"Emil, 13, fragile bone, no letter", `
		fragile_bone yes
		bone_letter no`, `
		gate = hold             # G6 [S34]
		gate G6 = hold`},
	{"Emil with the specialist's letter", `
		fragile_bone yes
		bone_letter yes`, `
		gate = none             # G6: hold "for specialist"
		warn offer_sitting      # B4: bones say so`},
	{"Nora, fainted this morning", `
		heart_symptom yes`, `
		gate = hold             # G8
		gate G8 = hold`},
	{"Iris, 9, level IV, hip film 13 months ago", `
		age_years 9
		gross_motor_level 4
		hip_check_months 13
		hip_migration LR 20`, `
		gate = hold_standing    # A2: surveillance overdue at levels III-V
		warn hip_overdue_level4_5
		plan = PL-F             # sitting does not hurt her
		route_left = wedgeless  # G7: no wedge
		avoid standing_today
		avoid wedge`},
	{"Iris, overdue, and sitting hurts", `
		gross_motor_level 4
		hip_check_months 13
		sitting_painless no`, `
		gate = hold_standing
		plan = PL-H             # sitting only if painless (case C02)
		terrain = no_snow`},
	{"Standing hurts and sitting hurts, hips fine", `
		load_pain yes
		sitting_painless no`, `
		way = sitting           # D1
		gate = none
		plan = PL-H             # no painless way is left (case C02)`},
	{"Iris, film 12 months ago", `
		gross_motor_level 4
		hip_check_months 12
		hip_migration LR 20`, `
		gate = none             # 12 months is the limit, not past it [P]`},
	{"Iris at level II, film 3 years ago", `
		gross_motor_level 2
		hip_check_months 36
		hip_migration LR 20`, `
		gate = none             # A2: levels III-V only`},
	{"Iris, 31 %, surgeon's word in writing", `
		gross_motor_level 4
		hip_check_months 2
		hip_migration L 31
		hip_surgeon_word yes`, `
		gate = none             # G7: hold for surgeon, and he has written`},
	{"Iris, 31 %, no word", `
		hip_migration L 31`, `
		gate = hold_standing    # G7: over 30 % [S28]
		warn no_spreading_force # [S29]
		warn offer_sitting      # B4: hips say so`},
	{"Iris, 30 %", `
		hip_migration L 30
		hip_migration R 30`, `
		gate = none             # "over 30 %"`},
	{"Jan, botulinum six weeks ago", `
		botulinum_months 1.5`, `
		gate = re_evaluate      # G13, about 3 months [M]
		gate G13 = re_evaluate
		plan = PL-H`},
	{"Jan, grown 4 cm", `
		growth_cm 4`, `
		gate = re_evaluate      # G13: over 3 cm [P]`},
	{"Jan, grown 3 cm", `
		growth_cm 3`, `
		gate = none             # not over`},
	{"Jan, botulinum and a sore hip", `
		botulinum_months 1.5
		hip_pain yes`, `
		gate G13 = re_evaluate  # both hold, so neither opens sitting
		gate G7 = hold_standing
		plan = PL-H`},
	{"Hugo, breathes with a device", `
		breathing_device yes
		cleared G8`, `
		gate = refuse           # G14: no [S13][S14]
		plan = PL-H`},
	{"Hugo, no helmet fits", `
		helmet_possible no`, `
		gate = refuse           # G14`},
	{"Mats, 8, runs off", `
		age_years 8
		runs_off yes`, `
		gate = none_with_rules  # G15: fenced area and extra helper
		gate G15 = none_with_rules
		people = 2              # P1 + P5
		reins = hip_harness     # N1: or may bolt [S17]
		warn reins_handler_signed_off`},
	{"Dora, evaluation 301 days old", `
		evaluation_age_days 301`, `
		gate = re_evaluate      # G17: older than one season
		gate G17 = re_evaluate`},
	{"Dora, changing condition, 61 days", `
		progressive yes
		evaluation_age_days 61`, `
		gate = re_evaluate      # G17: older than 60 days [P]`},
	{"Dora, changing condition, 60 days", `
		progressive yes
		evaluation_age_days 60`, `
		gate = none             # not older`},
	{"Stroke six months ago, no release", `
		event_months 6`, `
		gate = hold             # G3: last 12 months [S13]
		gate G3 = hold`},
	{"Stroke six months ago, released", `
		event_months 6
		release_letter yes`, `
		gate = none             # G3`},
	{"Relapse two months ago, no release", `
		heat_sensitive yes
		relapse_months 2`, `
		gate = hold             # A2 MS: relapse in the last 3 months [P]
		slot = first_of_day_cool # A2 MS: colder part of the day [S6]`},
	{"Struck the head yesterday", `
		head_strike yes`, `
		gate = hold             # A2: no skiing until cleared [CP]
		gate G12S = hold`},
	{"Legs heavier than this morning", `
		heat_sensitive yes
		legs_heavier_today yes`, `
		gate = hold             # A2 MS: red flag
		gate G18 = hold`},
	{"Held by hand", `
		held`, `
		gate = hold
		plan = PL-H`},

	// The settings, at the number and just past it.
	{"Shunt, three months", "shunt yes\nshunt_surgery_months 3", `
		gate = none             # G2: under 3 months`},
	{"Stroke twelve months ago", "event_months 12", `
		gate = none             # G3: "within 12 months"`},
	{"Stroke eleven and a half months ago", "event_months 11.5", `
		gate = hold             # G3`},
	{"Seizure eleven and a half months ago, no letter", "seizure_free_months 11.5", `
		gate = hold             # G4`},
	{"Heart seen twelve months ago", "muscle_disease yes\nheart_review_months 12", `
		gate = none_with_rules  # A2: within 12 months [P]`},
	{"Relapse three months ago", "relapse_months 3", `
		gate = none             # A2 MS: last 3 months [P]`},
	{"Botulinum three months ago", "botulinum_months 3", `
		gate = none             # A2: about 3 months [M]`},
	{"Botulinum ten weeks ago", "botulinum_months 2.5", `
		gate = re_evaluate      # G13`},
	{"Evaluation 300 days old", "evaluation_age_days 300", `
		gate = none             # G17: older`},
}

// What the card of a gate says uses the programme's own numbers.
func TestGateCards(t *testing.T) {
	for _, c := range []struct{ person, gate, says string }{
		{"insulin yes", "G10", "every 2 h"}, // [S37]
		{"seizure_free_months 6\nseizure_letter yes", "G4L", "helper both sides"},
		{"blood_thinner yes", "G12", "hospital"},
		{"cord_injury T6_or_above\nad_plan yes", "G9L", "sit up, loosen everything"},
		{"runs_off yes", "G15", "Fenced area"},
		{"muscle_disease yes\nheart_review_months 1", "G11L", "no long braking"},
	} {
		found := false
		for _, g := range Standing().Decide(student(t, steady, c.person)).Gates {
			found = found || (g.ID == c.gate && strings.Contains(g.Card, c.says))
		}
		if !found {
			t.Errorf("%s: no card of %s says %q", c.person, c.gate, c.says)
		}
	}
}

// Who clears what, after trade A2. An instructor clears nothing.
func TestWhoClears(t *testing.T) {
	for gate, who := range map[string]string{
		"G1": "physician", "G2": "neurosurgeon", "G3": "physician", "G4": "neurologist", "G5": "nurse", "G6": "bone specialist",
		"G7": "orthopaedic surgeon", "G8": "cardiologist", "G9": "physician", "G11": "cardiologist", "G12S": "physician",
		"G13": "new evaluation", "G17": "new evaluation", "G18": "physician",
	} {
		for _, g := range Standing().Gates() {
			if g.ID == gate && (!strings.Contains(g.Clears, who) || strings.Contains(g.Clears, "instructor") || strings.Contains(g.Clears, "parent")) {
				t.Errorf("%s is cleared by %q, want %s", gate, g.Clears, who)
			}
		}
	}
	for _, g := range Standing().Gates() {
		if g.Effect == Refuse && g.Clears != "" {
			t.Errorf("%s refuses, yet %q clears it", g.ID, g.Clears)
		}
	}
}

// A clearance opens its own gate and no other.
func TestClearance(t *testing.T) {
	person := "heart_symptom yes\nopen_skin yes"
	for cleared, want := range map[string]string{
		"":              "gate = hold\ngate G8 = hold\ngate G5 = hold",
		"cleared G8":    "gate = hold\ngate G8 = hold cleared\ngate G5 = hold",
		"cleared G8 G5": "gate = none\ngate G8 = hold cleared\ngate G5 = hold cleared\nplan = PL-A",
		"cleared G99":   "gate = hold",
		"cleared HOLD":  "gate = hold",
	} {
		wants(t, Standing().Decide(student(t, steady, person, cleared)), want)
	}
	wants(t, Standing().Decide(student(t, steady, "held\ncleared HOLD")), "gate = hold\nplan = PL-H")
	in := student(t, steady)
	in.Held = []Effect{HoldStanding}
	wants(t, Standing().Decide(in), "gate = hold_standing\nplan = PL-F")
	in.Held = []Effect{RuleOnly} // not a hold by hand; taken as the strict one
	wants(t, Standing().Decide(in), "gate = hold\nplan = PL-H")
	after := Standing().AfterClearance(student(t, steady, person))
	wants(t, after, "gate = none\nplan = PL-A")
	in = student(t, steady, "held")
	wants(t, Standing().AfterClearance(in), "gate = none") // the hold by hand is lifted too
	refused := student(t, steady, "waiver missing")
	if Standing().AfterClearance(refused) != nil {
		t.Error("a refusal is not cleared by anybody")
	}
	open := student(t, steady, "heart_symptom unknown")
	if Standing().AfterClearance(open) != nil {
		t.Error("nothing holds for certain, so there is nothing to look past")
	}
}
