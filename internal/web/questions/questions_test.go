package questions_test

import (
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"firnhand/core/finding"
	"firnhand/internal/web/page"
	"firnhand/internal/web/questions"
)

func none(finding.Key) questions.Known { return questions.Known{} }

func send(pairs ...string) *page.Visit {
	v := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		v.Add(pairs[i], pairs[i+1])
	}
	r := httptest.NewRequest("POST", "/", strings.NewReader(v.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return &page.Visit{R: r}
}

// TestRead: what the vocabulary accepts is recorded in its written form, the
// rest is a problem at its field.
func TestRead(t *testing.T) {
	asks := []questions.Ask{{ID: "stand_s"}, {ID: "gait"}, {ID: "push_out"}, {ID: "hip_check_months"}}
	key := func(id string, side finding.Side) finding.Key { return finding.Key{ID: id, Side: side} }
	for _, c := range []struct {
		name, text string
		key        finding.Key
		want       string // "" with a problem
		problem    string
	}{
		{"f.stand_s.n.fresh", "20", key("stand_s", 0), "20", ""},
		{"f.stand_s.n.fresh", " 20 s ", key("stand_s", 0), "20", ""},
		{"f.stand_s.n.fresh", "12,5", key("stand_s", 0), "12.5", ""},
		{"f.stand_s.n.fresh", "unknown", key("stand_s", 0), "unknown", ""},
		{"f.stand_s.n.fresh", "na", key("stand_s", 0), "", "cannot be"},
		{"f.stand_s.n.fresh", "NaN", key("stand_s", 0), "", "write digits"},
		{"f.stand_s.n.fresh", "1e999", key("stand_s", 0), "", "write digits"},
		{"f.stand_s.n.fresh", "-1", key("stand_s", 0), "", "outside 0 to 60 s"},
		{"f.stand_s.n.fresh", "<b>", key("stand_s", 0), "", "write digits"},
		{"f.gait.n.fresh", "W4", key("gait", 0), "W4", ""},
		{"f.gait.n.fresh", "W9", key("gait", 0), "", "no level"},
		{"f.push_out.l.fresh", "3", key("push_out", finding.Left), "3", ""},
		{"f.push_out.r.fresh", "na", key("push_out", finding.Right), "na", ""},
		{"f.hip_check_months.n.fresh", "na", key("hip_check_months", 0), "na", ""},
	} {
		got := questions.Read(send(c.name, c.text), asks)
		if got.Values[c.key] != c.want {
			t.Errorf("%s = %q reads as %q, not %q", c.name, c.text, got.Values[c.key], c.want)
		}
		if p := got.Problems.At(c.name); !strings.Contains(p, c.problem) || (p == "") != (c.problem == "") {
			t.Errorf("%s = %q: the problem is %q, not %q", c.name, c.text, p, c.problem)
		}
	}
	if got := questions.Read(send(), asks); len(got.Values) != 0 || len(got.Problems) != 0 {
		t.Error("an empty form says something")
	}
}

// TestSides: left columns stand at the left and mirror the right ones, as the
// student stands when seen from behind (house rule: left and right are always
// the student's).
func TestSides(t *testing.T) {
	items := questions.Items([]questions.Ask{{ID: "push_out"}, {ID: "push_in"}}, none)
	if len(items) != 1 || items[0].Matrix == nil {
		t.Fatalf("%d questions", len(items))
	}
	m := items[0].Matrix
	var order []string
	for _, c := range append(append([]questions.Column(nil), m.Left...), m.Right...) {
		order = append(order, c.Name)
	}
	if got, want := strings.Join(order, " "), "f.push_out.l.fresh f.push_in.l.fresh f.push_in.r.fresh f.push_out.r.fresh"; got != want {
		t.Errorf("the columns are %s, not %s", got, want)
	}
	for _, row := range m.Rows {
		if len(row.Left) != 2 || len(row.Right) != 2 || !strings.HasPrefix(row.Left[0].Says, "Left, push out at the knee: ") || !strings.HasPrefix(row.Right[1].Says, "Right, push out at the knee: ") {
			t.Errorf("row %s: %+v %+v", row.Label, row.Left, row.Right)
		}
	}
}

// TestFollow: a question that another one opens stands under it.
func TestFollow(t *testing.T) {
	items := questions.Items([]questions.Ask{{ID: "shunt"}, {ID: "shunt_surgery_months", Follows: "shunt", When: "yes"}, {ID: "gait"}}, none)
	if len(items) != 2 || len(items[0].Opens) != 1 || items[0].When != "yes" || items[0].Opens[0].Field.Name != "f.shunt_surgery_months.n.fresh" {
		t.Errorf("%+v", items)
	}
}

// TestKeep: what was typed comes back, right or wrong.
func TestKeep(t *testing.T) {
	asks := []questions.Ask{{ID: "stand_s"}, {ID: "push_out"}, {ID: "ankle_deg"}}
	typed := questions.Read(send("f.stand_s.n.fresh", "long", "f.push_out.l.fresh", "2", "f.ankle_deg.r.fresh", "na"), asks)
	items := typed.Keep(questions.Items(asks, none))
	if f := items[0].Field; f.Value != "long" || f.Problem == "" {
		t.Errorf("%+v", f)
	}
	for _, row := range items[1].Matrix.Rows {
		if row.Left[0].On != (row.Left[0].Value == "2") || row.Right[0].On {
			t.Errorf("%+v", row)
		}
	}
	if f := items[2].Pair.Right; f.Value != "" || !f.Extra[0].On || f.Extra[0].Value != "na" {
		t.Errorf("%+v", f)
	}
}
