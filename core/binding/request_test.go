package binding_test

import (
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"firnhand/core/binding"
	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/source"
)

// plain is an adult whom the usual table fits: everything looked at, nothing
// noted, two skis without aids.
func plain(t testing.TB, change ...string) finding.Set {
	t.Helper()
	set := finding.Set{}
	set.FillNormal(func(*finding.Def) bool { return true })
	put := func(text string) {
		key, value, _ := strings.Cut(text, "=")
		id, side := key, finding.NoSide
		if s, ok := strings.CutSuffix(key, ".L"); ok {
			id, side = s, finding.Left
		}
		if s, ok := strings.CutSuffix(key, ".R"); ok {
			id, side = s, finding.Right
		}
		if err := set.PutBoth(id, side, value); err != nil {
			t.Fatal(err)
		}
	}
	for _, one := range append([]string{"age_years=34", "height_cm=170", "mass_kg=70", "boot_sole_mm=305", "waiver=valid", "gait=W5", "steps_x10=yes", "stand_s=60",
		"load_test=yes", "sitting_painless=yes", "one_leg_s.L=20", "one_leg_s.R=20", "one_leg_bends.L=5", "one_leg_bends.R=5", "ankle_deg.L=20", "ankle_deg.R=20",
		"toe_in_alone.L=yes", "toe_in_alone.R=yes", "push_out.L=4", "push_out.R=4", "push_in.L=4", "push_in.R=4", "natural_boot_gap_mm=200",
		"trunk=3", "place_of5.L=5", "place_of5.R=5", "endurance_min=60", "stop_delay_s=1", "can_slow=yes", "can_steer=yes"}, change...) {
		put(one)
	}
	return set
}

func gear() binding.Gear {
	s := binding.Side{SoleMM: 305, Standard: binding.SoleAlpineA, Boot: "Larch 90", Binding: "Tarn 10", Ski: "Scree 150", Plate: binding.NoPlate}
	lent := true
	return binding.Gear{Left: s, Right: s, Type: binding.Type1, LastTest: "2026-12-01", Lent: &lent, AskedBy: "Ines"}
}

func compose(t testing.TB, g binding.Gear, change ...string) binding.Request {
	set := plain(t, change...)
	return binding.Compose(set, decide.Standing().Decide(decide.Input{Findings: set}), g)
}

func codes(r binding.Request) []string {
	out := []string{}
	for _, one := range r.Reasons {
		out = append(out, strings.Trim(one.Code+" "+one.Side, " "))
	}
	return out
}

// Each reason by itself: the list is the trade's (reasons to print on the
// request; common practice, standards' scopes). One change to a plain skier
// gives one reason and no other.
func TestReasons(t *testing.T) {
	if r := compose(t, gear()); len(r.Reasons) != 0 || len(r.NotKnown) != 0 || len(r.Missing) != 0 {
		t.Fatalf("a plain skier: %v, not known %v, missing %v", codes(r), r.NotKnown, r.Missing)
	}
	edit := func(do func(*binding.Gear)) binding.Gear { g := gear(); do(&g); return g }
	yes := true
	for _, c := range []struct {
		want   string
		gear   binding.Gear
		change []string
	}{
		{"slider, line", gear(), []string{"gait=W2"}}, // a slider always has frame reins
		{"outriggers", gear(), []string{"gait=W3"}},
		{"line", gear(), []string{"can_slow=no"}},
		{"line", edit(func(g *binding.Gear) { g.Line = &yes }), nil},
		{"linked", gear(), []string{"push_in.R=2", "gait=W5", "steps_x10=yes"}},
		{"orthosis left", gear(), []string{"brace.L=ankle"}},
		{"low_bone_density", gear(), []string{"fragile_bone=yes", "bone_letter=yes"}},
		{"spasticity", gear(), []string{"spastic_foot.L=yes", "spastic_foot.R=yes"}},
		{"linked, spasticity", gear(), []string{"scissor=excited"}},
		{"spasticity", gear(), []string{"botulinum_months=8"}},
		{"reduced_sensation right", gear(), []string{"sensation.R=reduced"}},
		{"reduced_sensation left, reduced_sensation right", gear(), []string{"spina_bifida=yes"}},
		{"unequal_boots", edit(func(g *binding.Gear) { g.Right.Boot = "Larch 100" }), nil},
		{"unequal_boots", edit(func(g *binding.Gear) { g.Right.SoleMM = 300 }), nil},
		{"unequal_boots", gear(), []string{"spastic_foot.R=no", "ankle_deg.R=3"}}, // a soft boot on one side
		{"plate left", edit(func(g *binding.Gear) { g.Left.Plate, g.Left.PlateMM = "wedge", 6 }), nil},
		{"plate right", gear(), []string{"leg_short_mm.R=24"}},
		{"mass_under_22_kg", gear(), []string{"mass_kg=21", "height_cm=118", "age_years=11"}},
		{"mass_over_95_kg", gear(), []string{"mass_kg=96", "height_cm=190"}},
		{"height_148_cm_or_less", gear(), []string{"height_cm=148"}},
		{"", gear(), []string{"height_cm=149"}},
		{"blank_cell left, blank_cell right", edit(func(g *binding.Gear) { g.Left.SoleMM, g.Right.SoleMM = 240, 240 }), nil},
		{"doubtful_cell left, doubtful_cell right", edit(func(g *binding.Gear) { g.Left.SoleMM, g.Right.SoleMM = 340, 340 }), nil},
		{"sole left, sole right", edit(func(g *binding.Gear) { g.Left.Standard, g.Right.Standard = binding.SoleTouring, binding.SoleTouring }), nil},
		{"sole left, sole right", edit(func(g *binding.Gear) { g.Left.Standard, g.Right.Standard = binding.SolePin, binding.SolePin }), nil},
		{"sole left", edit(func(g *binding.Gear) { g.Left.Standard = binding.SoleUnknown }), nil},
		{"", edit(func(g *binding.Gear) { g.Left.Standard, g.Right.Standard = binding.SoleWalk, binding.SoleWalk }), nil},
		{"mass_over_95_kg, outside_bands", edit(func(g *binding.Gear) { g.Type = binding.TypeAbove }), []string{"mass_kg=110", "height_cm=200"}},
		{"outriggers, prosthesis right", gear(), []string{"leg.R=above_knee_ski"}},
	} {
		r := compose(t, c.gear, c.change...)
		if got := strings.Join(codes(r), ", "); got != c.want {
			t.Errorf("%v: %q, want %q", c.change, got, c.want)
		}
		for _, one := range r.Reasons {
			if one.Say == "" || len(one.Basis) == 0 {
				t.Errorf("%s says %q on %v", one.Code, one.Say, one.Basis)
			}
			for _, mark := range one.Basis {
				if _, ok := source.Reference(mark); !ok {
					t.Errorf("%s rests on %q, which nobody knows", one.Code, mark)
				}
			}
		}
	}
}

// One ski: the leg without one is a reason, and its boot is not asked for.
func TestRequestOneSki(t *testing.T) {
	g := gear()
	g.Left = binding.Side{}
	r := compose(t, g, "leg.L=absent", "one_leg_s.L=na", "one_leg_bends.L=na", "push_out.L=na", "push_in.L=na", "toe_in_alone.L=na")
	if got := strings.Join(codes(r), ", "); got != "outriggers, limb_difference left" || r.OnlySki != "right" || len(r.Missing) != 0 || r.Left != (binding.Side{}) {
		t.Errorf("%q, only %q, missing %v, left %+v", got, r.OnlySki, r.Missing, r.Left)
	}
}

// What nobody looked for is neither a reason nor none: it is named.
func TestNotKnown(t *testing.T) {
	r := binding.Compose(finding.Set{}, nil, binding.Gear{})
	if got := codes(r); !slices.Equal(got, []string{"sole left", "sole right"}) {
		t.Errorf("nothing is known, but %v", got)
	}
	for _, want := range []string{"the way of skiing", "whether tips or boots are linked", "whether bone is fragile", "feeling in the left foot", "whether a brace is worn on the right"} {
		if !slices.Contains(r.NotKnown, want) {
			t.Errorf("%q is not among what is not known: %q", want, r.NotKnown)
		}
	}
	for _, want := range []string{"mass", "height", "age", "the skier's own declaration of type", "sole length of the left boot", "standard printed on the right sole", "model of the left binding"} {
		if !slices.Contains(r.Missing, want) {
			t.Errorf("%q is not missed: %q", want, r.Missing)
		}
	}
	// An answer that is open between outriggers and slider asserts neither.
	set := plain(t)
	delete(set, finding.Key{ID: "gait"})
	delete(set, finding.Key{ID: "gait", State: finding.Tired})
	r = binding.Compose(set, decide.Standing().Decide(decide.Input{Findings: set}), gear())
	if !slices.Contains(r.NotKnown, "the way of skiing") || slices.Contains(codes(r), "slider") {
		t.Errorf("an open answer: %v, not known %v", codes(r), r.NotKnown)
	}
}

// The sole length of the evaluation stands for boots nobody read.
func TestSoleFromFindings(t *testing.T) {
	g := gear()
	g.Left.SoleMM, g.Right.SoleMM = 0, 0
	if r := compose(t, g); r.Left.SoleMM != 305 || r.Right.SoleMM != 305 || len(r.Missing) != 0 {
		t.Errorf("soles %v and %v, missing %v", r.Left.SoleMM, r.Right.SoleMM, r.Missing)
	}
}

func randomCase(t testing.TB, rnd *rand.Rand) (finding.Set, binding.Gear) {
	set := plain(t)
	for _, d := range finding.All() {
		for _, k := range d.Keys() {
			switch n := rnd.IntN(6); {
			case n == 0:
				delete(set, k)
			case n == 1 && (d.Scale == finding.Ordered || d.Scale == finding.Choice):
				_ = set.Put(k.ID, k.Side, k.State, d.Levels[rnd.IntN(len(d.Levels))].ID)
			}
		}
	}
	_ = set.Put("mass_kg", finding.NoSide, finding.Fresh, strconv.Itoa(10+rnd.IntN(120)))
	_ = set.Put("height_cm", finding.NoSide, finding.Fresh, strconv.Itoa(90+rnd.IntN(120)))
	_ = set.Put("age_years", finding.NoSide, finding.Fresh, strconv.Itoa(3+rnd.IntN(90)))
	g := gear()
	types := append(binding.Types(), binding.TypeUnsure)
	g.Type = types[rnd.IntN(len(types))]
	for _, s := range []*binding.Side{&g.Left, &g.Right} {
		s.SoleMM = float64(200 + rnd.IntN(180))
		soles := append(binding.Standards(), binding.SoleUnknown)
		s.Standard = soles[rnd.IntN(len(soles))]
		if rnd.IntN(3) == 0 {
			s.Plate, s.PlateMM = "wedge", 6.6
		}
	}
	return set, g
}

// For people, a reason that holds for both sides is said once.
func TestTogether(t *testing.T) {
	all := []binding.Reason{{Code: "a", Side: "left", Say: "The foot."}, {Code: "b", Say: "All."}, {Code: "a", Side: "right", Say: "The foot."}, {Code: "c", Side: "right", Say: "One."}}
	var got []string
	for _, r := range binding.Together(all) {
		got = append(got, r.Code+" "+r.Say)
	}
	if want := "a Left and right: the foot.|b All.|c Right: one."; strings.Join(got, "|") != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// Mirrored findings, answer and gear give the mirrored reasons.
func TestRequestMirror(t *testing.T) {
	rnd := rand.New(rand.NewPCG(19, 23))
	other := map[string]string{"left": "right", "right": "left", "": ""}
	for range 300 {
		set, g := randomCase(t, rnd)
		table := decide.Standing()
		r := binding.Compose(set, table.Decide(decide.Input{Findings: set}), g)
		mset := set.Mirror()
		mg := g
		mg.Left, mg.Right = g.Right, g.Left
		m := binding.Compose(mset, table.Decide(decide.Input{Findings: mset}), mg)
		var want, got []string
		for _, one := range r.Reasons {
			want = append(want, one.Code+other[one.Side])
		}
		for _, one := range m.Reasons {
			got = append(got, one.Code+one.Side)
		}
		slices.Sort(want)
		slices.Sort(got)
		if !slices.Equal(want, got) || len(r.Missing) != len(m.Missing) || len(r.NotKnown) != len(m.NotKnown) {
			t.Fatalf("%v\nis not the mirror of\n%v\nmissing %v / %v\nnot known %v / %v", got, want, r.Missing, m.Missing, r.NotKnown, m.NotKnown)
		}
	}
}

// A request says nothing that a setting could be read from: every number in it
// was put in, or belongs to its fixed sentences.
func TestRequestPrintsNoSetting(t *testing.T) {
	rnd := rand.New(rand.NewPCG(29, 31))
	fixed := map[string]bool{"22": true, "95": true, "148": true, "1": true, "2": true, "3": true, "5355": true, "9523": true, "23223": true, "13993": true, "1064": true, "939": true, "11088": true}
	for range 500 {
		set, g := randomCase(t, rnd)
		r := binding.Compose(set, decide.Standing().Decide(decide.Input{Findings: set}), g)
		b, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		in := map[string]bool{"90": true, "10": true, "150": true, "2026": true, "12": true, "01": true, "6.6": true}
		for _, v := range []*float64{r.MassKG, r.HeightCM, r.AgeYears, &g.Left.SoleMM, &g.Right.SoleMM} {
			if v != nil {
				in[strconv.FormatFloat(*v, 'f', -1, 64)] = true
			}
		}
		for _, w := range strings.FieldsFunc(string(b), func(r rune) bool { return (r < '0' || r > '9') && r != '.' }) {
			if w = strings.Trim(w, "."); w != "" && !fixed[w] && !in[w] {
				t.Fatalf("%s stands on the request and was not put in:\n%s", w, b)
			}
		}
		for _, letter := range "ABCDEFGHIJKLMNO" {
			if strings.Contains(string(b), "row "+string(letter)) {
				t.Fatalf("the request names row %c", letter)
			}
		}
	}
}

// Whoever adds a way out of this package must look at this list: nothing in it
// may hand out a row, a start value or a torque before a record came in. Of
// what is exported, Check alone reads values of the table for an answer, and
// asks for the record first.
func TestWhatIsExported(t *testing.T) {
	pkg, err := parser.ParseDir(token.NewFileSet(), ".", nil, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"AgePassed", "Check", "Compose", "Error.Error", "ParseStandard", "ParseType", "SameHeightClass", "SameWeightClass", "Standard.Says", "Standards", "Tests.Median", "Together", "Type.Says", "Types", "Word.Says"}
	var got []string
	for name, f := range pkg["binding"].Files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || !fn.Name.IsExported() {
				continue
			}
			s := fn.Name.Name
			if fn.Recv != nil {
				recv := fn.Recv.List[0].Type
				if star, ok := recv.(*ast.StarExpr); ok {
					recv = star.X
				}
				if !recv.(*ast.Ident).IsExported() {
					continue
				}
				s = recv.(*ast.Ident).Name + "." + s
			}
			got = append(got, s)
		}
	}
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("exported functions are %v, want %v", got, want)
	}
}

func ExampleCompose() {
	set := finding.Set{}
	for id, v := range map[string]string{"mass_kg": "20", "height_cm": "114", "age_years": "7", "fragile_bone": "no", "scissor": "at_rest"} {
		_ = set.Put(id, finding.NoSide, finding.Fresh, v)
	}
	side := binding.Side{SoleMM: 235, Standard: binding.SoleAlpineC, Plate: binding.NoPlate}
	r := binding.Compose(set, nil, binding.Gear{Left: side, Right: side, Type: binding.Type1})
	for _, one := range r.Reasons {
		fmt.Println(one.Say)
	}
	// Output:
	// Legs tighten or cross by themselves. A release by that is never answered by tightening.
	// Lighter than 22 kg: sources give four different rules.
}
