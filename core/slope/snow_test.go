package slope

import (
	"math"
	"math/rand/v2"
	"testing"
)

// published is the prior from Wolfsperger, Meyer and Gilgien 2021: 0.023 ±
// 0.006 to 0.139 ± 0.018.
var published = Prior{0.023, 0.006, 0.139, 0.018}

// draw takes a friction from a prior by refusing what is too unlikely.
func draw(r *rand.Rand, p Prior) float64 {
	low, high := p.support()
	for {
		mu := low + (high-low)*r.Float64()
		if r.Float64() < p.density(mu) {
			return mu
		}
	}
}

// glide simulates what a person with a watch writes down on one slope, and
// adds it: times, or that it did not come to the end.
func glide(r *rand.Rand, g *Glides, mu, area, slope, slopeSD, length float64, times int) {
	t := Timed{Slope: slope + slopeSD*r.NormFloat64(), SlopeSD: slopeSD, Length: length}
	m := Conditions{Gravity: g.Gravity, Drag: DragOf(g.Density, area, g.Mass)}.Motion(Piece{Slope: slope, Friction: mu})
	a := m.Over(0, length)
	if a.Stopped {
		t.Short = 1
	} else {
		for range times {
			t.Times = append(t.Times, a.Time+g.WatchSD*r.NormFloat64())
		}
	}
	g.Timed = append(g.Timed, t)
}

// The interval holds what it says: of 2,000 simulated days with one to four
// glides on one or two slopes, the 90 % interval covers the true friction
// between 88 and 92 times of 100.
func TestSnowCovers(t *testing.T) {
	if testing.Short() {
		t.Skip("2,000 simulated days take some seconds")
	}
	r := rand.New(rand.NewPCG(2024, 7))
	const days = 2000
	covered, fifty, short, width := 0, 0, 0, 0.0
	for range days {
		g := Glides{WatchSD: 0.2, DragArea: Between(0.5, 0.8), Density: 1.1, Mass: 80, Gravity: 9.80665, Prior: published}
		mu, area := draw(r, published), g.DragArea.Quantile(r.Float64())
		for range 1 + r.IntN(2) {
			glide(r, &g, mu, area, math.Atan(0.08+0.12*r.Float64()), 0.01, 20+40*r.Float64(), 1+r.IntN(2))
		}
		for _, t := range g.Timed {
			short += t.Short
		}
		p, err := g.Friction()
		if err != nil {
			t.Fatal(err)
		}
		low, high := p.Interval(0.9)
		if low <= mu && mu <= high {
			covered++
		}
		if low, high := p.Interval(0.5); low <= mu && mu <= high {
			fifty++
		}
		width += (high - low) / days
	}
	t.Logf("90 %% interval covers %.2f %%, 50 %% interval %.2f %%; mean width %.4f; %d slopes on which nobody came to the end", float64(covered)/days*100, float64(fifty)/days*100, width, short)
	if covered < days*88/100 || covered > days*92/100 || fifty < days*46/100 || fifty > days*54/100 {
		t.Error("the interval does not hold what it says")
	}
	// Without a watch the interval of the prior is about 0.11 wide.
	if width > 0.06 {
		t.Errorf("the glides teach too little: mean width %v", width)
	}
}

// The same posterior by brute force: sums over friction, drag area and slope
// miss on fine grids.
func TestOracleSnow(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 5 {
		g := Glides{WatchSD: 0.1 + 0.2*r.Float64(), DragArea: Between(0.5, 0.8), Density: 1.1, Mass: 80, Gravity: 9.81, Prior: published}
		sd := 0.002 + 0.01*r.Float64()
		mu := 0.03 + 0.04*r.Float64()
		for range 2 {
			glide(r, &g, mu, 0.6, math.Atan(0.09+0.05*r.Float64()), sd, 30, 2)
		}
		p, err := g.Friction()
		if err != nil {
			t.Fatal(err)
		}
		var all, mean, square float64
		for i := range 400 {
			m := 0.25 * (float64(i) + 0.5) / 400
			weight := 0.0
			for j := range 8 {
				area := 0.5 + 0.3*(float64(j)+0.5)/8
				like := 1.0
				for _, q := range g.Timed {
					sum := 0.0
					for k := range 300 {
						z := 12*(float64(k)+0.5)/300 - 6
						a := Conditions{Gravity: g.Gravity, Drag: DragOf(g.Density, area, g.Mass)}.Motion(Piece{Slope: q.Slope + z*sd, Friction: m}).Over(0, q.Length)
						chance := 1.0
						for _, time := range q.Times {
							if a.Stopped {
								chance = 0
							}
							chance *= math.Exp(-math.Pow((time-a.Time)/g.WatchSD, 2) / 2)
						}
						if len(q.Times) == 0 && !a.Stopped {
							chance = 0
						}
						sum += chance * math.Exp(-z*z/2)
					}
					like *= sum
				}
				weight += like
			}
			weight *= g.Prior.density(m)
			all, mean, square = all+weight, mean+weight*m, square+weight*m*m
		}
		mean /= all
		sdev := math.Sqrt(square/all - mean*mean)
		if math.Abs(p.Mean-mean) > 0.01*sdev || math.Abs(p.SD/sdev-1) > 0.01 {
			t.Errorf("mean %v ± %v, by brute force %v ± %v", p.Mean, p.SD, mean, sdev)
		}
	}
}

// Without any glide the posterior is the prior; with a slope and a watch that
// do not err it is the one friction that takes that time.
func TestSnowExtremes(t *testing.T) {
	g := Glides{WatchSD: 0.2, DragArea: Exactly(0.6), Density: 1, Mass: 80, Gravity: g981, Prior: Prior{0.03, 0, 0.07, 0}}
	p, err := g.Friction()
	if err != nil {
		t.Fatal(err)
	}
	if low, high := p.Interval(0.9); math.Abs(low-0.032) > 1e-3 || math.Abs(high-0.068) > 1e-3 || math.Abs(p.Mean-0.05) > 1e-6 {
		t.Errorf("%v to %v, mean %v", low, high, p.Mean)
	}
	if p.Quantile(0) != p.Mu[0] || math.Abs(p.Quantile(1)-p.Mu[len(p.Mu)-1]) > 1e-9 || p.Within(0.5).Value != p.Quantile(0.5) {
		t.Error("the ends of the posterior")
	}
	// Reference S1: 30 m from rest on 10 % with friction 0.05 take 11.297 s.
	g.Prior, g.WatchSD = published, 0.001
	g.Timed = []Timed{{Slope: math.Atan(0.1), Length: 30, Times: []float64{11.297}}}
	if p, err = g.Friction(); err != nil || math.Abs(p.Mean-0.05) > 2e-5 || p.SD > 2e-5 {
		t.Errorf("%v ± %v, %v", p.Mean, p.SD, err)
	}
	g.Timed[0].Times[0] = 0.5
	if _, err = g.Friction(); err == nil {
		t.Error("half a second over 30 m fits no friction")
	}
	g.Timed[0].Times[0] = 5.4 // about without friction at all
	if _, err = g.Friction(); err == nil {
		t.Error("faster than any published friction with a slope known exactly")
	}
	g.Timed[0] = Timed{Slope: math.Atan(0.05), Length: 30, Short: 2}
	if p, err = g.Friction(); err != nil || p.Mean < 0.05 || p.Quantile(0.001) < 0.0498 {
		t.Errorf("who does not set off on 5 %% has a friction of 0.05 at least: %v %v", p.Quantile(0.001), err)
	}
}

func BenchmarkSnow(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	g := Glides{WatchSD: 0.2, DragArea: Between(0.5, 0.8), Density: 1.1, Mass: 80, Gravity: 9.81, Prior: published}
	glide(r, &g, 0.05, 0.6, math.Atan(0.1), 0.01, 30, 3)
	for b.Loop() {
		g.Friction()
	}
}

// A part with a mass of its own counts as if all were of that mass; a heavier
// skier's same time at speed stands for more friction, by the closed form.
func TestSnowByMassOfEach(t *testing.T) {
	part := Timed{Slope: math.Atan(0.15), SlopeSD: 0.005, Length: 80, Times: []float64{14}}
	day := func(all, own float64) Posterior {
		g := Glides{WatchSD: 0.2, DragArea: Between(0.5, 0.8), Density: 1.1, Mass: all, Gravity: 9.80665, Prior: published}
		one := part
		one.Mass = own
		g.Timed = []Timed{one}
		p, err := g.Friction()
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	if a, b := day(40, 0).Mean, day(90, 40).Mean; a != b {
		t.Errorf("40 kg for all %v, for the part %v", a, b)
	}
	if light, heavy := day(60, 30).Mean, day(60, 120).Mean; light >= heavy {
		t.Errorf("friction by 30 kg %v, by 120 kg %v", light, heavy)
	}
}
