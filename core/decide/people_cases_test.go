package decide

import (
	"slices"
	"testing"
)

// Further invented people, each for a rule the visible cases do not reach.
// What is expected is argued from the trade table; behind each # stands its
// row id and, where the row names one, its source mark. Everything not
// written is as for somebody steady.

type invented struct {
	name, person, expect string
}

var otherPeople = []invented{
	// ------------------------------------------------- way of skiing, arms, legs
	{"Bruno, 45, below-knee amputee, stiff foot", `
		age_years 45
		leg L below_knee
		ankle_deg L 0
		push_out L 3
		push_in L 3`, `
		way = none              # A2: usually two skis with prosthesis; D3
		way by D3
		heel_left = lift        # A2: heel lift if the foot has no ankle give [S6]
		heel_lift_mm_left = 5-10 # H1
		heel_right = none
		weaker_turn = right     # left leg is the outside one of a right turn
		tie = none              # T0: all pushes 3+
		warn stump_cold_and_impact # A2: stump cold and impact
		plan = PL-A`},
	{"Bruno, foot not tested", `
		leg L below_knee
		ankle_deg L na`, `
		heel_left = try         # A2 [S6]: no measure, so try; H2 steps of 3 mm`},
	{"Bruno pushes alike", "leg L below_knee", `
		weaker_turn = right     # the prosthesis is outside in a right turn
		weaker_turn by K1P`},
	{"Below the knee left, above it right", "leg L below_knee\nleg R above_knee_ski", `
		weaker_turn = left      # less of the right leg is left
		way = outriggers`},
	{"Bruno with a sore stump", `
		leg L below_knee
		stump_sore yes`, `
		gate = hold             # A2: stump sore, new socket`},
	{"Ruth, 50, both legs below the knee", `
		leg LR below_knee
		ankle_deg LR 0
		push_out LR 3
		push_in LR 3`, `
		way = outriggers        # A2: two skis, two prostheses, outriggers [S45]
		way by D4
		people = 2
		weaker_turn = none`},
	{"Leo, 30, left leg off above the knee", `
		leg L above_knee
		push_out L na
		push_in L na
		toe_in_alone L na
		ankle_deg L na
		one_leg_s L na
		one_leg_bends L na
		push_out R 4
		push_in R 4
		one_leg_s R 12
		one_leg_bends R 5`, `
		way = one_ski_right     # D2 [S3]
		way by D2
		tie = not_used
		route_left = not_used
		heel_left = not_used
		heel_right = none
		plan = PL-D
		terrain = under_5pct_runout # TR1
		people = 2              # P2
		reins = none
		warn good_leg_carries_all # D2: chair for rests
		avoid poles
		weaker_turn = none`},
	{"Leo, 9 seconds on the leg", `
		leg L above_knee
		push_out L na
		push_in L na
		one_leg_s R 9`, `
		way = sitting           # D2 wants 10 s; D2 "else sitting"
		way by D2S
		plan = PL-F`},
	{"Leo, weak left hand", `
		leg L above_knee
		push_out L na
		push_in L na
		grip L 2`, `
		way = sitting           # D2: arms as D4, else sitting`},
	{"Leo, the good knee at risk", `
		leg L above_knee
		push_out L na
		push_in L na
		good_leg_at_risk yes`, `
		way = sitting           # D2: consider sitting if the good leg could be harmed; B4`},
	{"Leo with a knee made for skiing", `
		leg L above_knee_ski
		push_out L 2`, `
		way = outriggers        # A2: new knees change this
		tie = elastic           # T1`},
	{"Kim, 20, right leg cannot be loaded", `
		leg R cannot_load
		push_out R 0
		push_in R 0`, `
		way = one_ski_left      # D2: other leg cannot be loaded
		do strap_limp_leg       # D2: strap a limp leg to the good one [S3]`},
	{"Otto, 60, left arm weak, stands 12 s", `
		gait W4
		stand_s 12
		grip L 1
		place_of5 L na`, `
		way = one_outrigger_right # D6: trunk 3, 10 s+ [S1]
		way by D6
		helper_side = left      # D6: helper on the weak side
		people = 2
		warn never_pull_left_arm
		avoid second_outrigger_strapped_to_left_hand # X8
		avoid side_bar_on_left
		no avoid poles          # X5: one outrigger + pole allowed`},
	{"Otto, stands 9 s", `
		gait W4
		stand_s 9
		grip L 1
		place_of5 L na`, `
		way = slider            # D6: otherwise slider with forearm trough
		helper_side = left      # D6, never pull the weak arm
		way by D6S
		trough_left = yes
		trough_right = no
		reins = frame
		plan = PL-C`},
	{"Otto, steady on his feet", `
		grip L 1
		place_of5 L na`, `
		way = none              # D3 asks nothing of the arms
		helper_side = either`},
	{"Otto, both arms weak", `
		gait W4
		stand_s 20
		grip LR 2
		place_of5 LR na`, `
		way = slider            # D5: grip under 3 on both sides
		way by D5
		trough_left = no
		trough_right = no`},
	{"Pia, walker, good arms", `
		gait W2
		stand_s 20`, `
		way = slider            # D5: W0-W2
		way by D5`},
	{"Pia, stands 4 s", `
		stand_s 4`, `
		way = slider            # D5: under 5 s`},
	{"Pia, stands 5 s", `
		stand_s 5`, `
		way = outriggers        # D4: 5-29 s`},
	{"Pia, stands 29 s", `
		stand_s 29`, `
		way = outriggers`},
	{"Pia, stands 30 s", `
		stand_s 30`, `
		way = none              # D3: 30 s+`},
	{"Pia, trunk needs hands", `
		trunk 1`, `
		way = slider            # D5: trunk 1`},
	{"Pia, cannot sit", `
		trunk 0`, `
		way = sitting           # D1: trunk 0
		way by D1`},
	{"Pia, head cannot hold the helmet", `
		head_holds_helmet no`, `
		way = sitting           # D1`},
	{"Pia misses the mark with one hand", `
		place_of5 R 3`, `
		way = slider            # D5c: either hand, even if strong
		way by D5c
		tie = none
		avoid tie_day_one`},
	{"Pia, tired aim", `
		place_of5 R 5/3`, `
		way = slider            # worse of fresh and tired
		order = hard_skill_first # D8
		avoid evaluate_fresh_only`},
	{"Alma, 70, nine minutes upright", `
		endurance_min 9`, `
		way = sitting           # D9
		way by D9`},
	{"Alma wants to stand", `
		endurance_min 9
		wish standing`, `
		way = none              # D9 "or split standing", D10: her wish
		warn split_standing
		warn offer_sitting      # B4: D9
		block_min = 7           # E7: 80 % of known minutes [P]`},
	{"Alma, ten minutes", `
		endurance_min 10`, `
		way = none              # D9: under 10`},
	{"Alma wants to sit", `
		wish sitting`, `
		way = sitting           # B4: or the student prefers it
		way by D10
		plan = PL-F
		people = 2              # P6
		terrain = sitting_lead
		reins = not_used
		do hand_to_sitting_lead`},
	{"Alma, knees bent 35 degrees for good", `
		contracture_deg 35`, `
		warn offer_sitting      # B4: contracture over about 30 [P]`},
	{"Alma, 30 degrees", `
		contracture_deg 30`, `
		no warn offer_sitting   # "over"`},
	{"Alma, three lessons the same", `
		lessons_same_help 3`, `
		warn offer_sitting      # B4`},

	{"Otto, stands 10 s", "gait W4\nstand_s 10\ngrip L 1\nplace_of5 L na", `
		way = one_outrigger_right # D6: 10 s+`},
	{"Leo, 10 seconds and 5 bends", "leg L above_knee\npush_out L na\npush_in L na\none_leg_s R 10\none_leg_bends R 5", `
		way = one_ski_right     # D2: 10 s, 5 bends`},
	{"Leo, 4 bends", "leg L above_knee\npush_out L na\npush_in L na\none_leg_bends R 4", `
		way = sitting           # D2: 5 bends`},
	{"Leo, push of 3", "leg L above_knee\npush_out L na\npush_in L na\npush_in R 3", `
		way = sitting           # D2: scores 4 everywhere`},
	{"Alma, knees bent 31 degrees", "contracture_deg 31", `
		warn offer_sitting`},
	{"Alma, two lessons the same", "lessons_same_help 2", `
		no warn offer_sitting   # B4: three lessons`},
	{"Long days", "endurance_min 60", `
		block_min = 30          # E: rest every 20-30 min [CP], not 80 % of 60
		wind_chill_stop_c = -27 # E7 [P]`},

	// ---------------------------------------------------------- tie and spacer
	{"Rigid tie", `
		gait W3
		push_in L 1`, `
		way = outriggers
		tie = rigid             # T2: any push 0-1
		tie by T2
		route_left = wedge      # X2: hinged tie allows and helps a wedge
		warn wedge_stored_with_tie # X16
		warn tie_twists_both_legs  # X15
		reins = none_at_start`},
	{"Rigid tie, cannot steer", `
		gait W3
		push_in L 1
		can_steer no`, `
		reins = tip_reins       # N2
		warn reins_handler_signed_off # E3`},
	{"Strong spasm alone", `
		spasm_strong yes`, `
		tie = rigid             # T2: strong spasm crossing or splitting
		stop spasm_stop         # E7: spasm not settled in 5 min
		way = none`},
	{"Legs cross when excited", "scissor excited", `
		tie = elastic           # T1
		warn tone_rises_with_cold_and_effort # A2: tone rises with cold, excitement, effort, fear
		stop spasm_stop         # E7`},
	{"Legs never cross", "", `
		no warn tone_rises_with_cold_and_effort
		no stop spasm_stop
		stop head_strike_patrol # E6: any head strike, neck pain: patrol
		tie = none              # T0`},
	{"Spacer", `
		gait W3
		push_out LR 1
		natural_boot_gap_mm 160`, `
		tie = rigid_spacer      # T3: both outs 0-1
		tie by T3
		spacer_mm = 160         # T3: at natural stance width
		route_left = wedgeless  # X2: spacer excludes wedge
		route_right = wedgeless
		avoid wedge
		avoid spacer_over_natural_gap
		do spacer_last_on       # X4`},
	{"Spacer, both ins", `
		gait W3
		push_in LR 0`, `
		tie = rigid_spacer      # T3: both ins 0-1`},
	{"Scissors at rest", `
		gait W3
		scissor at_rest`, `
		tie = rigid_spacer      # T3`},
	{"One out, one in", `
		gait W3
		push_out L 1
		push_in R 1`, `
		tie = rigid             # T2: neither both outs nor both ins`},
	{"Gap of two", `
		push_out L 4
		push_out R 2`, `
		tie = elastic           # T1: gap of 2+
		weaker_turn = left`},
	{"Big Sven, 110 kg", `
		mass_kg 110
		push_out L 2`, `
		tie = rigid             # T2: weight over the elastic tie's plate
		tie by T2W`},
	{"Big Sven, 100 kg", "mass_kg 100\npush_out L 2", `
		tie = elastic           # not over the plate's weight`},
	{"Big Sven, 100.5 kg", "mass_kg 100.5\npush_out L 2", `
		tie = rigid`},
	{"Big Sven, only when tired", `
		mass_kg 110
		push_out L 4/2`, `
		tie = rigid             # highest matching wins: T2 over T1b`},
	{"Big Sven, strong", `
		mass_kg 110`, `
		tie = none              # T0: nothing asks for a tie`},
	{"Falls to 1 when tired", `
		push_out L 4/1`, `
		tie = rigid             # T2 with the worse value
		way = outriggers        # D4: a lateral push of 0-1
		order = hard_skill_first`},
	{"Falls to 2 when tired", `
		push_out L 4/2`, `
		tie = carry_elastic     # T1b
		tie by T1b
		reins = none            # nothing is tied yet`},
	{"Tips wander twice in the slider", `
		gait W2
		tips_wander twice`, `
		way = slider
		tie = elastic           # T5: add elastic
		no avoid tie_day_one`},
	{"Tips wander once in the slider", `
		gait W2
		tips_wander once`, `
		tie = none              # T5: twice
		avoid tie_day_one`},
	{"One leg cannot toe in", `
		toe_in_alone L drags`, `
		route_right = wedgeless # the left leg is the outside one
		route_left = wedge_or_wedgeless`},

	// ------------------------------------------------------ brace, lift, boots
	{"Long-leg brace", `
		gait W4
		brace R long_locked`, `
		braces_right = unlock_or_sit # B3
		braces_left = none
		way = slider            # B3: slider with unlocked brace, or sitting
		way by B3W
		warn no_locked_knees
		avoid locked_knees`},
	{"Long-leg brace, never without", `
		gait W4
		brace R long_locked
		brace_always R yes`, `
		braces_right = unlock_or_sit # B3 before B4: never on a locked knee
		braces_right by B3`},
	{"Long-leg brace, no strength for it", `
		brace LR long_locked
		load_test no`, `
		way = sitting           # D1`},
	{"Foot does not come square", `
		brace L ankle
		foot_corrects L no`, `
		braces_left = in        # B2
		boot_left = wide_or_rear_entry
		do liner_first          # BO`},
	{"Brace holds the knee", `
		brace L ankle
		brace_holds_knee L yes
		ankle_deg L 3`, `
		braces_left = in        # B2
		heel_left = lift        # H1
		warn left_lift_goes_under_brace # X9`},
	{"Brace holds the knee, no boot closes", `
		brace L ankle
		brace_holds_knee L yes
		boot_closes L no`, `
		braces_left = in_or_sit`},
	{"Never without the brace", `
		brace R ankle
		brace_always R yes`, `
		braces_right = in_or_sit # B4
		boot_right = wide_or_rear_entry`},
	{"Brace, foot fine", `
		brace R ankle`, `
		braces_right = out      # B1
		avoid brace_in`},
	{"Crouches", `
		crouches yes
		ankle_deg LR 3`, `
		heel_left = none        # H3: remove lift
		heel_lift_mm_left = 0`},
	{"Hips behind", `
		hips_behind yes`, `
		heel_left = try         # H2
		heel_lift_mm_left = 0-5`},
	{"Ankle 14 degrees", `
		ankle_deg L 14`, `
		heel_left = lift        # H1
		heel_lift_mm_left = 5-10 # (17 - 14) x 3.5 = 10.5, at most 10`},
	{"Ankle 14.9 degrees", `
		ankle_deg L 14.9`, `
		heel_lift_mm_left = 5-7 # (17 - 14.9) x 3.5 = 7.35`},
	{"6 mm short", `
		leg_short_mm R 6`, `
		length_right = in_boot  # H4: small: inside the boot
		length_in_boot_mm_right = 6
		length_plate_final_mm_right = 0
		check left_turns_before_after
		no warn binding_certified_technician_reset_after_plate`},
	{"10 mm short", `
		leg_short_mm R 10`, `
		length_right = in_boot  # H4: split at 10 mm`},
	{"36 mm short", `
		leg_short_mm R 36`, `
		length_right = plate
		length_in_boot_mm_right = 10
		length_plate_first_day_mm_right = 15 # two thirds of 36 is 24; 14 under it, in 5 mm plates
		length_plate_final_mm_right = 26`},
	{"Paper slides inside", `
		leg_shape L gap_inside
		leg_shape R gap_outside`, `
		cant_left = shim_inside # C1: thick side on the paper side
		cant_right = shim_outside`},
	{"Flexible leg", `
		leg_shape L flexible`, `
		cant_left = try         # C2`},

	// ------------------------------------------------------ people and terrain
	{"Ella, 27, sees 3 m", `
		vision_m 3`, `
		guide = yes             # D7
		way = none              # D7: separate axis, not a discipline
		people = 2              # P4: guide + rear blocker
		warn guide_one_voice`},
	{"Ella, sees 5.5 m", "vision_m 5.5", `
		guide = yes             # D7: under about 6 m [P]`},
	{"Ella, sees 6 m", `
		vision_m 6`, `
		guide = no              # D7: under about 6 m
		people = 1`},
	{"Ella, sees 3 m, on outriggers", `
		vision_m 3
		gait W4`, `
		way = outriggers
		people = 3              # P2 lead + 1, and the guide`},
	{"Field gap on the left, deaf on the right", `
		field_gap left
		deaf_side right`, `
		helper_side = left      # D7: helper on the gap side
		cue_side = right        # D7: cues from the seeing side come first
		avoid cues_from_left`},
	{"Deaf on the right", `
		deaf_side right`, `
		cue_side = left         # A1: hearing side`},
	{"Everything at once in the slider", `
		gait W2
		mass_kg 90
		vision_m 2
		seizure_free_months 8
		seizure_letter yes
		bolts yes
		two_person_lift yes`, `
		people = 4              # P5: max 4
		reins = frame`},
	{"Heavy and lifted by two in the slider", `
		gait W2
		mass_kg 90
		two_person_lift yes`, `
		people = 4              # P3 +1 over 70 kg, P5 +1 two-person lift`},
	{"Light and lifted by two in the slider", `
		gait W2
		mass_kg 40
		two_person_lift yes`, `
		people = 3              # P3: or needs lifting`},
	{"70 kg in the slider", `
		gait W2
		mass_kg 70`, `
		people = 2              # P3: over 70 kg`},
	{"70.5 kg in the slider", "gait W2\nmass_kg 70.5", `
		people = 3`},
	{"Lifted by two, sitting", `
		wish sitting
		two_person_lift yes`, `
		people = 3              # P6 lead + 1, P5 +1`},
	{"Ice, slider", `
		gait W2
		snow_today ice`, `
		terrain = flat_only     # TR4: one step down`},
	{"Flat light, outriggers", `
		gait W4
		snow_today flat_light`, `
		terrain = under_5pct_runout # TR4`},
	{"Slow to stop", `
		stop_delay_s 4`, `
		reins = hip_harness     # N0 wants 3 s; N1
		warn stop_on_word_too_slow`},
	{"Stops in three seconds", `
		stop_delay_s 3`, `
		reins = none            # N0: in 3 s`},
	{"Cannot slow, nothing tied", `
		can_slow no`, `
		reins = hip_harness     # N1`},
	{"Could not be lowered today", `
		can_be_lowered no`, `
		warn no_lift_cannot_be_lowered # E5: they do not ride today [CP]
		gate = none`},
	{"Feels less in one foot", `
		sensation L reduced`, `
		warn feet_cannot_warn
		avoid boot_heater       # X12
		feet_check_min = 30
		wind_chill_stop_c = -15`},
	{"Blood thinner", `
		blood_thinner yes`, `
		gate = none_with_rules  # G12
		stop head_strike_hospital
		no stop head_strike_patrol
		avoid steep_or_icy      # X13`},
	{"One ski and a recent injury, released", `
		leg L above_knee
		push_out L na
		push_in L na
		recent_injury yes
		release_letter yes`, `
		way = one_ski_right
		warn one_ski_recent_injury # X14`},
}

func TestInventedPeople(t *testing.T) {
	for _, p := range slices.Concat(gatePeople, otherPeople) {
		t.Run(p.name, func(t *testing.T) {
			in := student(t, steady, p.person)
			a := Standing().Decide(in)
			wants(t, a, p.expect)
			for _, x := range a.Axes {
				if x.Open {
					t.Errorf("%s %s is open: %v", x.Axis, x.Side, x.WaitsFor)
				}
			}
			if flat(a)["stop stop_always"] == "" {
				t.Error("nothing says when to stop")
			}
		})
	}
}
