package demo

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"crypto/sha256"

	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/progress"
	"firnhand/programme"
)

type lessonsFile struct {
	Lessons   []lessonsOf    `yaml:"lessons"`
	Incidents []incidentFile `yaml:"incidents"`
}

// lessonsOf is how one student learns with one set-up.
type lessonsOf struct {
	Student    string   `yaml:"student"`
	Way        string   `yaml:"way"`
	Tie        string   `yaml:"tie"`
	Ability    float64  `yaml:"ability"` // log odds of clean at level 3
	Gain       float64  `yaml:"gain"`    // a lesson
	Weak       string   `yaml:"weak"`
	Lacks      float64  `yaml:"lacks"` // log odds that the weak side lacks
	Minutes    int      `yaml:"minutes"`
	KnownMin   int      `yaml:"known_min"`
	Helpers    []string `yaml:"helpers"`
	FirstLevel int      `yaml:"first_level"`
	Path       []string `yaml:"path"`
	Tires      string   `yaml:"tires"`
	From       string   `yaml:"from"`
	Until      string   `yaml:"until"`
	CarpetFrom string   `yaml:"carpet_from"`
	ChairFrom  string   `yaml:"chair_from"`
	Skip       []string `yaml:"skip"` // days with a note and without a lesson on snow
}

type incidentFile struct {
	Student   string       `yaml:"student"`
	By        string       `yaml:"by"`
	On        string       `yaml:"on"`
	NearMiss  bool         `yaml:"near_miss"`
	Time      string       `yaml:"time"`
	Where     string       `yaml:"where"`
	What      string       `yaml:"what"`
	Hurt      string       `yaml:"hurt"`
	Head      string       `yaml:"head"`
	Patrol    string       `yaml:"patrol"`
	SetUp     string       `yaml:"set_up"`
	StoppedBy string       `yaml:"stopped_by"`
	Tags      []string     `yaml:"tags"`
	Witness   *witnessFile `yaml:"witness"`
	Back      *backFile    `yaml:"back"`
}

type witnessFile struct {
	By   string `yaml:"by"`
	Text string `yaml:"text"`
}

type backFile struct {
	By     string `yaml:"by"`
	On     string `yaml:"on"`
	Reason string `yaml:"reason"`
}

// lessons reads lessons.yaml and makes the lessons of every day that has a note
// about one.
func (r *reader) lessons(fsys fs.FS) error {
	var f lessonsFile
	if err := unmarshal(fsys, "lessons.yaml", &f); err != nil {
		return err
	}
	learners := map[string]*learner{}
	for _, of := range f.Lessons {
		if err := r.taught(fsys, of, learners); err != nil {
			return fmt.Errorf("%s: %w", of.Student, err)
		}
	}
	for i, one := range f.Incidents {
		if err := r.incident(i, one); err != nil {
			return fmt.Errorf("%s: %w", one.On, err)
		}
	}
	return nil
}

// taught makes the lessons of one student with one set-up.
func (r *reader) taught(fsys fs.FS, of lessonsOf, learners map[string]*learner) error {
	st, ok := r.p.StudentByKey(of.Student)
	if !ok {
		return fmt.Errorf("there is no such student")
	}
	var file studentFile
	if err := unmarshal(fsys, "students/"+of.Student+".yaml", &file); err != nil {
		return err
	}
	l := learners[of.Student]
	if l == nil {
		l = newLearner(of.Student)
		learners[of.Student] = l
	}
	l.lessonsOf = of
	had := map[string]bool{}
	for _, e := range file.Season {
		day, _, _ := strings.Cut(e.On, " ")
		if e.Note == nil || e.Note.About != "lesson" || had[day] || slices.Contains(of.Skip, day) || day < "2025-12-01" || day < of.From || of.Until != "" && day > of.Until {
			continue
		}
		had[day] = true
		noted, err := r.moment(e.On)
		if err != nil {
			return err
		}
		by, err := r.person(e.By)
		if err != nil {
			return err
		}
		r.teach(st, l, by, noted.Add(-time.Duration(of.Minutes+5)*time.Minute))
	}
	return nil
}

// fitting is how many minutes pass until a lesson is on snow.
const fitting = 15

// teach adds the steps of one lesson, which is opened on snow.
func (r *reader) teach(st Student, l *learner, by Staff, at time.Time) {
	name := fmt.Sprintf("student/%s/lesson/%s", st.Key, at.Format("2006-01-02"))
	at = at.Add(fitting * time.Minute)
	lesson := id(at, name)
	day := programme.DateOf(at)
	open := programme.LessonOpened{Day: day, Lead: by.ID, Helpers: l.Helpers, Way: l.Way, Tie: l.Tie, Terrain: l.terrain(), Planned: l.Minutes}
	r.add(at, name+": opened", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.OpenLesson(ctx, by.Actor(), m, st.ID, open)
	}, programme.Made{ID: lesson})
	items := l.lesson(st, by, lesson, at)
	end := at.Add(time.Duration(l.Minutes-fitting) * time.Minute)
	r.p.steps = append(r.p.steps, step{end, name + ": what was seen", func(ctx context.Context, uc programme.UseCases) ([]programme.Receipt, error) {
		return brought(uc.TakeFromPhone(ctx, by.Actor(), items))
	}})
	closing, tires, gain := id(end, name+"/closed"), l.Tires, l.Helpers
	minutes := l.Minutes - 25 // fitting, rests
	r.p.steps = append(r.p.steps, step{end.Add(4 * time.Minute), name + ": closed", func(ctx context.Context, uc programme.UseCases) ([]programme.Receipt, error) {
		got, err := closeLesson(ctx, uc, by, st.ID, lesson, closing, minutes, float64(len(gain))*float64(minutes)/60, tires)
		return []programme.Receipt{got}, err
	}})
}

// brought makes receipts of what became of items from a phone.
func brought(outcomes []programme.PhoneOutcome) ([]programme.Receipt, error) {
	var out []programme.Receipt
	for _, o := range outcomes {
		if o.Outcome != programme.Created && o.Outcome != programme.Exists {
			return nil, programme.Refuse(o.Code, "%s", o.Sentence)
		}
		out = append(out, programme.Receipt{ID: o.ID, Outcome: o.Outcome, Seq: o.Seq})
	}
	return out, nil
}

// closeLesson hands a lesson on as its instructor would: the computed lines, and
// words for what is missing. Loaded again, it says what was said then.
func closeLesson(ctx context.Context, uc programme.UseCases, by Staff, student, lesson, closing programme.ID, minutes int, volunteer float64, tires string) (programme.Receipt, error) {
	r, err := uc.StudentAt(ctx, by.Actor(), student, programme.AsOf{})
	if err != nil {
		return programme.Receipt{}, err
	}
	made := programme.Made{ID: closing}
	if l, ok := r.LessonByID(lesson); ok && l.Closed {
		return uc.CloseLesson(ctx, by.Actor(), made, student, l.LessonClosed)
	}
	h, err := uc.HandoverDraft(ctx, by.Actor(), student, lesson)
	if err != nil {
		return programme.Receipt{}, err
	}
	c := programme.LessonClosed{Lesson: lesson, OnSnow: &minutes, Handover: h.Lines, Volunteer: math.Round(volunteer*10) / 10}
	own := map[string]string{"name": "To find out together.", "weak": "Cannot tell yet.", "tires": "Not seen today.", "cue": "No cue stood out.", "start": "As today.", "next": "The same again, one cue less.", "lift": "Not today."}
	if tires != "" {
		own["tires"] = tires
	}
	for _, ask := range h.Asks {
		for i := range c.Handover {
			if c.Handover[i].Key == ask.Key {
				c.Handover[i].Text, c.Handover[i].Edited = own[ask.Key], true
			}
		}
	}
	for i := range c.Handover {
		if c.Handover[i].Key == "tires" && tires != "" && !c.Handover[i].Edited {
			c.Handover[i].Text, c.Handover[i].Edited = strings.TrimSpace(c.Handover[i].Text+" Looks like: "+tires), true
		}
	}
	if h.ReinsReason != "" {
		c.ReinsReason = "The stop on word is not sure yet."
	}
	return uc.CloseLesson(ctx, by.Actor(), made, student, c)
}

func (r *reader) incident(n int, f incidentFile) error {
	at, err := r.moment(f.On)
	if err != nil {
		return err
	}
	by, err := r.person(f.By)
	if err != nil {
		return err
	}
	var student programme.ID
	if f.Student != "" {
		st, ok := r.p.StudentByKey(f.Student)
		if !ok {
			return fmt.Errorf("there is no student %q", f.Student)
		}
		student = st.ID
	}
	name := fmt.Sprintf("incident/%d", n)
	i := programme.Incident{NearMiss: f.NearMiss, Day: programme.DateOf(at), Time: f.Time, Where: f.Where, What: f.What, Hurt: f.Hurt, Head: f.Head, Patrol: f.Patrol,
		SetUp: f.SetUp, StoppedBy: f.StoppedBy, Tags: f.Tags}
	made := programme.Made{ID: id(at, name)}
	r.add(at, name, func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
		return uc.RecordIncident(ctx, by.Actor(), m, student, i)
	}, made)
	if w := f.Witness; w != nil {
		saw, err := r.person(w.By)
		if err != nil {
			return err
		}
		later := at.Add(20 * time.Minute)
		r.add(later, name+": statement", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
			return uc.AddWitness(ctx, saw.Actor(), m, programme.Witness{Incident: made.ID, Text: w.Text})
		}, programme.Made{ID: id(later, name+"/statement")})
	}
	if f.Back == nil {
		return nil
	}
	looked, err := r.person(f.Back.By)
	if err != nil {
		return err
	}
	back, err := r.moment(f.Back.On)
	if err != nil {
		return err
	}
	for _, tag := range f.Tags {
		g := programme.GearTag{Tag: tag, Reason: f.Back.Reason, Incident: made.ID}
		r.add(back, name+": "+tag+" back", func(ctx context.Context, uc programme.UseCases, m programme.Made) (programme.Receipt, error) {
			return uc.ReleaseGear(ctx, looked.Actor(), m, g)
		}, programme.Made{ID: id(back, name+"/back/"+tag)})
	}
	return nil
}

// learner is an invented student who learns: what was tried so far, and the
// randomness of how it goes.
type learner struct {
	lessonsOf
	r       *rand.Rand
	n       int // lessons so far
	front   int // in the path
	stuck   int // lessons at the front
	history []progress.Attempt
}

func newLearner(key string) *learner {
	sum := sha256.Sum256([]byte(seed + "/lessons/" + key))
	return &learner{r: rand.New(rand.NewPCG(binary.BigEndian.Uint64(sum[:8]), binary.BigEndian.Uint64(sum[8:16])))}
}

func (l *learner) aids() ladder.Aids { return ladder.Aids{Way: l.Way, Tie: l.Tie}.Clean() }

func (l *learner) skill(i int) *ladder.Skill {
	s, ok := ladder.Standing().Skill(l.Path[min(i, len(l.Path)-1)])
	if !ok {
		panic("demo: no skill " + l.Path[i])
	}
	return s
}

func (l *learner) terrain() string { return l.skill(l.front).Place.ID }

// lesson tries the front skill and the one before it, side by side, with the
// help that the counting rules ask for, and returns what a phone would bring.
func (l *learner) lesson(st Student, by Staff, lesson programme.ID, at time.Time) []programme.PhoneItem {
	var items []programme.PhoneItem
	add := func(kind programme.Kind, minute float64, what string, payload any) {
		b, err := json.Marshal(payload)
		if err != nil {
			panic("demo: " + err.Error())
		}
		made := at.Add(time.Duration(minute * float64(time.Minute)))
		items = append(items, programme.PhoneItem{ID: id(made, fmt.Sprintf("%s/%d/%s", lesson, len(items), what)), Student: st.ID, Kind: kind, Version: 1, Payload: b, MadeAt: made, Author: by.ID})
	}
	minute, rested := 3.0, 0.0
	skills := []int{l.front}
	if l.front > 0 {
		skills = []int{l.front - 1, l.front}
	} else if l.n == 0 && len(l.Path) > 1 {
		skills, l.front = []int{0, 1}, 1
	}
	limit, over := 0.8*float64(l.KnownMin), float64(l.Minutes-fitting)
	form := 0.5 * l.r.NormFloat64()
	passed := true
	for _, i := range skills {
		s := l.skill(i)
		tries := 7
		if i == l.front {
			tries = 8 + l.r.IntN(3)
		}
		for _, side := range s.SidesOf(l.aids()) {
			for range tries {
				if minute > over-8 {
					break
				}
				if minute-rested > limit {
					minute++
					add(programme.KindSnow, minute, "rest", programme.SnowEvent{Event: programme.SnowCheck, Reason: "rest"})
					minute += 5
					rested = minute
				}
				minute += 0.7 + 0.8*l.r.Float64()
				a := l.try(s, side, string(lesson), at, minute-rested, form)
				into := int(minute)
				made := programme.AttemptMade{Lesson: lesson, Skill: s.ID, Side: sideName(side), Help: a.Help, Outcome: a.Outcome.String(), Terrain: a.Terrain, Way: l.aids().Way, Tie: l.aids().Tie,
					Minutes: &into, Helper: by.NameUsed, Cue: a.Cue}
				add(programme.KindAttempt, minute, "attempt", made)
				if a.Outcome == progress.Miss && l.r.IntN(7) == 0 {
					add(programme.KindSnow, minute+0.5, "fall", programme.SnowEvent{Event: programme.SnowFall, Hurt: "no", Head: "no", Minutes: &into})
					l.history[len(l.history)-1].Trouble |= progress.UncontrolledFall
				}
			}
			passed = passed && (i != l.front || l.level(s.ID, side) <= 4)
		}
	}
	day := programme.DateOf(at).String()
	for _, ride := range []struct{ from, skill string }{{l.CarpetFrom, "K13"}, {l.ChairFrom, "K34"}} {
		if ride.from == "" || day < ride.from {
			continue
		}
		s, _ := ladder.Standing().Skill(ride.skill)
		sides := s.SidesOf(l.aids())
		for range 2 {
			if minute += 6; minute > over-1 {
				break
			}
			a := l.try(s, sides[l.r.IntN(len(sides))], string(lesson), at, minute-rested, form)
			into := int(minute)
			add(programme.KindAttempt, minute, "attempt", programme.AttemptMade{Lesson: lesson, Skill: s.ID, Side: sideName(a.Side), Help: a.Help, Outcome: a.Outcome.String(), Terrain: a.Terrain,
				Way: l.aids().Way, Tie: l.aids().Tie, Minutes: &into, Helper: by.NameUsed})
		}
	}
	l.n++
	if l.stuck++; l.front < len(l.Path)-1 && (passed || l.stuck >= 2) {
		l.front, l.stuck = l.front+1, 0
	}
	return items
}

// try draws one attempt with the help that the rules ask for.
func (l *learner) try(s *ladder.Skill, side finding.Side, lesson string, at time.Time, minute, form float64) progress.Attempt {
	day := programme.DayNumber(programme.DateOf(at))
	a := progress.Attempt{Attempt: ladder.Attempt{Skill: s.ID, Side: side, Terrain: s.Place.ID, Help: l.FirstLevel, Aids: l.aids()}, Lesson: lesson, Day: day, Minute: math.Floor(minute), Cue: "show"}
	if own := l.of(s.ID, side); len(own) > 0 {
		r, err := progress.Judge(ladder.Standing(), nil, own, progress.Now{Day: day, Lesson: lesson, Aids: l.aids(), KnownMinutes: float64(l.KnownMin)})
		if err != nil {
			panic("demo: " + err.Error())
		}
		if st, ok := r.Of(progress.Track{Skill: s.ID, Side: side, Aids: l.aids()}); ok && st.Advice.Help >= 0 {
			a.Help = st.Advice.Help
		}
	}
	for ladder.Standing().Admit(a.Attempt) != nil && a.Help < ladder.MostHelp {
		a.Help++
	}
	if l.r.IntN(4) == 0 {
		a.Cue = "tell"
	}
	eta := l.Ability + l.Gain*float64(l.n) + form + 0.6*float64(a.Help-3) - 0.012*minute - 0.25*float64(l.place(s.ID)) + 0.4*math.Log1p(float64(len(l.of(s.ID, side)))) // tried often, learned
	if side != finding.NoSide && side.Word() == l.Weak && s.Sides == ladder.Direction {
		eta -= l.Lacks
	}
	if a.Cue == "tell" {
		eta -= 0.4
	}
	switch u := l.r.Float64(); {
	case u < 1/(1+math.Exp(-eta)):
		a.Outcome = progress.Clean
	case u < 1/(1+math.Exp(-eta-1.2)):
		a.Outcome = progress.Partly
	}
	l.history = append(l.history, a)
	return a
}

// place is where in the path a skill stands.
func (l *learner) place(skill string) int { return max(0, slices.Index(l.Path, skill)) }

// of returns what was tried of a skill on a side.
func (l *learner) of(skill string, side finding.Side) []progress.Attempt {
	var out []progress.Attempt
	for _, a := range l.history {
		if a.Skill == skill && a.Side == side {
			out = append(out, a)
		}
	}
	return out
}

// level is the least help of a clean attempt with the aids of now.
func (l *learner) level(skill string, side finding.Side) int {
	least := ladder.MostHelp + 1
	for _, a := range l.of(skill, side) {
		if a.Outcome == progress.Clean && a.Aids == l.aids() {
			least = min(least, a.Help)
		}
	}
	return least
}

func sideName(s finding.Side) string {
	if s == finding.NoSide {
		return "none"
	}
	return s.Word()
}
