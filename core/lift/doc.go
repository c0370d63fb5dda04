// Package lift computes whether a student can reach the load line between two
// carriers, which speed to ask for, whether the unload leaves time enough, and
// what to ask the lift staff for.
//
// A [Line] is a lift at its load line: speed, interval and spacing of the
// carriers. Slowing keeps the spacing and stretches the interval. A [Reach]
// sets the time a student needs, as measured, against the time two carriers
// leave; ranges in give a range out. An [Ask] is the content of the request card
// for lift staff and patrol.
//
// Everything here is a limit of a model: see [Cautions]. The lift staff have the
// last word.
package lift

// Cautions are what goes with every figure of this package, in the order to be
// printed.
func Cautions() []string {
	return []string{
		"Lift staff decide whether, how and at what speed this student rides; ask before the queue, not in it.",
		"A speed found here is the fastest the figures allow, never the one to run at. When in doubt ask for a stop.",
		"Rehearse off the lift with everybody who helps; one person is in charge and counts aloud.",
		"Who could not be lowered from a stopped lift today does not ride today.",
	}
}
