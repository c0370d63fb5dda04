package finding_test

import (
	"errors"
	"math"
	"strconv"
	"testing"
	"unicode/utf8"

	"firnhand/core/finding"
)

// exact writes a number so that it reads back bit for bit.
func exact(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

// FuzzParse: whatever is written, Parse answers with a value inside its scale
// or with a refusal, and what it accepts it reads again from its own writing.
func FuzzParse(f *testing.F) {
	for _, d := range finding.All() {
		for _, l := range d.Levels {
			f.Add(d.ID, byte(1), byte(0), l.ID)
		}
	}
	for _, s := range []string{"", "na", "unknown", "NaN", "Inf", "1e999", "-0", "0x1p4", "1_0", "12 s", "\x00", "\xff\xfe", "١٢", "60.0000000001"} {
		f.Add("stand_s", byte(0), byte(1), s)
		f.Add("push_out", byte(2), byte(1), s)
		f.Add("cue", byte(0), byte(0), s)
		f.Add(s, byte(0), byte(0), s)
	}
	f.Fuzz(func(t *testing.T, id string, side, state byte, text string) {
		k := finding.Key{ID: id, Side: finding.Side(side % 3), State: finding.State(state % 2)}
		v, err := finding.Parse(k.ID, k.Side, k.State, text)
		if err != nil {
			var refused *finding.Error
			if !errors.As(err, &refused) || refused.Code == "" || refused.Sentence == "" || v != (finding.Value{}) {
				t.Fatalf("%+v %v", v, err)
			}
			if !utf8.ValidString(refused.Sentence) && utf8.ValidString(id+text) {
				t.Fatalf("%q breaks characters", refused.Sentence)
			}
			return
		}
		d, ok := finding.Lookup(id)
		if !ok {
			t.Fatal("accepted what the vocabulary does not know")
		}
		if v.Kind == finding.Known {
			switch d.Scale {
			case finding.Number:
				if math.IsNaN(v.X) || v.X < d.Min || v.X > d.Max {
					t.Fatalf("%s = %v", id, v.X)
				}
			case finding.Text:
				if len(v.Text) > finding.MaxText {
					t.Fatalf("%d characters", len(v.Text))
				}
			default:
				if i := int(v.X); float64(i) != v.X || i < 0 || i >= len(d.Levels) {
					t.Fatalf("%s level %v", id, v.X)
				}
			}
		}
		finding.Say(d, v)
		again, err := finding.Parse(k.ID, k.Side, k.State, finding.Format(d, v))
		if err != nil || again.Kind != v.Kind || again.Text != v.Text || math.Abs(again.X-v.X) > 0.0005001 {
			t.Fatalf("%s: %+v is written %q and reads %+v %v", k, v, finding.Format(d, v), again, err)
		}
		s := finding.Set{k: v}
		if got := s.Mirror().Mirror()[k]; got != v && !math.IsNaN(v.X) {
			t.Fatalf("mirrored twice: %+v", got)
		}
	})
}
