package cli

import (
	"math"
	"path/filepath"

	"firnhand/core/slope"
	"firnhand/internal/picture"
	"firnhand/internal/terrain"
)

// terrainFlags choose a run from a file and how it is made even.
type terrainFlags struct {
	File string `arg:"" help:"Run as GPX, GeoJSON, or CSV with distance_m,height_m or along_m,height_m or length_m,slope_pct; - reads from standard input."`
	runFlags
}

// partFlags choose one run from a file.
type partFlags struct {
	Line    int     `placeholder:"N" help:"Which of several lines in the file, from 1."`
	From    float64 `name:"from-m" placeholder:"N" help:"Only from here, on the map along the line."`
	To      float64 `name:"to-m" placeholder:"N" help:"Only up to here."`
	Reverse bool    `help:"The file goes up the run; turn it round."`
}

// runFlags are those of a run without the file.
type runFlags struct {
	partFlags
	Spacing *float64 `name:"spacing-m" placeholder:"N" help:"Spacing after smoothing. Without it: 5 m."`
	Sigma   *float64 `name:"sigma-m" placeholder:"N" help:"Standard deviation of the smoothing weights; 0 for none. Without it: 12 m."`
	AsIs    bool     `name:"as-is" help:"Take the points as they are: one piece of constant gradient between each two, nothing smoothed."`
}

// read reads the run.
func (f terrainFlags) read(a *app) (terrain.Run, error) { return f.partFlags.read(a, f.File) }

// read reads a run from a file.
func (f partFlags) read(a *app, file string) (terrain.Run, error) {
	data, err := a.read(file, terrain.MaxBytes, "a run has a few hundred points")
	if err != nil {
		return terrain.Run{}, err
	}
	r, err := terrain.Read(file, data, terrain.Options{Line: f.Line, From: f.From, To: f.To, Reverse: f.Reverse})
	if err != nil {
		return r, inFile(hillFault(err), file)
	}
	return r, nil
}

func (f runFlags) smoothing() slope.Smoothing {
	s := slope.Usual()
	if f.Spacing != nil {
		s.Spacing = *f.Spacing
		s.Dense = 2 * *f.Spacing
	}
	if f.Sigma != nil {
		s.Sigma = *f.Sigma
	}
	return s
}

// pieces reads the run as pieces.
func (f terrainFlags) pieces(a *app) (slope.RunGiven, *fileView, error) {
	r, err := f.read(a)
	if err != nil {
		return slope.RunGiven{}, nil, err
	}
	v := viewFile(f.File, r)
	if f.AsIs {
		return slope.RunGiven{Pieces: slope.PiecesOf(r.Stations), From: "the run of " + v.Name + " as it is"}, v, nil
	}
	p, err := slope.Smooth(r.Stations, f.smoothing())
	if err != nil {
		return slope.RunGiven{}, nil, inFile(hillFault(err), f.File)
	}
	return slope.RunGiven{Pieces: p.Pieces(), From: "the run of " + v.Name}, v, nil
}

func viewFile(file string, r terrain.Run) *fileView {
	name := filepath.Base(file)
	if file == "-" {
		name = "standard input"
	}
	return &fileView{Name: name, Kind: r.Kind, Line: r.Name, Notes: list(r.Notes)}
}

func (v *fileView) print(p *sheet) {
	for _, n := range v.Notes {
		p.para(2, n)
	}
}

type slopeProfileCmd struct {
	terrainFlags
	Across *float64 `name:"across-pct" placeholder:"N" help:"Fall across the run in percent, to the left positive, for a double fall line. Without it: that of a plane through further points of the file, if it has any."`
	Draw   string   `placeholder:"FILE" help:"Draw the run from the side into this file, .svg or .pdf."`
	Width  float64  `name:"width-mm" default:"160" help:"Width of the drawing."`
	Height float64  `name:"height-mm" default:"80" help:"Height of the drawing."`
	JSON   bool     `name:"json" help:"As JSON."`
}

// Run reports the shape of a run.
func (c *slopeProfileCmd) Run(a *app) error {
	r, err := c.read(a)
	if err != nil {
		return err
	}
	q := slope.Shape{Stations: r.Stations, Smoothing: c.smoothing()}
	if c.AsIs {
		q.Sigma = 0
	}
	switch {
	case c.Across != nil:
		q.Across = *c.Across / 100
	case r.Across != nil:
		q.Across = *r.Across
	}
	ans, p, classes, err := q.Answer()
	if err != nil {
		return inFile(hillFault(err), c.File)
	}
	if c.Draw != "" {
		if err := a.draw(c.Draw, profilePicture(p).Draw, c.Width, c.Height); err != nil {
			return err
		}
	}
	file := viewFile(c.File, r)
	return a.answer(c.JSON, ans, func(v *slopeView) {
		v.Classes, v.Stations, v.File = classes, stations(p), file
	}, func(s *sheet) {
		file.print(s)
		printClasses(s, classes)
	})
}

func stations(p slope.Profile) []slope.Station {
	out := make([]slope.Station, len(p.Height))
	for i, h := range p.Height {
		out[i] = slope.Station{Distance: p.Spacing * float64(i), Height: h}
	}
	return out
}

func profilePicture(p slope.Profile) picture.HillProfile {
	var h picture.HillProfile
	for _, s := range stations(p) {
		h.Distance, h.Height = append(h.Distance, s.Distance), append(h.Height, s.Height)
	}
	for _, length := range []float64{20, 50} {
		if length < p.Length() {
			w := p.Steepest(length)
			h.Marks = append(h.Marks, picture.HillMark{From: w.From, To: w.From + w.Length,
				Label: "steepest " + fixed(length, 0) + " m: " + fixed(100*w.Gradient, 1) + " %"})
		}
	}
	return h
}

func printClasses(p *sheet, classes []slope.Class) {
	if len(classes) == 0 {
		return
	}
	p.heading("PUBLISHED CLASSES")
	for _, c := range classes {
		text := c.Class
		if text == "" {
			text = "no class"
		}
		if c.Note != "" {
			text += " (" + c.Note + ")"
		}
		p.labelled(2, 34, c.System, text+"; "+c.Ref)
	}
}

type slopeRunCmd struct {
	terrainFlags
	skierFlags
	speedFlags
	Wind *float64 `name:"head-wind-m-s" placeholder:"N" help:"Wind straight against the path; below zero, written =-3, from behind."`
	JSON bool     `name:"json" help:"As JSON."`
}

// Run slides over a run.
func (c *slopeRunCmd) Run(a *app) error {
	ask, err := c.skierFlags.ask()
	if err != nil {
		return err
	}
	if c.Wind != nil {
		ask.HeadWind = *c.Wind
	}
	run, file, err := c.pieces(a)
	if err != nil {
		return err
	}
	speed, _, err := c.speedFlags.get()
	if err != nil {
		return err
	}
	ans, r, err := slope.Gliding{Ask: ask, Run: run, Speed: speed}.Answer()
	if err != nil {
		return hillFault(err)
	}
	return a.answer(c.JSON, ans, func(v *slopeView) { v.Along, v.File = r.At, file }, file.print)
}

type slopeBandCmd struct {
	terrainFlags
	skierFlags
	speedFlags
	SlopeSD  float64 `name:"slope-sd-pct" default:"0.5" placeholder:"N" help:"Error of the gradients in percent, the same along the whole run."`
	Draws    int     `default:"10000" placeholder:"N" help:"How many draws."`
	Seed     uint64  `default:"1" placeholder:"N" help:"Seed of the draws; the same seed gives the same band."`
	BrakeMu  string  `name:"brake-mu" placeholder:"N" help:"Friction while braking after the run; gives the ground a stop needs there."`
	RunOut   float64 `name:"run-out-pct" default:"0" placeholder:"N" help:"Gradient of that ground, downhill positive."`
	Reaction string  `name:"reaction-s" placeholder:"N" help:"Reaction before that braking. Without it: the proposed 1 s, 0.5 to 2."`
	Draw     string  `placeholder:"FILE" help:"Draw the band into this file, .svg or .pdf."`
	Width    float64 `name:"width-mm" default:"160" help:"Width of the drawing."`
	Height   float64 `name:"height-mm" default:"80" help:"Height of the drawing."`
	JSON     bool    `name:"json" help:"As JSON."`
}

// Run draws the band.
func (c *slopeBandCmd) Run(a *app) error {
	ask, err := c.skierFlags.ask()
	if err != nil {
		return err
	}
	run, file, err := c.pieces(a)
	if err != nil {
		return err
	}
	speed, _, err := c.speedFlags.get()
	if err != nil {
		return err
	}
	q := slope.BandAsk{Ask: ask, Run: run, Speed: speed.Value, Draws: c.Draws, Seed: c.Seed, SlopeSD: c.SlopeSD / 100, RunOut: fromPct(c.RunOut)}
	if q.BrakeMu, q.WithStop, err = pick(way{"brake-mu", c.BrakeMu, asIs}); err != nil {
		return err
	}
	var ok bool
	if q.Reaction, ok, err = pick(way{"reaction-s", c.Reaction, asIs}); err != nil {
		return err
	} else if !ok {
		q.Reaction = slope.Sourced("reaction_time")
	}
	ans, r, err := q.Answer()
	if err != nil {
		return hillFault(err)
	}
	if c.Draw != "" {
		if err := a.draw(c.Draw, bandPicture(r).Draw, c.Width, c.Height); err != nil {
			return err
		}
	}
	return a.answer(c.JSON, ans, func(v *slopeView) { v.Along, v.File = r.At, file }, func(p *sheet) {
		file.print(p)
		printBand(p, r)
	})
}

func bandPicture(r slope.BandResult) picture.SpeedBand {
	var b picture.SpeedBand
	for _, at := range r.At {
		b.Distance = append(b.Distance, at.Distance)
		b.Low, b.Middle, b.High = append(b.Low, at.Speed.P10*3.6), append(b.Middle, at.Speed.P50*3.6), append(b.High, at.Speed.P90*3.6)
	}
	return b
}

func printBand(p *sheet, r slope.BandResult) {
	p.heading("ALONG THE RUN, KM/H")
	p.line("  %10s%12s%12s%12s%12s", "m", "1 of 10", "half", "9 of 10", "moving")
	step := max(len(r.At)/12, 1)
	for i, at := range r.At {
		if i%step == 0 || i == len(r.At)-1 {
			p.line("  %10s%12s%12s%12s%10s %%", fixed(at.Distance, 0), fixed(at.Speed.P10*3.6, 1), fixed(at.Speed.P50*3.6, 1), fixed(at.Speed.P90*3.6, 1), fixed(100*at.Moving, 0))
		}
	}
}

type slopeStartCmd struct {
	File string `arg:"" optional:"" help:"Run as a file, as \"firnhand slope profile\" takes it; or give one slope."`
	runFlags
	groundFlags
	skierFlags
	At   *float64 `name:"at-m" placeholder:"N" help:"The place the speed is wanted at, m on the snow from the start of the run; without it the end."`
	MS   *float64 `name:"wanted-m-s" placeholder:"N" help:"Wanted speed."`
	Kmh  *float64 `name:"wanted-kmh" placeholder:"N" help:"The same in km/h."`
	JSON bool     `name:"json" help:"As JSON."`
}

// Run finds the start.
func (c *slopeStartCmd) Run(a *app) error {
	ask, err := c.skierFlags.ask()
	if err != nil {
		return err
	}
	q := slope.StartAsk{Ask: ask, At: c.At}
	switch {
	case c.MS != nil && c.Kmh != nil:
		return refuse("given_twice", "Give --wanted-m-s or --wanted-kmh, not both.")
	case c.MS != nil:
		q.Wanted = *c.MS
	case c.Kmh != nil:
		q.Wanted = fromKmh(*c.Kmh)
	default:
		return refuse("missing", "Which speed is wanted? Give --wanted-m-s or --wanted-kmh.")
	}
	var file *fileView
	ground, given, err := c.groundFlags.get()
	switch {
	case err != nil:
		return err
	case given && c.File != "":
		return refuse("given_twice", "Give a file, or one slope with --slope-pct or --slope-deg, not both.")
	case given:
		q.Slope = ground
	case c.File == "":
		return refuse("missing", "Give the file of a run, or one slope with --slope-pct or --slope-deg.")
	default:
		if q.Run, file, err = (terrainFlags{c.File, c.runFlags}).pieces(a); err != nil {
			return err
		}
	}
	ans, err := q.Answer()
	if err != nil {
		return hillFault(err)
	}
	return a.answer(c.JSON, ans, func(v *slopeView) { v.File = file }, nil)
}

type slopeGradeCmd struct {
	groundFlags
	pathFlags
	Across float64 `name:"across-pct" placeholder:"N" help:"Fall across the run in percent, to the left positive: gives the true fall line."`
	JSON   bool    `name:"json" help:"As JSON."`
}

// Run converts and grades.
func (c *slopeGradeCmd) Run(a *app) error {
	ground, err := c.groundFlags.must()
	if err != nil {
		return err
	}
	q := slope.Grading{Along: math.Tan(ground.Value), Across: c.Across / 100}
	angles := []*float64{c.pathFlags.Path, c.pathFlags.Map, c.pathFlags.Start}
	for i, to := range []**float64{&q.Path, &q.Map, &q.Start} {
		if angles[i] != nil {
			v := fromDeg(*angles[i])
			*to = &v
		}
	}
	ans, classes, err := q.Answer()
	if err != nil {
		return hillFault(err)
	}
	return a.answer(c.JSON, ans, func(v *slopeView) { v.Classes = classes }, func(p *sheet) { printClasses(p, classes) })
}
