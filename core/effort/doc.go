// Package effort computes what moving costs a body in energy, what this
// student can keep up, and the rest that is owed.
//
// A [Rate] is energy used for each second and each kilogram of the body, rest
// included, with its range and its sources. It comes from an equation of
// walking ([Walk], [WalkLoaded], [WalkOxygen]), of stepping ([Step],
// [SideStep]) or from a table of activities ([Activity]). All of them were
// measured on healthy adults; a [Multiplier] carries a rate over to a gait that
// costs more, measured on this student or published for a group.
//
// Where an equation is used beyond what it was measured on, the rate says so in
// words; where it would mislead, the rate is unknown and says why.
//
// Oxygen is in millilitres a minute for each kilogram, as every source prints
// it; one litre of oxygen stands for 5 kcal. Everything else is SI.
//
// A share of what somebody can do, a budget and a rest are limits of a model.
// None of them is advice to go there: see [Cautions].
package effort

// Cautions are what goes with every figure of this package, in the order to be
// printed.
func Cautions() []string {
	return []string{
		"These are averages of healthy adults; the student in front of you is not one. Watch the face, the stance and the answers, not the figure.",
		"A limit is where the model stops, never a target. Stop earlier when quality drops, and at once for chest pain, breathlessness at rest, dizziness, new weakness or when the student says stop.",
		"How hard a person with a heart, lung or muscle condition may work is decided by their physician or therapist.",
	}
}
