package lift_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/lift"
	"firnhand/core/quantity"
	"firnhand/core/source"
)

func must[T any](t *testing.T) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func p[T any](v T) *T { return &v }

type (
	speed   = quantity.MetrePerSecond
	metre   = quantity.Metre
	seconds = quantity.Second
)

func exactly[T quantity.Scalar](v T) quantity.Range[T] {
	return quantity.Must(quantity.Exactly(v))
}

func span[T quantity.Scalar](v, low, high T) quantity.Range[T] {
	return quantity.Must(quantity.NewRange(v, low, high))
}

func near(a, b, by float64) bool { return math.Abs(a-b) <= by*(1+1e-9) }

// Printed examples of lifts.
func TestSolvePrinted(t *testing.T) {
	solve := must[lift.Line](t)
	people := func(l lift.Line) float64 {
		n, ok := l.PerHour()
		if !ok {
			t.Errorf("%+v has no people an hour", l)
		}
		return n
	}
	// SAM magazine, July 2018: a quad at 6 s is 2400 an hour, at 8 s 1800.
	for interval, want := range map[seconds]float64{6: 2400, 8: 1800} {
		if got := people(solve(lift.Solve(lift.Given{Interval: p(interval), Seats: 4}))); got != want {
			t.Errorf("a quad every %v s: %v, printed %v", interval, got, want)
		}
	}
	// Article on chairlifts: a double of 1200 an hour, 2.5 m/s: 6.0 s, 15.0 m;
	// a detachable quad of 2400 an hour at 5 m/s: 6 s, 30 m.
	l := solve(lift.Solve(lift.Given{PerHour: p(1200.0), Seats: 2, Speed: p(speed(2.5))}))
	if !near(float64(l.Interval), 6.0, 0.05) || !near(float64(l.Spacing), 15.0, 0.05) {
		t.Errorf("%+v", l)
	}
	if l := solve(lift.Solve(lift.Given{PerHour: p(2400.0), Seats: 4, Speed: p(speed(5))})); l.Interval != 6 || l.Spacing != 30 {
		t.Errorf("%+v", l)
	}
	// Slowed to 1.25 m/s the same spacing comes every 12.0 s.
	if slow := solve(l.At(1.25)); !near(float64(slow.Interval), 12.0, 0.05) || slow.Spacing != l.Spacing {
		t.Errorf("%+v", slow)
	}
	// Article on capacity: 400 and 1200 ft/min every 6 s are 40 and 120 ft
	// apart.
	for fpm, feet := range map[float64]float64{400: 40, 1200: 120} {
		l := solve(lift.Solve(lift.Given{Speed: p(quantity.Must(quantity.FeetPerMinute(fpm))), Interval: p(seconds(6))}))
		if !near(l.Spacing.Feet(), feet, 0.05) {
			t.Errorf("%v ft/min: %v ft", fpm, l.Spacing.Feet())
		}
	}
	// 34 Pa. Code 7.466: T-bar every 5 s, two riders: under 1440, printed just
	// under 1400; a single outfit every 3 s: 1200.
	if got := people(solve(lift.Solve(lift.Given{Interval: p(seconds(5)), Seats: 2}))); got != 1440 {
		t.Errorf("T-bar: %v", got)
	}
	if got := people(solve(lift.Solve(lift.Given{Interval: p(seconds(3)), Seats: 1}))); got != 1200 {
		t.Errorf("single: %v", got)
	}
}

// Any two of the three give the third; what contradicts is refused.
func TestSolveTwoOfThree(t *testing.T) {
	rnd := rand.New(rand.NewPCG(19, 20))
	for range 20_000 {
		v, i, n := speed(0.3+rnd.Float64()*5), seconds(3+rnd.Float64()*30), 1+rnd.IntN(8)
		s := metre(float64(v) * float64(i))
		people := 3600 * float64(n) / float64(i)
		for name, g := range map[string]lift.Given{
			"speed, interval": {Speed: &v, Interval: &i, Seats: n}, "speed, spacing": {Speed: &v, Spacing: &s, Seats: n},
			"interval, spacing": {Interval: &i, Spacing: &s, Seats: n}, "people, speed": {PerHour: &people, Speed: &v, Seats: n}, "people, spacing": {PerHour: &people, Spacing: &s, Seats: n},
			"all": {Speed: &v, Interval: &i, Spacing: &s, Seats: n, PerHour: &people},
		} {
			l, err := lift.Solve(g)
			if err != nil || !near(float64(l.Speed), float64(v), 1e-9) || !near(float64(l.Interval), float64(i), 1e-9) || !near(float64(l.Spacing), float64(s), 1e-6) {
				t.Fatalf("%s: %+v %v, want %v %v %v", name, l, err, v, i, s)
			}
			share := quantity.Ratio(0.1 + rnd.Float64()*0.9)
			slow, err := l.Slowed(share)
			if err != nil || slow.Spacing != l.Spacing || !near(float64(slow.Interval*seconds(share)), float64(l.Interval), 1e-9) || !near(float64(slow.Speed)*float64(slow.Interval), float64(slow.Spacing), 1e-6) {
				t.Fatalf("slowed to %v: %+v after %+v", share, slow, l)
			}
			at, err := l.At(slow.Speed)
			if err != nil || !near(float64(at.Interval), float64(slow.Interval), 1e-9) {
				t.Fatalf("%+v %v, want %+v", at, err, slow)
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	errs := map[string]error{}
	keep := func(name string, err error) { errs[name] = err }
	_, err := lift.Solve(lift.Given{})
	keep("nothing", err)
	_, err = lift.Solve(lift.Given{Speed: p(speed(2))})
	keep("speed alone", err)
	_, err = lift.Solve(lift.Given{PerHour: p(1200.0)})
	keep("people without places", err)
	_, err = lift.Solve(lift.Given{Speed: p(speed(2)), Interval: p(seconds(6)), Spacing: p(metre(15))})
	keep("contradiction", err)
	_, err = lift.Solve(lift.Given{Interval: p(seconds(6)), Seats: 4, PerHour: p(1800.0)})
	keep("contradicting people", err)
	_, err = lift.Solve(lift.Given{Speed: p(speed(0.001)), Spacing: p(metre(900))})
	keep("interval of days", err)
	line := must[lift.Line](t)(lift.Solve(lift.Given{Interval: p(seconds(6)), Speed: p(speed(2))}))
	blind := must[lift.Line](t)(lift.Solve(lift.Given{Interval: p(seconds(6))}))
	_, err = blind.At(1)
	keep("another speed of an unknown one", err)
	_, err = lift.Compare("gondola", line, false, 0)
	keep("kind", err)
	good := lift.Student{Distance: exactly(metre(3)), Speed: exactly(speed(0.5)), Settle: exactly(seconds(1))}
	_, err = lift.Between(lift.Line{}, good, exactly(metre(1)), 2)
	keep("no interval", err)
	_, err = lift.Between(line, good, exactly(metre(10)), 0) // spacing 12 m, fine
	if err != nil {
		t.Error(err)
	}
	_, err = lift.Between(must[lift.Line](t)(lift.Solve(lift.Given{Interval: p(seconds(4)), Speed: p(speed(1))})), good, exactly(metre(4)), 0)
	keep("carriers that overlap", err)
	_, err = lift.Measured(3, nil)
	keep("no times", err)
	_, err = lift.Measured(0, []seconds{3})
	keep("no distance", err)
	_, err = lift.Measured(3, []seconds{0})
	keep("no time", err)
	_, err = lift.Asking(lift.Rider{}, &lift.Reach{Limit: -1})
	keep("speed below zero", err)
	for name, v := range map[string]float64{"NaN": math.NaN(), "infinity": math.Inf(1), "far off": 1e6, "below": -1e6} {
		_, err = lift.Solve(lift.Given{Speed: p(speed(v)), Interval: p(seconds(6))})
		keep("speed "+name, err)
		_, err = lift.Solve(lift.Given{Speed: p(speed(2)), Interval: p(seconds(v))})
		keep("interval "+name, err)
		_, err = lift.Solve(lift.Given{Spacing: p(metre(v)), Interval: p(seconds(6))})
		keep("spacing "+name, err)
		_, err = lift.Solve(lift.Given{PerHour: &v, Seats: 2})
		keep("people "+name, err)
		_, err = line.Slowed(quantity.Ratio(v))
		keep("share "+name, err)
		_, err = line.At(speed(v))
		keep("at "+name, err)
		_, err = lift.Compare(lift.TBar, line, false, seconds(v))
		keep("extension "+name, err)
		_, err = lift.Between(line, good, exactly(metre(1)), seconds(v))
		keep("reserve "+name, err)
		_, err = lift.Measured(metre(v), []seconds{3})
		keep("distance "+name, err)
		_, err = lift.Measured(3, []seconds{seconds(v)})
		keep("time "+name, err)
		_, err = lift.Asking(lift.Rider{SinceCheck: p(seconds(v * 100))}, nil)
		keep("check "+name, err)
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		s := good
		s.Distance = exactly(metre(v))
		_, err = lift.Between(line, s, exactly(metre(1)), 2)
		keep("student's distance "+name, err)
		s = good
		s.Speed = exactly(speed(v))
		_, err = lift.Between(line, s, exactly(metre(1)), 2)
		keep("student's speed "+name, err)
		_, err = lift.Between(line, good, exactly(metre(v)), 2)
		keep("carrier "+name, err)
		_, err = lift.StandUp(line, exactly(metre(v)), exactly(seconds(1)), 0)
		keep("zone "+name, err)
		_, err = lift.StandUp(line, exactly(metre(2)), exactly(seconds(v)), 0)
		keep("standing "+name, err)
	}
	_, err = lift.Solve(lift.Given{Interval: p(seconds(6)), Seats: 21})
	keep("places", err)
	s := good
	s.Speed = exactly(speed(0))
	_, err = s.Need()
	keep("a student who does not move", err)
	_, err = lift.StandUp(lift.Line{Interval: 6}, exactly(metre(2)), exactly(seconds(1)), 0)
	keep("standing on an unknown speed", err)
	for name, err := range errs {
		var e *lift.Error
		if !errors.As(err, &e) || e.Code == "" || !strings.HasSuffix(e.Error(), ".") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// 3 m at 0.5 m/s are 6.0 s, a whole interval of 6 s; 2 m at 0.2 m/s are 10.0 s.
func TestReachDerivedRows(t *testing.T) {
	line := must[lift.Line](t)(lift.Solve(lift.Given{Interval: p(seconds(6))}))
	for _, c := range []struct {
		d    metre
		v    speed
		need float64
	}{{3, 0.5, 6.0}, {2, 0.2, 10.0}} {
		r := must[lift.Reach](t)(lift.Between(line, lift.Student{Distance: exactly(c.d), Speed: exactly(c.v)}, exactly(metre(0)), 0))
		if !near(float64(r.Need.Value()), c.need, 0.05) || r.Verdict != lift.NotReached || r.HasAsk {
			t.Errorf("%v m at %v m/s: %+v", c.d, c.v, r)
		}
	}
}

// randomReach is a lift and a student as they could be.
func randomReach(rnd *rand.Rand) (lift.Line, lift.Student, quantity.Range[metre], seconds) {
	v, i := speed(0.8+rnd.Float64()*3), seconds(4+rnd.Float64()*14)
	l := lift.Line{Speed: v, Interval: i, Spacing: metre(float64(v) * float64(i))}
	r := func(low, wide float64) (value, lo, hi float64) {
		lo = low + rnd.Float64()*wide
		hi = lo + rnd.Float64()*wide
		return lo + rnd.Float64()*(hi-lo), lo, hi
	}
	d, dl, dh := r(1, 2)
	w, wl, wh := r(0.2, 0.6)
	s, sl, sh := r(0, 3)
	c, cl, ch := r(0.5, 1)
	return l, lift.Student{Distance: span(metre(d), metre(dl), metre(dh)), Speed: span(speed(w), speed(wl), speed(wh)), Settle: span(seconds(s), seconds(sl), seconds(sh))},
		span(metre(c), metre(cl), metre(ch)), seconds(rnd.Float64() * 4)
}

// The limits of the margin are those of every student, carrier and lift inside
// the ranges: compared with draws, and the worst and best corners are reached.
func TestOracleMargin(t *testing.T) {
	rnd := rand.New(rand.NewPCG(21, 22))
	pick := func(lo, hi float64) float64 { return lo + rnd.Float64()*(hi-lo) }
	for range 2500 {
		l, s, c, reserve := randomReach(rnd)
		r := must[lift.Reach](t)(lift.Between(l, s, c, reserve))
		for range 20 {
			margin := float64(l.Interval) - pick(float64(c.Low()), float64(c.High()))/float64(l.Speed) -
				pick(float64(s.Distance.Low()), float64(s.Distance.High()))/pick(float64(s.Speed.Low()), float64(s.Speed.High())) - pick(float64(s.Settle.Low()), float64(s.Settle.High()))
			if margin < float64(r.Margin.Low())-1e-9 || margin > float64(r.Margin.High())+1e-9 {
				t.Fatalf("a margin of %v lies outside %v", margin, r.Margin)
			}
		}
		worst := float64(l.Interval) - float64(c.High())/float64(l.Speed) - float64(s.Distance.High())/float64(s.Speed.Low()) - float64(s.Settle.High())
		if !near(float64(r.Margin.Low()), worst, 1e-9) {
			t.Fatalf("worst %v, want %v", r.Margin.Low(), worst)
		}
	}
}

// The speed to ask for is the fastest at which the reserve is left: found here
// by halving, and never above it after rounding.
func TestOracleAskSpeed(t *testing.T) {
	rnd := rand.New(rand.NewPCG(23, 24))
	for range 5000 {
		l, s, c, reserve := randomReach(rnd)
		r := must[lift.Reach](t)(lift.Between(l, s, c, reserve))
		left := func(v float64) float64 {
			slow := must[lift.Line](t)(l.At(speed(v)))
			got := must[lift.Reach](t)(lift.Between(slow, s, c, reserve))
			return float64(got.Margin.Low()) - float64(reserve)
		}
		low, high := float64(l.Spacing)/599, 14.0
		if left(low) < 0 {
			if r.Limit != 0 {
				t.Fatalf("no speed does, and %v is asked for", r.Limit)
			}
			continue
		}
		if left(high) >= 0 {
			continue // faster than any lift
		}
		for range 60 {
			if mid := (low + high) / 2; left(mid) >= 0 {
				low = mid
			} else {
				high = mid
			}
		}
		if !r.HasAsk || !near(float64(r.AskSpeed.Low()), low, 1e-6) {
			t.Fatalf("ask for %v, by halving %v", r.AskSpeed.Low(), low)
		}
		if float64(r.Limit) > low+1e-6 || r.Limit > l.Speed || float64(r.Limit) < math.Min(low-0.1, float64(l.Speed))-1e-6 {
			t.Fatalf("limit %v of %v, lift at %v", r.Limit, low, l.Speed)
		}
		if !near(float64(r.AskShare.Low())*float64(l.Speed), float64(r.AskSpeed.Low()), 1e-9) {
			t.Fatalf("share %v", r.AskShare)
		}
	}
}

// A slower student, a longer way, a longer carrier or a faster lift never has
// more to spare; the verdict follows the printed tenths.
func TestReachIsCautious(t *testing.T) {
	rnd := rand.New(rand.NewPCG(25, 26))
	rank := map[lift.Verdict]int{lift.NotReached: 0, lift.Tight: 1, lift.Reached: 2}
	for range 5000 {
		l, s, c, reserve := randomReach(rnd)
		r := must[lift.Reach](t)(lift.Between(l, s, c, reserve))
		worse := func(name string, l lift.Line, s lift.Student, c quantity.Range[metre]) {
			got := must[lift.Reach](t)(lift.Between(l, s, c, reserve))
			if got.Margin.Low() > r.Margin.Low()+1e-9 || rank[got.Verdict] > rank[r.Verdict] {
				t.Fatalf("%s: %v %s after %v %s", name, got.Margin, got.Verdict, r.Margin, r.Verdict)
			}
		}
		slower, farther := s, s
		slower.Speed = s.Speed.Scale(0.9)
		farther.Distance = s.Distance.Scale(1.1)
		worse("slower", l, slower, c)
		worse("farther", l, farther, c)
		worse("longer carrier", l, s, c.Scale(1.1))
		worse("faster lift", must[lift.Line](t)(l.At(l.Speed*1.1)), s, c)
		step := quantity.Decimals(1)
		printed := step.Round(float64(r.Margin.Low()))
		if (r.Verdict == lift.Reached) != (printed >= step.Round(float64(reserve)) && printed > 0) {
			t.Fatalf("%s with %v to spare, reserve %v", r.Verdict, printed, reserve)
		}
		text := strings.Join(r.Say, " ")
		if r.Verdict == lift.Reached && !strings.Contains(text, "lift staff decide") || r.Verdict != lift.Reached && !strings.Contains(text, "top") && !strings.Contains(text, "slower") {
			t.Fatalf("%s: %v", r.Verdict, r.Say)
		}
	}
}

// What is said, and what is not known.
func TestReachWords(t *testing.T) {
	easy := lift.Student{Distance: exactly(metre(2)), Speed: exactly(speed(1)), Settle: exactly(seconds(1))}
	blind := lift.Line{Interval: 12}
	r := must[lift.Reach](t)(lift.Between(blind, easy, lift.Carrier(), lift.Reserve()))
	if r.Verdict != lift.Tight || r.HasAsk || !strings.Contains(strings.Join(r.Say, " "), "speed of the lift is not known") {
		t.Errorf("%+v", r)
	}
	if r := must[lift.Reach](t)(lift.Between(blind, easy, exactly(metre(0)), 2)); r.Verdict != lift.Reached {
		t.Errorf("a carrier without length: %+v", r)
	}
	line := must[lift.Line](t)(lift.Solve(lift.Given{Interval: p(seconds(8)), Speed: p(speed(2.2))}))
	fine := must[lift.Reach](t)(lift.Between(line, easy, lift.Carrier(), lift.Reserve()))
	if fine.Verdict != lift.Reached || len(fine.Say) != 1 || fine.Limit != line.Speed {
		t.Errorf("%+v", fine)
	}
	slow := lift.Student{Distance: exactly(metre(3)), Speed: exactly(speed(0.2)), Settle: exactly(seconds(4))}
	hard := must[lift.Reach](t)(lift.Between(line, slow, lift.Carrier(), lift.Reserve()))
	if hard.Verdict != lift.NotReached || !strings.Contains(strings.Join(hard.Say, " "), "ask for a stop") {
		t.Errorf("%v", hard.Say)
	}
	none := must[lift.Reach](t)(lift.Between(line, lift.Student{Speed: exactly(speed(1))}, lift.Carrier(), 0))
	if none.HasAsk || none.Verdict != lift.Reached {
		t.Errorf("who needs no time: %+v", none)
	}
	tiny := must[lift.Reach](t)(lift.Between(lift.Line{Speed: 2, Interval: 2, Spacing: 4}, lift.Student{Distance: exactly(metre(10)), Speed: exactly(speed(0.2))}, exactly(metre(3)), 2))
	if tiny.Limit != 0 || !strings.Contains(strings.Join(tiny.Say, " "), "No speed leaves room") {
		t.Errorf("%+v", tiny)
	}
}

func TestMeasured(t *testing.T) {
	v := must[quantity.Range[speed]](t)(lift.Measured(3, []seconds{5, 6, 7}))
	if !near(float64(v.Value()), 0.5, 1e-12) || !near(float64(v.Low()), 3.0/7, 1e-12) || !near(float64(v.High()), 0.6, 1e-12) {
		t.Errorf("%v", v)
	}
	if one := must[quantity.Range[speed]](t)(lift.Measured(3, []seconds{6})); one.Width() != 0 {
		t.Errorf("%v", one)
	}
}

func TestCautions(t *testing.T) {
	all := lift.Cautions()
	if len(all) < 3 || !strings.HasPrefix(all[0], "Lift staff decide") {
		t.Errorf("%v", all)
	}
}

func TestStandUp(t *testing.T) {
	line := lift.Line{Speed: 2, Interval: 8, Spacing: 16}
	s := must[lift.Standing](t)(lift.StandUp(line, exactly(metre(3)), span(seconds(2), seconds(1), seconds(3)), 0))
	// 3 m at 2 m/s are 1.5 s; who takes up to 3 s needs 1 m/s.
	if s.Time.Value() != 1.5 || s.Margin.Low() != -1.5 || s.Margin.High() != 0.5 || s.Verdict != lift.NotReached || s.Limit != 1 {
		t.Errorf("%+v", s)
	}
	if s := must[lift.Standing](t)(lift.StandUp(line, exactly(metre(9)), exactly(seconds(1)), 1)); s.Verdict != lift.Reached || s.Limit != 2 {
		t.Errorf("%+v", s)
	}
	if s := must[lift.Standing](t)(lift.StandUp(line, exactly(metre(9)), exactly(seconds(0)), 0)); s.Limit != 2 {
		t.Errorf("%+v", s)
	}
}

// Each published limit at it, just inside and just outside.
func TestCompare(t *testing.T) {
	rows := func(k lift.Kind, l lift.Line, foot bool, ext seconds) []lift.Published {
		return must[[]lift.Published](t)(lift.Compare(k, l, foot, ext))
	}
	for _, c := range []struct {
		kind   lift.Kind
		l      lift.Line
		foot   bool
		ext    seconds
		within []bool
	}{
		{lift.FixedChair, lift.Line{Speed: 2.5, Interval: 6, Seats: 2}, false, 0, []bool{true, true}},
		{lift.FixedChair, lift.Line{Speed: 2.51, Interval: 6, Seats: 3}, false, 0, []bool{true, false}},
		{lift.FixedChair, lift.Line{Speed: 2.5, Interval: 6, Seats: 4}, false, 0, []bool{true, false}},
		{lift.FixedChair, lift.Line{Speed: 1.7, Interval: 6, Seats: 4}, false, 0, []bool{false, true}},
		{lift.FixedChair, lift.Line{Speed: 1.5, Interval: 6, Seats: 2}, true, 0, []bool{true, true}},
		{lift.FixedChair, lift.Line{Speed: 1.5, Interval: 6, Seats: 4}, true, 0, []bool{false, false}},
		{lift.FixedChair, lift.Line{Speed: 1.0, Interval: 6}, true, 0, []bool{true, true}},
		{lift.DetachableChair, lift.Line{Speed: 1.3, Interval: 6}, false, 0, []bool{true}},
		{lift.DetachableChair, lift.Line{Speed: 5, Interval: 6}, false, 0, []bool{false}},
		{lift.TBar, lift.Line{Interval: 5}, false, 0, []bool{true}},
		{lift.TBar, lift.Line{Interval: 5}, false, 1, []bool{false}},
		{lift.Single, lift.Line{Interval: 3}, false, 0, []bool{true}},
		{lift.Single, lift.Line{Interval: 2.9}, false, 0, []bool{false}},
		{lift.Carpet, lift.Line{Speed: 0.7, Interval: 6}, false, 0, []bool{true, true}},
		{lift.Carpet, lift.Line{Speed: 0.8, Interval: 6}, false, 0, []bool{false, true}},
		{lift.Carpet, lift.Line{Interval: 6}, false, 0, nil}, // without a speed nothing can be held against it
	} {
		var got []bool
		for _, r := range rows(c.kind, c.l, c.foot, c.ext) {
			got = append(got, r.Within)
			if r.What == "" || r.Ref == "" || r.Status == "" {
				t.Errorf("%+v", r)
			}
		}
		if !slices.Equal(got, c.within) {
			t.Errorf("%s %+v: %v, want %v", c.kind, c.l, got, c.within)
		}
	}
	if len(lift.Kinds()) != 5 {
		t.Error("kinds are missing")
	}
}

// Perry et al. 1995: household under 0.4, limited community to 0.8 m/s.
func TestWalkClass(t *testing.T) {
	for v, want := range map[speed]string{0.39: "household walker", 0.4: "limited community", 0.79: "limited community", 0.8: "community", 1.4: "community", -1: ""} {
		if got := lift.WalkClass(v); got != want {
			t.Errorf("%v m/s: %q", v, got)
		}
	}
}

func has(items []lift.Item, code string) bool {
	return slices.ContainsFunc(items, func(i lift.Item) bool { return i.Code == code })
}

func everything(k lift.Ask) []lift.Item {
	return slices.Concat(k.Refusals, k.Waits, k.Before, k.Asked, k.Load, k.Ride, k.Unload, k.Stopped)
}

// settled is a rider of whom everything is known and nothing special.
func settled() lift.Rider {
	return lift.Rider{Mass: p(quantity.Kilogram(61)), Way: "outriggers", Strapped: lift.No, Sugar: lift.No, SugarEvery: 7200, Lowered: lift.Yes,
		Harness: lift.Yes, TwoLift: lift.No, FeelsLess: lift.No, Alert: lift.No, Bar: lift.Yes}
}

// The rules of the trade: strap and a helper on both sides with seizures; the
// check of sugar; nobody rides who could not be lowered.
func TestAskRules(t *testing.T) {
	ask := func(change func(*lift.Rider)) lift.Ask {
		r := settled()
		change(&r)
		return must[lift.Ask](t)(lift.Asking(r, nil))
	}
	plain := ask(func(*lift.Rider) {})
	if plain.Rides != lift.Yes || plain.People != 1 || len(plain.Waits) != 0 || has(plain.Ride, "strap_ride") || !has(plain.Asked, "slow_or_stop") || !has(plain.Asked, "hand_at_button") || !has(plain.Load, "outriggers") {
		t.Errorf("%+v", plain)
	}
	strapped := ask(func(r *lift.Rider) { r.Strapped = lift.Yes })
	if strapped.People != 2 || !has(strapped.Load, "strap_load") || !has(strapped.Ride, "strap_ride") || !has(strapped.Unload, "strap_off") || !has(strapped.Stopped, "strap_down") {
		t.Errorf("%+v", strapped)
	}
	for _, i := range strapped.Load {
		if i.Code == "sides" && !strings.Contains(i.Say, "each side") {
			t.Errorf("%+v", i)
		}
	}
	for _, c := range []struct {
		since seconds
		rides lift.Know
	}{{0, lift.Yes}, {7200, lift.Yes}, {7201, lift.No}} {
		k := ask(func(r *lift.Rider) { r.Sugar, r.SinceCheck = lift.Yes, &c.since })
		if k.Rides != c.rides || has(k.Refusals, "sugar_check_due") != (c.rides == lift.No) || !has(k.Before, "sugar_before") {
			t.Errorf("checked %v s ago: %+v", c.since, k)
		}
	}
	if k := ask(func(r *lift.Rider) { r.Sugar = lift.Yes }); !has(k.Waits, "ask_sugar_time") {
		t.Errorf("%+v", k.Waits)
	}
	if k := ask(func(r *lift.Rider) { r.Lowered = lift.No }); k.Rides != lift.No || !has(k.Refusals, "no_lift_cannot_be_lowered") {
		t.Errorf("%+v", k)
	}
	if k := ask(func(r *lift.Rider) { r.Lowered = lift.NotKnown }); k.Rides != lift.NotKnown || !has(k.Waits, "ask_lowered") {
		t.Errorf("%+v", k)
	}
	if k := ask(func(r *lift.Rider) { r.Held = []lift.Reason{{ID: "G4", Because: "b.", Basis: []string{"S14"}}} }); k.Rides != lift.No || !has(k.Refusals, "hold_G4") {
		t.Errorf("%+v", k)
	}
	if k := ask(func(r *lift.Rider) { r.OpenHolds = []lift.Reason{{ID: "G4", Because: "b."}, {ID: "G5", Because: "c."}} }); k.Rides != lift.NotKnown || !has(k.Waits, "open_holds") {
		t.Errorf("%+v", k)
	}
	slider := ask(func(r *lift.Rider) { r.Way, r.WeakSide = "slider", finding.Left })
	if slider.People != 2 || !has(slider.Asked, "slider_up") || !has(slider.Load, "slider_off") || has(slider.Load, "outriggers") {
		t.Errorf("%+v", slider)
	}
	for _, i := range slider.Load {
		if i.Code == "sides" && !strings.Contains(i.Say, "left") {
			t.Errorf("%+v", i)
		}
	}
	sitting := ask(func(r *lift.Rider) { r.Way = "sitting" })
	if !has(sitting.Unload, "drop") {
		t.Errorf("%+v", sitting.Unload)
	}
	for _, c := range []struct {
		code   string
		change func(*lift.Rider)
		where  func(lift.Ask) []lift.Item
	}{
		{"tie_on", func(r *lift.Rider) { r.Tie = true }, func(k lift.Ask) []lift.Item { return k.Load }},
		{"spacer", func(r *lift.Rider) { r.Spacer = true }, func(k lift.Ask) []lift.Item { return k.Load }},
		{"two_lift", func(r *lift.Rider) { r.TwoLift = lift.Yes }, func(k lift.Ask) []lift.Item { return k.Load }},
		{"feels_less", func(r *lift.Rider) { r.FeelsLess = lift.Yes }, func(k lift.Ask) []lift.Item { return k.Ride }},
		{"skin", func(r *lift.Rider) { r.FeelsLess = lift.NotKnown }, func(k lift.Ask) []lift.Item { return k.Stopped }},
		{"alert", func(r *lift.Rider) { r.Alert = lift.Yes }, func(k lift.Ask) []lift.Item { return k.Stopped }},
		{"strap_off", func(r *lift.Rider) { r.Bar = lift.No }, func(k lift.Ask) []lift.Item { return k.Unload }},
		{"ask_harness", func(r *lift.Rider) { r.Harness = "" }, func(k lift.Ask) []lift.Item { return k.Waits }},
		{"harness_no", func(r *lift.Rider) { r.Harness = lift.No }, func(k lift.Ask) []lift.Item { return k.Waits }},
	} {
		if has(c.where(plain), c.code) || !has(c.where(ask(c.change)), c.code) {
			t.Errorf("%s does not follow", c.code)
		}
	}
	bend := ask(func(r *lift.Rider) { r.CannotBend, r.Mass = []string{"left knee", "trunk"}, nil })
	text := ""
	for _, i := range bend.Stopped {
		text += i.Say + " "
	}
	if !strings.Contains(text, "left knee, trunk") || !strings.Contains(text, "Weight not known") {
		t.Errorf("%v", text)
	}
}

// Everything on the card has a code, somebody who does it, a sentence and a
// basis that is known.
func TestAskIsWhole(t *testing.T) {
	rnd := rand.New(rand.NewPCG(27, 28))
	knows := []lift.Know{lift.Yes, lift.No, lift.NotKnown, ""}
	k := func() lift.Know { return knows[rnd.IntN(len(knows))] }
	ways := []string{"", "none", "outriggers", "one_outrigger_left", "slider", "one_ski_right", "sitting"}
	for range 5000 {
		r := lift.Rider{Way: ways[rnd.IntN(len(ways))], Tie: rnd.IntN(2) == 0, Spacer: rnd.IntN(2) == 0, WeakSide: finding.Side(rnd.IntN(3)), Strapped: k(), Sugar: k(),
			SugarEvery: 7200, Lowered: k(), Harness: k(), TwoLift: k(), FeelsLess: k(), Alert: k(), Bar: k()}
		ask := must[lift.Ask](t)(lift.Asking(r, nil))
		seen := map[string]bool{}
		for _, i := range everything(ask) {
			if i.Code == "" || i.Who == "" || !strings.HasSuffix(strings.TrimSpace(i.Say), ".") && !strings.HasSuffix(i.Say, "?") || len(i.Basis) == 0 {
				t.Fatalf("%+v", i)
			}
			if seen[i.Code] {
				t.Fatalf("%s twice", i.Code)
			}
			seen[i.Code] = true
			for _, b := range i.Basis {
				if !source.Known(b) {
					t.Fatalf("%s: unknown basis %s", i.Code, b)
				}
			}
		}
		if ask.Rides == lift.Yes && (r.Lowered != lift.Yes || len(ask.Refusals) > 0) {
			t.Fatalf("rides although %+v", r)
		}
		if r.Strapped != lift.No && ask.People < 2 && r.Strapped != "" {
			t.Fatalf("%d people, strap rule %s", ask.People, r.Strapped)
		}
		// The mirror: what names a side names the other one.
		m := r
		m.WeakSide = r.WeakSide.Other()
		a, b := everything(ask), everything(must[lift.Ask](t)(lift.Asking(m, nil)))
		for i := range a {
			if strings.NewReplacer("left", "right", "right", "left").Replace(a[i].Say) != b[i].Say && a[i].Code == "sides" {
				t.Fatalf("%q and %q", a[i].Say, b[i].Say)
			}
		}
	}
}

// The speed that is named comes from the reach; without one, slow or stop.
func TestAskSpeed(t *testing.T) {
	say := func(at *lift.Reach) string {
		for _, i := range must[lift.Ask](t)(lift.Asking(settled(), at)).Asked {
			if i.Code == "slow_or_stop" {
				return i.Say
			}
		}
		return ""
	}
	for want, at := range map[string]*lift.Reach{
		"Slow or stop at both ends.": nil,
		"Slow to 1.2 m/s or less, or stop, at the load; slow or stop at the unload.": {HasAsk: true, Verdict: lift.Tight, Limit: 1.2},
		"Stop at both ends.": {HasAsk: true, Verdict: lift.NotReached},
	} {
		if got := say(at); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if got := say(&lift.Reach{HasAsk: true, Verdict: lift.Reached, Limit: 2}); !strings.HasPrefix(got, "Slow or stop") {
		t.Errorf("%q", got)
	}
}

// From a decision: the holds, the lift rule, the check, what cannot be
// lowered, and what nobody said.
func TestFromAnswer(t *testing.T) {
	rider := func(pairs ...string) (lift.Rider, lift.Ask) {
		fs := finding.Set{}
		for i := 0; i < len(pairs); i += 2 {
			id, side, _ := strings.Cut(pairs[i], " ")
			on := map[string]finding.Side{"": finding.NoSide, "L": finding.Left, "R": finding.Right}[side]
			if err := fs.PutBoth(id, on, pairs[i+1]); err != nil {
				t.Fatal(err)
			}
		}
		for _, d := range finding.All() {
			if d.Measured() {
				continue
			}
			for _, side := range []finding.Side{finding.NoSide, finding.Left, finding.Right} {
				if (side == finding.NoSide) == d.Sided {
					continue
				}
				if _, ok := fs[finding.Key{ID: d.ID, Side: side}]; !ok {
					if err := fs.PutBoth(d.ID, side, d.Normal); err != nil {
						t.Fatal(err)
					}
				}
			}
		}
		if err := fs.Put("waiver", finding.NoSide, finding.Fresh, "valid"); err != nil {
			t.Fatal(err)
		}
		r := lift.FromAnswer(decide.Standing().Decide(decide.Input{Findings: fs}), fs, 7200)
		return r, must[lift.Ask](t)(lift.Asking(r, nil))
	}
	plain, ask := rider("mass_kg", "61")
	if plain.Strapped != lift.No || plain.Sugar != lift.No || plain.Lowered != lift.Yes || plain.TwoLift != lift.No || plain.FeelsLess != lift.No || plain.Alert != lift.No || *plain.Mass != 61 || plain.Harness != lift.NotKnown {
		t.Errorf("%+v", plain)
	}
	if ask.Rides == lift.No {
		t.Errorf("%+v", ask.Refusals)
	}
	recent, ask := rider("seizure_free_months", "6", "seizure_letter", "yes")
	if recent.Strapped != lift.Yes || len(recent.Held) != 0 || !has(ask.Ride, "strap_ride") || ask.People != 2 {
		t.Errorf("%+v", recent)
	}
	held, ask := rider("seizure_free_months", "1")
	if len(held.Held) == 0 || ask.Rides != lift.No || !has(ask.Refusals, "hold_G4") {
		t.Errorf("%+v", held)
	}
	open, ask := rider("seizure_free_months", "unknown")
	if open.Strapped != lift.NotKnown || len(open.OpenHolds) == 0 || ask.Rides != lift.NotKnown || ask.People != 2 {
		t.Errorf("%+v", open)
	}
	if r, ask := rider("insulin", "yes"); r.Sugar != lift.Yes || !has(ask.Waits, "ask_sugar_time") {
		t.Errorf("%+v", r)
	}
	if r, ask := rider("can_be_lowered", "no"); r.Lowered != lift.No || ask.Rides != lift.No {
		t.Errorf("%+v", r)
	}
	if r, ask := rider("can_be_lowered", "unknown"); r.Lowered != lift.NotKnown || ask.Rides == lift.Yes {
		t.Errorf("%+v", r)
	}
	for id, value := range map[string]string{"poor_circulation": "yes", "spina_bifida": "yes", "sensation L": "none", "sensation R": "reduced"} {
		if r, _ := rider(id, value); r.FeelsLess != lift.Yes {
			t.Errorf("%s %s: %+v", id, value, r)
		}
	}
	if r, _ := rider("sensation L", "unknown"); r.FeelsLess != lift.NotKnown {
		t.Errorf("%+v", r)
	}
	for id, value := range map[string]string{"shunt": "yes", "blood_thinner": "yes"} {
		if r, _ := rider(id, value); r.Alert != lift.Yes {
			t.Errorf("%s: %+v", id, r)
		}
	}
	strong := []string{"mass_kg", "40", "age_years", "20", "height_cm", "160", "gait", "W3", "stand_s", "10", "load_test", "yes", "trunk", "2", "steps_x10", "no",
		"push_out L", "2", "push_out R", "4", "push_in L", "2", "push_in R", "4", "place_of5 L", "5", "place_of5 R", "5", "endurance_min", "30", "toe_in_alone L", "no", "toe_in_alone R", "yes"}
	out, ask := rider(strong...)
	if out.Way != "outriggers" || !out.Tie || !has(ask.Load, "tie_on") || !has(ask.Load, "outriggers") {
		t.Errorf("%+v", out)
	}
	if r, _ := rider(append(slices.Clone(strong), "push_down R", "0", "grip R", "0", "stand_s", "20", "trunk", "3", "place_of5 R", "na")...); r.WeakSide != finding.Right {
		t.Errorf("%+v", r)
	}
	if r, _ := rider(append(slices.Clone(strong), "push_down L", "0", "grip L", "0", "stand_s", "20", "trunk", "3", "place_of5 L", "na")...); r.WeakSide != finding.Left {
		t.Errorf("%+v", r)
	}
	slider, _ := rider(append(slices.Clone(strong), "place_of5 L", "1", "natural_boot_gap_mm", "180", "scissor", "at_rest", "push_out L", "0")...)
	if slider.Way != "slider" || !slider.Tie || !slider.Spacer || !slider.Reins {
		t.Errorf("%+v", slider)
	}
}

func FuzzBetween(f *testing.F) {
	f.Add(2.3, 7.0, 3.0, 0.4, 2.0, 1.5, 2.0)
	f.Add(0.0, math.NaN(), -1.0, 1e300, math.Inf(1), 0.0, 0.0)
	f.Fuzz(func(t *testing.T, v, i, d, w, settle, carrier, reserve float64) {
		l, err := lift.Solve(lift.Given{Speed: &[]speed{speed(v)}[0], Interval: &[]seconds{seconds(i)}[0]})
		if err != nil {
			return
		}
		dr, e1 := quantity.Exactly(metre(d))
		wr, e2 := quantity.Exactly(speed(w))
		sr, e3 := quantity.Exactly(seconds(settle))
		cr, e4 := quantity.Exactly(metre(carrier))
		if e1 != nil || e2 != nil || e3 != nil || e4 != nil {
			return
		}
		r, err := lift.Between(l, lift.Student{Distance: dr, Speed: wr, Settle: sr}, cr, seconds(reserve))
		if err != nil {
			return
		}
		if math.IsNaN(float64(r.Margin.Value())) || r.Margin.Low() > r.Margin.High() || r.Limit < 0 || r.Limit > l.Speed {
			t.Fatalf("%+v", r)
		}
	})
}
