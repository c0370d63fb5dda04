package programme

import (
	"slices"

	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/progress"
)

// The kinds of fact of a lesson and what is tried in it.
const (
	KindLessonOpened Kind = "lesson_opened" // LessonOpened; the fact's id is the lesson's id
	KindLessonClosed Kind = "lesson_closed" // LessonClosed with the handover as it was signed; the latest stands
	KindAttempt      Kind = "attempt"       // AttemptMade: one try at a skill
)

// LessonOpened is the payload of a KindLessonOpened fact.
type LessonOpened struct {
	Day     Date     `json:"day"`
	Lead    ID       `json:"lead,omitempty"`    // staff member who leads; "" for the fact's author
	Helpers []string `json:"helpers,omitempty"` // names used
	Goal    string   `json:"goal,omitempty"`    // today's, in the student's words
	Way     string   `json:"way"`               // as the rule table names it: "outriggers"
	Tie     string   `json:"tie,omitempty"`     // "" and "none" are no tie
	SetUp   ID       `json:"set_up,omitempty"`  // the version of the sheet the student stands in
	Terrain string   `json:"terrain,omitempty"` // where it begins, an id of the ladder
	Planned int      `json:"planned_min,omitempty"`
}

// AttemptMade is the payload of a KindAttempt fact: one try at a skill, with
// the set-up at the time.
type AttemptMade struct {
	Lesson  ID       `json:"lesson,omitempty"` // "": the day of the fact is the lesson
	Skill   string   `json:"skill"`            // id of the ladder
	Side    string   `json:"side"`             // none, left, right; the student's
	Help    int      `json:"help"`             // level, 7 full to 0 independent
	Outcome string   `json:"outcome"`          // miss, partly, clean
	Terrain string   `json:"terrain"`          // id of the ladder
	Way     string   `json:"way"`
	Tie     string   `json:"tie,omitempty"`
	Minutes *int     `json:"minutes,omitempty"` // into the lesson
	Helper  string   `json:"helper,omitempty"`  // name used
	Cue     string   `json:"cue,omitempty"`     // touch, show, tell, or own words
	Trouble []string `json:"trouble,omitempty"` // of progress.Troubles
	Poor    bool     `json:"poor,omitempty"`    // ice, slush, crowd or flat light
}

// LessonClosed is the payload of a KindLessonClosed fact.
type LessonClosed struct {
	Lesson    ID             `json:"lesson"`
	OnSnow    *int           `json:"on_snow_min,omitempty"`
	Handover  []HandoverLine `json:"handover"`               // the ten lines as they stood
	Reached   *int           `json:"goal_reached,omitempty"` // -2 far less than hoped to +2 far more
	Before    *int           `json:"mood_before,omitempty"`  // 1 to 5
	After     *int           `json:"mood_after,omitempty"`   // 1 to 5
	Volunteer float64        `json:"volunteer_h,omitempty"`  // hours of helpers who are not paid
	// ReinsReason is why reins were not slackened, where that is asked for.
	ReinsReason string `json:"reins_reason,omitempty"`
}

// AttemptState is one attempt as it stands.
type AttemptState struct {
	Provenance
	AttemptMade
}

// LessonState is one lesson.
type LessonState struct {
	ID ID
	LessonOpened
	Provenance
	Closed  bool
	Closing Provenance // when Closed
	LessonClosed
	Attempts int // that stand
}

// Limits of a lesson.
const (
	MaxHelpers   = 6
	MaxLessonMin = 600
)

// ladderOf is the ladder that attempts are read against.
func ladderOf() *ladder.Ladder { return ladder.Standing() }

func (l *LessonOpened) check(today Date) error {
	switch {
	case l.Day.IsZero():
		return Refuse(CodeInvalid, "The day of the lesson is missing.")
	case l.Day.After(today):
		return Refuse(CodeInvalid, "The day of the lesson, %s, is in the future.", l.Day)
	case l.Planned < 0 || l.Planned > MaxLessonMin:
		return Refuse(CodeInvalid, "A lesson is planned for at most %d minutes.", MaxLessonMin)
	case len(l.Helpers) > MaxHelpers:
		return Refuse(CodeInvalid, "A lesson has at most %d helpers.", MaxHelpers)
	}
	for i := range l.Helpers {
		if err := text("The name of a helper", &l.Helpers[i], MaxName, true, false); err != nil {
			return err
		}
	}
	for _, id := range []ID{l.Lead, l.SetUp} {
		if id == "" {
			continue
		}
		if err := id.Check(); err != nil {
			return err
		}
	}
	if l.Terrain != "" {
		if _, _, ok := ladderOf().Terrain(l.Terrain); !ok {
			return Refuse(CodeUnknown, "There is no terrain called %q.", clip(l.Terrain))
		}
	}
	aids := ladder.Aids{Way: l.Way, Tie: l.Tie}.Clean()
	if err := aids.Check(); err != nil {
		return Refuse(CodeInvalid, "%s", err)
	}
	return text("Today's goal", &l.Goal, MaxShort, false, false)
}

// attempt is what core reads. lesson and day name the lesson it counts to,
// minutes is where in it, progress.MinuteUnknown where nobody knows.
func (a AttemptMade) attempt(lesson string, day int, minutes float64) (progress.Attempt, error) {
	o, err := progress.ParseOutcome(a.Outcome)
	if err != nil {
		return progress.Attempt{}, Refuse(CodeInvalid, "%s", err)
	}
	side := map[string]finding.Side{"none": finding.NoSide, "left": finding.Left, "right": finding.Right}
	s, ok := side[a.Side]
	if !ok {
		return progress.Attempt{}, Refuse(CodeInvalid, "A side is none, left or right, not %q.", clip(a.Side))
	}
	out := progress.Attempt{Attempt: ladder.Attempt{Skill: a.Skill, Side: s, Terrain: a.Terrain, Help: a.Help, Aids: ladder.Aids{Way: a.Way, Tie: a.Tie}.Clean()},
		Outcome: o, Lesson: lesson, Day: day, Minute: minutes, Helper: a.Helper, Cue: a.Cue, Poor: a.Poor}
	for _, name := range a.Trouble {
		t, err := progress.ParseTrouble(name)
		if err != nil {
			return progress.Attempt{}, Refuse(CodeInvalid, "%s", err)
		}
		out.Trouble |= t
	}
	return out, nil
}

// check refuses what no attempt can be, such as a sidestep with a tie on.
func (a *AttemptMade) check() error {
	if a.Side == "" {
		a.Side = "none"
	}
	if a.Lesson != "" {
		if err := a.Lesson.Check(); err != nil {
			return err
		}
	}
	if a.Minutes != nil && (*a.Minutes < 0 || *a.Minutes > MaxLessonMin) {
		return Refuse(CodeInvalid, "The minutes into the lesson lie between 0 and %d.", MaxLessonMin)
	}
	for _, err := range []error{text("The helper", &a.Helper, MaxName, false, false), text("The cue", &a.Cue, MaxName, false, false)} {
		if err != nil {
			return err
		}
	}
	one, err := a.attempt("lesson", 0, progress.MinuteUnknown)
	if err != nil {
		return err
	}
	if err := ladderOf().Admit(one.Attempt); err != nil {
		return Refuse(CodeInvalid, "%s", err)
	}
	return nil
}

// takeLesson adds lessons, attempts and incidents to a record. mine is false
// for facts of other kinds.
func (p *projection) takeLesson(root ID, f Fact, from Provenance) (ok, mine bool) {
	switch f.Kind {
	case KindLessonOpened:
		l := LessonState{ID: root, Provenance: from}
		if ok = f.Read(&l.LessonOpened) == nil; ok {
			p.r.Lessons = append(p.r.Lessons, l)
		}
	case KindLessonClosed:
		var c LessonClosed
		if ok = f.Read(&c) == nil; !ok {
			break
		}
		if i := slices.IndexFunc(p.r.Lessons, func(l LessonState) bool { return l.ID == c.Lesson }); i >= 0 {
			p.r.Lessons[i].Closed, p.r.Lessons[i].Closing, p.r.Lessons[i].LessonClosed = true, from, c
		}
	case KindAttempt:
		a := AttemptState{Provenance: from}
		if ok = f.Read(&a.AttemptMade) == nil; ok {
			p.r.Attempts = append(p.r.Attempts, a)
		}
	case KindIncident, KindWitness: // read with the others, by IncidentsOf
		return true, true
	default:
		return true, false
	}
	return ok, true
}
