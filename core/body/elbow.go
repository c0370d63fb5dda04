package body

import (
	"math"

	"firnhand/core/quantity"
	"firnhand/core/source"
)

// ElbowBend returns the bend of the elbow of an arm of two links whose ends,
// shoulder and grip, are a distance apart: acos((d² - a² - f²) / (2 a f)), with
// a the upper arm and f elbow to grip centre; a straight arm is 0. A distance
// the arm does not reach is refused.
func ElbowBend(distance, upperArm, forearmGrip quantity.Metre) (quantity.Radian, error) {
	d, a, f := float64(distance), float64(upperArm), float64(forearmGrip)
	for _, v := range []float64{d, a, f} {
		switch {
		case !finite(v):
			return 0, refuse("not_a_number", "A length of the arm is not a number.")
		case v <= 0:
			return 0, refuse("length_not_positive", "The lengths of the arm and the distance must be above zero.")
		}
	}
	cos := (d*d - a*a - f*f) / (2 * a * f)
	switch {
	case cos > 1+1e-12:
		return 0, refuse("out_of_reach", "The grip is "+mm(d-a-f)+" mm further from the shoulder than the arm is long.")
	case cos < -1:
		return 0, refuse("too_close", "The grip is nearer to the shoulder than the arm can fold.")
	}
	return quantity.Radian(math.Acos(min(1, max(-1, cos)))), nil
}

// Handle places a hand on a handle.
type Handle struct {
	Shoulder quantity.Metre // height of the shoulder's centre
	Top      quantity.Metre // height of the top of the handle
	Below    quantity.Metre // grip centre under the top of the handle
	Outside  quantity.Metre // handle outside the shoulder
	Ahead    quantity.Metre // handle ahead of the shoulder
}

// Distance returns how far the grip centre is from the shoulder.
func (h Handle) Distance() quantity.Metre {
	up := float64(h.Shoulder - h.Top + h.Below)
	return quantity.Metre(math.Sqrt(up*up + float64(h.Outside*h.Outside) + float64(h.Ahead*h.Ahead)))
}

// GripBelow is the usual height of the handle's top over the grip centre.
func GripBelow() quantity.Metre {
	return quantity.Metre(figure("grip_below_handle_top").Value * millimetre)
}

// CreaseBelow is how far the wrist crease lies below the wrist bone on a
// hanging arm.
func CreaseBelow() quantity.Metre {
	return quantity.Metre(figure("crease_below_wrist_bone").Value * millimetre)
}

// AcromionShare is the share of acromion to elbow that lies above the
// shoulder's centre.
func AcromionShare() float64 { return figure("shoulder_below_acromion").Value }

// HandleRule says where the top of a handle is set.
type HandleRule string

// The rules of the walking-aid literature.
const (
	AtWristBone   HandleRule = "wrist_bone"
	AtWristCrease HandleRule = "wrist_crease"
	AtTrochanter  HandleRule = "trochanter"
)

// Population is the elbow bend of a population whose handles follow a rule.
type Population struct {
	Mean, SD quantity.Radian
	Within   float64 // share with a bend of 15 to 30 degrees
	Straight float64 // share whose arm does not reach, counted with a straight arm
}

// ElbowOfPopulation returns the elbow bend of grown women or men of ANSUR II
// whose handle is set by a rule, outside and ahead of the shoulder. It joins
// the spread of upper arm and forearm (tied through stature), of where the fist
// lies beyond the wrist, and of the trochanter's height over the wrist. The
// people themselves are not in the program, only their statistics; a fixed grid
// of the normal distribution stands in for them.
func ElbowOfPopulation(sex Sex, rule HandleRule, outside, ahead quantity.Metre) (Population, error) {
	if sex != Female && sex != Male {
		return Population{}, refuse("sex_needed", "Women and men are not pooled; say which.")
	}
	if rule != AtWristBone && rule != AtWristCrease && rule != AtTrochanter {
		return Population{}, refuse("unknown_rule", "A handle is set to wrist_bone, wrist_crease or trochanter.")
	}
	stat := func(measure string) (mean, sd float64) {
		r := only(source.Table("ansur2_summary").Where("sex", string(sex)).Where("measure", measure))
		return number(r, "mean") * millimetre, number(r, "sd") * millimetre
	}
	tie := func(measure string) float64 {
		return number(only(source.Table("ansur2_ratio").Where("sex", string(sex)).Where("measure", measure)), "r")
	}
	low := map[Sex]string{Female: "f", Male: "m"}[sex]
	arm, armSD := stat("acromionradialelength")
	fore, foreSD := stat("radialestylionlength")
	tied := tie("acromionradialelength") * tie("radialestylionlength")
	beyond, beyondSD := figure("grip_beyond_stylion_"+low).Value*millimetre, figure("grip_beyond_stylion_"+low).SD*millimetre
	trochanter, _ := stat("trochanterionheight")
	wrist, _ := stat("wristheight")
	overSD := figure("trochanter_over_wrist_"+low).SD * millimetre
	share, below, crease := 1-AcromionShare(), float64(GripBelow()), float64(CreaseBelow())

	z := normalGrid()
	zOver := z
	if rule != AtTrochanter {
		zOver = []float64{0}
	}
	var n, sum, square, within, straight float64
	for _, z1 := range z {
		a := share * (arm + armSD*z1)
		for _, z2 := range z {
			wristAt := fore + foreSD*(tied*z1+math.Sqrt(1-tied*tied)*z2)
			for _, z3 := range z {
				f := wristAt + beyond + beyondSD*z3
				for _, z4 := range zOver {
					up := a + wristAt + below
					switch rule {
					case AtWristCrease:
						up += crease
					case AtTrochanter:
						up -= trochanter - wrist + overSD*z4
					}
					d := math.Sqrt(up*up + float64(outside*outside) + float64(ahead*ahead))
					cos := (d*d - a*a - f*f) / (2 * a * f)
					if cos > 1 {
						straight++
					}
					bend := math.Acos(min(1, max(-1, cos)))
					if at := quantity.Radian(bend).Degrees(); at >= figureLow && at <= figureHigh {
						within++
					}
					n++
					sum += bend
					square += bend * bend
				}
			}
		}
	}
	mean := sum / n
	return Population{quantity.Radian(mean), quantity.Radian(math.Sqrt(max(0, square/n-mean*mean))), within / n, straight / n}, nil
}

// The band of the leaflets, in degrees.
const (
	figureLow  = 15 // src: Leaflets
	figureHigh = 30 // src: Leaflets
)

// gridPoints is how many points stand for a normal distribution.
const gridPoints = 15

// normalGrid returns equally likely points of the standard normal distribution,
// scaled so that their spread is one.
func normalGrid() []float64 {
	z := make([]float64, gridPoints)
	square := 0.0
	for i := range z {
		z[i] = math.Sqrt2 * math.Erfinv(2*(float64(i)+0.5)/gridPoints-1)
		square += z[i] * z[i]
	}
	k := math.Sqrt(gridPoints / square)
	for i := range z {
		z[i] *= k
	}
	return z
}

// DistanceForBend returns how far shoulder and grip centre are apart with a
// given bend of the elbow, the other way round from [ElbowBend].
func DistanceForBend(bend quantity.Radian, upperArm, forearmGrip quantity.Metre) (quantity.Metre, error) {
	b, a, f := float64(bend), float64(upperArm), float64(forearmGrip)
	switch {
	case !finite(b) || !finite(a) || !finite(f):
		return 0, refuse("not_a_number", "A length or bend is not a number.")
	case a <= 0 || f <= 0:
		return 0, refuse("length_not_positive", "The lengths of the arm and the distance must be above zero.")
	case b < 0:
		return 0, refuse("elbow_backwards", "An elbow does not bend backwards.")
	case b >= math.Pi:
		return 0, refuse("elbow_impossible", "An elbow does not fold onto itself.")
	}
	return quantity.Metre(math.Sqrt(a*a + f*f + 2*a*f*math.Cos(b))), nil
}
