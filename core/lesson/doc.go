// Package lesson plans the minutes on snow: which skills, on which side, on
// which terrain, with how much help, for how long, with rests between.
//
// [Make] turns a student, a day and a goal into the plan with the greatest
// expected gain that breaks none of these: what a skill needs comes first; no
// skill that gear, legs or hold exclude; no more than the minutes, the block
// before a rest, the rest, the effort, the looks at what cannot feel, the
// people and the terrain there are; one thing harder at a time; the hardest
// new skill first and while fresh; something that works at the beginning and
// at the end. A first lesson follows the plan for the way of skiing; later
// ones start from the ladder. The search is exact. What did not fit is told
// with its reason.
//
// Time runs in steps of [Step] minutes. Gain is in thousandths of a step of the
// ladder toward the goal. The package is pure.
package lesson

// Cautions are what goes with every plan, in the order to be printed.
func Cautions() []string {
	return []string{
		"A plan is a proposal. The student, the snow and the instructor's eyes come first; every line in it may be left out, none may be hurried.",
		"Minutes, effort and looks are limits, not goals: end earlier when quality drops, and before the run that would be one too many.",
		"Stop at once for pain, numb or white skin, new weakness, headache, a chest sign, an uncontrolled run, or the student's word.",
		"Lift staff, patrol, physicians, the certified technician and local rules come first. A hold is ended in writing by who may end it, never by a plan.",
	}
}
