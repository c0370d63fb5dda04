package quantity

import "math"

// Sizes of the units other than SI, as defined. All are exact.
const (
	metresPerInch        = 0.0254     // src: inch
	kilogramsPerPound    = 0.45359237 // src: pound
	kmhPerMetrePerSecond = 3.6        // exact: 3600 s in an hour over 1000 m in a kilometre
	fahrenheitPerCelsius = 1.8        // exact: 180 parts from freezing to boiling over 100
	fahrenheitAtZero     = 32         // exact
	centimetresPerMetre  = 100
	millimetresPerMetre  = 1000
	inchesPerFoot        = 12
	feetPerMile          = 5280
	secondsPerMinute     = 60
	secondsPerHour       = 3600
	degreesPerHalfTurn   = 180
	percent              = 100
	metresPerFoot        = inchesPerFoot * metresPerInch
	metresPerMile        = feetPerMile * metresPerFoot
)

// Kilograms returns a mass given in kilograms.
func Kilograms(v float64) (Kilogram, error) { return Of[Kilogram](v) }

// Pounds returns a mass given in avoirdupois pounds.
func Pounds(v float64) (Kilogram, error) { return Of[Kilogram](v * kilogramsPerPound) }

// Pounds returns the mass in avoirdupois pounds.
func (m Kilogram) Pounds() float64 { return float64(m) / kilogramsPerPound }

// Metres returns a length given in metres.
func Metres(v float64) (Metre, error) { return Of[Metre](v) }

// Centimetres returns a length given in centimetres.
func Centimetres(v float64) (Metre, error) { return Of[Metre](v / centimetresPerMetre) }

// Millimetres returns a length given in millimetres.
func Millimetres(v float64) (Metre, error) { return Of[Metre](v / millimetresPerMetre) }

// Inches returns a length given in inches.
func Inches(v float64) (Metre, error) { return Of[Metre](v * metresPerInch) }

// Feet returns a length given in feet.
func Feet(v float64) (Metre, error) { return Of[Metre](v * metresPerFoot) }

// Centimetres returns the length in centimetres.
func (l Metre) Centimetres() float64 { return float64(l) * centimetresPerMetre }

// Millimetres returns the length in millimetres.
func (l Metre) Millimetres() float64 { return float64(l) * millimetresPerMetre }

// Inches returns the length in inches.
func (l Metre) Inches() float64 { return float64(l) / metresPerInch }

// Feet returns the length in feet.
func (l Metre) Feet() float64 { return float64(l) / metresPerFoot }

// Seconds returns a duration given in seconds.
func Seconds(v float64) (Second, error) { return Of[Second](v) }

// Minutes returns a duration given in minutes.
func Minutes(v float64) (Second, error) { return Of[Second](v * secondsPerMinute) }

// Minutes returns the duration in minutes.
func (t Second) Minutes() float64 { return float64(t) / secondsPerMinute }

// Radians returns an angle given in radians.
func Radians(v float64) (Radian, error) { return Of[Radian](v) }

// Degrees returns an angle given in degrees.
func Degrees(v float64) (Radian, error) { return Of[Radian](v / degreesPerHalfTurn * math.Pi) }

// GradePercent returns the slope angle of a gradient in percent, the rise over
// the horizontal run times 100: 100 % is 45°. Downhill percent are the
// caller's sign.
func GradePercent(v float64) (Radian, error) {
	if math.IsInf(v, 0) {
		return 0, ErrInfinite // its angle, a wall, would be finite
	}
	return Of[Radian](math.Atan(v / percent))
}

// Degrees returns the angle in degrees.
func (a Radian) Degrees() float64 { return float64(a) / math.Pi * degreesPerHalfTurn }

// GradePercent returns the gradient in percent of a slope of this angle. It
// has a meaning between -90° and 90° only, and grows without limit towards
// both.
func (a Radian) GradePercent() float64 { return math.Tan(float64(a)) * percent }

// Newtons returns a force given in newtons.
func Newtons(v float64) (Newton, error) { return Of[Newton](v) }

// NewtonMetres returns a torque given in newton metres.
func NewtonMetres(v float64) (NewtonMetre, error) { return Of[NewtonMetre](v) }

// MetresPerSecond returns a speed given in metres per second.
func MetresPerSecond(v float64) (MetrePerSecond, error) { return Of[MetrePerSecond](v) }

// KilometresPerHour returns a speed given in kilometres per hour.
func KilometresPerHour(v float64) (MetrePerSecond, error) {
	return Of[MetrePerSecond](v / kmhPerMetrePerSecond)
}

// MilesPerHour returns a speed given in international miles per hour.
func MilesPerHour(v float64) (MetrePerSecond, error) {
	return Of[MetrePerSecond](v * metresPerMile / secondsPerHour)
}

// FeetPerMinute returns a speed given in feet per minute, as lifts are rated.
func FeetPerMinute(v float64) (MetrePerSecond, error) {
	return Of[MetrePerSecond](v * metresPerFoot / secondsPerMinute)
}

// KilometresPerHour returns the speed in kilometres per hour.
func (v MetrePerSecond) KilometresPerHour() float64 { return float64(v) * kmhPerMetrePerSecond }

// MilesPerHour returns the speed in international miles per hour.
func (v MetrePerSecond) MilesPerHour() float64 {
	return float64(v) * secondsPerHour / metresPerMile
}

// FeetPerMinute returns the speed in feet per minute.
func (v MetrePerSecond) FeetPerMinute() float64 {
	return float64(v) * secondsPerMinute / metresPerFoot
}

// MetresPerSecondSquared returns an acceleration given in metres per second
// squared.
func MetresPerSecondSquared(v float64) (MetrePerSecondSquared, error) {
	return Of[MetrePerSecondSquared](v)
}

// DegreesCelsius returns a temperature given in degrees Celsius.
func DegreesCelsius(v float64) (Celsius, error) { return Of[Celsius](v) }

// DegreesFahrenheit returns a temperature given in degrees Fahrenheit.
func DegreesFahrenheit(v float64) (Celsius, error) {
	return Of[Celsius]((v - fahrenheitAtZero) / fahrenheitPerCelsius)
}

// Fahrenheit returns the temperature in degrees Fahrenheit.
func (t Celsius) Fahrenheit() float64 {
	// The conversion keeps processors with a fused multiply-add from giving
	// another last digit than those without.
	return float64(float64(t)*fahrenheitPerCelsius) + fahrenheitAtZero
}

// Percent returns a ratio given in percent.
func Percent(v float64) (Ratio, error) { return Of[Ratio](v / percent) }

// Percent returns the ratio in percent.
func (r Ratio) Percent() float64 { return float64(r) * percent }
