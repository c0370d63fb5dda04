package programme

import (
	"fmt"
	"slices"
	"strings"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/progress"
)

// Season is one student's season as it is drawn.
type Season struct {
	From   Date
	Days   []Date // of the lessons, oldest first
	Skills []SeasonSkill
}

// SeasonSkill is one skill through the lessons.
type SeasonSkill struct {
	Skill, Name string
	Sides       []SeasonSide
}

// SeasonSide is one side of it: the least help of a clean attempt in each
// lesson, -1 where it was not tried or never clean.
type SeasonSide struct {
	Side   string // "none", "left", "right"
	Words  string
	Level  []int
	Missed []bool // tried, and never clean
	Last   int    // the last level; -1 where there is none
}

// Points counts the lessons with a level.
func (s SeasonSide) Points() int {
	n := 0
	for _, l := range s.Level {
		if l >= 0 {
			n++
		}
	}
	return n
}

// SeasonOf lays a record's attempts out by lesson from a day on, the furthest
// skill first, at most so many skills. Attempts with other aids stand in the
// same row: what changed is the help. It is pure.
func SeasonOf(r Record, from Date, most int) Season {
	s := Season{From: from}
	at := map[string]int{}
	h := r.History()
	for _, a := range h.Attempts {
		day := dateOfNumber(a.Day)
		if _, ok := at[a.Lesson]; !ok && !day.Before(from) {
			at[a.Lesson] = len(s.Days)
			s.Days = append(s.Days, day)
		}
	}
	l := ladderOf()
	for _, skill := range slices.Backward(l.Skills()) {
		one := SeasonSkill{Skill: skill.ID, Name: skill.Name}
		for _, side := range []finding.Side{finding.NoSide, finding.Left, finding.Right} {
			line := SeasonSide{Side: "none", Words: side.Word(), Level: make([]int, len(s.Days)), Missed: make([]bool, len(s.Days)), Last: -1}
			if side != finding.NoSide {
				line.Side = side.Word()
			}
			for i := range line.Level {
				line.Level[i] = -1
			}
			tried := false
			for _, a := range h.Attempts {
				i, ok := at[a.Lesson]
				if !ok || a.Skill != skill.ID || a.Side != side {
					continue
				}
				tried = true
				switch {
				case a.Outcome != progress.Clean:
					line.Missed[i] = line.Missed[i] || line.Level[i] < 0
				case line.Level[i] < 0 || a.Help < line.Level[i]:
					line.Level[i], line.Missed[i] = a.Help, false
				}
			}
			for _, level := range line.Level {
				if level >= 0 {
					line.Last = level
				}
			}
			if tried {
				one.Sides = append(one.Sides, line)
			}
		}
		if len(one.Sides) > 0 && len(s.Skills) < most {
			s.Skills = append(s.Skills, one)
		}
	}
	return s
}

// Family is one plain page for the student and the family.
type Family struct {
	Name      string
	Goal      string
	Lessons   int
	Does      []string // what they do now, furthest first
	Next      []string
	Kit       []string
	Photo     bool // a photo may be put on it
	PhotoSays string
}

// helpWords say a help level to a family.
var helpWords = []string{"alone", "with somebody close by", "with slack reins", "with reins", "with a light hold", "with a firm hold", "with two people holding", "with helpers who move skis and body"}

// doesMost is how many skills a family page tells.
const doesMost = 6

// FamilyOf says in plain words what was reached and what is next. Nothing of
// health stands in it. It is pure.
func FamilyOf(t *decide.Table, r Record, n progress.Numbers, from Date) (Family, error) {
	d := DecisionOf(t, r)
	f := Family{Name: r.NameUsed}
	if v := d.Input.Findings.Get("goal", finding.NoSide, finding.Fresh); v.Kind == finding.Known {
		f.Goal = v.Text
	}
	photo := r.ConsentOf(ConsentPhoto)
	f.Photo, f.PhotoSays = photo.Valid, "No photo: nobody agreed to photos."
	if photo.Valid {
		f.PhotoSays = "A photo may be put here: photos were agreed to."
	}
	s := SeasonOf(r, from, doesMost)
	f.Lessons = len(s.Days)
	for _, skill := range s.Skills {
		var parts []string
		for _, side := range skill.Sides {
			best := 8
			for _, level := range side.Level {
				if level >= 0 {
					best = min(best, level)
				}
			}
			if best < len(helpWords) {
				k, _ := ladderOf().Skill(skill.Skill)
				parts = append(parts, strings.TrimSpace(k.SideWords(sideOfWord(side.Side))+" "+helpWords[best]))
			}
		}
		if len(parts) > 0 {
			f.Does = append(f.Does, upperFirst(skill.Name)+": "+strings.Join(parts, ", "))
		}
	}
	read, h, err := ProgressOf(r, n)
	if err != nil {
		return f, err
	}
	f.next(read, h)
	if a, ok := r.AidsOf(h); ok {
		f.Kit = append(f.Kit, upperFirst(a.Words()))
	}
	if set, ok := r.SetUp(); ok {
		f.Kit = append(f.Kit, signedSetUp(set)...)
	}
	return f, nil
}

// next names the skill that is worked on, and the next one of the ladder that is
// open.
func (f *Family) next(read *progress.Reading, h History) {
	l := ladderOf()
	for _, line := range slices.Backward(read.Lines) {
		s, ok := l.Skill(line.Skill)
		if ok && line.Current && line.Attempts > 0 && s.ID != chair && s.ID != carpet && line.Last.Help > 0 {
			f.Next = append(f.Next, fmt.Sprintf("%s with less help", upperFirst(s.Name)))
			break
		}
	}
	if len(h.Attempts) == 0 {
		return
	}
	board, err := l.Open(ladder.Setup{Aids: h.Attempts[len(h.Attempts)-1].Aids}, read.Passes)
	if err != nil {
		return
	}
	for _, e := range slices.Backward(board.Entries) {
		if e.State == ladder.Open {
			f.Next = append(f.Next, "New: "+e.Skill.Name)
			return
		}
	}
}

// sideOfWord reads a side as the records write it.
func sideOfWord(s string) finding.Side {
	switch s {
	case "left":
		return finding.Left
	case "right":
		return finding.Right
	}
	return finding.NoSide
}

// SeasonFrom is the first day of the season that a record's day lies in.
func (r Record) SeasonFrom() Date {
	month := r.numbers.SeasonMonth
	if month == 0 {
		month = NumbersOf(nil).SeasonMonth
	}
	return seasonStart(r.Day, month)
}
