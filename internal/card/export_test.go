package card

// TextWidth is the width of a text in mm by the embedded fonts.
func TextWidth(s string, size float64, bold bool) float64 { return width(s, size, bold) }
