package entry_test

import (
	"math"
	"testing"

	"firnhand/core/entry"
)

// What is refused and how it is said is the house's own.
func TestBound(t *testing.T) {
	shut, open := entry.Within("The angle", -1, 2, "between -1 and 2"), entry.Above("The mass", 0, 9, "above 0 and at most 9 kg")
	for _, c := range []struct {
		b    entry.Bound
		v    float64
		code string
	}{
		{shut, -1, ""}, {shut, 2, ""}, {shut, 0, ""}, {shut, -1.001, "out_of_range"}, {shut, 2.001, "out_of_range"},
		{shut, math.NaN(), "not_a_number"}, {shut, math.Inf(1), "not_a_number"}, {shut, math.Inf(-1), "not_a_number"},
		{open, 0, "out_of_range"}, {open, math.SmallestNonzeroFloat64, ""}, {open, 9, ""}, {open, 10, "out_of_range"},
	} {
		err := c.b.Check(1, c.v)
		if got := code(err); got != c.code {
			t.Errorf("%v: %q, want %q", c.v, got, c.code)
		}
	}
	if err := open.Check(-1); err.Error() != "The mass must be above 0 and at most 9 kg; check the value and its unit." {
		t.Errorf("said %q", err)
	}
	for _, c := range []struct {
		value, low, high float64
		code             string
	}{{1, 0, 2, ""}, {1, 1, 1, ""}, {1, 1.5, 2, "order"}, {1, 0, 0.5, "order"}, {1, -2, 2, "out_of_range"}, {1, 0, math.NaN(), "not_a_number"}} {
		if got := code(shut.Range(c.value, c.low, c.high)); got != c.code {
			t.Errorf("%+v: %q", c, got)
		}
	}
}

func code(err *entry.Error) string {
	if err == nil {
		return ""
	}
	return err.Code
}

// The first refusal comes through, and none is no error.
func TestFirst(t *testing.T) {
	if err := entry.First(nil, nil); err != nil {
		t.Errorf("nothing refused, but %v", err)
	}
	a, b := entry.Refuse("a", "A."), entry.Refuse("b", "B.")
	if err := entry.First(nil, a, b); err != a {
		t.Errorf("the first is %v", err)
	}
}
