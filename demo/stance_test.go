package demo_test

import (
	"math"
	"testing"

	"firnhand/core/body"
	"firnhand/core/finding"
	"firnhand/core/stance"
	"firnhand/programme"
)

// TestStances poses every invented student that stands, at every place: loads
// add up to the weight (Newton's first law), and the elbow bends no further than an elbow
// does.
func TestStances(t *testing.T) {
	s := whole(t)
	day := s.clock.Now().Format("2006-01-02 15:04")
	stood, held := 0, 0
	for _, st := range s.p.Students {
		r := s.at(t, st.Key, day)
		p, err := programme.StanceOf(s.table(t), r)
		if err != nil {
			if c := programme.CodeOf(err); c != programme.CodeConflict {
				t.Errorf("%s: %v", st.Key, err)
			}
			continue
		}
		if len(p.Needs) > 0 {
			t.Logf("%s: needs %v", st.Key, p.Needs)
			continue
		}
		stood++
		for _, side := range body.Sides {
			if bend, ok := p.Posed.Elbow(side); ok && (bend.Degrees() < 0 || bend.Degrees() > 145) {
				t.Errorf("%s: the %s elbow bends %.0f degrees", st.Key, side.Word(), bend.Degrees())
			}
		}
		for _, place := range programme.StancePlaces() {
			b, err := p.In(place, true)
			if err != nil {
				t.Fatalf("%s, %s: %v", st.Key, place.Code, err)
			}
			if b.Result.Verdict == stance.Held {
				held++
				sum := 0.0
				for _, l := range b.Result.Loads {
					sum += float64(l.Even)
				}
				if math.Abs(sum-float64(b.Result.Weight)) > 1e-6*sum {
					t.Errorf("%s, %s: loads add up to %g of %g N", st.Key, place.Code, sum, float64(b.Result.Weight))
				}
			}
			t.Logf("%-9s %-20s %-12s %-8v arms %3.0f %% margin %5.1f room %5.1f cm, changes %d", st.Key, p.Way, place.Code, b.Result.Verdict,
				100*float64(b.Result.Arms.Value()/b.Result.Weight), b.Result.Margin.Value().Centimetres(), b.Result.Reserve.Value().Centimetres(), len(b.Changes))
		}
		d, err := p.Doubts(programme.StancePlaces()[0])
		if err != nil {
			t.Errorf("%s: %v", st.Key, err)
		}
		for i := range d[:min(2, len(d))] {
			t.Logf("    %s %.3g to %.3g %s: %.1f cm, %.0f %%", d[i].What, d[i].From, d[i].To, d[i].Unit, d[i].Margin.Centimetres(), d[i].Arms.Percent())
		}
	}
	if stood < 12 || held < stood {
		t.Errorf("%d students stand, %d stances are held", stood, held)
	}
}

// TestStanceMirror swaps left and right of a whole record: everything is
// mirrored, and across the slope with the valley on the other side.
func TestStanceMirror(t *testing.T) {
	s := whole(t)
	for _, one := range []struct{ key, when string }{{"hollis", "2026-02-21 09:00"}, {"emrys", "2026-02-21 09:00"}} {
		r := s.at(t, one.key, one.when)
		m := r
		m.Findings = map[programme.FindingKey]programme.Seen{}
		for k, v := range r.Findings {
			k.Side = map[string]string{"left": "right", "right": "left"}[k.Side] + map[bool]string{true: "none"}[k.Side == "none"]
			v.FindingKey = k
			m.Findings[k] = v
		}
		m.Measures = map[programme.MeasureKey]programme.MeasureSeen{}
		for k, v := range r.Measures {
			k.Side = map[string]string{"left": "right", "right": "left", "none": "none"}[k.Side]
			m.Measures[k] = v
		}
		m.SetUps, r.SetUps = nil, nil
		a, err := programme.StanceOf(s.table(t), r)
		if err != nil {
			t.Fatalf("%s: %v", one.key, err)
		}
		b, err := programme.StanceOf(s.table(t), m)
		if err != nil {
			t.Fatalf("%s mirrored: %v", one.key, err)
		}
		for i, j := range []int{0, 1, 2, 4, 3} {
			x, err1 := a.In(programme.StancePlaces()[i], false)
			y, err2 := b.In(programme.StancePlaces()[j], false)
			if err1 != nil || err2 != nil {
				t.Fatal(err1, err2)
			}
			near := func(what string, v, w float64) {
				if math.Abs(v-w) > 1e-6*(1+math.Abs(v)) {
					t.Errorf("%s at %s: %s is %g, mirrored %g", one.key, programme.StancePlaces()[i].Code, what, v, w)
				}
			}
			near("margin", float64(x.Result.Margin.Value()), float64(y.Result.Margin.Value()))
			near("arms", float64(x.Result.Arms.Value()), float64(y.Result.Arms.Value()))
			near("centre", float64(x.Result.Acts[0].Value()), -float64(y.Result.Acts[0].Value()))
			for _, k := range []stance.Kind{stance.Ski, stance.Runner, stance.Frame} {
				for _, side := range []finding.Side{finding.Left, finding.Right} {
					p, has := x.Result.Side(k, side)
					q, also := y.Result.Side(k, side.Other())
					if has != also {
						t.Errorf("%s: %s %s has no mirror", one.key, side.Word(), k)
					}
					near("load", float64(p.Even), float64(q.Even))
				}
			}
		}
	}
}

// TestGear: what the season shows of set-up sheets and bindings, as it stands
// on the day the demo is looked at.
func TestGear(t *testing.T) {
	s := whole(t)
	day := s.p.Today.Format("2006-01-02 15:04")
	for key, want := range map[string]programme.SetUpStatus{"pia": programme.SetUpSigned, "tilde": programme.SetUpSigned, "hollis": programme.SetUpSigned,
		"bo": programme.SetUpVoid, "kasimir": programme.SetUpDraft, "maren": programme.SetUpMeasured} {
		sheet, ok := s.at(t, key, day).LatestSetUp()
		if !ok || sheet.Status != want {
			t.Errorf("%s: the set-up is %q, %s", key, sheet.Status, sheet.Why)
		}
	}
	bo := s.at(t, "bo", day)
	if sheet, _ := bo.LatestSetUp(); len(sheet.Void) == 0 || sheet.Void[0].Code != "growth" || len(sheet.Signatures) != 2 {
		t.Errorf("bo: %+v", sheet.Void)
	}
	if b, ok := bo.Binding(); !ok || b.Status != programme.BindingWaits || len(b.Sheet.Reasons) == 0 {
		t.Errorf("bo's request: %s, %d reasons", b.Status, len(b.Sheet.Reasons))
	}
	hollis := s.at(t, "hollis", day)
	if b, ok := hollis.Binding(); !ok || b.Status != programme.BindingInUse || b.Record == nil || b.Record.Technician == "" {
		t.Errorf("hollis's binding: %s, %s", b.Status, b.Why)
	}
	if p, ok := programme.PersonOf(hollis.Set(), hollis.Measured()); !ok || len(p.Losses) != 1 || p.Losses[0].Residual == nil {
		t.Errorf("hollis: %+v", p.Losses)
	}
	for _, st := range s.p.Students { // a flag would be a slip of the invented tape
		r := s.at(t, st.Key, day)
		for _, f := range programme.FlagsOf(r.Set(), r.Measured()) {
			t.Logf("%s: %s", st.Key, f.Sentence)
		}
	}
}
