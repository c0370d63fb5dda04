package bundle

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
)

// icon draws src/icon.svg as a picture of size by size pixels: browsers that
// put a page on the home screen want one.
func icon(size int) ([]byte, error) {
	type point struct{ x, y float64 }
	ridge := []point{{16, 150}, {80, 48}, {112, 96}, {128, 76}, {176, 150}, {16, 150}}
	var track []point
	for i := range 41 {
		t := float64(i) / 40
		u := 1 - t
		track = append(track, point{u*u*u*52 + 3*u*u*t*80 + 3*u*t*t*112 + t*t*t*140, u*u*u*150 + 3*u*u*t*118 + 3*u*t*t*140 + t*t*t*112})
	}
	near := func(p point, line []point) float64 {
		best := math.Inf(1)
		for i := 1; i < len(line); i++ {
			a, b := line[i-1], line[i]
			dx, dy := b.x-a.x, b.y-a.y
			t := math.Max(0, math.Min(1, ((p.x-a.x)*dx+(p.y-a.y)*dy)/(dx*dx+dy*dy)))
			best = math.Min(best, math.Hypot(p.x-a.x-t*dx, p.y-a.y-t*dy))
		}
		return best
	}
	scale := 192 / float64(size)
	m := image.NewGray(image.Rect(0, 0, size, size))
	for y := range size {
		for x := range size {
			p := point{(float64(x) + 0.5) * scale, (float64(y) + 0.5) * scale}
			d := math.Min(near(p, ridge), near(p, track)) - 6
			m.SetGray(x, y, color.Gray{Y: uint8(255 * math.Max(0, math.Min(1, d/scale+0.5)))})
		}
	}
	var b bytes.Buffer
	err := png.Encode(&b, m)
	return b.Bytes(), err
}
