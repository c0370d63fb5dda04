package decide

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"firnhand/core/finding"
)

// Random people. The seed is printed by every test that uses it; -seed repeats
// a run, and person n of a seed is always the same.
var (
	seedFlag   = flag.Uint64("seed", 20260301, "seed of the random people")
	peopleFlag = flag.Int("people", 1500, "how many random people the plain version is compared on")
	deepFlag   = flag.Bool("deep", false, "search changes of two and three findings far for everybody; takes an hour")
)

func source(n int) *rand.Rand { return rand.New(rand.NewPCG(*seedFlag, uint64(n))) }

func sayPeople(t *testing.T, n int) {
	t.Helper()
	t.Logf("seed=%d people=%d", *seedFlag, n)
}

// drawer draws people for a table. The numbers a condition compares with are
// hit exactly and from both sides.
type drawer struct {
	t *plainTable
}

// any draws a value of a finding.
func (d drawer) any(r *rand.Rand, def *finding.Def) finding.Value {
	v := finding.Value{Kind: finding.Known}
	switch {
	case def.NA && r.IntN(20) == 0:
		v.Kind = finding.NotApplicable
	case def.Scale == finding.Text:
		v.Text = "words"
	case def.Scale != finding.Number:
		v.X = float64(r.IntN(len(def.Levels)))
	case len(d.t.compared[def.ID]) > 0 && r.IntN(4) > 0:
		cuts := d.t.compared[def.ID]
		v.X = cuts[r.IntN(len(cuts))].x + []float64{0, 0, -1, 1, -0.5, 0.5, 1e-9, -1e-9}[r.IntN(8)]
	default:
		v.X = float64(int(def.Min + r.Float64()*r.Float64()*(def.Max-def.Min)))
	}
	if def.Scale == finding.Number {
		v.X = min(max(v.X, def.Min), def.Max)
	}
	return v
}

// good draws the value of somebody who can do it.
func good(def *finding.Def) finding.Value {
	if def.Normal != "" {
		v, _ := finding.Parse(def.ID, def.Keys()[0].Side, finding.Fresh, def.Normal)
		return v
	}
	v := finding.Value{Kind: finding.Known}
	switch {
	case def.Scale == finding.Text:
		v.Text = "words"
	case def.Scale != finding.Number:
		v.X = float64(len(def.Levels) - 1)
	case def.MoreIsGood:
		v.X = min(def.Max, max(def.Min, 60))
	default:
		v.X = min(def.Max, max(def.Min, 50))
	}
	return v
}

// person draws a person: well or badly off as a whole, with some gates active,
// tired values that are often the same, and up to three values unknown that
// some question reads.
func (d drawer) person(n int) Input {
	r := source(n)
	trouble := []float64{0, 0.004, 0.015, 0.06}[r.IntN(4)]
	odd := []float64{0.05, 0.15, 0.3}[r.IntN(3)]
	weak := []float64{0.15, 0.4, 0.7}[r.IntN(3)]
	in := Input{Findings: finding.Set{}}
	for _, def := range finding.All() {
		p := odd
		switch {
		case def.ID == "waiver" || def.ID == "load_test" || def.ID == "helmet_possible":
			p = trouble
		case def.Test == "gates":
			p = trouble
		case def.ID == "endurance_min" || def.ID == "leg":
			p = odd / 2
		case def.Normal == "":
			p = weak
		}
		for _, k := range def.Keys() {
			v := good(def)
			if r.Float64() < p {
				v = d.any(r, def)
			}
			if k.State == finding.Tired && r.IntN(5) > 1 {
				v = in.Findings.Get(k.ID, k.Side, finding.Fresh)
			}
			in.Findings[k] = v
		}
	}
	for _, s := range []finding.Side{finding.Left, finding.Right} { // a leg that is not there is not pushed against
		if leg := in.Findings.Get("leg", s, finding.Fresh); leg.Kind == finding.Known && leg.X == 0 && r.IntN(3) > 0 {
			for _, id := range []string{"push_out", "push_in", "toe_in_alone", "one_leg_s", "one_leg_bends", "ankle_deg"} {
				_ = in.Findings.PutBoth(id, s, "na")
			}
		}
	}
	for _, g := range d.t.gates {
		if r.IntN(60) == 0 {
			in.Cleared = append(in.Cleared, g.id)
		}
	}
	if r.IntN(40) == 0 {
		in.Held = append(in.Held, []Effect{Hold, HoldStanding}[r.IntN(2)])
	}
	qs := d.t.questions()
	seen := d.t.person(in).nothingSeen()
	for range []int{0, 0, 0, 0, 0, 0, 1, 1, 1, 2, 2, 3}[r.IntN(12)] {
		p := d.t.person(in)
		p.possible(qs[r.IntN(len(qs))], seen)
		var read []int
		for i, is := range seen.read {
			if is {
				read = append(read, i)
			}
		}
		if len(read) == 0 {
			continue
		}
		k := d.t.keys[read[r.IntN(len(read))]]
		delete(in.Findings, k)
		if def, _ := finding.Lookup(k.ID); def.Tiring && r.IntN(3) > 0 {
			k.State = finding.Tired - k.State
			in.Findings[k] = finding.Value{}
		}
	}
	return in
}

// written says what is not as it would be for somebody well, for messages.
func written(in Input) string {
	var b strings.Builder
	for _, def := range finding.All() {
		for _, k := range def.Keys() {
			if v := in.Findings[k]; v != good(def) && def.Scale != finding.Text {
				fmt.Fprintf(&b, "%s=%s, ", k, finding.Format(def, v))
			}
		}
	}
	if len(in.Cleared)+len(in.Held) > 0 {
		fmt.Fprintf(&b, "cleared %v, held %v", in.Cleared, in.Held)
	}
	return b.String()
}

// well is somebody well, with everything known.
func well() finding.Set {
	s := finding.Set{}
	for _, def := range finding.All() {
		for _, k := range def.Keys() {
			s[k] = good(def)
		}
	}
	return s
}
