package card

import (
	"io"

	"firnhand/internal/paper"
	"firnhand/internal/picture"
)

// PDF writes the card as a PDF of one A5 page with its fonts embedded. It
// validates the content first and writes nothing when there is an *Error. The
// same content gives the same bytes.
func PDF(w io.Writer, c Content) error {
	d, err := Draw(c)
	if err != nil {
		return err
	}
	return paper.PDF(w, d, c.Trace.MadeAt)
}

// SVG writes the card as a stand-alone SVG for a page, under the same rules
// as PDF. Its text asks for the fonts by name (picture.FontFamily).
func SVG(w io.Writer, c Content) error {
	d, err := Draw(c)
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, d.SVG())
	return err
}

// Draw returns the card as a drawing of 148 by 210 mm, or an *Error.
func Draw(c Content) (picture.Drawing, error) {
	d, _, err := layout(c)
	return d, err
}

// Fit reports what the layout has to do to make the content fit, or an *Error.
func Fit(c Content) (Report, error) {
	_, r, err := layout(c)
	return r, err
}

// width returns the width of a text in mm at a size in pt.
func width(s string, size float64, bold bool) float64 { return paper.Width(s, size, bold) }

// covered tells whether some font of the card has every character.
func covered(s string) bool { return paper.Covered(s) }
