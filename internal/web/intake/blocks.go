package intake

import (
	q "firnhand/internal/web/questions"
)

// Block is one page of the intake.
type Block struct {
	ID    string
	Title string
	Why   string // what the block is for
	Asks  []q.Ask
	Daily bool // asked every morning
}

const (
	never    = "It never happened"
	noIdea   = "I do not know"
	paperWhy = "Only a letter counts, and only the lead or the medical reviewer writes down that it is here."
)

// Blocks lists the pages of the intake in the order in which they are asked.
// Reasons are the trade's intake table and gate rules in our own words.
var Blocks = []Block{
	{ID: "wish", Title: "Size and wish", Why: "Gear is put aside by size, and where two answers fit, the wish decides.", Asks: []q.Ask{
		{ID: "goal", Label: "What would make this a good day?", Why: "It stands on the card and decides where two ways would do."},
		{ID: "wish", Label: "How would the student like to ski?", Why: "It breaks a tie between two answers; it never overrules a test."},
		{ID: "height_cm", Label: "Height", Why: "Skis and outriggers go by height."},
		{ID: "mass_kg", Label: "Weight", Why: "Ties and sliders carry only so much, and a heavy student in a slider needs one more person."},
		{ID: "boot_sole_mm", Label: "Boot sole length", Why: "The binding technician needs it. Leave it until boots are on."},
		{ID: "lessons_before", Label: "Lessons before this one", Why: "A first lesson starts on flatter ground."},
	}},
	{ID: "changes", Title: "The last twelve months", Why: "Something new can make an old set-up wrong, or need a doctor's word first.", Asks: []q.Ask{
		{ID: "recent_injury", Label: "An injury or operation in the last 12 months that affects daily life?", Why: "It needs a doctor's written release."},
		{ID: "event_months", Label: "How long ago was a stroke, brain injury or cord injury?", Why: "Within 12 months it needs a doctor's written release.", NA: never},
		{ID: "release_letter", Label: "Is the doctor's release here?", Why: paperWhy},
		{ID: "botulinum_months", Label: "How long ago were botulinum injections?", Why: "They change the evaluation for about 3 months.", NA: never},
		{ID: "pump_change", Label: "Was a medicine pump changed since the last evaluation?", Why: "Tone changes with it, so the evaluation is done again."},
		{ID: "growth_cm", Label: "Growth since the last evaluation", Why: "Lengths no longer fit after about 3 cm."},
		{ID: "new_brace", Label: "A new brace since the last evaluation?", Why: "The set-up rests on the brace."},
		{ID: "progressive", Label: "Is the condition one that changes over weeks?", Why: "Then an evaluation is good for about two months only."},
	}},
	{ID: "nerves", Title: "Head, neck and spine", Why: "These decide whether snow is safe at all, and who has to say so in writing.", Asks: []q.Ask{
		{ID: "down_syndrome", Label: "Down syndrome?", Why: "The neck can be loose; a physician looks at it before any snow."},
		{ID: "neck_exam", Label: "Is the physician's neck examination here?", Follows: "down_syndrome", When: "yes", Why: paperWhy},
		{ID: "shunt", Label: "A shunt?", Why: "Its signs stop the day, and recent surgery needs the neurosurgeon's word."},
		{ID: "shunt_surgery_months", Label: "How long ago was shunt surgery?", Follows: "shunt", When: "yes", NA: "No shunt surgery", Why: "Under 3 months needs the neurosurgeon's word."},
		{ID: "spina_bifida", Label: "Spina bifida?", Why: "Latex stays out of the whole lesson, and feet are looked at by the clock."},
		{ID: "latex_allergy", Label: "Latex allergy?", Why: "Ties, grips, tape and gloves can hold rubber."},
		{ID: "cord_injury", Label: "Spinal cord injury?", Why: "At T6 or above an emergency plan must be on the card."},
		{ID: "ad_plan", Label: "Is the autonomic dysreflexia plan here?", Follows: "cord_injury", When: "any", Why: paperWhy},
	}},
	{ID: "seizures", Title: "Seizures", Why: "The lift is the greater risk, more than the slope.", Asks: []q.Ask{
		{ID: "seizure_free_months", Label: "How long free of seizures?", Why: "Under 3 months: no skiing. Under 12: a letter, and strapped on the lift.", NA: "Never had a seizure"},
		{ID: "seizure_letter", Label: "Is the neurologist's or physician's letter here?", Why: paperWhy},
	}},
	{ID: "medicine", Title: "Heart, sugar, medicines and heat", Why: "These set the lift rule, the head-strike rule and the time of day.", Asks: []q.Ask{
		{ID: "blood_thinner", Label: "Blood thinner?", Why: "Any head strike then goes to hospital."},
		{ID: "insulin", Label: "Insulin?", Why: "Sugar is checked before the lift and about every 2 hours."},
		{ID: "muscle_disease", Label: "Muscular dystrophy?", Why: "Braking with the legs harms the muscle, and the heart is looked at yearly."},
		{ID: "heart_review_months", Label: "How long ago was the cardiologist's review?", Follows: "muscle_disease", When: "yes", NA: "There was none", Why: "It must be younger than 12 months."},
		{ID: "heat_sensitive", Label: "Does heat make the legs worse?", Why: "Then the first, cool slot of the day, and no fire before it."},
		{ID: "relapse_months", Label: "How long ago was the last relapse?", NA: "No relapses", Why: "Within 3 months it needs a physician's release."},
		{ID: "breathing_device", Label: "Needs a device to breathe?", Why: "Nobody skis here who cannot breathe without one."},
		{ID: "helmet_possible", Label: "Can a helmet be worn?", Why: "Nobody skis here without one."},
		{ID: "poor_circulation", Label: "Poor circulation, or fingers and toes that go white?", Why: "Feet are looked at by the clock, and the day ends at milder cold."},
	}},
	{ID: "bones", Title: "Bones and hips", Why: "A hip or bone at risk is never loaded or pushed apart on a guess.", Asks: []q.Ask{
		{ID: "fragile_bone", Label: "Fragile bone?", Why: "Standing then needs the bone specialist's letter."},
		{ID: "bone_letter", Label: "Is the bone specialist's letter here?", Follows: "fragile_bone", When: "yes", Why: paperWhy},
		{ID: "gross_motor_level", Label: "Gross motor level, with cerebral palsy", NA: "No cerebral palsy", Why: "At levels III to V hips are filmed every year."},
		{ID: "hip_migration", Label: "Hip migration on the last film", NA: "No film, or not needed", Why: "Above 30 % the surgeon decides."},
		{ID: "hip_check_months", Label: "How long ago was the last hip film?", NA: "No film was taken", Why: "Older than 12 months is overdue at levels III to V."},
		{ID: "standing_loss", Label: "Has the student recently lost the ability to stand?", Why: "It can be the hip."},
		{ID: "hip_surgeon_word", Label: "Is the orthopaedic surgeon's word on the hips here?", Why: paperWhy},
		{ID: "contracture_deg", Label: "Contracture at knee or hip that no lift cures", Why: "Beyond about 30 degrees sitting is offered."},
		{ID: "good_leg_at_risk", Label: "Could the stronger leg be harmed by carrying alone?", Why: "Then one ski is not the answer."},
	}},
	{ID: "behaviour", Title: "Understanding and help", Why: "It decides how many people come along and where you ski.", Asks: []q.Ask{
		{ID: "runs_off", Label: "Runs off?", Why: "Fenced area and one more person."},
		{ID: "insight", Label: "Insight into own limits", Why: "Where it is poor, the stop word is tested every day."},
		{ID: "two_person_lift", Label: "Needs lifting by two people?", Why: "One more person at the lift."},
		{ID: "last_note_tie", Label: "Tie in the last note", Why: "An old note may disagree with today's test."},
		{ID: "last_note_weak_leg", Label: "Weak leg in the last note", Why: "A short leg is often written down as a weak one."},
		{ID: "lessons_same_help", Label: "Lessons in a row with no drop in help", Why: "After three, sitting is offered as a choice."},
	}},
	{ID: "today", Title: "Today's questions", Daily: true, Why: "Red flags and the hill of the day. Asked every morning: yesterday's answers do not count.", Asks: []q.Ask{
		{ID: "acute_sign", Label: "New headache, vomiting, weakness or confusion today?", Why: "It is explained before anybody skis."},
		{ID: "head_strike", Label: "A head strike that is not cleared yet?", Why: "No skiing until a physician has written."},
		{ID: "neck_sign", Label: "New neck pain, tilted head or unsteady walking?", Why: "With a loose neck this is urgent."},
		{ID: "shunt_sign", Label: "Any shunt sign today?", Hint: "Headache, vomiting, drowsiness, double vision, change of mood.", Why: "A blocked shunt cannot wait."},
		{ID: "vision_loss_new", Label: "New or sudden loss of sight?", Why: "An eye doctor or neurologist first."},
		{ID: "heart_symptom", Label: "Chest pain, fainting, new breathlessness or blue lips?", Why: "No effort, no lift, no cold."},
		{ID: "ad_sign", Label: "Pounding headache, flushing, pale gooseflesh?", Why: "With a cord injury this is an emergency."},
		{ID: "seizure_risk_today", Label: "With a seizure history: missed dose, fever or no sleep?", Why: "Not today."},
		{ID: "sugar_today", Label: "Blood sugar today", Why: "Sugar first, snow later."},
		{ID: "open_skin", Label: "Open or broken skin under boot, brace, cuff or strap?", Why: "It heals or worsens; it does not ski."},
		{ID: "stump_sore", Label: "Sore stump or new socket?", Why: "The prosthetist or physician first."},
		{ID: "hip_pain", Label: "Hip or groin pain on standing?", Why: "No standing until the surgeon has written."},
		{ID: "legs_heavier_today", Label: "Legs heavier than this morning, even after rest?", Why: "It can be a relapse."},
		{ID: "muscle_overwork_sign", Label: "Weakness or muscle pain after the last session, or dark urine?", Why: "The last session did harm."},
		{ID: "snow_today", Label: "Snow and hill", Unknown: "Not known yet", Why: "Ice, slush, crowd or flat light: one terrain step down."},
		{ID: "can_be_lowered", Label: "Could the student be lowered from a stopped lift?", Why: "If not, no lift today."},
		{ID: "technician_available", Label: "Can the binding technician be reached?", Why: "A plate under boot or binding needs a new setting."},
		{ID: "booked_hour", Label: "Hour booked", NA: "No hour yet", Why: "Heat-sensitive students ski early."},
	}},
}

func init() {
	for i := range Blocks {
		for j := range Blocks[i].Asks {
			a := &Blocks[i].Asks[j]
			if a.Unknown == "" {
				a.Unknown = noIdea
			}
		}
	}
}

// Find returns a block and its place in the order; ok is false where there is
// none.
func Find(id string) (b Block, i int, ok bool) {
	for i, b := range Blocks {
		if b.ID == id {
			return b, i, true
		}
	}
	return Block{}, 0, false
}
