package cli

import (
	"math"

	"firnhand/core/quantity"
	"firnhand/core/slope"
)

// slopeCmd is about sliding on a slope, and the reins.
type slopeCmd struct {
	Glide   slopeGlideCmd   `cmd:"" help:"Speed, time and place after a slide on one straight piece of slope."`
	Forces  slopeForcesCmd  `cmd:"" help:"Forces, acceleration, steady speed; the friction that a force stands for."`
	Energy  slopeEnergyCmd  `cmd:"" help:"Speed after a change of height, by the balance of energy."`
	Stop    slopeStopCmd    `cmd:"" help:"How far and how long a stop takes, with the reaction; also on rising ground."`
	Brake   slopeBrakeCmd   `cmd:"" help:"Braking friction of this student, calibrated from measured stops."`
	Turn    slopeTurnCmd    `cmd:"" help:"A J-turn or a garland: highest speed, stop, load."`
	Fan     slopeFanCmd     `cmd:"" help:"The fan of start angles on both sides, each run with a J finish."`
	Grade   slopeGradeCmd   `cmd:"" help:"Percent and degrees, the gradient of a path, a double fall line, published classes."`
	Profile slopeProfileCmd `cmd:"" help:"The shape of a run from a file: steepest 20 m and 50 m, classes."`
	Run     slopeRunCmd     `cmd:"" help:"A straight run over the shape from a file."`
	Band    slopeBandCmd    `cmd:"" help:"The band of speeds along a run, when snow, air and mass are known within ranges."`
	Start   slopeStartCmd   `cmd:"" help:"Where a straight run must start to come with a wanted speed."`
	Snow    slopeSnowCmd    `cmd:"" help:"The friction of today's snow from timed glides."`
	Reins   slopeReinsCmd   `cmd:"" help:"What a line asks of student and handler, and where it ends."`
}

// spans reads a number with its range; nil where the flag was not given.
func spans(flag, text string) (*slope.Span, error) {
	if text == "" {
		return nil, nil
	}
	r, err := spanned[quantity.Ratio](flag, text)
	if err != nil {
		return nil, err
	}
	return &slope.Span{Value: float64(r.Value()), Low: float64(r.Low()), High: float64(r.High())}, nil
}

// way is one flag a number can be given by, and how it becomes SI.
type way struct {
	flag, text string
	si         func(float64) float64
}

// pick reads the one flag of several that was given; ok is false where none
// was.
func pick(ways ...way) (k slope.Known, ok bool, err error) {
	used := ""
	for _, w := range ways {
		s, err := spans(w.flag, w.text)
		if err != nil {
			return k, false, err
		}
		if s == nil {
			continue
		}
		if used != "" {
			return k, false, refuse("given_twice", "Give --%s or --%s, not both.", used, w.flag)
		}
		used = w.flag
		k = slope.Given(s.Map(w.si))
	}
	return k, used != "", nil
}

func asIs(v float64) float64    { return v }
func fromKmh(v float64) float64 { return v / 3.6 }
func fromPct(v float64) float64 { return math.Atan(v / 100) }
func fromDeg(v float64) float64 { return v * math.Pi / 180 }
func fromLb(v float64) float64  { return v * float64(quantity.Must(quantity.Pounds(1))) }

// groundFlags say how steep it is.
type groundFlags struct {
	Pct string `name:"slope-pct" placeholder:"N" help:"Slope in percent, downhill positive; below zero, written --slope-pct=-5, it rises. Numbers may be N, LOW..HIGH or N,LOW..HIGH."`
	Deg string `name:"slope-deg" placeholder:"N" help:"Slope in degrees."`
}

func (f groundFlags) get() (slope.Known, bool, error) {
	return pick(way{"slope-pct", f.Pct, fromPct}, way{"slope-deg", f.Deg, fromDeg})
}

func (f groundFlags) must() (slope.Known, error) {
	k, ok, err := f.get()
	if err == nil && !ok {
		err = refuse("missing", "How steep is it? Give --slope-pct or --slope-deg.")
	}
	return k, err
}

// pathFlags say where a path points.
type pathFlags struct {
	Path  *float64 `name:"path-deg" placeholder:"N" help:"Path from the fall line, measured in the slope plane, positive to the left."`
	Map   *float64 `name:"map-deg" placeholder:"N" help:"The same measured on a map."`
	Start *float64 `name:"start-deg" placeholder:"N" help:"The same counted from straight across, as the fan does: 90 is the fall line."`
}

func (f pathFlags) count() int {
	n := 0
	for _, v := range []*float64{f.Path, f.Map, f.Start} {
		if v != nil {
			n++
		}
	}
	return n
}

// get returns the path angle on a slope.
func (f pathFlags) get(theta float64) (float64, error) {
	if f.count() > 1 {
		return 0, refuse("given_twice", "Give the path once: --path-deg, --map-deg or --start-deg.")
	}
	switch {
	case f.Path != nil:
		return fromDeg(*f.Path), nil
	case f.Map != nil:
		return slope.PathAngle(fromDeg(*f.Map), theta), nil
	case f.Start != nil:
		return slope.FromAcross(fromDeg(*f.Start), slope.Left), nil
	}
	return 0, nil
}

// airFlags say what the air does.
type airFlags struct {
	Area        string   `name:"drag-area-m2" aliases:"cda-m2" placeholder:"N" help:"Drag area, coefficient times frontal area; 0 for no drag. Without it: that of an upright adult, 0.5 to 0.8."`
	Frontal     *float64 `name:"area-m2" placeholder:"N" help:"Frontal area, with --drag-coefficient instead of --drag-area-m2."`
	Coefficient *float64 `name:"drag-coefficient" placeholder:"N" help:"Drag coefficient, with --area-m2."`
	Factor      *float64 `name:"drag-n-s2-m2" placeholder:"N" help:"Drag as force over speed squared, instead of area and density."`
	Density     string   `name:"density-kg-m3" aliases:"rho-kg-m3" placeholder:"N" help:"Density of the air."`
	Altitude    *float64 `name:"altitude-m" placeholder:"N" help:"Height above the sea, for the density of the air. Without either: 1000 m."`
}

// get returns drag area and density.
func (f airFlags) get() (area, density slope.Known, err error) {
	if f.Factor != nil {
		if f.Area != "" || f.Frontal != nil || f.Coefficient != nil || f.Density != "" || f.Altitude != nil {
			return area, density, refuse("given_twice", "--drag-n-s2-m2 stands for drag area and density; give it alone.")
		}
		return slope.Given(slope.Exactly(2 * *f.Factor)), slope.Given(slope.Exactly(1)), nil
	}
	area, ok, err := pick(way{"drag-area-m2", f.Area, asIs})
	switch {
	case err != nil:
		return area, density, err
	case (f.Frontal == nil) != (f.Coefficient == nil):
		return area, density, refuse("missing", "--area-m2 and --drag-coefficient go together.")
	case ok && f.Frontal != nil:
		return area, density, refuse("given_twice", "Give --drag-area-m2, or --area-m2 with --drag-coefficient.")
	case f.Frontal != nil:
		area = slope.Given(slope.Exactly(*f.Frontal * *f.Coefficient))
	case !ok:
		area = slope.Upright()
	}
	density, ok, err = pick(way{"density-kg-m3", f.Density, asIs})
	switch {
	case err != nil:
		return area, density, err
	case ok && f.Altitude != nil:
		return area, density, refuse("given_twice", "Give --density-kg-m3 or --altitude-m, not both.")
	case ok:
		return area, density, nil
	}
	const usual = 1000
	at := float64(usual)
	if f.Altitude != nil {
		at = *f.Altitude
	}
	density, err = slope.AirAt(at)
	return area, density, hillFault(err)
}

// skierFlags say who slides on what.
type skierFlags struct {
	Mu      string  `name:"mu" aliases:"friction" placeholder:"N" help:"Coefficient of friction. Without it: the published range of --snow."`
	Snow    string  `enum:"all,cold,wet,fresh" default:"all" help:"Kind of snow for the range of friction: all, cold, wet, fresh."`
	MassKg  string  `name:"mass-kg" placeholder:"N" help:"Mass with gear; needed where there is drag or a pull."`
	MassLb  string  `name:"mass-lb" placeholder:"N" help:"The same in pounds."`
	Gravity float64 `name:"gravity-m-s2" default:"9.80665" placeholder:"N" help:"Acceleration of free fall."`
	airFlags
}

// ask gathers what questions on sliding share.
func (f skierFlags) ask() (slope.Ask, error) {
	a := slope.Ask{Gravity: f.Gravity}
	var ok bool
	var err error
	if a.Friction, ok, err = pick(way{"mu", f.Mu, asIs}); err != nil {
		return a, err
	}
	if !ok {
		if a.Friction, err = slope.FrictionOf(f.Snow); err != nil {
			return a, hillFault(err)
		}
	}
	if a.Mass, _, err = pick(way{"mass-kg", f.MassKg, asIs}, way{"mass-lb", f.MassLb, fromLb}); err != nil {
		return a, err
	}
	a.DragArea, a.Density, err = f.airFlags.get()
	return a, err
}

// windFlags say what pushes or pulls along a straight path.
type windFlags struct {
	Wind    *float64 `name:"head-wind-m-s" placeholder:"N" help:"Wind straight against the path; below zero, written =-3, from behind."`
	WindKmh *float64 `name:"head-wind-kmh" placeholder:"N" help:"The same in km/h."`
	Pull    float64  `name:"pull-n" placeholder:"N" help:"Steady pull back along the path, as by a line."`
	Edges   bool     `help:"Count what the edges carry on a traverse into the normal force."`
}

func (f windFlags) set(a *slope.Ask) error {
	if f.Wind != nil && f.WindKmh != nil {
		return refuse("given_twice", "Give --head-wind-m-s or --head-wind-kmh, not both.")
	}
	if f.Wind != nil {
		a.HeadWind = *f.Wind
	}
	if f.WindKmh != nil {
		a.HeadWind = fromKmh(*f.WindKmh)
	}
	a.Pull, a.Edges = f.Pull, f.Edges
	return nil
}

// speedFlags say how fast.
type speedFlags struct {
	MS  string `name:"speed-m-s" placeholder:"N" help:"Speed at the beginning; without it from rest."`
	Kmh string `name:"speed-kmh" placeholder:"N" help:"The same in km/h."`
}

func (f speedFlags) get() (slope.Known, bool, error) {
	k, ok, err := pick(way{"speed-m-s", f.MS, asIs}, way{"speed-kmh", f.Kmh, fromKmh})
	if !ok {
		k = slope.Given(slope.Exactly(0))
	}
	return k, ok, err
}
