package slope

import "math"

// Draws is a source of numbers spread evenly over 0 to 1, 0 included, 1 not.
type Draws func() float64

// Seeded returns a source of numbers that is the same for the same seed on
// every machine.
func Seeded(seed uint64) Draws {
	return func() float64 {
		// SplitMix64: a counter in steps of the golden ratio, well mixed.
		seed += 0x9e3779b97f4a7c15
		z := seed
		z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
		z = (z ^ z>>27) * 0x94d049bb133111eb
		z ^= z >> 31
		return float64(z>>11) / (1 << 53)
	}
}

// Chance says how an uncertain number is spread.
type Chance interface {
	// Quantile returns the value below which a share p of the chance lies, p
	// from 0 to 1.
	Quantile(p float64) float64
}

// Quantile returns the share p of the way from the low to the high end: every
// value of the range is as likely as any other.
func (s Span) Quantile(p float64) float64 { return s.Low + p*(s.High-s.Low) }

// Normal is a number with a mean and a standard deviation.
type Normal struct{ Mean, SD float64 }

// Quantile returns the value below which a share p of the chance lies.
// The ends, where it is infinite, are cut at a chance no draw resolves.
func (n Normal) Quantile(p float64) float64 {
	const end = 1e-16
	p = min(max(p, end), 1-end)
	return n.Mean + n.SD*math.Sqrt2*math.Erfinv(2*p-1)
}

// Span is a value with the limits its inputs allow: low ≤ value ≤ high.
type Span struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// Exactly returns a span that has no width.
func Exactly(v float64) Span { return Span{v, v, v} }

// Between returns the span of a range with its middle as the value.
func Between(low, high float64) Span { return Span{(low + high) / 2, low, high} }

// spanOf returns a value with the limits that other values give it.
func spanOf(value float64, others ...float64) Span {
	s := Exactly(value)
	for _, v := range others {
		s.Low, s.High = min(s.Low, v), max(s.High, v)
	}
	return s
}

// Map returns the span taken through a function that rises or falls.
func (s Span) Map(f func(float64) float64) Span { return spanOf(f(s.Value), f(s.Low), f(s.High)) }

func (s Span) finite() bool { return finite(s.Value) && finite(s.Low) && finite(s.High) }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
