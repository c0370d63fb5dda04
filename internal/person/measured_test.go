package person

import (
	"os"
	"strings"
	"testing"

	"firnhand/core/finding"
)

func TestMeasured(t *testing.T) {
	p, err := Read([]byte(`
person: {height_cm: 168, mass_kg: 62}
measured:
  sex: f
  wrist_crease_boots_mm: {L: 815 mm, R: 820}
  upper_arm_mm: 320
  boot_ski_lift_mm: 71
  hip_breadth_mm: unknown
  toes_touch: {R: yes}
  limb_loss:
    - {side: L, level: transtibial, residual_mm: 160, prosthesis_kg: 1.8, prosthesis_balance_mm: 210}
    - side: R
      level: hand
      prosthesis: none
  holes:
    L: {first_mm: 700, step_mm: 25, count: 10, plate_kg: 90}
`))
	if err != nil {
		t.Fatal(err)
	}
	m := p.Measured
	if v, ok := m.Side("wrist_crease_boots_mm", finding.Right); !ok || v != 820 {
		t.Errorf("right crease %g, %v", v, ok)
	}
	for _, s := range []finding.Side{finding.Left, finding.Right} {
		if v, ok := m.Side("upper_arm_mm", s); !ok || v != 320 {
			t.Errorf("one number stands for both upper arms: %g, %v", v, ok)
		}
	}
	if v, ok := m.Number("boot_ski_lift_mm"); !ok || v != 71 {
		t.Errorf("lift %g, %v", v, ok)
	}
	if _, ok := m.Number("hip_breadth_mm"); ok {
		t.Error("unknown counts as measured")
	}
	if a := m.Answer("toes_touch", finding.Right); a == nil || !*a || m.Answer("toes_touch", finding.Left) != nil {
		t.Error("toes touch on the right only")
	}
	if m.Sex != "F" || len(m.LimbLoss) != 2 || !m.LimbLoss[0].Worn || m.LimbLoss[1].Worn || *m.LimbLoss[0].BalanceMM != 210 {
		t.Errorf("%+v", m)
	}
	if h := m.Holes.Left; h == nil || h.Count != 10 || h.PlateKg == nil || m.Holes.Right != nil {
		t.Errorf("holes %+v", m.Holes)
	}
	// A file without the block is read as before, and asks nothing.
	q, err := Read([]byte("person: {height_cm: 168}"))
	if err != nil || q.Measured != nil {
		t.Fatalf("%+v, %v", q, err)
	}
	if _, ok := q.Measured.Number("hip_breadth_mm"); ok || q.Measured.Answer("closes", finding.Left) != nil {
		t.Error("nothing was measured")
	}
}

func TestMeasuredRefusals(t *testing.T) {
	for _, x := range []struct{ lines, code string }{
		{"upper_arm: 320", "unknown_key"},
		{"upper_arm_mm: long", "not_a_number"},
		{"upper_arm_mm: {L: .inf}", "not_a_number"},
		{"upper_arm_mm: 32", "out_of_range"},
		{"upper_arm_mm: {L: -320}", "out_of_range"},
		{"upper_arm_mm: {X: 320}", "invalid"},
		{"hip_breadth_mm: [1, 2]", "invalid"},
		{"sex: other", "unknown_level"},
		{"closes: maybe", "unknown_level"},
		{"holes: 12", "invalid"},
		{"holes: {first_mm: 700, step_mm: 25, count: 2.5}", "out_of_range"},
		{"holes: {first_mm: 700, step_mm: 25, holes: 3}", "unknown_key"},
		{"limb_loss: [{side: middle, level: foot}]", "wrong_side"},
		{"limb_loss: [{level: foot}]", "invalid"},
		{"limb_loss: [{side: L, level: foot, length: 3}]", "unknown_key"},
		{"limb_loss: [{side: L, level: foot, prosthesis_kg: -1}]", "out_of_range"},
		{"limb_loss: [{side: L, level: foot, prosthesis_kg: 1, prosthesis: none}]", "given_twice"},
	} {
		_, err := Read([]byte("measured:\n  " + x.lines + "\n"))
		p, ok := err.(Problems)
		if !ok || p[0].Code != x.code || p[0].Line < 2 || !strings.ContainsAny(p[0].Sentence[len(p[0].Sentence)-1:], ".?") {
			t.Errorf("%s: %v, want %s on its line", x.lines, err, x.code)
		}
	}
}

// The manual lists every key of the block, word for word.
func TestManualListsWhatIsMeasured(t *testing.T) {
	b, err := os.ReadFile("../../docs/reference/person-file.md")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(b), MeasuredTable()) {
		t.Errorf("docs/reference/person-file.md lacks this table:\n%s", MeasuredTable())
	}
}
