package page

import (
	"fmt"
	"strings"

	"rsc.io/qr"

	"firnhand/programme"
)

// QR is a square of dark and light as the parts of a drawing: the side with its
// quiet zone in units, and a path that is filled.
type QR struct {
	Side int
	Path string
}

// quiet is the light border that ISO/IEC 18004 asks for, in modules.
const quiet = 4

// NewQR draws a text as a QR code with medium error correction.
func NewQR(text string) (QR, error) {
	c, err := qr.Encode(text, qr.M)
	if err != nil {
		return QR{}, programme.Fail(programme.CodeInternal, err, "The code could not be drawn.")
	}
	var b strings.Builder
	for y := range c.Size {
		for x := 0; x < c.Size; x++ {
			n := 0
			for x+n < c.Size && c.Black(x+n, y) {
				n++
			}
			if n > 0 {
				fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", x+quiet, y+quiet, n, n)
				x += n
			}
		}
	}
	return QR{c.Size + 2*quiet, b.String()}, nil
}

// Origin is the address under which the browser reached the program.
func (v *Visit) Origin() string {
	scheme := "http"
	if v.Kit.Secure {
		scheme = "https"
	}
	return scheme + "://" + v.R.Host
}
