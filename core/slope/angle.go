package slope

import "math"

// MapAngle returns the map angle ψ of a path angle φ on a slope θ:
// tan ψ = tan φ / cos θ, in the same quarter.
func MapAngle(phi, theta float64) float64 {
	sin, cos := math.Sincos(phi)
	return math.Atan2(sin, cos*math.Cos(theta))
}

// PathAngle returns the path angle φ in the slope plane of a map angle ψ on a
// slope θ; the inverse of [MapAngle].
func PathAngle(psi, theta float64) float64 {
	sin, cos := math.Sincos(psi)
	return math.Atan2(sin*math.Cos(theta), cos)
}

// PathSlope returns the gradient angle in rad of a path of angle φ on a slope
// θ: sin α = sin θ cos φ.
func PathSlope(theta, phi float64) float64 { return math.Asin(math.Sin(theta) * math.Cos(phi)) }

// PathSlopeOnMap returns the same from the map angle ψ: tan α = tan θ cos ψ.
func PathSlopeOnMap(theta, psi float64) float64 { return math.Atan(math.Tan(theta) * math.Cos(psi)) }

// FromAcross returns the path angle φ of a start angle of the fan, counted
// from straight across, to the left or the right.
func FromAcross(start float64, side Side) float64 { return side.sign() * (math.Pi/2 - start) }

// Side is the student's left or right, looking the way the run points.
type Side string

// The sides.
const (
	Left  Side = "left"
	Right Side = "right"
)

// Sides lists left and right, in the order they are printed.
var Sides = [2]Side{Left, Right}

// sign is +1 for the left and -1 for the right, as path angles are counted.
func (s Side) sign() float64 {
	if s == Right {
		return -1
	}
	return 1
}

// Grade is a plane by its gradients along a run and across it: falls of
// height for each metre on the map.
type Grade struct {
	Along  float64 // tan, downhill positive
	Across float64 // tan, falling to the left positive
}

// Steepest returns the angle θ in rad of the plane and the angle on the map
// from the axis of the run to the true fall line, positive to the left.
func (g Grade) Steepest() (theta, off float64) {
	return math.Atan(math.Hypot(g.Along, g.Across)), math.Atan2(g.Across, g.Along)
}

// Horn returns the gradient of the middle of nine heights in m on a square
// grid with a spacing in m. Rows run from the top of the run downhill, columns
// from its left to its right looking downhill. It is exact on a plane.
func Horn(z [3][3]float64, spacing float64) Grade {
	down := (z[2][0] + 2*z[2][1] + z[2][2]) - (z[0][0] + 2*z[0][1] + z[0][2])
	right := (z[0][2] + 2*z[1][2] + z[2][2]) - (z[0][0] + 2*z[1][0] + z[2][0])
	return Grade{Along: -down / (8 * spacing), Across: right / (8 * spacing)}
}

// Spot is a place on the ground: metres on the map down a chosen axis and to
// the left of it, and height.
type Spot struct {
	Along, Left, Height float64
}

// Plane fits a plane to spots by least squares and returns its gradient and
// how far the spots lie from it, as a root mean square in m. ok is false where
// fewer than three spots, or spots on one line, leave it open.
func Plane(spots []Spot) (g Grade, off float64, ok bool) {
	n := float64(len(spots))
	if n < 3 {
		return Grade{}, 0, false
	}
	var mx, my, mz float64
	for _, s := range spots {
		mx, my, mz = mx+s.Along/n, my+s.Left/n, mz+s.Height/n
	}
	var xx, xy, yy, xz, yz, zz float64
	for _, s := range spots {
		x, y, z := s.Along-mx, s.Left-my, s.Height-mz
		xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
		xz, yz, zz = xz+x*z, yz+y*z, zz+z*z
	}
	det := xx*yy - xy*xy
	// Of spots on one line the smaller spread is nothing against the larger.
	if !(det > 1e-9*(xx+yy)*(xx+yy)) {
		return Grade{}, 0, false
	}
	a, b := (xz*yy-yz*xy)/det, (yz*xx-xz*xy)/det
	rest := max(zz-a*xz-b*yz, 0)
	return Grade{Along: -a, Across: -b}, math.Sqrt(rest / n), true
}
