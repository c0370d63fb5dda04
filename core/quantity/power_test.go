package quantity_test

import (
	"testing"

	"firnhand/core/quantity"
)

// Sixty kilocalories an hour are one a minute.
func TestKilocaloriesPerHour(t *testing.T) {
	p := quantity.Must(quantity.KilocaloriesPerMinute(7.5))
	if got := p.KilocaloriesPerHour(); !close2(got, 450) {
		t.Errorf("7.5 kcal/min are %v kcal/h", got)
	}
}
