package progress

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os/exec"
	"testing"

	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/source"
)

// Debian's own Python, where python3-scipy puts SciPy.
const python = "/usr/bin/python3"

// integrate is the model written again from its description, in another
// language.
//
//go:embed testdata/integrate.py
var integrate string

// asked is an attempt as the script reads it.
type asked struct {
	Lesson  string  `json:"lesson"`
	Day     int     `json:"day"`
	Skill   string  `json:"skill"`
	Side    string  `json:"side"`
	Aids    string  `json:"aids"`
	Help    int     `json:"help"`
	Rank    int     `json:"rank"`
	Minute  float64 `json:"minute"`
	Outcome string  `json:"outcome"`
}

type askedHistory struct {
	Attempts []asked `json:"attempts"`
	Ask      asked   `json:"ask"`
}

func ask(l *ladder.Ladder, a Attempt) asked {
	s, _ := l.Skill(a.Skill)
	_, at, _ := l.Terrain(a.Terrain)
	_, home, _ := l.Terrain(s.Place.ID)
	return asked{a.Lesson, a.Day, a.Skill, a.Side.Word(), a.Aids.Key(), a.Help, at - home, a.Minute, a.Outcome.String()}
}

// TestSciPy: the chance of a clean attempt with one level less help, in the next
// lesson, against SciPy's integration of the whole posterior, to 1e-3.
func TestSciPy(t *testing.T) {
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("python3-scipy from Debian is not here (%v %s), so the model is not compared with SciPy", err, bytes.TrimSpace(out))
	}
	l := ladder.Standing()
	r := rand.New(rand.NewPCG(21, 22))
	figures := map[string]float64{}
	for _, id := range []string{"usual", "help", "help_middle", "terrain", "minute", "partly", "student", "lesson", "skill", "side", "skill_side", "set_up", "own_help", "fade_student", "fade_skill"} {
		figures[id] = source.Value("progress_" + id)
	}
	var jobs []askedHistory
	var got []float64
	for len(jobs) < 40 {
		var h []Attempt
		for i := range 1 + r.IntN(3) {
			var text string
			for range 1 + r.IntN(5) {
				text += string("cpm"[r.IntN(3)]) + digit(2+i) + " "
			}
			side, skill := finding.Left+finding.Side(r.IntN(2)), []string{"K23", "K25"}[r.IntN(2)]
			one := try("l"+digit(i), 9*i, skill, side, []string{"beginner", "novice"}[r.IntN(2)], text)
			if r.IntN(3) == 0 {
				for q := range one {
					one[q].Aids.Tie = "elastic"
				}
			}
			h = append(h, one...)
		}
		last := h[len(h)-1]
		now := Now{Day: last.Day + r.IntN(40)}
		line := lineOf(t, read(t, h, now), last.Skill, last.Side)
		next := last
		next.Help, next.Day, next.Lesson, next.Minute = line.Estimate.Less.Help, now.Day, "next", 0
		job := askedHistory{Ask: ask(l, next)}
		for _, a := range h {
			job.Attempts = append(job.Attempts, ask(l, a))
		}
		jobs, got = append(jobs, job), append(got, line.Estimate.Less.Clean)
	}
	in, err := json.Marshal(map[string]any{"figures": figures, "histories": jobs})
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "-c", integrate)
	cmd.Stdin = bytes.NewReader(in)
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, errs.String())
	}
	var want []float64
	if err := json.Unmarshal(out, &want); err != nil || len(want) != len(got) {
		t.Fatal(err, len(want))
	}
	worst := 0.0
	for i := range want {
		if d := math.Abs(got[i] - want[i]); d > 1e-3 {
			t.Errorf("history %d: %.6f, SciPy %.6f: %+v", i, got[i], want[i], jobs[i])
		} else {
			worst = max(worst, d)
		}
	}
	t.Logf("worst of %d: %.1e", len(want), worst)
}
