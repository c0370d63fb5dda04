package slope

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

func randomPieces(r *rand.Rand) []Piece {
	pieces := make([]Piece, 1+r.IntN(12))
	for i := range pieces {
		pieces[i] = Piece{Length: 1 + 60*r.Float64(), Slope: math.Atan(0.5*r.Float64() - 0.1), Friction: 0.15 * r.Float64()}
		if r.IntN(3) == 0 && pieces[i].Slope > 0 {
			pieces[i].Path = 2*r.Float64() - 1
		}
	}
	return pieces
}

func randomConditions(r *rand.Rand) Conditions {
	return Conditions{Gravity: 9.80665, Drag: DragOf(1.1, r.Float64(), 20+80*r.Float64()), Edges: r.IntN(2) == 0}
}

// Energy is never created: the speed never exceeds what the height gives.
func TestEnergyIsNeverCreated(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 100))
	for range 4000 {
		c, pieces := randomConditions(r), randomPieces(r)
		v0 := 10 * r.Float64()
		for _, a := range c.Glide(pieces, v0).At {
			if most := v0*v0 + 2*c.Gravity*a.Drop; a.Speed*a.Speed > most*(1+1e-12)+1e-9 {
				t.Fatalf("%v m/s after a fall of %v m from %v m/s", a.Speed, a.Drop, v0)
			}
		}
	}
	for range 300 {
		h := Hill{Slope: 0.05 + 0.4*r.Float64(), Gravity: 9.80665, Drag: 0.004 * r.Float64()}
		track := h.Slide(JTurn(Left, 1+3*r.Float64(), 3+8*r.Float64(), 0.1*r.Float64(), 0.1*r.Float64()), 3*r.Float64(), r.Float64())
		v0 := track.Points[0].Speed
		for _, p := range track.Points {
			if most := v0*v0 + 2*h.Gravity*math.Sin(h.Slope)*p.Down; p.Speed*p.Speed > most+1e-9 {
				t.Fatalf("turn: %v m/s after %v m down from %v m/s", p.Speed, p.Down, v0)
			}
		}
	}
}

// More friction, or more drag, is never faster, anywhere.
func TestMoreFrictionIsNeverFaster(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 100))
	for range 4000 {
		c, pieces := randomConditions(r), randomPieces(r)
		v0 := 10 * r.Float64()
		slick := c.Glide(pieces, v0)
		rough, thick := withFriction(pieces, 0.05*r.Float64()), c
		thick.Drag *= 1 + r.Float64()
		for _, other := range []Run{c.Glide(rough, v0), thick.Glide(pieces, v0)} {
			for i := range other.At {
				if i >= len(slick.At) {
					t.Fatal("more friction went further")
				}
				if other.At[i].Speed > slick.At[i].Speed+1e-12 {
					t.Fatalf("faster with more friction: %v and %v", other.At[i], slick.At[i])
				}
			}
			if other.End().Distance > slick.End().Distance*(1+1e-12) {
				t.Fatal("more friction went further")
			}
		}
	}
	for range 200 {
		h := Hill{Slope: 0.05 + 0.3*r.Float64(), Gravity: 9.80665, Drag: 0.004}
		mu, skid := 0.03*r.Float64(), 0.05*r.Float64()
		a := h.Slide(JTurn(Left, 3, 5, mu, skid), 1, 0.5)
		b := h.Slide(JTurn(Left, 3, 5, mu+0.02, skid), 1, 0.5)
		if b.Peak.Speed > a.Peak.Speed+1e-12 || b.End().Along > a.End().Along+1e-9 {
			t.Fatalf("turn: faster with more friction: %v, %v", a.Peak.Speed, b.Peak.Speed)
		}
	}
}

// Pieces cut anywhere give the same run.
func TestPiecesCutAnywhere(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 100))
	for range 3000 {
		c, pieces := randomConditions(r), randomPieces(r)
		v0 := 0.5 + 10*r.Float64()
		var cut []Piece
		for _, p := range pieces {
			parts := 1 + r.IntN(4)
			for range parts {
				q := p
				q.Length = p.Length / float64(parts)
				cut = append(cut, q)
			}
		}
		a, b := c.Glide(pieces, v0), c.Glide(cut, v0)
		ea, eb := a.End(), b.End()
		if a.Stopped != b.Stopped || relative(ea.Distance, eb.Distance) > 1e-9 || relative(ea.Speed*ea.Speed, eb.Speed*eb.Speed) > 1e-9 || relative(ea.Drop, eb.Drop) > 1e-9 ||
			relative(ea.Time, eb.Time) > 1e-5 {
			t.Fatalf("%+v and cut %+v", ea, eb)
		}
	}
}

// Swapping left and right mirrors every track, load and stop, and nothing
// else.
func TestMirror(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 100))
	for range 200 {
		h := Hill{Slope: 0.05 + 0.3*r.Float64(), Gravity: 9.80665, Drag: 0.004 * r.Float64()}
		mu, skid, radius, glide := 0.05*r.Float64(), 0.1*r.Float64(), 3+7*r.Float64(), 1+3*r.Float64()
		start := r.Float64() * math.Pi / 2
		legs := func(s Side) []Leg { return JTurn(s, glide, radius, mu, skid) }
		if r.IntN(3) == 0 {
			high := 1 + 0.5*r.Float64()
			legs = func(s Side) []Leg { return Garland(s, 2, high, 0.4, radius, mu, skid) }
			start = math.Pi/2 - high
		}
		v0 := 2 * r.Float64()
		left := h.Slide(legs(Left), v0, FromAcross(start, Left))
		right := h.Slide(legs(Right), v0, FromAcross(start, Right))
		if len(left.Points) != len(right.Points) || left.Stopped != right.Stopped || left.Stays != right.Stays || left.Peak.Speed != right.Peak.Speed {
			t.Fatal("left and right differ")
		}
		for i, p := range left.Points {
			q := right.Points[i]
			if p.Time != q.Time || p.Down != q.Down || p.Left != -q.Left || p.Path != -q.Path || p.Speed != q.Speed || p.Load != q.Load || p.Lateral != -q.Lateral || p.Lean() != -q.Lean() {
				t.Fatalf("%+v and %+v", p, q)
			}
		}
	}
}

// A turn of endless radius is a traverse, which has a closed form; and the
// edges of a traverse carry what the formula says.
func TestWideTurnIsATraverse(t *testing.T) {
	h := Hill{Slope: math.Atan(0.2), Gravity: 9.80665, Drag: 0.004}
	phi := 0.7
	wide := h.Slide([]Leg{{Radius: 1e9, To: phi + 50/1e9, Friction: 0.05}}, 1, phi)
	c := Conditions{Gravity: h.Gravity, Drag: h.Drag, Edges: true}
	straight := c.Motion(Piece{Slope: h.Slope, Path: phi, Friction: 0.05}).Over(1, 50)
	end := wide.End()
	if relative(end.Speed, straight.Speed) > 1e-7 || relative(end.Time, straight.Time) > 1e-7 || relative(end.Along, 50) > 1e-6 {
		t.Errorf("%+v, straight %+v", end, straight)
	}
	if got, want := NormalLoad(0.3, 0.5, true), math.Sqrt(math.Pow(math.Cos(0.3), 2)+math.Pow(math.Sin(0.3)*math.Sin(0.5), 2)); relative(got, want) > 1e-15 {
		t.Errorf("%v, want %v", got, want)
	}
	if NormalLoad(0.3, 0, true) != NormalLoad(0.3, 0, false) {
		t.Error("in the fall line both forms are one")
	}
}

// In a level circle without slope the balance is the text book's: load √(1 +
// (v²/gR)²), lean atan(v²/gR); it slows by friction on that load.
func TestTurnOnTheFlat(t *testing.T) {
	h := Hill{Slope: 0, Gravity: 9.80665}
	track := h.Slide([]Leg{{Radius: 10, To: math.Pi, Friction: 0.05}}, 7, 0)
	first := track.Points[1]
	q := first.Speed * first.Speed / (h.Gravity * 10)
	if relative(first.Load, math.Hypot(1, q)) > 1e-12 || relative(first.Lean(), math.Atan(q)) > 1e-12 {
		t.Errorf("%+v", first)
	}
	// dv/dt = -μ g √(1 + (v²/gR)²): with u = v², s = ½ ∫ du / (μ g √(1 + (u/gR)²)),
	// so s = R/(2 μ) asinh(u/gR), falling.
	u := func(v float64) float64 { return math.Asinh(v * v / (h.Gravity * 10)) }
	end := track.End()
	if want := (u(7) - u(end.Speed)) * 10 / (2 * 0.05); relative(end.Along, want) > 1e-10 {
		t.Errorf("%v m along, the closed form gives %v", end.Along, want)
	}
}

func TestLegs(t *testing.T) {
	h := Hill{Slope: math.Atan(0.1), Gravity: 9.80665, Drag: 0.004}
	// A leg without an end on ground that does not stop anybody is not there.
	if track := h.Slide([]Leg{{Friction: 0.02}}, 2, 0); len(track.Points) != 1 || track.Stopped {
		t.Errorf("%+v", track)
	}
	// An arc of no angle is not there either.
	if track := h.Slide([]Leg{{Radius: 5, To: 0.5, Friction: 0.02}}, 2, 0.5); len(track.Points) != 1 {
		t.Errorf("%+v", track)
	}
	both := h.Slide([]Leg{{Length: 30, Lasts: 1, Friction: 0.02}, {Length: 5, Lasts: 100, Friction: 0.02}}, 2, 0)
	if math.Abs(both.Points[len(both.Points)-1].Along-both.Points[4].Along-5) > 1e-9 || both.Points[4].Time != 1 {
		t.Errorf("%+v", both.Points)
	}
	still := h.Slide(JTurn(Left, 3, 5, 0.2, 0), 0, 0)
	if still.Starts || !still.Stopped || !still.Stays || still.End().Along != 0 {
		t.Errorf("%+v", still)
	}
	arc := h.Slide([]Leg{{Radius: 5, To: 2, Friction: 0.2}}, 0, 0)
	if arc.Starts || !arc.Stopped {
		t.Errorf("%+v", arc)
	}
}

func TestFanLadders(t *testing.T) {
	f := Fan{Hill: Hill{Slope: math.Atan(0.1), Gravity: 9.80665, Drag: DragOf(1.1, 0.6, 70)}, Friction: 0.03,
		Sides: map[Side]FanSide{Left: {3.5, 5, 0.03}, Right: {3.5, 4, 0.08}}}
	for _, side := range Sides {
		last := -1.0
		for i, start := range TradeLadder() {
			r := f.Run(side, start)
			if math.Abs(start*degrees-15*float64(i+1)) > 1e-9 || r.Track.Peak.Speed < last || !r.Track.Stopped {
				t.Errorf("step %d: %v %+v", i+1, start, r.Track.End())
			}
			last = r.Track.Peak.Speed
			if r.Track.Starts && math.Abs(r.GlideTime()-3.5) > 1e-9 {
				t.Errorf("glide %v", r.GlideTime())
			}
		}
		starts, ok := f.EvenLadder(side)
		if !ok || len(starts) != FanSteps || !slices.IsSorted(starts) {
			t.Fatal(starts, ok)
		}
		for i, start := range starts {
			want := last * float64(i+1) / FanSteps
			if got := f.Run(side, start).Track.Peak.Speed; math.Abs(got-want) > 1e-6 {
				t.Errorf("%s even step %d: %v m/s, want %v", side, i+1, got, want)
			}
		}
	}
	f.Friction = 0.2
	if starts, ok := f.EvenLadder(Left); ok || starts != nil {
		t.Error("nobody sets off here")
	}
}

func TestAngles(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 100))
	for range 2000 {
		theta, phi := 1.4*r.Float64(), 6.2*r.Float64()-3.1
		psi := MapAngle(phi, theta)
		if relative(PathAngle(psi, theta), phi) > 1e-12 {
			t.Fatalf("%v on %v comes back as %v", phi, theta, PathAngle(psi, theta))
		}
		// The gradient of a path is one thing, whichever angle names it.
		if relative(PathSlope(theta, phi), PathSlopeOnMap(theta, psi)) > 1e-9 {
			t.Fatalf("%v and %v", PathSlope(theta, phi), PathSlopeOnMap(theta, psi))
		}
		if (phi > 0) != (psi > 0) {
			t.Fatal("a path changed its side")
		}
	}
	// slope.md: mixing the two conventions costs at most 3 % of the gradient at 25 %.
	theta := math.Atan(0.25)
	most := 0.0
	for phi := 0.0; phi < 1.5; phi += 0.01 {
		plane, onMap := math.Tan(PathSlope(theta, phi)), math.Tan(PathSlopeOnMap(theta, phi))
		most = max(most, math.Abs(plane/onMap-1))
	}
	if most > 0.031 || most < 0.02 {
		t.Errorf("mixing the angles costs %v", most)
	}
}

func TestPlanes(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 100))
	for range 500 {
		want := Grade{Along: r.Float64() - 0.3, Across: r.Float64() - 0.5}
		at := func(along, left float64) float64 { return 1500 - want.Along*along - want.Across*left }
		var z [3][3]float64
		for i := range z {
			for j := range z[i] {
				z[i][j] = at(10*float64(i-1), 10*float64(1-j))
			}
		}
		if got := Horn(z, 10); relative(got.Along, want.Along) > 1e-9 || relative(got.Across, want.Across) > 1e-9 {
			t.Fatalf("Horn %+v, want %+v", got, want)
		}
		var spots []Spot
		for range 3 + r.IntN(20) {
			x, y := 100*r.Float64(), 60*r.Float64()-30
			spots = append(spots, Spot{x, y, at(x, y)})
		}
		if got, off, ok := Plane(spots); !ok || relative(got.Along, want.Along) > 1e-7 || relative(got.Across, want.Across) > 1e-7 || off > 1e-6 {
			t.Fatalf("plane %+v %v %v, want %+v", got, off, ok, want)
		}
	}
	// slope.md: steepest √(p² + q²), fall line atan2(q, p) off the axis.
	theta, off := Grade{0.3, 0.4}.Steepest()
	if relative(math.Tan(theta), 0.5) > 1e-12 || relative(off, math.Atan2(0.4, 0.3)) > 1e-12 {
		t.Errorf("%v %v", theta, off)
	}
	if _, _, ok := Plane([]Spot{{0, 0, 1}, {1, 1, 2}, {2, 2, 3}, {5, 5, 0}}); ok {
		t.Error("spots on one line leave the plane open")
	}
	if _, _, ok := Plane(nil); ok {
		t.Error("no spots")
	}
}

// The start that gives a speed gives that speed.
func TestBefore(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 100))
	found := 0
	for range 2000 {
		c, pieces := randomConditions(r), randomPieces(r)
		want := 0.5 + 12*r.Float64()
		x, ok := c.Before(pieces, want)
		if !ok {
			// Even from rest at the top it must come slower, or stop.
			if run := c.Glide(pieces, 0); !run.Stopped && run.End().Speed > want*(1+1e-9) {
				t.Fatalf("%v m/s comes from rest at the top, wanted %v", run.End().Speed, want)
			}
			continue
		}
		found++
		total := 0.0
		for _, p := range pieces {
			total += p.Length
		}
		lower, err := cutAt(pieces, total-x)
		if total-x < 1e-9 {
			lower, err = nil, nil
		}
		if err != nil {
			t.Fatal(err)
		}
		rest := slices.Clone(pieces[max(len(lower)-1, 0):])
		if len(lower) > 0 {
			rest[0].Length -= lower[len(lower)-1].Length
		}
		run := c.Glide(rest, 0)
		if run.Stopped && run.End().Distance == 0 {
			continue // the start lies where two pieces meet, to the last digit
		}
		if run.Stopped || relative(run.End().Speed, want) > 1e-6 {
			t.Fatalf("from %v m before: %+v, wanted %v", x, run.End(), want)
		}
	}
	if found < 300 {
		t.Errorf("only %d starts found", found)
	}
}

// A stop gives back the friction it was made with.
func TestBrakeTrials(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 100))
	for range 2000 {
		c := Conditions{Gravity: 9.80665, Drag: 0.01 * r.Float64()}
		if r.IntN(5) == 0 {
			c.Drag = 0
		}
		theta, mu := 0.2*r.Float64(), 0.25+0.3*r.Float64()
		v := 1 + 9*r.Float64()
		x, time, ok := c.Motion(Piece{Slope: theta, Friction: mu}).Stop(v)
		if !ok {
			t.Fatal("no stop")
		}
		if got := (BrakeTrial{Speed: v, Length: x}).Friction(theta, c.Gravity, c.Drag); relative(got, mu) > 1e-9 {
			t.Fatalf("by length %v, want %v", got, mu)
		}
		if got := (BrakeTrial{Speed: v, Time: time}).Friction(theta, c.Gravity, c.Drag); relative(got, mu) > 1e-9 {
			t.Fatalf("by time %v, want %v", got, mu)
		}
	}
}

// The peak of a snatch by small steps of the spring's own motion: slope.md
// says the closed form was verified by integration; this is another.
func TestOracleShock(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 100))
	for range 200 {
		m, k, free, v := 20+80*r.Float64(), 2000+20000*r.Float64(), 2*r.Float64(), 3*r.Float64()
		want := Shock(m, free, k, v)
		x, u, peak := 0.0, v, 0.0
		const h = 1e-6
		for range 2_000_000 {
			u += h * (free - k*x/m)
			x += h * u
			peak = max(peak, k*x)
			if u < 0 {
				break
			}
		}
		if v+free > 0.05 && relative(peak, want) > 1e-3 {
			t.Fatalf("%v kg, %v N/m, %v m/s², %v m/s: %v, small steps %v", m, k, free, v, want, peak)
		}
	}
}

// Both moving: the pair's middle goes on as the two together do, and the line
// feels only how they part.
func TestOracleShockOfTwo(t *testing.T) {
	p := Pair{80, 0.05, 70, 0.25}
	theta, k, part := math.Atan(0.12), 8000.0, 0.8
	c := Conditions{Gravity: 9.80665}
	as, ai := c.Drive(Piece{Slope: theta, Friction: p.StudentFriction}), c.Drive(Piece{Slope: theta, Friction: p.HandlerFriction})
	want := Shock(p.Reduced(), p.Parting(theta, c.Gravity), k, part)
	x, y, u, w, peak := 0.0, 0.0, part, 0.0, 0.0
	const h = 1e-6
	for range 1_000_000 {
		pull := k * max(x-y, 0)
		u += h * (as - pull/p.StudentMass)
		w += h * (ai + pull/p.HandlerMass)
		x, y = x+h*u, y+h*w
		peak = max(peak, pull)
	}
	if relative(as-ai, p.Parting(theta, c.Gravity)) > 1e-12 || relative(peak, want) > 1e-3 {
		t.Errorf("%v, small steps %v", want, peak)
	}
}

// A line's angles: the pull that a balance of both bodies asks for.
func TestLines(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 100))
	for range 1000 {
		theta, mu, m := 0.05+0.3*r.Float64(), 0.1*r.Float64(), 30+60*r.Float64()
		l := Line{Up: 0.6 * r.Float64(), Apart: 0.5 * r.Float64()}
		pull, ok := l.Tension(HoldForce(m, mu, theta, 0, 0, 9.80665), mu)
		if !ok {
			t.Fatal("a flat line holds")
		}
		sin, cos := math.Sincos(theta)
		normal := m*9.80665*cos - pull*math.Sin(l.Up)
		if net := m*9.80665*sin - mu*normal - pull*l.Useful(); math.Abs(net) > 1e-9 {
			t.Fatalf("not in balance by %v N", net)
		}
		hm := mu + 0.35
		holds, ok := l.HandlerHolds(m, hm, theta, 9.80665)
		if !ok {
			continue
		}
		if own := m * 9.80665 * (hm*cos - sin); own > 0 {
			if net := m*9.80665*sin + holds*l.Useful() - hm*(m*9.80665*cos+holds*math.Sin(l.Up)); math.Abs(net) > 1e-9 {
				t.Fatalf("handler not in balance by %v N", net)
			}
		} else if holds != 0 {
			t.Fatal("who slides holds nobody")
		}
	}
	if _, ok := (Line{Up: 1.5}).Tension(50, 0.2); ok {
		t.Error("a line straight up holds nobody")
	}
	if _, ok := (Line{Up: 1.5}).HandlerHolds(70, 0.3, 0.1, 9.80665); ok {
		t.Error("a line straight down cannot pull the handler off")
	}
	// slope.md: two lines at ± ε, each F / (2 cos ε cos δ).
	l := Line{Up: 0.2, Apart: 0.4}
	if relative(l.Useful(), math.Cos(0.2)*math.Cos(0.4)) > 1e-15 {
		t.Error("useful part")
	}
}

func TestSeeded(t *testing.T) {
	// SplitMix64 from seed 1234567: the first numbers of its published reference
	// (Steele, Lea and Flood 2014, as in the test files of the algorithm).
	d := Seeded(1234567)
	for _, want := range []uint64{6457827717110365317, 3203168211198807973, 9817491932198370423} {
		if got := d(); got != float64(want>>11)/(1<<53) {
			t.Errorf("%v, want %v", got, float64(want>>11)/(1<<53))
		}
	}
	n := Normal{10, 2}
	if n.Quantile(0.5) != 10 || math.Abs(n.Quantile(0.975)-13.91993) > 1e-4 || !finite(n.Quantile(0)) || !finite(n.Quantile(1)) {
		t.Error("normal quantiles")
	}
}
