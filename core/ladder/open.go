package ladder

import (
	"fmt"
	"slices"
	"strings"

	"firnhand/core/finding"
)

// Attempt is one try at a skill, whatever came of it.
type Attempt struct {
	Skill   string
	Side    finding.Side
	Terrain string // id of a terrain
	Help    int    // 7 to 0
	Aids    Aids
}

// Pass is a skill that was passed: clean as often in a row as the programme
// asks, with this help, on this terrain, with these aids.
type Pass Attempt

// Mirror swaps left and right.
func (p Pass) Mirror() Pass {
	p.Side, p.Aids = p.Side.Other(), p.Aids.Mirror()
	return p
}

// impossible returns why a skill cannot be done in a set-up; nil where it can.
// A route that is not known does not forbid.
func (l *Ladder) impossible(s *Skill, in Setup) *Error {
	switch {
	case s.NotWithTie && in.Tied():
		return Refuse("not_with_tie", "%s, %s: not with a tie on.", s.ID, s.Name)
	case s.NotWithSpacer && in.Spacer():
		return Refuse("not_with_spacer", "%s, %s: not with a spacer on.", s.ID, s.Name)
	case s.NotWithSlider && in.Slider():
		return Refuse("not_with_slider", "%s, %s: not with a slider.", s.ID, s.Name)
	case s.OnlyOutriggers && !in.Outriggers():
		return Refuse("only_outriggers", "%s, %s: only with outriggers.", s.ID, s.Name)
	case s.OnlyTwoSkis && in.OneSki():
		return Refuse("only_two_skis", "%s, %s: only on two skis.", s.ID, s.Name)
	case s.BothHands && in.OneOutrigger():
		return Refuse("both_hands", "%s, %s: wants an outrigger in each hand.", s.ID, s.Name)
	case s.WedgeRoute && in.Wedge() == WedgeNo:
		return Refuse("wedgeless", "%s, %s: the route is wedgeless to one side at least.", s.ID, s.Name)
	}
	return nil
}

// Admit refuses what cannot have happened or must not be tried: an unknown
// skill or terrain, a side missing or too much, a help level outside 0 to 7, a
// skill that the gear excludes. The error is an *Error.
func (l *Ladder) Admit(a Attempt) error {
	if err := a.Aids.Check(); err != nil {
		return err
	}
	s, ok := l.byID[a.Skill]
	if !ok {
		return Refuse("unknown_skill", "There is no skill %q; the ladder has %s to %s.", a.Skill, l.skills[0].ID, l.skills[len(l.skills)-1].ID)
	}
	if _, _, ok := l.Terrain(a.Terrain); !ok {
		var ids []string
		for _, t := range l.terrains {
			ids = append(ids, t.ID)
		}
		return Refuse("unknown_terrain", "The terrain is one of %s, not %q.", strings.Join(ids, ", "), a.Terrain)
	}
	if a.Help < LeastHelp || a.Help > MostHelp {
		return Refuse("unknown_level", "The help level runs from 7, full, to 0, independent; not %d.", a.Help)
	}
	if err := s.side(a.Side, a.Aids); err != nil {
		return err
	}
	if why := l.impossible(s, Setup{Aids: a.Aids.Clean()}); why != nil {
		return why
	}
	if s.AloneNotWithSlider && a.Aids.Slider() && !l.levels[a.Help].Hands {
		return Refuse("alone_not_with_slider", "%s, %s: not alone in a slider; somebody has a hand on the student.", s.ID, s.Name)
	}
	return nil
}

// side refuses a side that is missing, too much, or one that the gear has not.
func (s *Skill) side(side finding.Side, a Aids) error {
	switch sides := s.SidesOf(a); {
	case s.Sides == NoSides && side != finding.NoSide:
		return Refuse("no_sides", "%s, %s, has no left and right.", s.ID, s.Name)
	case s.Sides != NoSides && side != finding.Left && side != finding.Right:
		return Refuse("side_missing", "%s, %s, is recorded left and right apart: say which.", s.ID, s.Name)
	case !slices.Contains(sides, side):
		return Refuse("side_not_there", "%s, %s: there is no %s %s.", s.ID, s.Name, a.Words(), s.SideWords(side))
	}
	return nil
}

// AdmitPass is Admit for a pass, which also has to be seen on the terrain the
// skill names. Remarks are what stands beside it: the tie it was passed with,
// and a hand where the pass says none.
func (l *Ladder) AdmitPass(p Pass) (remarks []string, err error) {
	if err := l.Admit(Attempt(p)); err != nil {
		return nil, err
	}
	s := l.byID[p.Skill]
	_, at, _ := l.Terrain(p.Terrain)
	if _, want, _ := l.Terrain(s.Place.ID); s.SeenOn && at < want {
		return nil, Refuse("terrain_too_easy", "%s, %s, is passed on %s (%s); this was seen on less.", s.ID, s.Name, s.Place.ID, s.Place.Name)
	}
	if w := p.Aids.TieWords(); w != "" {
		remarks = append(remarks, "Passed "+w+"; it is not the untied skill.")
	}
	if s.NoHands && l.levels[p.Help].Hands {
		remarks = append(remarks, "The pass is seen with no hand on the student; at help level "+fmt.Sprint(p.Help)+" there was one.")
	}
	return remarks, nil
}

// State is where a skill stands.
type State string

// The states.
const (
	Passed     State = "passed"     // with these aids
	Carried    State = "carried"    // with fewer aids; counts, repeated in this set-up with more help
	Open       State = "open"       // everything it needs is passed
	Waiting    State = "waiting"    // something it needs is not passed
	Impossible State = "impossible" // not with this gear, or not for these legs
)

// Missing is a skill that is waited for.
type Missing struct {
	Skill string
	Side  finding.Side
}

// Entry is where one skill, on one side, stands.
type Entry struct {
	Skill *Skill
	Side  finding.Side
	State State
	// Possible tells whether it can be done in this set-up at all; what was
	// passed with less gear counts even where it cannot be repeated.
	Possible bool
	// Help is the least help it was passed with in this set-up; -1 where it
	// was not.
	Help int
	// Terrain is the hardest terrain of such a pass; "" where there is none.
	Terrain string
	// Start is the help level to start from where it was passed with other
	// aids: that pass and the programme's levels more; -1 where it was not.
	Start int
	// Reopened tells that it was passed with an aid that is off now.
	Reopened bool
	// FreshOnly tells that the legs make a wedge only while fresh.
	FreshOnly bool
	// LeastHelp is the least help possible with this gear.
	LeastHelp int
	// Missing is what it waits for: one skill of each need.
	Missing []Missing
	// Why is the reason of what is not plain.
	Why string
	// With says the tie it is passed or tried with; "" without one.
	With string
}

// Counts tells whether the skill counts as passed for those above it.
func (e Entry) Counts() bool { return e.State == Passed || e.State == Carried }

// Board is a whole ladder for one student: every skill on every side it has
// with this gear, in the order of the ladder. A side that the gear does not
// have is left out.
type Board struct {
	Setup   Setup
	Entries []Entry

	index map[Missing]int
}

// At returns one entry.
func (b *Board) At(skill string, side finding.Side) (Entry, bool) {
	i, ok := b.index[Missing{skill, side}]
	if !ok {
		return Entry{}, false
	}
	return b.Entries[i], true
}

// Open returns where every skill stands, from a set-up and the passes so far,
// of whatever aids. The error is an *Error; it names the first pass that
// cannot be.
func (l *Ladder) Open(in Setup, passes []Pass) (*Board, error) {
	in.Aids = in.Aids.Clean()
	if err := in.Check(); err != nil {
		return nil, err
	}
	for _, p := range passes {
		if _, err := l.AdmitPass(p); err != nil {
			return nil, err
		}
	}
	b := &Board{Setup: in, index: map[Missing]int{}}
	for _, s := range l.skills {
		for _, side := range s.SidesOf(in.Aids) {
			e := Entry{Skill: s, Side: side, Help: -1, Start: -1, With: in.Aids.TieWords()}
			if s.AloneNotWithSlider && in.Slider() {
				for !l.levels[e.LeastHelp].Hands {
					e.LeastHelp++
				}
			}
			l.seen(&e, in, passes)
			b.index[Missing{s.ID, side}] = len(b.Entries)
			b.Entries = append(b.Entries, e)
		}
	}
	for i := range b.Entries {
		e := &b.Entries[i]
		if why := l.impossible(e.Skill, in); why != nil {
			e.Why = why.Sentence
			if e.State != Carried {
				e.State = Impossible
			}
		} else {
			e.Possible = true
		}
	}
	for i := range b.Entries {
		l.settle(b, &b.Entries[i])
	}
	return b, nil
}

// seen fills what the passes say of one entry. Of passes with other aids the
// one with the least help counts.
func (l *Ladder) seen(e *Entry, in Setup, passes []Pass) {
	hardest, elsewhere, carried := -1, MostHelp+1, false
	for _, p := range passes {
		if p.Skill != e.Skill.ID || p.Side != e.Side {
			continue
		}
		_, rank, _ := l.Terrain(p.Terrain)
		switch aids := p.Aids.Clean(); {
		case aids == in.Aids:
			if e.Help < 0 || p.Help < e.Help {
				e.Help = p.Help
			}
			if rank > hardest {
				hardest, e.Terrain = rank, p.Terrain
			}
		case aids.covers(in.Aids):
			carried = true
			elsewhere = min(elsewhere, p.Help+l.Setting("new_set_up_levels"))
		default:
			e.Reopened = true
			elsewhere = min(elsewhere, p.Help+l.Setting("aid_off_levels"))
		}
	}
	switch {
	case e.Help >= 0:
		e.State, e.Reopened = Passed, false
	case carried:
		e.State, e.Reopened = Carried, false
	}
	if e.Help < 0 && elsewhere <= MostHelp+1 && (carried || e.Reopened) {
		e.Start = max(min(elsewhere, MostHelp), e.LeastHelp)
	}
}

// settle decides between open and waiting.
func (l *Ladder) settle(b *Board, e *Entry) {
	if !e.Possible {
		return
	}
	wedge := b.Setup.Wedge()
	e.FreshOnly = e.Skill.WedgeRoute && wedge == WedgeFresh
	if e.State != "" {
		return
	}
	if e.Skill.WedgeRoute && wedge == WedgeUnknown {
		e.State, e.Why = Waiting, "It is not decided yet whether both legs make a wedge."
	}
	e.Missing = l.missing(b, e.Skill, e.Side)
	switch {
	case len(e.Missing) > 0:
		e.State = Waiting
	case e.State == "":
		e.State = Open
	}
}

// missing lists what a skill waits for. Of a need with several ways in the
// first that this gear allows is named.
func (l *Ladder) missing(b *Board, s *Skill, side finding.Side) []Missing {
	var out []Missing
	for _, ways := range l.wants(b, s, side) {
		for _, m := range ways[0] {
			if !slices.Contains(out, m) {
				out = append(out, m)
			}
		}
	}
	return out
}

// Wants returns what a skill on a side still needs: each need that is not met,
// with its ways in, each of them what is missing for it. A skill that this gear
// rules out is stood in for by what it needs itself.
func (l *Ladder) Wants(b *Board, skill string, side finding.Side) [][][]Missing {
	s, ok := l.byID[skill]
	if !ok {
		return nil
	}
	return l.wants(b, s, side)
}

func (l *Ladder) wants(b *Board, s *Skill, side finding.Side) [][][]Missing {
	var out [][][]Missing
	for _, need := range s.Needs {
		var ways [][]Missing
		met := false
		for _, one := range need {
			n := l.byID[one.Skill]
			if len(need) > 1 && l.impossible(n, b.Setup) != nil {
				continue // a stop that this gear rules out stops nobody
			}
			for _, way := range l.waysIn(b, n, side, one.Which) {
				ways = append(ways, way)
				met = met || len(way) == 0
			}
		}
		if ways == nil { // this gear rules all of them out: it waits
			ways = [][]Missing{{{need[0].Skill, side}}}
		}
		if !met {
			out = append(out, ways)
		}
	}
	return out
}

// waysIn lists the ways in to one needed skill, each what it misses.
func (l *Ladder) waysIn(b *Board, n *Skill, side finding.Side, which Which) [][]Missing {
	sides := n.SidesOf(b.Setup.Aids)
	if which == Same && n.Sides != NoSides {
		sides = []finding.Side{side}
	}
	possible := l.impossible(n, b.Setup) == nil
	var ways [][]Missing
	var all []Missing
	for _, at := range sides {
		var here []Missing
		switch e, ok := b.At(n.ID, at); {
		case ok && e.Counts():
		case !possible:
			here = l.missing(b, n, at)
		default:
			here = []Missing{{n.ID, at}}
		}
		ways, all = append(ways, here), append(all, here...)
	}
	if which == Either {
		return ways
	}
	return [][]Missing{all}
}
