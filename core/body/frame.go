package body

import (
	"math"

	"firnhand/core/quantity"
	"firnhand/core/source"
)

// Reading is one measured length with the error it was read with; a zero
// error takes the usual one of core/source.
type Reading struct {
	Value quantity.Metre
	Error quantity.Metre
}

// Measured holds what was measured on the person, standing barefoot on the
// floor; nil where nobody measured. Heights are above the floor.
type Measured struct {
	AnkleHeight    *Reading // middle of the outer ankle bone
	KneeHeight     *Reading // outer bone of the thigh at the knee
	HipHeight      *Reading // top of the greater trochanter, taken as the hip centre's height
	ShoulderHeight *Reading // acromion, the bony edge of the shoulder
	NeckHeight     *Reading // cervicale, the bone at the base of the neck
	FootLength     *Reading
	HipBreadth     *Reading       // standing, over the widest part
	ShoulderWidth  *Reading       // between the two acromia
	UpperArm       Pair[*Reading] // acromion to the outer bone of the elbow
	Forearm        Pair[*Reading] // outer bone of the elbow to the wrist bone
	ForearmGrip    Pair[*Reading] // outer bone of the elbow to the middle of the fist
	HandLength     Pair[*Reading] // wrist crease to fingertip
}

// Length is a length in use: its value, standard error and origin.
type Length struct {
	Value    float64 // metres
	SD       float64 // metres
	Measured bool
	Source   string // table or figure it was predicted from; "" where measured
	Outside  bool   // predicted for somebody outside what was studied
}

// Frame is every length a body is posed with. Heights are above the sole.
type Frame struct {
	Stature, Ankle, Knee, Hip, Shoulder, Neck Length       // heights; Shoulder is the joint's centre
	FootLength, HipsApart, ShouldersApart     Length       // HipsApart and ShouldersApart between joint centres
	UpperArm, Forearm, Grip, Hand             Pair[Length] // shoulder to elbow, elbow to wrist, wrist to grip centre, wrist to fingertip
	WristHeight                               Length       // wrist bone, arm straight down
}

// predictor predicts ANSUR II measures from stature.
type predictor struct {
	sex     Sex
	stature float64
	sd      float64 // of the stature
	outside bool
}

// of returns a measure in metres: by regression for grown people within the
// range studied, by the mean ratio with twice its spread outside it.
func (p predictor) of(measure string) Length {
	sexes := sexesOf(p.sex)
	values, sum, variance := make([]float64, len(sexes)), 0.0, 0.0
	for i, s := range sexes {
		r := only(source.Table("ansur2_ratio").Where("sex", string(s)).Where("measure", measure))
		v, sd, slope := 0.0, 0.0, number(r, "mean_ratio")
		if p.outside {
			v, sd = slope*p.stature, 2*number(r, "sd_ratio")*p.stature
		} else {
			slope = number(r, "slope_mm_per_mm")
			v, sd = slope*p.stature+number(r, "intercept_mm")*millimetre, number(r, "see_mm")*millimetre
		}
		values[i] = v
		sum += v
		variance += sd*sd + slope*slope*p.sd*p.sd
	}
	n := float64(len(sexes))
	mean := sum / n
	variance /= n
	for _, v := range values {
		variance += (v - mean) * (v - mean) / n
	}
	return Length{Value: mean, SD: math.Sqrt(variance), Source: "ansur2_ratio", Outside: p.outside}
}

// Predict returns an ANSUR II measure predicted from stature, in metres: by
// regression with its standard error where the stature lies between the 1st
// and 99th percentile of grown people, else by the mean ratio with twice its
// spread, marked as outside what was studied. Measures are named as in table
// ansur2_ratio; asking for another is a mistake in the program and panics.
func Predict(measure string, sex Sex, stature quantity.Metre, ageYears *float64) Length {
	p := predictor{sex: sex, stature: float64(stature)}
	p.outside = outsideStudied(sex, float64(stature), ageYears)
	return p.of(measure)
}

// outsideStudied tells whether the regressions of grown people do not apply.
func outsideStudied(sex Sex, stature float64, age *float64) bool {
	if age != nil && *age < figure("child_masses_until").Value {
		return true
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, s := range sexesOf(sex) {
		r := only(source.Table("ansur2_summary").Where("sex", string(s)).Where("measure", "stature"))
		low, high = min(low, number(r, "p01")*millimetre), max(high, number(r, "p99")*millimetre)
	}
	return stature < low || stature > high
}

// measure settles the frame of a body.
func (b *Body) measure() error {
	p, m := b.person, b.person.Measured
	usual := figure("reading_error").Value * millimetre
	stature, err := p.stature()
	if err != nil {
		return err
	}
	pr := predictor{sex: p.Sex, stature: stature.Value, outside: outsideStudied(p.Sex, stature.Value, p.AgeYears)}
	if !stature.Measured {
		pr.sd = stature.SD
		b.notes = append(b.notes, "The stature is the growth chart's middle child of this age; measure it.")
	}
	if pr.outside {
		b.notes = append(b.notes, "Heights that were not measured are an adult's proportions carried to somebody outside those studied; their error is doubled.")
	}
	f := Frame{Stature: stature}
	var failed error
	take := func(what string, r *Reading, or func() Length) Length {
		if r == nil {
			return or()
		}
		if err := checkLength(what, float64(r.Value), millimetre, tallestCm*centimetre); err != nil && failed == nil {
			failed = err
		}
		sd := float64(r.Error)
		if sd == 0 {
			sd = usual
		}
		if !finite(sd) || sd < 0 {
			failed = refuse("error_negative", "The reading error of the "+what+" must not be below zero.")
		}
		return Length{Value: float64(r.Value), SD: sd, Measured: true}
	}
	f.Ankle = take("ankle height", m.AnkleHeight, func() Length { return pr.of("lateralmalleolusheight") })
	f.Knee = take("knee height", m.KneeHeight, func() Length { return pr.of("lateralfemoralepicondyleheight") })
	f.Hip = take("hip height", m.HipHeight, func() Length { return pr.of("trochanterionheight") })
	acromion := take("shoulder height", m.ShoulderHeight, func() Length { return pr.of("acromialheight") })
	f.Neck = take("neck height", m.NeckHeight, func() Length { return pr.of("cervicaleheight") })
	f.FootLength = take("foot length", m.FootLength, func() Length { return pr.of("footlength") })
	breadth := take("hip breadth", m.HipBreadth, func() Length { return pr.of("hipbreadth") })
	apart := figure("hip_centres_apart")
	f.HipsApart = breadth.times(apart.Value, (apart.High-apart.Low)/2)
	f.ShouldersApart = take("shoulder width", m.ShoulderWidth, func() Length { return pr.of("biacromialbreadth") })
	below := figure("shoulder_below_acromion").Value
	drop := 0.0
	for _, s := range Sides {
		arm := take("upper arm", m.UpperArm.At(s), func() Length { return pr.of("acromionradialelength") })
		drop += below * arm.Value / 2
		*f.UpperArm.Of(s) = arm.times(1-below, 0)
		*f.Forearm.Of(s) = take("forearm", m.Forearm.At(s), func() Length { return pr.of("radialestylionlength") })
		*f.Hand.Of(s) = take("hand length", m.HandLength.At(s), func() Length { return pr.of("handlength") })
		*f.Grip.Of(s) = b.gripBeyondWrist(f.Hand.At(s))
		if r := m.ForearmGrip.At(s); r != nil {
			whole := take("forearm to grip", r, nil)
			if m.Forearm.At(s) == nil {
				// The forearm keeps its predicted share of the measured whole.
				share := f.Forearm.At(s).Value / (f.Forearm.At(s).Value + f.Grip.At(s).Value)
				*f.Forearm.Of(s), *f.Grip.Of(s) = whole.times(share, 0), whole.times(1-share, 0)
			} else {
				*f.Grip.Of(s) = Length{Value: whole.Value - f.Forearm.At(s).Value, SD: whole.SD, Measured: true}
				if f.Grip.At(s).Value <= 0 && failed == nil {
					failed = refuse("lengths_out_of_order", "The fist cannot lie nearer to the elbow than the wrist does.")
				}
			}
		}
	}
	f.Shoulder = Length{acromion.Value - drop, acromion.SD, acromion.Measured, acromion.Source, acromion.Outside}
	f.WristHeight = pr.of("wristheight")
	if failed != nil {
		return failed
	}
	for _, o := range []struct {
		low, high Length
		words     string
	}{
		{f.Ankle, f.Knee, "The ankle must lie below the knee."}, {f.Knee, f.Hip, "The knee must lie below the hip."},
		{f.Hip, f.Shoulder, "The hip must lie below the shoulder."}, {f.Hip, f.Neck, "The hip must lie below the neck."},
		{f.Neck, f.Stature, "The base of the neck must lie below the top of the head."},
	} {
		if !(o.low.Value < o.high.Value) {
			return refuse("lengths_out_of_order", o.words)
		}
	}
	b.frame = f
	return nil
}

// times returns the length times k, where k itself is known to within sd.
func (l Length) times(k, sd float64) Length {
	l.SD = math.Hypot(l.SD*k, l.Value*sd)
	l.Value *= k
	return l
}

// gripBeyondWrist is how far the middle of the fist lies beyond the wrist
// bone, by the share it has of the mean hand.
func (b *Body) gripBeyondWrist(hand Length) Length {
	share, n := 0.0, 0.0
	for _, s := range sexesOf(b.person.Sex) {
		mean := number(only(source.Table("ansur2_summary").Where("sex", string(s)).Where("measure", "handlength")), "mean")
		share += gripBeyond(s) / mean
		n++
	}
	l := hand.times(share/n, 0)
	l.SD = math.Hypot(l.SD, figure("reading_error").Value*millimetre)
	l.Source, l.Measured = "ansur2_summary", false
	return l
}

// gripBeyond returns that length at mean hand length, in millimetres.
func gripBeyond(s Sex) float64 {
	if s == Female {
		return figure("grip_beyond_stylion_f").Value
	}
	return figure("grip_beyond_stylion_m").Value
}

// stature is the person's, or the growth chart's for a child.
func (p Person) stature() (Length, error) {
	if p.Stature != nil {
		return Length{Value: float64(*p.Stature), SD: figure("reading_error").Value * millimetre, Measured: true}, nil
	}
	if p.AgeYears == nil || *p.AgeYears > 20 {
		return Length{}, refuse("stature_needed", "The height of the person is needed.")
	}
	var mean, square, n float64
	for _, s := range sexesOf(p.Sex) {
		g, err := GrowthAt("stature_cm", s, *p.AgeYears)
		if err != nil {
			return Length{}, err
		}
		m, sd := g.M*centimetre, g.M*g.S*centimetre
		mean += m
		square += m*m + sd*sd
		n++
	}
	mean /= n
	return Length{Value: mean, SD: math.Sqrt(square/n - mean*mean), Source: "cdc2000"}, nil
}

// Growth is one age of a growth chart: power, median and variation.
type Growth struct{ L, M, S float64 }

// At returns the value at a standard score.
func (g Growth) At(z float64) float64 {
	if g.L == 0 {
		return g.M * math.Exp(g.S*z)
	}
	return g.M * math.Pow(1+g.L*g.S*z, 1/g.L)
}

// Score returns the standard score of a value above zero.
func (g Growth) Score(v float64) float64 {
	if g.L == 0 {
		return math.Log(v/g.M) / g.S
	}
	return (math.Pow(v/g.M, g.L) - 1) / (g.L * g.S)
}

// monthsPerYear turns the ages of the chart to years.
const monthsPerYear = 12

// GrowthAt returns a chart ("stature_cm" or "weight_kg") at an age from 3.04 to
// 20 years, linear between its rows. An age outside is refused.
func GrowthAt(measure string, sex Sex, ageYears float64) (Growth, error) {
	rows := source.Table("cdc2000").Where("measure", measure).Where("sex", string(sex)).Rows()
	if len(rows) == 0 {
		return Growth{}, refuse("unknown_chart", "There is no growth chart for that.")
	}
	of := func(r source.Row) Growth { return Growth{number(r, "L"), number(r, "M"), number(r, "S")} }
	months := ageYears * monthsPerYear
	for i := 1; i < len(rows); i++ {
		a, b := number(rows[i-1], "age_months"), number(rows[i], "age_months")
		if months < a || months > b {
			continue
		}
		w := (months - a) / (b - a)
		x, y := of(rows[i-1]), of(rows[i])
		return Growth{x.L*(1-w) + y.L*w, x.M*(1-w) + y.M*w, x.S*(1-w) + y.S*w}, nil
	}
	return Growth{}, refuse("age_outside_chart", "The growth charts here go from 3 years and a half month to 20 years.")
}

// ScoreOf returns the standard score below which a share of people lie, 0 to 1.
func ScoreOf(share float64) float64 { return math.Sqrt2 * math.Erfinv(2*share-1) }

// ShareBelow returns the share of people below a standard score.
func ShareBelow(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
