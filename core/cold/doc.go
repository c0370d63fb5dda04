// Package cold computes what cold and wind do to skin: wind chill in its two
// forms with the student's own speed and the chair's, the published bands in
// which bare skin freezes, and when to look at a part that cannot feel.
//
// Wind is the wind of a forecast, at 10 m above the ground. Wind chill has no
// unit; it is carried as a temperature on the Celsius scale. Everything decided
// on a wind chill (a band, a stop) is decided on the whole number that is
// printed.
//
// Where the published bands and the formula for minutes to frostbite differ,
// the bands win. What the programme has set for itself comes in as [Limits].
//
// Nothing here says that it is safe to stay out: see [Cautions].
package cold

// Cautions are what goes with every figure of this package, in the order to be
// printed.
func Cautions() []string {
	return []string{
		"A part that cannot feel gives no warning: look at it and feel it with your own hand. Ask nobody whether it is cold.",
		"The bands are for dry bare skin of healthy people out of the sun. Wet skin, tight boots and cuffs, diabetes, Raynaud and poor circulation make it quicker.",
		"White, waxy or hard skin, or feeling that does not come back in minutes: stop, indoors, do not rub, patrol or physician.",
		"A stop is where the programme stops, not a temperature to go up to. Patrol, lift staff and local rules come first.",
	}
}
