package cli

import (
	"bytes"
	"math"
	"path/filepath"
	"strings"
	"time"

	"firnhand/core/body"
	"firnhand/core/quantity"
	"firnhand/core/stance"
	"firnhand/internal/paper"
	"firnhand/internal/picture"
	"firnhand/internal/picture/standing"
)

// stanceDrawFlags write drawings to scale.
type stanceDrawFlags struct {
	Above    string  `placeholder:"FILE" help:"Draw it from above into this file, .svg or .pdf." group:"drawings"`
	Side     string  `name:"side-view" placeholder:"FILE" help:"Draw it from the side into this file; from a person's file only." group:"drawings"`
	Behind   string  `name:"behind" placeholder:"FILE" help:"Draw it from behind into this file, upright on a slope across the skis; from a person's file only." group:"drawings"`
	From     string  `name:"side-from" enum:",left,right" default:"" help:"The side it is seen from; the one with the outrigger, or the right." group:"drawings"`
	WidthMM  float64 `name:"width-mm" default:"120" help:"Width of a drawing." group:"drawings"`
	HeightMM float64 `name:"height-mm" default:"150" help:"Height of a drawing." group:"drawings"`
}

// drawStance writes the drawings asked for.
func (a *app) drawStance(asked stanceAsked, r stance.Result) error {
	f := asked.draw
	if f.Above == "" && f.Side == "" && f.Behind == "" {
		return nil
	}
	for _, v := range []float64{f.WidthMM, f.HeightMM} {
		if !(v >= 30 && v <= 1000) {
			return refuse("out_of_range", "A drawing is between 30 and 1000 mm wide and high.")
		}
	}
	for _, path := range []string{f.Above, f.Side, f.Behind} { // all or none are written
		if ext := strings.ToLower(filepath.Ext(path)); path != "" && ext != ".svg" && ext != ".pdf" {
			return refuse("usage", "A drawing is written as .svg or .pdf, not %s.", path)
		}
	}
	if (f.Side != "" || f.Behind != "") && asked.who == nil {
		return refuse("usage", "A drawing from the side or from behind needs a person's file: plain contacts have no body.")
	}
	if f.Above != "" {
		if err := writeDrawing(f.Above, standing.Above(r).Draw(f.WidthMM, f.HeightMM), a.Clock.Now()); err != nil {
			return err
		}
	}
	if f.Side == "" && f.Behind == "" {
		return nil
	}
	if f.Behind != "" {
		across := quantity.Radian(math.Atan(float64(asked.stance.Lean.Right.Value())))
		if err := writeDrawing(f.Behind, standing.Behind(asked.who.posed, r, across).Draw(f.WidthMM, f.HeightMM), a.Clock.Now()); err != nil {
			return err
		}
	}
	if f.Side == "" {
		return nil
	}
	from := map[string]body.Side{"left": body.Left, "right": body.Right}[f.From]
	return writeDrawing(f.Side, standing.Side(asked.who.posed, r, from, asked.who.slope).Draw(f.WidthMM, f.HeightMM), a.Clock.Now())
}

func writeDrawing(path string, d picture.Drawing, made time.Time) error {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".svg":
		return replace(path, []byte(d.SVG()))
	case ".pdf":
		var b bytes.Buffer
		if err := paper.PDF(&b, d, made); err != nil {
			return internal(err, "The drawing could not be written as a PDF.")
		}
		return replace(path, b.Bytes())
	}
	return refuse("usage", "A drawing is written as .svg or .pdf, not %s.", path)
}
