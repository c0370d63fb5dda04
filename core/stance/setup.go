package stance

import (
	"firnhand/core/body"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

// spread is how many standard uncertainties of the centre of mass its range
// reaches to each side.
const spread = 2

// Setup is what a posed body stands on besides its skis.
type Setup struct {
	BootSole quantity.Metre    // length of the boots' soles
	Runner   body.Pair[*Point] // where the hinge of a runner is; nil for none
	Slider   []Contact         // runners of a slider's frame; nil for none
	// Line is the x of the line that a ski presses on; nil for the one under the
	// ankle.
	Line body.Pair[*quantity.Metre]
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
	for _, side := range body.Sides {
		if ankle := p.Joints.Ankle.At(side); p.Standing.At(side) {
			x, y := quantity.Metre(ankle.X), quantity.Metre(ankle.Y)
			if line := s.Line.At(side); line != nil {
				x = *line
			}
			st.Contacts = append(st.Contacts, Contact{Kind: Ski, Side: side,
				Rear: Point{x, y - s.BootSole*quantity.Metre(heel)}, Front: Point{x, y + s.BootSole*quantity.Metre(1-heel)}})
		}
		if at := s.Runner.At(side); at != nil {
			st.Contacts = append(st.Contacts, Contact{Kind: Runner, Side: side, Rear: Point{at.X, at.Y - line}, Front: Point{at.X, at.Y + line}})
		}
	}
	st.Contacts = append(st.Contacts, s.Slider...)
	return st, st.check()
}
