// Package paper is what everything printed has in common: the embedded fonts,
// how wide a text is in them, and a drawing written as a PDF page. The card and
// the sheets lay out their own content and share this.
package paper

import (
	_ "embed" // the font files
	"strings"
	"sync"

	"firnhand/internal/picture"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

//go:embed font/AtkinsonHyperlegibleNext-Medium.ttf
var mediumTTF []byte

//go:embed font/AtkinsonHyperlegibleNext-Bold.ttf
var boldTTF []byte

//go:embed font/NotoSans-Regular-subset.ttf
var otherMediumTTF []byte

//go:embed font/NotoSans-Bold-subset.ttf
var otherBoldTTF []byte

// face is one font file with the advance widths of its characters.
type face struct {
	name   string // as the PDF calls it
	ttf    []byte
	widths func() []float64
}

// lastRune bounds the tables of widths; the files hold nothing beyond it but
// signs nothing here prints.
const lastRune = 0x2fff

func newFace(name string, ttf []byte) *face {
	return &face{name, ttf, sync.OnceValue(func() []float64 { return advances(ttf) })}
}

// advance returns the width of a character in em; ok is false when the font
// has no glyph for it.
func (f *face) advance(r rune) (em float64, ok bool) {
	if r < 0 || r > lastRune {
		return 0, false
	}
	w := f.widths()[r]
	return w, w >= 0
}

// The faces of each weight, the wanted one first and the stand-in second.
var (
	mediumFaces = []*face{newFace("hyperlegible-medium", mediumTTF), newFace("other-regular", otherMediumTTF)}
	boldFaces   = []*face{newFace("hyperlegible-bold", boldTTF), newFace("other-bold", otherBoldTTF)}
)

func faces(bold bool) []*face {
	if bold {
		return boldFaces
	}
	return mediumFaces
}

// advances reads the advance widths of an embedded font in em, -1 where there
// is no glyph. A font that does not parse is a broken build, so it panics.
func advances(ttf []byte) []float64 {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic("paper: embedded font does not parse: " + err.Error())
	}
	var buf sfnt.Buffer
	em := f.UnitsPerEm()
	out := make([]float64, lastRune+1)
	for r := range out {
		out[r] = -1
		g, err := f.GlyphIndex(&buf, rune(r))
		if r < ' ' || err != nil || g == 0 {
			continue
		}
		if a, err := f.GlyphAdvance(&buf, g, fixed.I(int(em)), 0); err == nil {
			out[r] = float64(a) / 64 / float64(em)
		}
	}
	return out
}

// run is a stretch of text set in one face.
type run struct {
	face  *face
	s     string
	width float64 // em
}

// runs splits a text into stretches of one face: each word stands as a whole
// in the first face that has all of it. A character no face has is left out,
// so callers replace it beforehand (see Covered).
func runs(s string, bold bool) []run {
	var out []run
	add := func(f *face, s string, w float64) {
		if n := len(out); n > 0 && out[n-1].face == f {
			out[n-1].s += s
			out[n-1].width += w
			return
		}
		out = append(out, run{f, s, w})
	}
	for i, word := range strings.Split(s, " ") {
		if i > 0 {
			f := faces(bold)[0]
			if len(out) > 0 {
				f = out[len(out)-1].face
			}
			w, _ := f.advance(' ')
			add(f, " ", w)
		}
		if f, w := faceFor(word, bold); f != nil {
			if word != "" {
				add(f, word, w)
			}
			continue
		}
		for _, r := range word {
			if f, w := faceFor(string(r), bold); f != nil {
				add(f, string(r), w)
			}
		}
	}
	return out
}

// faceFor returns the first face that has every character of the word, with
// the word's width in em, or nil.
func faceFor(word string, bold bool) (*face, float64) {
	for _, f := range faces(bold) {
		sum, all := 0.0, true
		for _, r := range word {
			w, ok := f.advance(r)
			if !ok {
				all = false
				break
			}
			sum += w
		}
		if all {
			return f, sum
		}
	}
	return nil, 0
}

// Width returns the width of a text in mm at a size in pt.
func Width(s string, size float64, bold bool) float64 {
	first := faces(bold)[0]
	sum, plain := 0.0, true
	for _, r := range s {
		w, ok := first.advance(r)
		if !ok {
			plain = false
			break
		}
		sum += w
	}
	if plain { // almost always
		return sum * size * picture.MMPerPoint
	}
	sum = 0
	for _, r := range runs(s, bold) {
		sum += r.width
	}
	return sum * size * picture.MMPerPoint
}

// Covered tells whether some face has every character, in both weights.
func Covered(s string) bool {
	for _, r := range s {
		if f, _ := faceFor(string(r), false); f == nil {
			return false
		}
		if f, _ := faceFor(string(r), true); f == nil {
			return false
		}
	}
	return true
}
