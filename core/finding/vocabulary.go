package finding

// The vocabulary. Tests and their numbering follow the usual order of a
// standing evaluation: watch, ask, test, test again tired. Levels of an Ordered
// scale are written worst first. Normal is the value meant by "looked at,
// nothing noted"; a finding without one has to be measured.

var (
	byID    = map[string]*Def{}
	ordered []*Def
)

func levels(pairs ...string) []Level {
	out := make([]Level, 0, len(pairs)/2)
	for i := 0; i < len(pairs); i += 2 {
		out = append(out, Level{pairs[i], pairs[i+1]})
	}
	return out
}

// yesIsBad and noIsBad are the two orders of a yes/no finding, worst first.
func yesIsBad() []Level { return levels("yes", "yes", "no", "no") }
func noIsBad() []Level  { return levels("no", "no", "yes", "yes") }

func push() []Level {
	return levels("0", "none", "1", "moves with gravity taken away", "2", "gives to a touch",
		"3", "holds a two-finger push", "4", "holds a flat-hand push")
}

func flag(id, test, label string) Def {
	return Def{ID: id, Test: test, Label: label, Levels: yesIsBad(), Normal: "no"}
}

func onFile(id, test, label string) Def {
	return Def{ID: id, Test: test, Label: label, Levels: noIsBad(), Normal: "no"}
}

func fine(id, test, label string) Def {
	return Def{ID: id, Test: test, Label: label, Levels: noIsBad(), Normal: "yes"}
}

func months(id, label string, moreIsGood bool) Def {
	return Def{ID: id, Test: "gates", Label: label, Scale: Number, Unit: "months", Max: 1200, MoreIsGood: moreIsGood, NA: true, Normal: "na"}
}

func (d Def) sided() Def  { d.Sided = true; return d }
func (d Def) tiring() Def { d.Tiring = true; return d }
func (d Def) orNA() Def   { d.NA = true; return d }

// vocabulary lists every finding in the order it is asked.
var vocabulary = []Def{
	// Person.
	{ID: "age_years", Test: "person", Label: "Age", Scale: Number, Unit: "years", Min: 1, Max: 110, MoreIsGood: true},
	{ID: "height_cm", Test: "person", Label: "Height", Scale: Number, Unit: "cm", Min: 50, Max: 250, MoreIsGood: true},
	{ID: "mass_kg", Test: "person", Label: "Weight", Scale: Number, Unit: "kg", Min: 5, Max: 250, MoreIsGood: false},
	{ID: "boot_sole_mm", Test: "person", Label: "Boot sole length", Scale: Number, Unit: "mm", Min: 150, Max: 400, MoreIsGood: true},
	{ID: "wish", Test: "person", Label: "The student's wish", Scale: Choice, Normal: "none",
		Levels: levels("none", "no preference", "poles", "poles", "outriggers", "outriggers", "slider", "slider", "standing", "to stand", "sitting", "to sit")},
	{ID: "goal", Test: "person", Label: "What would make this a good day", Scale: Text},
	{ID: "lessons_before", Test: "person", Label: "Lessons before this one", Scale: Number, Max: 5000, MoreIsGood: true, Normal: "0"},

	// Gates: asked at intake and every morning.
	{ID: "waiver", Test: "gates", Label: "Waiver of this season", Levels: levels("missing", "missing", "expired", "expired", "valid", "valid")},
	flag("down_syndrome", "gates", "Down syndrome"),
	onFile("neck_exam", "gates", "Physician's neck examination on file"),
	flag("neck_sign", "gates", "Neck sign, new or unexplained"),
	flag("shunt", "gates", "Shunt"),
	flag("shunt_sign", "gates", "Shunt sign today"),
	months("shunt_surgery_months", "Months since shunt surgery", true),
	flag("recent_injury", "gates", "Injury or operation in the last 12 months that affects daily life"),
	months("event_months", "Months since stroke, brain injury or cord injury", true),
	onFile("release_letter", "gates", "Doctor's release on file"),
	months("seizure_free_months", "Months free of seizures", true),
	onFile("seizure_letter", "gates", "Seizure letter on file"),
	flag("seizure_risk_today", "gates", "Missed dose, fever or no sleep with a seizure history"),
	flag("open_skin", "gates", "Open or broken skin under boot, brace, cuff or strap"),
	flag("fragile_bone", "gates", "Fragile bone"),
	onFile("bone_letter", "gates", "Bone specialist's letter on file"),
	{ID: "gross_motor_level", Test: "gates", Label: "Gross motor level (cerebral palsy)", NA: true, Normal: "na",
		Levels: levels("5", "V", "4", "IV", "3", "III", "2", "II", "1", "I")},
	{ID: "hip_migration", Test: "gates", Label: "Hip migration", Scale: Number, Unit: "%", Max: 100, NA: true, Normal: "na", Sided: true},
	months("hip_check_months", "Months since the last hip film", false),
	flag("hip_pain", "gates", "Hip or groin pain on standing"),
	flag("standing_loss", "gates", "Recent loss of standing ability"),
	onFile("hip_surgeon_word", "gates", "Orthopaedic surgeon's written word on the hips"),
	flag("heart_symptom", "gates", "Chest pain, fainting, new breathlessness or blue lips"),
	{ID: "cord_injury", Test: "gates", Label: "Spinal cord injury", Normal: "none",
		Levels: levels("T6_or_above", "T6 or above", "T7_to_T10", "T7 to T10", "below_T10", "below T10", "none", "none")},
	onFile("ad_plan", "gates", "Autonomic dysreflexia plan on file"),
	flag("ad_sign", "gates", "Sign of autonomic dysreflexia today"),
	flag("insulin", "gates", "Insulin"),
	{ID: "sugar_today", Test: "gates", Label: "Blood sugar today", Normal: "fine",
		Levels: levels("low", "low", "high_and_ill", "high and feeling ill", "fine", "fine or not needed")},
	flag("muscle_disease", "gates", "Muscular dystrophy"),
	months("heart_review_months", "Months since the cardiologist's review", false),
	flag("muscle_overwork_sign", "gates", "Weakness or muscle pain after the last session, or dark urine"),
	flag("blood_thinner", "gates", "Blood thinner"),
	flag("head_strike", "gates", "Head strike not yet cleared"),
	months("botulinum_months", "Months since botulinum injections", true),
	flag("pump_change", "gates", "Change of a medicine pump"),
	{ID: "growth_cm", Test: "gates", Label: "Growth since the last evaluation", Scale: Number, Unit: "cm", Max: 40, Normal: "0"},
	flag("new_brace", "gates", "New brace since the last evaluation"),
	flag("breathing_device", "gates", "Cannot breathe without a device"),
	fine("helmet_possible", "gates", "Can wear a helmet"),
	flag("runs_off", "gates", "Runs off"),
	{ID: "evaluation_age_days", Test: "gates", Label: "Days since the last evaluation", Scale: Number, Unit: "days", Max: 20000, Normal: "0"},
	flag("progressive", "gates", "Condition marked as changing"),
	flag("latex_allergy", "gates", "Latex allergy"),
	flag("spina_bifida", "gates", "Spina bifida"),
	flag("heat_sensitive", "gates", "Heat makes the legs worse (multiple sclerosis)"),
	months("relapse_months", "Months since the last relapse", true),
	flag("legs_heavier_today", "gates", "Legs heavier than this morning's baseline after rest"),
	flag("vision_loss_new", "gates", "New or sudden loss of vision"),
	flag("acute_sign", "gates", "New headache, vomiting, weakness or confusion today"),
	flag("poor_circulation", "gates", "Poor circulation or Raynaud"),
	flag("stump_sore", "gates", "Stump sore or new socket"),
	{ID: "contracture_deg", Test: "gates", Label: "Contracture at knee or hip that no lift cures", Scale: Number, Unit: "degrees", Max: 150, Normal: "0"},
	flag("good_leg_at_risk", "gates", "The stronger leg could be harmed by carrying alone"),
	{ID: "insight", Test: "gates", Label: "Insight into own limits", Normal: "good", Levels: levels("poor", "poor", "good", "good")},
	flag("two_person_lift", "gates", "Needs lifting by two people"),
	fine("can_be_lowered", "gates", "Could be lowered from a stopped lift today"),
	fine("technician_available", "gates", "Binding technician can be reached today"),
	{ID: "snow_today", Test: "gates", Label: "Snow and hill today", Scale: Choice, Normal: "normal",
		Levels: levels("normal", "normal", "ice", "ice", "slush", "slush", "crowd", "crowded", "flat_light", "flat light")},
	{ID: "booked_hour", Test: "gates", Label: "Hour booked", Scale: Number, Unit: "h", Max: 23, NA: true, Normal: "na"},
	{ID: "last_note_tie", Test: "gates", Label: "Tie in the last note", Scale: Choice, Normal: "none",
		Levels: levels("none", "none", "elastic", "elastic tie", "rigid", "rigid tie", "rigid_spacer", "rigid tie and spacer")},
	{ID: "last_note_weak_leg", Test: "gates", Label: "Weak leg in the last note", Scale: Choice, Normal: "none", SideValue: true,
		Levels: levels("none", "none", "left", "left", "right", "right")},
	{ID: "lessons_same_help", Test: "gates", Label: "Lessons in a row with no drop in help", Scale: Number, Max: 500, Normal: "0"},

	// 1 Gait.
	{ID: "gait", Test: "1", Label: "Walking", Tiring: true,
		Levels: levels("W0", "does not walk", "W1", "steps only with full support", "W2", "walker", "W3", "two crutches or canes",
			"W4", "one cane, or unsteady", "W5", "steady")},
	fine("steps_x10", "1", "Ten steps alone"),
	// 2 Free standing.
	{ID: "stand_s", Test: "2", Label: "Free standing", Scale: Number, Unit: "s", Max: 60, MoreIsGood: true, Tiring: true},
	{ID: "base", Test: "2", Label: "Width of base", Scale: Choice, Normal: "normal", Levels: levels("narrow", "narrow", "normal", "normal", "wide", "wide")},
	// 3 Load test.
	{ID: "load_test", Test: "3", Label: "Load test in ski boots, 2 minutes", Levels: noIsBad()},
	flag("load_pain", "3", "Pain in the load test"),
	// 4 One leg.
	{ID: "leg", Test: "4", Label: "Leg", Sided: true, Normal: "whole",
		Levels: levels("absent", "absent, no prosthesis on snow", "cannot_load", "cannot be loaded", "above_knee", "above-knee prosthesis, left off on snow", "above_knee_ski", "above-knee prosthesis, cleared for skiing by the prosthetist", "below_knee", "below-knee prosthesis", "whole", "whole")},
	{ID: "one_leg_s", Test: "4", Label: "One-leg stand with a hand touch", Scale: Number, Unit: "s", Max: 60, MoreIsGood: true, Sided: true, Tiring: true, NA: true},
	{ID: "one_leg_bends", Test: "4", Label: "One-leg knee bends of five", Scale: Number, Max: 5, MoreIsGood: true, Sided: true, Tiring: true, NA: true},
	// 5 Knee bend.
	{ID: "knee_bend", Test: "5", Label: "Knee bend, heels down", Normal: "controlled", Levels: levels("none", "none", "drops", "drops", "controlled", "controlled")},
	{ID: "knee_path", Test: "5", Label: "Knees in the bend", Scale: Choice, Normal: "straight", Levels: levels("straight", "over the toes", "in", "collapse in", "out", "collapse out")},
	flag("hips_behind", "5", "Stands on heels, hips behind"),
	flag("crouches", "5", "Crouches, knees far past the toes"),
	// 6 Braces.
	{ID: "brace", Test: "6", Label: "Brace", Sided: true, Normal: "none",
		Levels: levels("long_locked", "long leg, locked knee", "ankle", "ankle brace, rigid or hinged", "none", "none")},
	fine("foot_corrects", "6", "Foot corrects to square by hand").sided(),
	flag("brace_holds_knee", "6", "Brace keeps the knee from buckling").sided(),
	fine("boot_closes", "6", "Boot closes over the brace without a hot spot").sided(),
	flag("brace_always", "6", "Prescriber says never without the brace").sided(),
	flag("spastic_foot", "6", "Foot turns or claws when put into a boot").sided(),
	// 7 Ankle and length.
	{ID: "ankle_deg", Test: "7", Label: "Ankle bend, knee bent", Scale: Number, Unit: "degrees", Min: -60, Max: 60, MoreIsGood: true, Sided: true, NA: true},
	{ID: "leg_short_mm", Test: "7", Label: "Leg shorter by", Scale: Number, Unit: "mm", Max: 150, Sided: true, Normal: "0"},
	{ID: "leg_shape", Test: "7", Label: "Leg shape in relaxed stance", Scale: Choice, Sided: true, Normal: "flat",
		Levels: levels("flat", "base flat", "gap_inside", "fixed, paper slides under the inside edge", "gap_outside", "fixed, paper slides under the outside edge", "flexible", "flexible, not flat")},
	// 8 Independent leg motion.
	{ID: "toe_in_alone", Test: "8", Label: "Toe-in alone", Sided: true, Tiring: true, NA: true, Levels: levels("no", "no", "drags", "drags the other along", "yes", "yes")},
	// 9 Lateral push at each knee.
	{ID: "push_out", Test: "9", Label: "Push out at the knee", Sided: true, Tiring: true, NA: true, Levels: push()},
	{ID: "push_in", Test: "9", Label: "Push in at the knee", Sided: true, Tiring: true, NA: true, Levels: push()},
	{ID: "push_out_flat", Test: "9", Label: "Push out before the length block", Sided: true, NA: true, Normal: "na", Levels: push()},
	{ID: "push_in_flat", Test: "9", Label: "Push in before the length block", Sided: true, NA: true, Normal: "na", Levels: push()},
	// 10 Scissoring and spread.
	{ID: "scissor", Test: "10", Label: "Legs cross or spread", Normal: "none", Levels: levels("at_rest", "at rest", "excited", "when excited or tired", "none", "never")},
	flag("spasm_strong", "10", "Strong spasm that crosses or splits the legs"),
	{ID: "tips_wander", Test: "10", Label: "Ski tips wander on snow", Normal: "not_seen", Levels: levels("twice", "twice or more", "once", "once", "not_seen", "not seen yet", "none", "stay together")},
	{ID: "natural_boot_gap_mm", Test: "10", Label: "Gap between the boots, standing relaxed", Scale: Number, Unit: "mm", Max: 600, MoreIsGood: true},
	// 11 Trunk.
	{ID: "trunk", Test: "11", Label: "Sitting trunk", Tiring: true, Levels: levels("0", "cannot sit", "1", "needs hands", "2", "sits free, falls to a nudge", "3", "recovers from a nudge")},
	{ID: "sitting_painless", Test: "11", Label: "Sits without pain", Levels: noIsBad()},
	// 12 Head.
	fine("head_holds_helmet", "12", "Head carries the helmet 10 minutes"),
	// 13 Grip and arm.
	{ID: "grip", Test: "13", Label: "Grip", Sided: true, Tiring: true, Normal: "4", Levels: push()},
	{ID: "push_down", Test: "13", Label: "Push down through the hand", Sided: true, Tiring: true, Normal: "4", Levels: push()},
	flag("shoulder_weak", "13", "Painful or loose shoulder").sided(),
	// 14 Placement.
	{ID: "place_of5", Test: "14", Label: "Crutch tip on a 10 cm mark, hits of five", Scale: Number, Max: 5, MoreIsGood: true, Sided: true, Tiring: true, NA: true},
	flag("balance_lost_lifting_one", "14", "Balance lost lifting one crutch"),
	// 15 Sensation.
	{ID: "sensation", Test: "15", Label: "Feeling in the foot", Sided: true, NA: true, Normal: "full", Levels: levels("none", "none", "reduced", "reduced", "full", "full")},
	// 16 Reflexes.
	{ID: "startle", Test: "16", Label: "Startle", Normal: "none", Levels: levels("strong", "strong", "mild", "mild", "none", "none")},
	// 17 Vision and hearing.
	{ID: "vision_m", Test: "17", Label: "Usable sight", Scale: Number, Unit: "m", Max: 100, MoreIsGood: true, Normal: "20"},
	{ID: "field_gap", Test: "17", Label: "Gap in the field of view", Scale: Choice, Normal: "none", SideValue: true,
		Levels: levels("none", "none", "left", "left", "right", "right")},
	flag("vision_fades", "17", "Sight blurs or doubles when tired or warm"),
	{ID: "deaf_side", Test: "17", Label: "Hears badly on one side", Scale: Choice, Normal: "none", SideValue: true,
		Levels: levels("none", "none", "left", "left", "right", "right")},
	// 18 Endurance.
	{ID: "endurance_min", Test: "18", Label: "Minutes upright before quality drops", Scale: Number, Unit: "min", Max: 600, MoreIsGood: true},
	// 19 Cue test.
	{ID: "cue", Test: "19", Label: "Cue that works", Scale: Text},
	{ID: "cue_fails", Test: "19", Label: "Cue that fails", Scale: Text},
	{ID: "stop_word", Test: "19", Label: "Stop word", Scale: Text},
	{ID: "stop_delay_s", Test: "19", Label: "Stop delay on word", Scale: Number, Unit: "s", Max: 60, NA: true, Normal: "na"},
	flag("bolts", "19", "May bolt"),
	{ID: "can_steer", Test: "19", Label: "Steers on snow", Normal: "not_seen", Levels: levels("no", "no", "not_seen", "not seen yet", "yes", "yes")},
	{ID: "can_slow", Test: "19", Label: "Slows and stops on snow", Normal: "not_seen", Levels: levels("no", "no", "not_seen", "not seen yet", "yes", "yes")},
}

func init() {
	for i := range vocabulary {
		d := &vocabulary[i]
		d.index = i
		if _, twice := byID[d.ID]; twice {
			panic("finding: id used twice: " + d.ID)
		}
		byID[d.ID] = d
		ordered = append(ordered, d)
	}
}

// Measured tells whether the finding has to be measured: it has no normal
// value that silence could stand for.
func (d *Def) Measured() bool { return d.Normal == "" }
