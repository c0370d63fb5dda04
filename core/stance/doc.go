// Package stance balances a standing skier on skis and outriggers, or in a
// slider: whether legs and arms can hold the stance, what each contact carries,
// and how far the body may lean before it tips.
//
// The frame has its origin on the snow midway between the ankles, x to the
// student's right, y forward along the skis, z normal to the snow. Lengths are
// metres, forces newtons.
//
// # Model
//
// Each ski, each runner and each frame runner is a line on the snow that two
// end forces press on, normal to the snow and never pulling. (A line whose ends
// are the same is a point.) A runner turns on its hinge, so its line is what
// the hinge lets it use, about the hinge; a ski's line is what the boot lets the
// leg use, at least the boot's sole. The weight acts where the line of apparent
// gravity through the centre of mass meets the snow, so three equations hold:
// the forces add up to the weight, and their moments about both axes are those
// of the weight. Legs and arms have limits. Forces along the snow act at z = 0
// and do not enter the moments; what the snow has to hold along and across the
// skis is given beside the answer, and edges, brakes, friction and helpers have
// to supply it. The frame of a slider stands by its own weight, which is not
// part of the mass.
//
// With more contacts than equations the forces are not determined. What follows
// from statics alone is kept apart from what an assumption adds: the least load
// the arms must take, and the least and most on each contact, hold whatever the
// skier does; the even share takes all contacts to give alike; and readings of
// two bathroom scales fix how the feet share their load.
//
// [Analyse] answers all of it for one stance, with the range that the centre of
// mass leaves open. [Solver] is the linear programme beneath, for many stances
// in a row without allocating.
package stance
