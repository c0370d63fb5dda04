package cli

import (
	"fmt"
	"math"
	"strings"

	"firnhand/core/slope"
	"firnhand/internal/picture"
)

// turnFlags say how a turn is skied.
type turnFlags struct {
	Radius string `name:"radius-m" placeholder:"N" help:"Radius of the turn in the slope plane. Without it: the proposed 5 m, 3 to 10."`
	Skid   string `name:"skid-mu" placeholder:"N" help:"What turning the skis adds to friction. Without it: the proposed 0.03, 0 to 0.1; calibrate it."`
	Glide  string `name:"glide-s" placeholder:"N" help:"Straight slide before the turn. Without it: the proposed 3.5 s, 2 to 5."`
}

// get returns the turn and the slide before it, the proposed figures where
// none were given.
func (f turnFlags) get(suffix string, from slope.FanSideAsk) (slope.FanSideAsk, error) {
	out := from
	for _, n := range []struct {
		flag, text string
		to         *slope.Known
	}{{"radius-m", f.Radius, &out.Radius}, {"skid-mu", f.Skid, &out.Skid}, {"glide-s", f.Glide, &out.Glide}} {
		k, ok, err := pick(way{n.flag + suffix, n.text, asIs})
		if err != nil {
			return out, err
		}
		if ok {
			*n.to = k
		}
	}
	return out, nil
}

type slopeTurnCmd struct {
	groundFlags
	pathFlags
	skierFlags
	speedFlags
	turnFlags
	Side  string  `enum:"left,right" default:"left" help:"The student's side the turn ends on: left, right."`
	Dips  int     `name:"garland-dips" placeholder:"N" help:"A garland of so many dips instead of a J-turn."`
	High  float64 `name:"high-deg" default:"75" placeholder:"N" help:"Garland: path of the traverse, from the fall line."`
	Low   float64 `name:"low-deg" default:"40" placeholder:"N" help:"Garland: path at the bottom of a dip, from the fall line."`
	Draw  string  `placeholder:"FILE" help:"Draw the track from above into this file, .svg or .pdf."`
	Width float64 `name:"width-mm" default:"160" help:"Width of the drawing."`
	JSON  bool    `name:"json" help:"As JSON."`
}

// Run follows a turn.
func (c *slopeTurnCmd) Run(a *app) error {
	ask, err := shared(c.groundFlags, c.pathFlags, c.skierFlags, windFlags{})
	if err != nil {
		return err
	}
	side := slope.Side(c.Side)
	if c.pathFlags.Start != nil && side == slope.Right { // start angles count to the side of the turn
		ask.Path = -ask.Path
	}
	how, err := c.turnFlags.get("", slope.UsualFanSide())
	if err != nil {
		return err
	}
	speed, _, err := c.speedFlags.get()
	if err != nil {
		return err
	}
	q := slope.Curve{Ask: ask, Turning: how.Turning, Side: side, Speed: speed, Glide: how.Glide, Dips: c.Dips, High: fromDeg(c.High), Low: fromDeg(c.Low)}
	ans, track, err := q.Answer()
	if err != nil {
		return hillFault(err)
	}
	if c.Draw != "" {
		fan := picture.Fan{Runs: []picture.FanTrack{{Left: side == slope.Left, Step: kmhText(track.Peak.Speed), Track: groundTrack(track), Now: true}}}
		if err := a.draw(c.Draw, fan.Draw, c.Width, c.Width*0.7); err != nil {
			return err
		}
	}
	return a.answer(c.JSON, ans, func(v *slopeView) { v.Track = track.Points }, nil)
}

// draw writes a drawing of a width and a height in mm.
func (a *app) draw(file string, make func(width, height float64) picture.Drawing, width, height float64) error {
	for _, v := range []float64{width, height} {
		if !(v >= 60 && v <= 1000) {
			return refuse("out_of_range", "A drawing is between 60 and 1000 mm wide and high.")
		}
	}
	return writeDrawing(file, make(width, height), a.Clock.Now())
}

func kmhText(v float64) string { return fixed(v*3.6, 0) + " km/h" }

func groundTrack(t slope.Track) [][2]float64 {
	if !t.Starts {
		return nil
	}
	var out [][2]float64
	for _, p := range t.Points {
		out = append(out, [2]float64{p.Down, p.Left})
	}
	return out
}

type slopeFanCmd struct {
	groundFlags
	skierFlags
	turnFlags
	LeftSkid    string  `name:"left-skid-mu" placeholder:"N" help:"The same on the left only."`
	RightSkid   string  `name:"right-skid-mu" placeholder:"N" help:"The same on the right only."`
	LeftRadius  string  `name:"left-radius-m" placeholder:"N" help:"Radius on the left only."`
	RightRadius string  `name:"right-radius-m" placeholder:"N" help:"Radius on the right only."`
	LeftStep    int     `name:"left-step" placeholder:"N" help:"Step the student's left side is on, 1 (15 degrees) to 6 (fall line); 0 for none yet."`
	RightStep   int     `name:"right-step" placeholder:"N" help:"The same for the right."`
	Draw        string  `placeholder:"FILE" help:"Draw the fan from above into this file, .svg or .pdf."`
	Ladder      string  `enum:"trade,even" default:"trade" help:"Which ladder is drawn: trade, even."`
	Width       float64 `name:"width-mm" default:"160" help:"Width of the drawing."`
	Height      float64 `name:"height-mm" default:"110" help:"Height of the drawing."`
	JSON        bool    `name:"json" help:"As JSON."`
}

// Run skis the fan.
func (c *slopeFanCmd) Run(a *app) error {
	ask, err := shared(c.groundFlags, pathFlags{}, c.skierFlags, windFlags{})
	if err != nil {
		return err
	}
	both, err := c.turnFlags.get("", slope.UsualFanSide())
	if err != nil {
		return err
	}
	q := slope.FanAsk{Ask: ask, Sides: map[slope.Side]slope.FanSideAsk{}}
	for _, s := range []struct {
		side         slope.Side
		radius, skid string
		step         int
	}{{slope.Left, c.LeftRadius, c.LeftSkid, c.LeftStep}, {slope.Right, c.RightRadius, c.RightSkid, c.RightStep}} {
		one, err := turnFlags{Radius: s.radius, Skid: s.skid}.get(" ("+string(s.side)+")", both)
		if err != nil {
			return err
		}
		one.Step = s.step
		q.Sides[s.side] = one
	}
	ans, ladders, err := q.Answer()
	if err != nil {
		return hillFault(err)
	}
	if c.Draw != "" {
		if err := a.draw(c.Draw, fanPicture(ladders, c.Ladder == "even").Draw, c.Width, c.Height); err != nil {
			return err
		}
	}
	return a.answer(c.JSON, ans, func(v *slopeView) { v.Ladders = ladders }, func(p *sheet) { printLadders(p, ladders) })
}

func fanPicture(ladders []slope.FanLadders, even bool) picture.Fan {
	var fan picture.Fan
	for _, l := range ladders {
		steps := l.Trade
		if even {
			steps = l.Even
		}
		for _, s := range steps {
			fan.Runs = append(fan.Runs, picture.FanTrack{Left: l.Side == slope.Left, Step: fixed(s.StartDeg, 0) + "°", Note: kmhText(s.Peak.Value),
				Track: groundTrack(s.Track), Now: s.Now})
		}
	}
	return fan
}

func printLadders(p *sheet, ladders []slope.FanLadders) {
	for _, l := range ladders {
		for _, kind := range []struct {
			name  string
			steps []slope.FanStep
		}{{"the trade's ladder", l.Trade}, {"even steps of peak speed", l.Even}} {
			if len(kind.steps) == 0 {
				continue
			}
			p.heading(strings.ToUpper(string(l.Side)) + ", " + kind.name)
			p.line("  %-5s%7s%10s%22s%8s%8s%8s%9s", "step", "start", "gradient", "highest speed", "glide", "total", "down", "across")
			for _, s := range kind.steps {
				now := " "
				if s.Now {
					now = ">"
				}
				if !s.Starts {
					p.line("%s %-5d%6s°%8s %%  does not set off", now, s.Step, fixed(s.StartDeg, 0), fixed(s.GradientPct, 1))
					continue
				}
				speed := fmt.Sprintf("%s (%s-%s) km/h", fixed(s.PeakKmh.Value, 1), fixed(s.PeakKmh.Low, 0), fixed(s.PeakKmh.High, 0))
				p.line("%s %-5d%6s°%8s %%%22s%6s s%6s s%6s m%7s m", now, s.Step, fixed(s.StartDeg, 0), fixed(s.GradientPct, 1), speed,
					fixed(s.GlideS.Value, 1), fixed(s.TotalS.Value, 1), fixed(s.StopDown.Value, 1), fixed(math.Abs(s.StopLeft.Value), 1))
			}
		}
	}
	p.blank()
	p.para(2, "> marks the step a side is on, or the even step nearest to it in speed. Start counts from straight across.")
}
