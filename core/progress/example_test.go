package progress_test

import (
	"fmt"

	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/progress"
)

// traverses is a lesson of traverses to the left: clean four times with a light
// hold, after a miss.
func traverses() []progress.Attempt {
	var out []progress.Attempt
	for i, o := range []progress.Outcome{progress.Miss, progress.Partly, progress.Clean, progress.Clean, progress.Clean} {
		out = append(out, progress.Attempt{
			Attempt: ladder.Attempt{Skill: "K23", Side: finding.Left, Terrain: "beginner", Help: 4, Aids: ladder.Aids{Way: "outriggers"}},
			Outcome: o, Lesson: "first", Day: 1, Minute: float64(3 * i),
		})
	}
	return out
}

func ExampleJudge() {
	r, err := progress.Judge(ladder.Standing(), nil, traverses(), progress.Now{Lesson: "first", Day: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	a := r.Standings[0].Advice
	fmt.Println(a.Help, a.Change, a.Reasons[0].Rule)
	fmt.Println(a.Reasons[0].Says)
	// Output:
	// 3 less A1
	// 3 clean in a row, fresh, at help level 4 on the same terrain: one level less help.
}

func ExampleRead() {
	r, err := progress.Read(ladder.Standing(), nil, traverses(), progress.Now{Day: 8})
	if err != nil {
		fmt.Println(err)
		return
	}
	l := r.Lines[0]
	fmt.Println(l.Advice.Help, l.Advice.Reasons[0].Says)
	fmt.Printf("help level %d: %.0f %% clean, between %.0f and %.0f\n", l.Estimate.Less.Help, 100*l.Estimate.Less.Clean, 100*l.Estimate.Less.Low, 100*l.Estimate.Less.High)
	fmt.Println(l.Estimate.Enough)
	// Output:
	// 4 A lesson begins one level above where this stands, which is 3.
	// help level 3: 45 % clean, between 13 and 81
	// true
}

func ExamplePasses() {
	passes, err := progress.Passes(ladder.Standing(), traverses())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range passes {
		fmt.Println(p.Skill, p.Side.Word(), "help level", p.Help, p.Aids.Words())
	}
	// Output:
	// K23 left help level 4 with outriggers
}

func ExampleParseOutcome() {
	o, err := progress.ParseOutcome("partly")
	fmt.Println(o, err)
	_, err = progress.ParseOutcome("nearly")
	fmt.Println(err)
	// Output:
	// partly <nil>
	// An outcome is miss, partly or clean, not "nearly".
}
