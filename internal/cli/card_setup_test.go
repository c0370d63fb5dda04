package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/demo"
	"firnhand/internal/card"
	"firnhand/internal/clock"
	"firnhand/internal/web/page"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

// season is the invented programme in memory, with the people of each role.
type season struct {
	*programme.Service
	t          *testing.T
	ids        *programmetest.IDs
	lead, gear programme.Actor
	ctx        context.Context
}

func newSeason(t *testing.T) *season {
	t.Helper()
	p, err := demo.Read()
	if err != nil {
		t.Fatal(err)
	}
	c := clock.At(time.Date(p.Last.Year, p.Last.Month, p.Last.Day, 18, 0, 0, 0, p.Zone))
	v := programme.CoreVocabulary{Table: decide.Standing()}
	s := &season{t: t, ids: programmetest.NewIDs(5), ctx: context.Background()}
	s.Service = programme.New(programme.Config{Store: programmetest.NewMemory(), Clock: c, Vocabulary: v, Random: s.ids, Zone: p.Zone, Holds: v.Holds})
	if _, err := demo.Load(s.ctx, s.Service, c); err != nil {
		t.Fatal(err)
	}
	s.lead = programme.Actor{Staff: s.ids.Next(), Name: "Lead", Roles: []programme.Role{programme.Lead, programme.Instructor}}
	s.gear = programme.Actor{Staff: s.ids.Next(), Name: "Gear", Roles: []programme.Role{programme.EquipmentLead}}
	return s
}

func (s *season) record(student programme.ID) programme.Record {
	s.t.Helper()
	r, err := s.StudentAt(s.ctx, s.lead, student, programme.AsOf{})
	if err != nil {
		s.t.Fatal(err)
	}
	return r
}

// order is the order of a card for a record, as the pages give it, as if the
// questions of the day were answered as before and every hold were cleared: a
// card with a hold carries no set-up.
func order(r programme.Record) page.CardOrder {
	t := decide.Standing()
	d := programme.Decision{Input: programme.CoreVocabulary{Table: t}.Input(r)}
	a := t.Decide(d.Input)
	if later := t.AfterClearance(d.Input); later != nil {
		a = later
	}
	return page.CardOrder{ID: "0190a5d0-ac96-774b-8cce-b30209900aaa", Record: r, Decision: d, Table: t, Answer: a, ForDay: r.Day, MadeAt: r.At, UpTo: r.UpTo, DataAt: r.At}
}

// sign proposes, measures with of, and signs by two people.
func (s *season) sign(student programme.ID, o page.CardOrder, of func(programme.SetUpItem) programme.SetUpValue) {
	s.t.Helper()
	items, err := programme.ProposedItems(o.Table, o.Answer, o.Decision.Input.Findings, o.Record.Measured(), programme.Fitting{Holes: &programme.HoleRow{FirstCM: 45, StepCM: 2.5, Count: 20}})
	if err != nil {
		s.t.Fatal(err)
	}
	made := func() programme.Made { return programme.Made{ID: s.ids.Next()} }
	sheet := made()
	steps := []func() error{
		func() error {
			_, err := s.ProposeSetUp(s.ctx, s.lead, sheet, student, programme.SetUpProposal{Items: items, UpTo: 1})
			return err
		},
		func() error {
			m := programme.SetUpMeasures{SetUp: sheet.ID}
			for _, it := range items {
				v := of(it)
				v.SetUpKey = it.SetUpKey
				m.Values = append(m.Values, v)
			}
			_, err := s.MeasureSetUp(s.ctx, s.gear, made(), student, m)
			return err
		},
	}
	for _, a := range []programme.Actor{s.lead, s.gear} {
		steps = append(steps, func() error {
			_, err := s.SignSetUp(s.ctx, a, made(), student, programme.SetUpSignature{SetUp: sheet.ID})
			return err
		})
	}
	for i, do := range steps {
		if err := do(); err != nil {
			s.t.Fatalf("step %d: %v", i, err)
		}
	}
}

// asProposed measures what was proposed, and 61 where there was no figure.
func asProposed(it programme.SetUpItem) programme.SetUpValue {
	if it.Unit == "" {
		w := it.Words
		if w == "" {
			w = "as it is"
		}
		return programme.SetUpValue{Words: w}
	}
	x := 61.0
	if it.Value != nil {
		x = *it.Value
	}
	v := programme.SetUpValue{Value: &x}
	if len(it.Holes) > 0 {
		v.Hole = 7
	}
	return v
}

func contentOf(t *testing.T, o page.CardOrder) card.Content {
	t.Helper()
	c, err := card.FromAnswer(lessonOf(o))
	if err != nil {
		t.Fatalf("%s: %v", o.Record.NameUsed, err)
	}
	return c
}

func rowOf(c card.Content, label string) (card.SidedSetting, bool) {
	i := slices.IndexFunc(c.SetUp.Sided, func(s card.SidedSetting) bool { return s.Label == label })
	if i < 0 {
		return card.SidedSetting{}, false
	}
	return c.SetUp.Sided[i], true
}

// TestCardCarriesTheSetUp makes every card of the invented programme from the
// proposal and from a signed sheet. Before two people signed, the gear stands
// on the card as something to measure, within its range; afterwards as the
// numbers they signed; and none is refused for want of room.
func TestCardCarriesTheSetUp(t *testing.T) {
	s := newSeason(t)
	lines, err := s.Students(s.ctx, s.lead, true)
	if err != nil {
		t.Fatal(err)
	}
	handles, seen := 0, 0
	for _, l := range lines {
		before := order(s.record(l.Student))
		if way, ok := before.Answer.Axis("way"); !ok || way.Open || way.Value == "sitting" {
			continue
		}
		seen++
		c := contentOf(t, before)
		if len(c.SetUp.Sided)+len(c.SetUp.Shared) == 0 {
			continue // a hold: no set-up on the card
		}
		_, signed := before.Record.SetUp() // in the season already
		for _, label := range []string{"Outrigger handle", "Slider handle"} {
			if row, ok := rowOf(c, label); ok && !signed {
				for _, v := range []card.Value{row.Left, row.Right} {
					if v.Number != "" || v.Words != "none" && v.Measure == "" {
						t.Errorf("%s: %s is %+v before anybody measured", l.NameUsed, label, v)
					}
					if v.Measure != "" && v.Low == "" {
						t.Errorf("%s: %s is to be measured without its range", l.NameUsed, label)
					}
				}
			}
		}
		s.sign(l.Student, before, asProposed)
		after := order(s.record(l.Student))
		if _, ok := after.Record.SetUp(); !ok {
			t.Fatalf("%s: the sheet is not in force", l.NameUsed)
		}
		c = contentOf(t, after)
		if row, ok := rowOf(c, "Outrigger handle"); ok {
			handles++
			for side, v := range map[string]card.Value{"left": row.Left, "right": row.Right} {
				sheet, _ := after.Record.SetUp()
				it, m, has := sheet.Item("outrigger_handle", side)
				if !has {
					if v.Words != "none" {
						t.Errorf("%s: %s handle is %+v without one on the sheet", l.NameUsed, side, v)
					}
					continue
				}
				if v.Number != fmt.Sprint(*m.Value) || v.Unit != "cm" || it.Low != nil && v.Low != fmt.Sprint(*it.Low) {
					t.Errorf("%s: %s handle is %+v, signed %v", l.NameUsed, side, v, *m.Value)
				}
			}
			if row, ok := rowOf(c, "Hole, brake"); !ok || !strings.Contains(row.Left.Words+row.Right.Words, "hole 7, 61 turns") {
				t.Errorf("%s: hole and brake are %+v", l.NameUsed, row)
			}
		}
		if inputCode(before) == inputCode(after) {
			t.Errorf("%s: the card's code of inputs does not know the sheet", l.NameUsed)
		}
	}
	if seen < 8 || handles < 3 {
		t.Errorf("only %d cards and %d handles were looked at", seen, handles)
	}
}

// TestCardFollowsTheSheet: a number outside its range stands without one, other
// words than proposed stand as they were set, words that name a condition never
// do, and a void sheet stands no longer.
func TestCardFollowsTheSheet(t *testing.T) {
	s := newSeason(t)
	lines, err := s.Students(s.ctx, s.lead, false)
	if err != nil {
		t.Fatal(err)
	}
	var student programme.ID
	for _, l := range lines {
		o := order(s.record(l.Student))
		if _, err := programme.ProposedItems(o.Table, o.Answer, o.Decision.Input.Findings, o.Record.Measured(), programme.Fitting{}); err == nil && o.Answer.Is("way", "outriggers") && contentOf(t, o).Hold == nil {
			student = l.Student
		}
	}
	if student == "" {
		t.Fatal("nobody skis with outriggers")
	}
	s.sign(student, order(s.record(student)), func(it programme.SetUpItem) programme.SetUpValue {
		v := asProposed(it)
		if it.Item == "outrigger_handle" && it.Side == "left" {
			x := *it.High + 3
			v.Value = &x
		}
		if it.Item == "tie" {
			v.Words = "soft tie, 12 cm"
		}
		return v
	})
	c := contentOf(t, order(s.record(student)))
	row, _ := rowOf(c, "Outrigger handle")
	if row.Left.Number == "" || row.Left.Low != "" || row.Right.Low == "" {
		t.Errorf("outside its range on the left: %+v", row)
	}
	i := slices.IndexFunc(c.SetUp.Shared, func(x card.Setting) bool { return x.Label == "Tip tie" })
	if i < 0 || c.SetUp.Shared[i].Value.Words != "soft tie, 12 cm" {
		t.Errorf("the tie that was set: %+v", c.SetUp.Shared)
	}
	n := 0
	for _, x := range c.SetUp.Shared {
		if x.Label == "Tip tie" {
			n++
		}
	}
	if n != 1 {
		t.Errorf("the tie stands %d times", n)
	}
	s.sign(student, order(s.record(student)), func(it programme.SetUpItem) programme.SetUpValue {
		v := asProposed(it)
		if it.Item == "tie" {
			v.Words = "for the spastic side"
		}
		return v
	})
	c = contentOf(t, order(s.record(student)))
	for _, x := range c.SetUp.Shared {
		if x.Label == "Tip tie" && x.Value.Words != "see the record" {
			t.Errorf("the card says %q", x.Value.Words)
		}
	}
	// The evaluation comes to another way: the sheet is left out, though signed.
	o := order(s.record(student))
	in := o.Decision.Input
	in.Findings = in.Findings.Clone()
	for _, side := range []finding.Side{finding.Left, finding.Right} {
		if err := in.Findings.PutBoth("grip", side, "1"); err != nil {
			t.Fatal(err)
		}
	}
	o.Decision.Input, o.Answer = in, o.Table.Decide(in)
	if !o.Answer.Is("way", "slider") {
		t.Fatal("weak hands do not change the way")
	}
	c = contentOf(t, o)
	if row, ok := rowOf(c, "Outrigger handle"); ok {
		t.Errorf("outriggers on a slider's card: %+v", row)
	}
	if row, ok := rowOf(c, "Slider handle"); !ok || row.Left.Number != "" {
		t.Errorf("the slider's handle: %+v", row)
	}
	if _, err := s.RecordGearChange(s.ctx, s.gear, programme.Made{ID: s.ids.Next()}, student, programme.GearChange{What: "boots"}); err != nil {
		t.Fatal(err)
	}
	c = contentOf(t, order(s.record(student)))
	if row, _ := rowOf(c, "Outrigger handle"); row.Left.Number != "" || row.Left.Measure == "" {
		t.Errorf("a void sheet stands on the card: %+v", row)
	}
}
