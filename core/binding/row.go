package binding

import (
	"strconv"
	"strings"
	"sync"

	"firnhand/core/quantity"
	"firnhand/core/source"
)

// row is one row of the printed table. Nothing of it is exported.
type row struct {
	code         string
	massKG       edge
	massLB       edge
	heightCM     edge
	start        []cell // by column of sole length
	twist, lean  float64
	torquesKnown bool
}

// edge is the lower edge of a band; absent where nothing is printed.
type edge struct {
	v  float64
	ok bool
}

func (e edge) reached(v float64) bool { return e.ok && v >= e.v*(1-hair) }

// hair lets a pound converted to kilograms still reach its edge.
const hair = 1e-9

// cell is one printed start value.
type cell struct {
	v      float64
	ok     bool // printed
	doubts bool // re-placed from a broken text layer
}

// column is a span of sole lengths in mm, both ends included.
type column struct {
	name     string
	from, to int
}

// table is the printed table, rows in the order of print: the torque row above
// A first, which is no skier's row.
type table struct {
	rows    []row
	columns []column
}

const (
	firstRow = 1 // A
	// The row whose height band has no lower edge.
	shortRow = "H"
)

// printed reads the table once.
var printed = sync.OnceValue(func() *table {
	sheet := source.Table("binding_table")
	t := &table{}
	for _, name := range sheet.Columns() {
		if s, ok := strings.CutPrefix(name, "z_bsl_mm_"); ok {
			t.columns = append(t.columns, columnOf(s))
		}
	}
	for _, r := range sheet.Rows() {
		lower := func(name string) edge {
			v, ok := r.Number(name)
			return edge{v, ok}
		}
		one := row{code: r.Text("code"), massKG: lower("mass_kg_min"), massLB: lower("mass_lb_min"), heightCM: lower("height_cm_min")}
		for _, c := range t.columns {
			v, ok := r.Number("z_bsl_mm_" + c.name)
			one.start = append(one.start, cell{v, ok, r.Text("conf_z_"+c.name) != "A"})
		}
		var twist, lean bool
		one.twist, twist = r.Number("twist_nm")
		one.lean, lean = r.Number("forward_lean_nm")
		one.torquesKnown = twist && lean
		t.rows = append(t.rows, one)
	}
	return t
})

// columnOf reads the span in a column's name: "le230", "231_250", "ge351".
func columnOf(name string) column {
	c := column{name: name, from: 0, to: 1 << 20}
	num := func(s string) int {
		n, err := strconv.Atoi(s)
		if err != nil {
			panic("binding: column " + name + " names no sole length")
		}
		return n
	}
	switch from, to, both := strings.Cut(name, "_"); {
	case both:
		c.from, c.to = num(from), num(to)
	case strings.HasPrefix(name, "le"):
		c.to = num(name[2:])
	case strings.HasPrefix(name, "ge"):
		c.from = num(name[2:])
	default:
		panic("binding: column " + name + " names no sole length")
	}
	return c
}

func (t *table) column(soleMM float64) int {
	for i, c := range t.columns {
		if soleMM >= float64(c.from) && soleMM <= float64(c.to) {
			return i
		}
	}
	return -1 // whole millimetres always lie in one
}

// highest returns the last row whose edge is reached, or -1.
func (t *table) highest(reached func(row) bool) int {
	at := -1
	for i := firstRow; i < len(t.rows); i++ {
		if reached(t.rows[i]) {
			at = i
		}
	}
	return at
}

// byMass returns the row of a mass. The printed kilogram and pound edges are
// rounded apart; where they give two rows the lower counts.
func (t *table) byMass(kg float64) (at int, disagree bool) {
	pound := float64(quantity.Must(quantity.Pounds(1)))
	inKG := t.highest(func(r row) bool { return r.massKG.reached(kg) })
	inLB := t.highest(func(r row) bool { return r.massLB.reached(kg / pound) })
	return min(inKG, inLB), inKG != inLB
}

// byHeight returns the row of a height, and whether it is below every printed
// edge, where the sources disagree.
func (t *table) byHeight(cm float64) (at int, short bool) {
	if at := t.highest(func(r row) bool { return r.heightCM.reached(cm) }); at >= 0 {
		return at, false
	}
	return t.index(shortRow), true
}

func (t *table) index(code string) int {
	for i, r := range t.rows {
		if r.code == code {
			return i
		}
	}
	panic("binding: no row " + code)
}

// What the printed rules say besides the table.
const (
	leastMassKG = 22 // src: BindingManual; below it sources give four different rules
	mostMassKG  = 95 // src: BindingManual; the last mass band is open above
	youngYears  = 10 // src: BindingManual; under it one row towards A
	oldYears    = 50 // src: BindingManual; from it one row towards A
	mostUsual   = 10 // src: BindingManual; values beyond it are outside usual standards
)

// found is a skier's row with how it came about.
type found struct {
	row       int      // -1 where there is none
	steps     []string // in words, rows by their letters
	disagree  bool     // kilogram and pound edges give different rows
	short     bool     // below the printed heights, with a mass row above H
	outside   bool     // the corrections lead out of the table
	tooLight  bool
	tooHeavy  bool
	massClass int
}

// find does the row arithmetic.
func (t *table) find(s Skier) found {
	f := found{row: -1, tooLight: s.MassKG < leastMassKG, tooHeavy: s.MassKG > mostMassKG}
	if f.tooLight {
		return f
	}
	m, disagree := t.byMass(s.MassKG)
	h, short := t.byHeight(s.HeightCM)
	f.massClass, f.disagree = m, disagree
	f.short = short && m > h
	at := min(m, h)
	f.steps = append(f.steps, "By mass row "+t.rows[m].code+", by height row "+t.rows[h].code+": the one nearer A counts, "+t.rows[at].code+".")
	if disagree {
		f.steps = append(f.steps, "The kilogram and the pound edges of the mass disagree here; the lower row was taken.")
	}
	if f.short {
		f.steps = append(f.steps, "For this height sources disagree; the lower row was taken.")
	}
	if n := typeRows[s.Type]; n != 0 {
		at += n
		f.steps = append(f.steps, "Type "+string(s.Type)+" is "+rows(n)+cited(s.Type)+".")
	} else if s.Type == TypeUnsure {
		f.steps = append(f.steps, "No type was declared: counted as type 1.")
	}
	if s.AgeYears < youngYears || s.AgeYears >= oldYears {
		at--
		f.steps = append(f.steps, "At this age the row is one nearer A.")
	}
	if at < firstRow || at >= len(t.rows) {
		f.outside = true
		f.steps = append(f.steps, "The corrections lead out of the table.")
		return f
	}
	f.row = at
	return f
}

func rows(n int) string {
	switch {
	case n == -1:
		return "one row nearer A"
	case n == 1:
		return "one row farther from A"
	case n == 2:
		return "two rows farther from A"
	}
	return "three rows farther from A"
}

func cited(t Type) string {
	if t == TypeBelow || t == TypeAbove {
		return " (only from ISO 11088:2018 as cited elsewhere)"
	}
	return ""
}

// SameWeightClass tells whether two masses in kg lie in the same band of the
// table, so that a change from one to the other leaves a setting standing.
// Below the printed bands only the same mass is the same class.
func SameWeightClass(a, b float64) bool {
	if a == b {
		return true
	}
	m, _ := printed().byMass(a)
	n, _ := printed().byMass(b)
	return m == n && m >= 0
}

// SameHeightClass tells whether two heights in cm lead a skier of a mass in kg
// to the same row of the table, so that growing from one to the other leaves a
// setting standing. Below the printed bands of mass only the same height does.
func SameHeightClass(massKG, a, b float64) bool {
	if a == b {
		return true
	}
	t := printed()
	m, _ := t.byMass(massKG)
	if m < 0 {
		return false
	}
	h, _ := t.byHeight(a)
	k, _ := t.byHeight(b)
	return min(m, h) == min(m, k)
}

// AgePassed returns the age in completed years at which the printed rules
// change and that lies after one age and not after another; ok is false where
// there is none.
func AgePassed(before, now float64) (years int, ok bool) {
	for _, edge := range []int{youngYears, oldYears} {
		if before < float64(edge) && now >= float64(edge) {
			return edge, true
		}
	}
	return 0, false
}
