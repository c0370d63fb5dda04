package progress

import (
	"fmt"

	"firnhand/core/finding"
)

// gaps compares left with right: over all skills, then skill by skill for those
// tried with the aids of now.
func (r *reader) gaps(report *Report) []Gap {
	var out []Gap
	for _, s := range r.l.Skills() {
		left, okL := report.Of(Track{s.ID, finding.Left, r.now.Aids})
		right, okR := report.Of(Track{s.ID, finding.Right, r.now.Aids})
		if !okL || !okR || left.Attempts+right.Attempts == 0 {
			continue
		}
		out = append(out, r.gapOf(s.ID, left, right))
	}
	if len(out) == 0 {
		return nil
	}
	all := Gap{}
	for _, a := range r.all {
		switch {
		case a.Aids != r.now.Aids:
		case a.Side == finding.Left:
			all.LeftN++
		case a.Side == finding.Right:
			all.RightN++
		}
	}
	r.settle(&all, r.p.of(r.m.side, func(c effect) float64 { return r.m.gap(c, -1, float64(r.now.Day)) }))
	return append([]Gap{all}, out...)
}

// gapOf compares the sides of one skill with the same help on the same terrain:
// the more help and the easier terrain of the two last attempts.
func (r *reader) gapOf(skill string, left, right Standing) Gap {
	like := left.Last
	switch {
	case left.Attempts == 0:
		like = right.Last
	case right.Attempts > 0:
		_, l, _ := r.l.Terrain(left.Last.Terrain)
		if _, at, _ := r.l.Terrain(right.Last.Terrain); at < l {
			like.Terrain = right.Last.Terrain
		}
		like.Help = max(like.Help, right.Last.Help)
	}
	like.Poor = r.now.Poor
	g := Gap{Skill: skill, Help: like.Help, Terrain: like.Terrain, LeftN: left.Attempts, RightN: right.Attempts}
	g.Left = r.chance(left.Track, like, like.Help, r.now.Day, r.now.Lesson)
	g.Right = r.chance(right.Track, like, like.Help, r.now.Day, r.now.Lesson)
	at := index(r.skills, skill)
	r.settle(&g, r.p.of(r.m.side+r.m.skillSide, func(c effect) float64 { return r.m.gap(c, at, float64(r.now.Day)) }))
	return g
}

// settle decides whether a gap is shown; d is left less right.
func (r *reader) settle(g *Gap, d along) {
	low := finding.Left
	if g.Sure = d.below(0); g.Sure < 0.5 {
		low, g.Sure = finding.Right, 1-g.Sure
	}
	least := r.n.of("judge_attempts")
	g.Enough = g.LeftN >= least && g.RightN >= least
	counts := fmt.Sprintf("%d attempts left, %d right", g.LeftN, g.RightN)
	switch {
	case !g.Enough:
		g.Says = "Too few to judge: " + counts + "."
	case g.Sure >= float64(r.n.of("gap_pct"))/100:
		g.Weaker = low
		g.Says = fmt.Sprintf("Weaker: %s, %s sure (%s).", r.sideWords(g.Skill, low), Percent(g.Sure), counts)
	default:
		g.Says = "No clear difference between left and right (" + counts + ")."
	}
}

// sideWords says a side of a skill: "left hand", "to the left"; of all skills
// only the side.
func (r *reader) sideWords(skill string, side finding.Side) string {
	if s, ok := r.l.Skill(skill); ok {
		return s.SideWords(side)
	}
	return side.Word()
}

// Cautions are what goes with every chance the model gives.
func Cautions() []string {
	return []string{
		"The rules and the instructor decide. The model only says what the attempts so far make likely, and never allows less help than a rule.",
		"Its figures are proposals, the same for everybody; nobody has fitted them to this programme's attempts yet.",
		"A chance is not a clearance: holds, stop rules, lift staff and patrol come first.",
	}
}
