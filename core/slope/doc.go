// Package slope computes how a skier moves on snow, and what a line between
// two people can hold: glides, stops, turns, the fan of start angles, the band
// of speeds that uncertain snow leaves, the friction of today from timed
// glides, the reins, and the shape of a teaching slope.
//
// A path is a chain of straight pieces of constant gradient. On each the skier
// is a point with friction in proportion to the normal force and drag in
// proportion to the square of the speed through the air:
//
//	dv/dt = g (sin θ cos φ - μ n) - k (v + w)²        k = ρ CdA / (2 m)
//
// with n the normal force in weights. This has a closed form, so pieces chain
// exactly and there is no step size. Turns have none; their speed is
// integrated along the arc with error control.
//
// # Frames and angles
//
// Everything is SI; angles are radians. The slope frame has x down the fall
// line, y to the left seen looking downhill, z away from the snow. θ is the
// angle of the slope, positive downhill. Of a path two angles are told apart by
// name and never mixed:
//
//   - path angle φ: from the fall line, measured in the slope plane;
//   - map angle ψ: from the fall line, measured on a map.
//
// Both run from -π to π and are positive to the left. A start angle of the
// fan is counted from straight across the slope, in the slope plane.
//
// # What is left out
//
// Friction does not depend on speed, temperature or load. The load that a
// hollow or a crest adds is left out of a chain of pieces; [Profile.Bends] says
// how much it would be. A skier does not push, skate or brake unless a piece
// says so. Cross wind and gusts are outside the equations.
//
// Limits that come out of this package are limits of a model. None of them is
// advice to go there: see [Cautions].
package slope
