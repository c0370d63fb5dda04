package quantity

// Watt is a power in watts: here mostly the rate at which a body uses energy.
type Watt float64

// Symbol returns "W".
func (Watt) Symbol() string { return "W" }

// WattPerKilogram is a power for each kilogram of a body.
type WattPerKilogram float64

// Symbol returns "W/kg".
func (WattPerKilogram) Symbol() string { return "W/kg" }

const (
	joulesPerKilocalorie    = 4184 // exact: the thermochemical calorie of 4.184 J
	metresPerNauticalMile   = 1852 // exact
	joulesPerKilocalorieMin = float64(joulesPerKilocalorie) / secondsPerMinute
)

// Watts returns a power given in watts.
func Watts(v float64) (Watt, error) { return Of[Watt](v) }

// WattsPerKilogram returns a power given in watts a kilogram.
func WattsPerKilogram(v float64) (WattPerKilogram, error) { return Of[WattPerKilogram](v) }

// KilocaloriesPerMinute returns a power given in thermochemical kilocalories
// a minute.
func KilocaloriesPerMinute(v float64) (Watt, error) { return Of[Watt](v * joulesPerKilocalorieMin) }

// KilocaloriesPerMinute returns the power in thermochemical kilocalories a
// minute.
func (p Watt) KilocaloriesPerMinute() float64 { return float64(p) / joulesPerKilocalorieMin }

// KilocaloriesPerHour returns the power in thermochemical kilocalories an
// hour.
func (p Watt) KilocaloriesPerHour() float64 {
	return float64(p) * secondsPerHour / joulesPerKilocalorie
}

// Knots returns a speed given in knots, nautical miles an hour.
func Knots(v float64) (MetrePerSecond, error) {
	return Of[MetrePerSecond](v * metresPerNauticalMile / secondsPerHour)
}

// MetresPerMinute returns a speed given in metres a minute.
func MetresPerMinute(v float64) (MetrePerSecond, error) {
	return Of[MetrePerSecond](v / secondsPerMinute)
}

// MetresPerMinute returns the speed in metres a minute.
func (v MetrePerSecond) MetresPerMinute() float64 { return float64(v) * secondsPerMinute }
