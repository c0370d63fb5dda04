package stance

import (
	"firnhand/core/body"
	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// spread is how many standard uncertainties of the centre of mass its range
// reaches to each side.
const spread = 2

// Setup is what a posed body stands on.
type Setup struct {
	BootSole quantity.Metre             // length of the boots' soles
	Runner   body.Pair[*quantity.Metre] // how far a runner's hinge is outside the ankle of its side; nil for none
	Ahead    quantity.Metre             // of the runners' hinges before the boots' toe ends
	Slider   bool
}

// UsualSetup returns the places where outriggers are set first: as far outside
// the foot and ahead of it as forearm crutches.
func UsualSetup(bootSole quantity.Metre, left, right bool) Setup {
	s := Setup{BootSole: bootSole, Ahead: quantity.Metre(metres("crutch_tip_ahead", centimetre))}
	out := quantity.Metre(metres("crutch_tip_outside", centimetre) + metres("ski_waist", centimetre)/2)
	for _, one := range []struct {
		side finding.Side
		has  bool
	}{{finding.Left, left}, {finding.Right, right}} {
		if one.has {
			out := out
			*s.Runner.Of(one.side) = &out
		}
	}
	return s
}

// Standing returns the stance of a posed body: its mass, its centre of mass with
// twice its standard uncertainty, and the contacts it has on the snow. Limits
// and lean are the caller's.
func (s Setup) Standing(p body.Posed) (Stance, error) {
	if err := within("The length of the boot sole", float64(s.BootSole), apart, 1, "m"); err != nil {
		return Stance{}, err
	}
	st := Stance{Mass: quantity.Kilogram(p.Mass)}
	for _, one := range []struct {
		into   *quantity.Range[quantity.Metre]
		at, sd float64
	}{{&st.Centre.X, p.CM.X, p.SD.X}, {&st.Centre.Y, p.CM.Y, p.SD.Y}, {&st.Centre.Height, p.CM.Z, p.SD.Z}} {
		r, err := quantity.PlusMinus(quantity.Metre(one.at), quantity.Metre(spread*one.sd))
		if err != nil {
			return Stance{}, refuse(notNumber, "The centre of mass is not a number.")
		}
		*one.into = r
	}
	heel := source.Value("ankle_on_sole") / 100
	line := quantity.Metre(metres("runner_line_half", centimetre))
	var stand vec // the ankle a runner is set from where its own foot is in the air
	for _, side := range body.Sides {
		if a := p.Joints.Ankle.At(side); p.Standing.At(side) {
			stand = vec{a.X, a.Y}
		}
	}
	for _, side := range body.Sides {
		from := stand
		if p.Standing.At(side) {
			a := p.Joints.Ankle.At(side)
			from = vec{a.X, a.Y}
		}
		x, y := quantity.Metre(from.x), quantity.Metre(from.y)
		rear, toe := y-s.BootSole*quantity.Metre(heel), y+s.BootSole*quantity.Metre(1-heel)
		if p.Standing.At(side) {
			st.Contacts = append(st.Contacts, Contact{Kind: Ski, Side: side, Rear: Point{x, rear}, Front: Point{x, toe}})
		}
		if out := s.Runner.At(side); out != nil {
			at := Point{x + *out*quantity.Metre(body.Outward(side)), toe + s.Ahead}
			st.Contacts = append(st.Contacts, Contact{Kind: Runner, Side: side, Rear: Point{at.X, at.Y - line}, Front: Point{at.X, at.Y + line}})
		}
	}
	if s.Slider {
		st.Contacts = append(st.Contacts, SliderFrame()...)
	}
	return st, st.check()
}
