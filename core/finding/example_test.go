package finding_test

import (
	"fmt"

	"firnhand/core/finding"
)

// A value is put under the finding's id, the student's side and, where tiring
// changes it, the state.
func ExampleSet_Put() {
	s := finding.Set{}
	_ = s.PutBoth("push_out", finding.Left, "4")
	_ = s.Put("push_out", finding.Left, finding.Tired, "2")
	err := s.Put("push_uot", finding.Right, finding.Fresh, "3")
	for _, k := range s.Keys() {
		d, _ := finding.Lookup(k.ID)
		fmt.Printf("%s: %s\n", k, finding.Say(d, s[k]))
	}
	fmt.Println(err)
	// Output:
	// push_out L: holds a flat-hand push
	// push_out L tired: gives to a touch
	// There is no finding called "push_uot". Did you mean push_out?
}

// What is out of the question is refused with a sentence, never stored.
func ExampleParse() {
	for _, text := range []string{"12 s", "unknown", "75"} {
		v, err := finding.Parse("stand_s", finding.NoSide, finding.Fresh, text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		d, _ := finding.Lookup("stand_s")
		fmt.Println(finding.Say(d, v))
	}
	// Output:
	// 12 s
	// not known
	// Free standing (stand_s) is 75 s; it must lie between 0 and 60.
}

// Silence stands for normal only where an instructor looked and noted nothing;
// what has to be measured stays unknown.
func ExampleSet_FillNormal() {
	s := finding.Set{}
	filled := s.FillNormal(func(d *finding.Def) bool { return d.Test == "4" || d.Test == "11" })
	fmt.Println(filled)
	fmt.Println(s.Get("trunk", finding.NoSide, finding.Fresh).Kind == finding.Unknown)
	// Output:
	// [leg]
	// true
}

// Mirroring swaps the sides of a person, also where a value names one.
func ExampleSet_Mirror() {
	s := finding.Set{}
	_ = s.Put("grip", finding.Left, finding.Fresh, "1")
	_ = s.Put("field_gap", finding.NoSide, finding.Fresh, "left")
	for _, k := range s.Mirror().Keys() {
		d, _ := finding.Lookup(k.ID)
		fmt.Println(k, finding.Format(d, s.Mirror()[k]))
	}
	// Output:
	// grip R 1
	// field_gap right
}
