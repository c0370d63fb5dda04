package cli

import (
	"context"
	"crypto/rand"
	"os"
	"path/filepath"
	"strings"
	"time"

	"firnhand/core/quantity"
	"firnhand/core/slope"
	"firnhand/internal/terrain"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// hillCmd is about the programme's hill in its records.
type hillCmd struct {
	Show    hillShowCmd    `cmd:"" help:"Slopes, lifts and the day's conditions, as written down."`
	Add     hillAddCmd     `cmd:"" help:"Add a slope from a file, or change one of the same name."`
	Sizes   phoneSizesCmd  `cmd:"" help:"What the page for a phone weighs on the network, file by file."`
	Student hillStudentCmd `cmd:"" help:"One student on the hill: slope, lift, cold and effort."`
}

// recordFlags name the records a command reads.
type recordFlags struct {
	Data string `default:"firnhand.db" placeholder:"FILE" help:"File that holds the records."`
	Keys string `placeholder:"FILE" help:"Key file of the records; without it FILE.keys beside them."`
}

// open opens records that are there.
func (f recordFlags) open(ctx context.Context, a *app) (*house, error) {
	if _, err := os.Stat(f.Data); err != nil {
		return nil, cannotOpen(f.Data, err)
	}
	return openHouse(ctx, files{f.Data, f.Keys}, a.Clock, a.Clock, rand.Reader, time.Local, a.log())
}

type slopeSummary struct {
	ID        string   `json:"id"`
	Name      string   `json:"name"`
	Ground    string   `json:"ground"`
	GroundN   int      `json:"ground_step"`
	LengthM   float64  `json:"length_m"`
	FallM     float64  `json:"fall_m"`
	MeanPct   float64  `json:"mean_pct"`
	Steep50   float64  `json:"steepest_50_pct"`
	WidthM    *float64 `json:"width_m"`
	RunOutM   *float64 `json:"run_out_m"`
	RunOutPct *float64 `json:"run_out_pct"`
	AcrossPct *float64 `json:"across_pct"`
	TopM      *float64 `json:"top_above_sea_m"`
	ErrorPct  float64  `json:"gradient_sd_pct"`
	Points    int      `json:"points_count"`
	From      string   `json:"from"`
	Ended     bool     `json:"ended"`
}

func summaryOf(s programme.SlopeState, n programme.Numbers) (slopeSummary, error) {
	p, err := s.Profile()
	if err != nil {
		return slopeSummary{}, err
	}
	g, err := s.Ground(n)
	const window = 50
	return slopeSummary{ID: string(s.Slope), Name: s.Name, Ground: g.Says(), GroundN: int(g), LengthM: s.LengthM(), FallM: s.FallM(), MeanPct: s.MeanPct(), Steep50: 100 * p.Steepest(window).Gradient,
		WidthM: s.WidthM, RunOutM: s.RunOutM, RunOutPct: s.RunOutPct, AcrossPct: s.AcrossPct, TopM: s.TopM, ErrorPct: s.ErrorPct, Points: len(s.Stations), From: s.From, Ended: s.Ended}, err
}

type liftSummary struct {
	ID    string    `json:"id"`
	Name  string    `json:"name"`
	Kind  string    `json:"kind"`
	Line  lineView  `json:"line"`
	Wait  []float64 `json:"wait_to_load_m"`
	Clear []float64 `json:"stand_to_clear_m"`
	Slow  *float64  `json:"slowest_m_s"`
	Bar   string    `json:"bar"`
	On    string    `json:"measured_on"`
	Ended bool      `json:"ended"`
}

type hillShowCmd struct {
	recordFlags
	On   string `placeholder:"DATE" help:"The day whose conditions are shown (YYYY-MM-DD) instead of today."`
	JSON bool   `name:"json" help:"As JSON."`
}

// Run shows the hill.
func (c *hillShowCmd) Run(a *app) error {
	ctx, stop := a.until()
	defer stop()
	h, err := c.open(ctx, a)
	if err != nil {
		return err
	}
	defer h.Close()
	hill, err := h.cases.HillAt(ctx, steward, programme.AsOf{})
	if err != nil {
		return err
	}
	signed, err := h.cases.Settings(ctx, steward, programme.AsOf{})
	if err != nil {
		return err
	}
	day, err := a.day(c.On)
	if err != nil {
		return err
	}
	slopes, lifts := []slopeSummary{}, []liftSummary{}
	for _, s := range hill.Slopes {
		one, err := summaryOf(s, programme.NumbersOf(signed))
		if err != nil {
			return err
		}
		slopes = append(slopes, one)
	}
	for _, l := range hill.Lifts {
		line, err := l.Line()
		if err != nil {
			return err
		}
		lifts = append(lifts, liftSummary{ID: string(l.Lift), Name: l.Name, Kind: string(l.What), Line: viewLine(line), Wait: list(l.WaitM), Clear: list(l.ClearM), Slow: l.SlowestMS, Bar: string(l.Bar), On: l.Measured.String(), Ended: l.Ended})
	}
	d, known := hill.DayOf(day)
	if c.JSON {
		v := map[string]any{"slopes": slopes, "lifts": lifts, "day": day.String(), "conditions": nil, "glides": list(glidesOf(hill, day)), "cautions": slope.Cautions()}
		if known {
			v["conditions"] = d.DayDetails
		}
		return a.printJSON(v)
	}
	p := &sheet{w: a.Out}
	p.line("SLOPES")
	for _, s := range slopes {
		p.labelled(2, 18, s.Name, fixed(s.LengthM, 0)+" m, "+fixed(s.MeanPct, 1)+" % on average, steepest 50 m "+fixed(s.Steep50, 1)+" %; "+s.Ground)
	}
	p.heading("LIFTS")
	for _, l := range lifts {
		p.labelled(2, 18, l.Name, words(l.Kind)+", measured on "+l.On)
		l.Line.print(p, "")
	}
	p.heading(strings.ToUpper(day.String()))
	if !known {
		p.para(2, "Nothing is written down about this day.")
	} else {
		p.para(2, programme.SnowLabel(d.Snow)+"; "+d.From)
		for _, one := range d.Hours {
			p.line("  %s  %6s °C  %6s km/h", one.Time, fixed(one.AirC, 1), fixed(quantity.MetrePerSecond(one.WindMS).KilometresPerHour(), 0))
		}
	}
	p.tell(nil, nil, slope.Cautions())
	return p.err
}

func glidesOf(h programme.Hill, day programme.Date) []programme.TimedGlides {
	var out []programme.TimedGlides
	for _, g := range h.GlidesOn(day, "") {
		out = append(out, g.TimedGlides)
	}
	return out
}

type hillAddCmd struct {
	File string `arg:"" help:"Track (GPX), map (GeoJSON) or table (CSV); - reads from standard input."`
	recordFlags
	partFlags
	Name      string   `required:"" placeholder:"NAME" help:"Name of the slope."`
	WidthM    *float64 `name:"width-m" placeholder:"N" help:"Width at the narrowest place."`
	RunOutM   *float64 `name:"run-out-m" placeholder:"N" help:"Free ground after the end."`
	RunOutPct *float64 `name:"run-out-pct" placeholder:"N" help:"Gradient of that ground, downhill positive; it rises below zero, written =-3."`
	AcrossPct *float64 `name:"across-pct" placeholder:"N" help:"Fall across the run, to the left positive."`
	TopM      *float64 `name:"top-m" placeholder:"N" help:"Height of the top above the sea."`
	ErrorPct  float64  `name:"slope-sd-pct" default:"0.5" placeholder:"N" help:"Error of the gradients."`
	Note      string   `help:"A note."`
	JSON      bool     `name:"json" help:"As JSON."`
}

// Run reads the file first: what cannot be read changes nothing.
func (c *hillAddCmd) Run(a *app) error {
	r, err := c.read(a, c.File)
	if err != nil {
		return err
	}
	shape, err := c.shape(r)
	if err != nil {
		return inFile(err, c.File)
	}
	ctx, stop := a.until()
	defer stop()
	h, err := c.open(ctx, a)
	if err != nil {
		return err
	}
	defer h.Close()
	hill, err := h.cases.HillAt(ctx, steward, programme.AsOf{})
	if err != nil {
		return err
	}
	d := programme.SlopeDetails{Name: c.Name, ErrorPct: c.ErrorPct, WidthM: c.WidthM, RunOutM: c.RunOutM, RunOutPct: c.RunOutPct, AcrossPct: c.AcrossPct, TopM: c.TopM, Note: c.Note}
	d.Stations, d.Drawn, d.From = shape.Stations, shape.Drawn, shape.From
	if d.AcrossPct == nil {
		d.AcrossPct = shape.AcrossPct
	}
	for _, s := range hill.Slopes {
		if strings.EqualFold(s.Name, c.Name) && !s.Ended {
			d.Slope = s.Slope
		}
	}
	changed := d.Slope != ""
	if !changed {
		if d.Slope, err = programme.NewID(a.Clock.Now(), rand.Reader); err != nil {
			return err
		}
	}
	if _, err := h.cases.PutSlope(ctx, steward, programme.Made{}, d); err != nil {
		return err
	}
	signed, err := h.cases.Settings(ctx, steward, programme.AsOf{})
	if err != nil {
		return err
	}
	v, err := summaryOf(programme.SlopeState{SlopeDetails: d}, programme.NumbersOf(signed))
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(map[string]any{"slope": v, "changed": changed, "notes": list(r.Notes), "cautions": slope.Cautions()})
	}
	p := &sheet{w: a.Out}
	p.line("%s %s: %s m, steepest 50 m %s %%; %s.", map[bool]string{true: "Changed", false: "Added"}[changed], v.Name, fixed(v.LengthM, 0), fixed(v.Steep50, 1), v.Ground)
	for _, n := range r.Notes {
		p.para(2, n)
	}
	return p.err
}

// shape takes a run that was read for the records.
func (c *hillAddCmd) shape(r terrain.Run) (page.Shape, error) {
	name := filepath.Base(c.File)
	if c.File == "-" {
		name = "standard input"
	}
	return shapeOf(r, name)
}
