package progress

import "math"

// The rule for expectations over a near-Gaussian: trapezoid in standard
// deviations, as in tilt.
const (
	wideStep = 0.25 // exact: a step of the method, no figure of the world
	wideMost = 36   // steps on each side: nine standard deviations
)

// bent is the factor by which the density at z standard deviations differs
// from the Gaussian (the Edgeworth series to second order).
func (a along) bent(z float64) float64 {
	g3, g4 := a.shape()
	z2 := z * z
	h3 := z * (z2 - 3)                          // exact: Hermite polynomials
	h4 := z2*z2 - 6*z2 + 3                      // exact
	h6 := z2*z2*z2 - 15*z2*z2 + 45*z2 - 15      // exact
	return 1 + g3/6*h3 + g4/24*h4 + g3*g3/72*h6 // exact
}

// shape returns skewness and excess kurtosis.
func (a along) shape() (skewness, excess float64) {
	s := math.Sqrt(a.v)
	return a.skew3 / (a.v * s), a.kurtosis4 / (a.v * a.v)
}

// clean returns the probability of a clean attempt at an offset, and of one that
// is at least partly.
func (m *model) clean(a along, offset float64) (clean, partly float64) {
	s := math.Sqrt(a.v)
	var sum float64
	for i := -wideMost; i <= wideMost; i++ {
		z := float64(i) * wideStep
		w := math.Exp(-z*z/2) * a.bent(z)
		x := math.Exp(-(a.mean + s*z + offset))
		sum += w
		clean += w / (1 + x)
		partly += w / (1 + x*m.partly)
	}
	inside := func(p float64) float64 { return max(0, min(1, p/sum)) }
	return inside(clean), inside(partly)
}

// at returns the effect z standard deviations of a Gaussian away (the
// Cornish-Fisher expansion to second order), never against the order of z for
// the skews that occur here.
func (a along) at(z float64) float64 {
	g3, g4 := a.shape()
	z2 := z * z
	x := z + g3/6*(z2-1) + g4/24*z*(z2-3) - g3*g3/36*z*(2*z2-5) // exact
	return a.mean + math.Sqrt(a.v)*x
}

// logistic is 1/(1+exp(-x)).
func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// below returns the probability of lying below a value.
func (a along) below(x float64) float64 {
	z := (x - a.mean) / math.Sqrt(a.v)
	g3, g4 := a.shape()
	z2 := z * z
	h2 := z2 - 1                   // exact: Hermite polynomials
	h3 := z * (z2 - 3)             // exact
	h5 := z * (z2*z2 - 10*z2 + 15) // exact
	phi := math.Exp(-z2/2) / math.Sqrt(2*math.Pi)
	p := math.Erfc(-z/math.Sqrt2)/2 - phi*(g3/6*h2+g4/24*h3+g3*g3/72*h5) // exact
	return max(0, min(1, p))
}
