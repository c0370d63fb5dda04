package decide

import (
	"math"
	"sort"

	"firnhand/core/finding"
)

// cell is one value of a person as the table sees it: cut into bands, so that
// no rule can tell two values of one band apart.
type cell struct {
	key   finding.Key
	def   *finding.Def
	gate  string // pseudo cell of a gate: 0 as is, 1 cleared (or held, for a hold by hand)
	cuts  []cut  // Number only
	bands int    // counting the band for "na" when the definition has one
}

// cut separates two bands: after it when after is set, before it otherwise.
type cut struct {
	x     float64
	after bool
}

func (c cut) less(d cut) bool {
	if c.x != d.x {
		return c.x < d.x
	}
	return !c.after && d.after
}

// band returns the band a number falls into.
func (c *cell) band(x float64) int {
	n := 0
	for _, k := range c.cuts {
		if x > k.x || (x == k.x && !k.after) {
			n++
		}
	}
	return n
}

func (c *cell) naBand() int {
	if c.def != nil && c.def.NA {
		return c.bands - 1
	}
	return -1
}

// all is the mask of every band.
func (c *cell) all() uint32 { return 1<<c.bands - 1 }

// steps counts the real bands, without "na".
func (c *cell) steps() int {
	if c.naBand() >= 0 {
		return c.bands - 1
	}
	return c.bands
}

// finish cuts numbers into bands and compiles every pending condition.
func (r *reader) finish() {
	r.collect()
	if len(r.problems) > 0 {
		return
	}
	for _, p := range r.exprs {
		*p.dest = r.lower(p.e, false)
	}
	r.t.wire()
}

// collect makes the cells and their cut points.
func (r *reader) collect() {
	t := r.t
	used := map[finding.Key]bool{}
	cuts := map[string][]cut{}
	var walk func(e *expr)
	walk = func(e *expr) {
		if e.kind == "cmp" {
			used[e.key] = true
			d, _ := finding.Lookup(e.key.ID)
			if d.Scale == finding.Number {
				switch e.cmp {
				case "<", ">=":
					cuts[d.ID] = append(cuts[d.ID], cut{e.x, false})
				case "<=", ">":
					cuts[d.ID] = append(cuts[d.ID], cut{e.x, true})
				case "=":
					cuts[d.ID] = append(cuts[d.ID], cut{e.x, false}, cut{e.x, true})
				}
			}
		}
		for _, k := range e.kids {
			walk(k)
		}
	}
	for _, p := range r.exprs {
		walk(p.e)
	}
	var keys []finding.Key
	for k := range used {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(i, j int) bool { return finding.Less(keys[i], keys[j]) })
	for _, k := range keys {
		d, _ := finding.Lookup(k.ID)
		c := cell{key: k, def: d, bands: len(d.Levels)}
		if d.Scale == finding.Number {
			c.cuts = tidy(cuts[k.ID], d)
			c.bands = len(c.cuts) + 1
		}
		if d.NA {
			c.bands++
		}
		if c.bands > bandsMost {
			r.problem(1, "syntax", "The table cuts %s at more than %d numbers.", k.ID, bandsMost-2)
		}
		t.cellIndex[k] = len(t.cells)
		t.cells = append(t.cells, c)
	}
	if len(t.cells) > cellsMost {
		r.problem(1, "syntax", "The table reads more than %d findings and gates.", cellsMost)
	}
}

// What the masks and sets of the engine hold.
const (
	bandsMost = 31
	cellsMost = len(bitset{}) * 64
)

// tidy sorts cuts, drops doubles and cuts outside the accepted values.
func tidy(cs []cut, d *finding.Def) []cut {
	sort.Slice(cs, func(i, j int) bool { return cs[i].less(cs[j]) })
	var out []cut
	for _, c := range cs {
		outside := c.x < d.Min || c.x > d.Max || (c.x == d.Min && !c.after) || (c.x == d.Max && c.after)
		if outside || (len(out) > 0 && out[len(out)-1] == c) {
			continue
		}
		out = append(out, c)
	}
	return out
}

// mask computes the bands of a cell that satisfy a comparison.
func (c *cell) mask(sign string, x float64) uint32 {
	var m uint32
	for b := 0; b < c.steps(); b++ {
		v := float64(b)
		if c.def.Scale == finding.Number {
			v = c.inside(b)
		}
		ok := false
		switch sign {
		case "<":
			ok = v < x
		case "<=":
			ok = v <= x
		case ">":
			ok = v > x
		case ">=":
			ok = v >= x
		case "=":
			ok = v == x
		}
		if ok {
			m |= 1 << b
		}
	}
	if sign == "na" && c.naBand() >= 0 {
		m = 1 << c.naBand()
	}
	return m
}

// inside returns a number that lies in the band.
func (c *cell) inside(b int) float64 {
	lo, hi := c.span(b)
	switch {
	case b > 0 && !c.cuts[b-1].after:
		return lo
	case b < len(c.cuts) && c.cuts[b].after:
		return hi
	}
	return (lo + hi) / 2
}

// span returns the ends of a band; whether an end belongs to the band is told by its cut.
func (c *cell) span(b int) (lo, hi float64) {
	lo, hi = c.def.Min, c.def.Max
	if b > 0 {
		lo = c.cuts[b-1].x
	}
	if b < len(c.cuts) {
		hi = c.cuts[b].x
	}
	return lo, hi
}

// lower turns an expression into a positive node; neg says it is under a not.
func (r *reader) lower(e *expr, neg bool) *node {
	switch e.kind {
	case "not":
		return r.lower(e.kids[0], !neg)
	case "true", "false":
		if (e.kind == "true") != neg {
			return &node{op: opTrue}
		}
		return &node{op: opOr}
	case "cmp":
		i := r.t.cellIndex[e.key]
		c := &r.t.cells[i]
		m := c.mask(e.cmp, e.x)
		if neg {
			m = c.all() &^ m
		}
		switch m {
		case c.all():
			return &node{op: opTrue}
		case 0:
			return &node{op: opOr}
		}
		return &node{op: opCell, index: i, mask: m, text: spoken(e.text, neg), apart: e.apart}
	case "axis":
		m := e.mask
		if neg {
			m = (1<<len(r.t.axes[e.axis].values) - 1) &^ m
		}
		return &node{op: opAxis, index: e.axis, mask: m, text: spoken(e.text, neg)}
	}
	o := opAnd
	if (e.kind == "or") != neg {
		o = opOr
	}
	n := &node{op: o}
	for _, k := range e.kids {
		low := r.lower(k, neg)
		switch {
		case low.op == opTrue && o == opAnd:
			continue
		case low.op == opTrue, low.never() && o == opAnd:
			return low
		case low.op == o:
			n.kids = append(n.kids, low.kids...)
			continue
		}
		n.kids = append(n.kids, low)
	}
	if len(n.kids) == 1 {
		return n.kids[0]
	}
	return n
}

func spoken(text string, neg bool) string {
	if neg {
		return "not: " + text
	}
	return text
}

// bandOf returns the band of a known or not-applicable value.
func (c *cell) bandOf(v finding.Value) int {
	switch {
	case v.Kind == finding.NotApplicable:
		return c.naBand()
	case c.def.Scale == finding.Number:
		return c.band(v.X)
	}
	return int(math.Round(v.X))
}

// never tells whether the node is the condition that cannot hold.
func (n *node) never() bool { return n.op == opOr && len(n.kids) == 0 }
