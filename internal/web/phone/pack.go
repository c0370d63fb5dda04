package phone

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"slices"
	"strings"

	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/progress"
	"firnhand/internal/web/page"
	"firnhand/programme"
)

// Pack is the day of one instructor as a phone keeps it: no surname, no birth
// date, no diagnosis; cautions as actions.
type Pack struct {
	Form    int          `json:"form"` // 1
	Day     string       `json:"day"`
	Name    string       `json:"name"` // of the instructor
	Levels  []packLevel  `json:"levels"`
	Reasons [][2]string  `json:"stop_reasons"`
	People  []packPerson `json:"people"`
	Slopes  []packSlope  `json:"slopes"`
	Hours   []packHour   `json:"hours"`
	Snow    string       `json:"snow"`
}

type packLevel struct {
	Level int    `json:"level"`
	Name  string `json:"name"`
	Means string `json:"means"`
}

type packPerson struct {
	Student  string          `json:"student"`
	Name     string          `json:"name"` // first name
	Code     string          `json:"code"` // lesson code
	Why      string          `json:"why"`  // there is no card, and this is why
	Card     json.RawMessage `json:"card"` // what the card says; null without one
	Aids     packAids        `json:"aids"`
	Lesson   string          `json:"lesson"` // the open one, or ""
	Skills   []packSkill     `json:"skills"`
	Findings []packFinding   `json:"findings"` // what can be seen on snow; nothing of an intake
	Held     []string        `json:"held"`     // hold, hold_standing, as the server judged
	Cleared  []string        `json:"cleared"`
	History  []packAttempt   `json:"history"` // attempts so far, for the counting rules
	Block    float64         `json:"block_min"`
	Feet     float64         `json:"feet_check_min"`
	Chill    float64         `json:"wind_chill_stop"`
	Known    float64         `json:"known_min"` // minutes to loss of quality
	MassKG   float64         `json:"mass_kg"`
}

type packAids struct {
	Way        string `json:"way"`
	Tie        string `json:"tie"`
	Words      string `json:"words"`
	RouteLeft  string `json:"route_left"`
	RouteRight string `json:"route_right"`
}

type packSkill struct {
	Skill   string `json:"skill"`
	Name    string `json:"name"`
	Side    string `json:"side"`
	Words   string `json:"side_words"`
	Help    int    `json:"help"` // to begin with today
	Least   int    `json:"least_help"`
	Terrain string `json:"terrain"`
	Pass    string `json:"pass"`
	Row     int    `json:"row"` // clean ones in a row that count
	Advice  string `json:"advice"`
}

type packFinding struct {
	Finding string `json:"finding"`
	Side    string `json:"side"`
	State   string `json:"state"`
	Value   string `json:"value"`
}

type packAttempt struct {
	Lesson  string   `json:"lesson"`
	Day     int      `json:"day"`
	Skill   string   `json:"skill"`
	Side    string   `json:"side"`
	Help    int      `json:"help"`
	Outcome string   `json:"outcome"`
	Terrain string   `json:"terrain"`
	Way     string   `json:"way"`
	Tie     string   `json:"tie"`
	Minute  float64  `json:"minute"`
	Trouble []string `json:"trouble"`
}

type packSlope struct {
	Slope string  `json:"slope"`
	Name  string  `json:"name"`
	Pct   float64 `json:"gradient_pct"`
	SDPct float64 `json:"gradient_sd_pct"`
}

type packHour struct {
	Time   string  `json:"time"`
	AirC   float64 `json:"air_c"`
	WindMS float64 `json:"wind_m_s"`
}

// MaxHistory bounds the attempts of one person on a phone, MaxSkills what is
// offered to be recorded.
const (
	MaxHistory = 300
	MaxSkills  = 40
)

// day makes the pack for whoever asks.
type day struct{ v *page.Visit }

// pack makes the pack and its version, a digest of it.
func (d day) pack(ctx context.Context, a programme.Actor) (string, json.RawMessage, error) {
	v := d.v
	v.Actor = a
	today := v.Today()
	p := Pack{Form: 1, Day: today.String(), Name: first(a.Name), Reasons: programme.StopReasons, People: []packPerson{}, Slopes: []packSlope{}, Hours: []packHour{}}
	for _, l := range ladder.Standing().Levels() {
		p.Levels = append(p.Levels, packLevel{l.Level, l.Name, l.Means})
	}
	picked, err := v.Kit.Cases.PickedDay(ctx, a, today)
	if err != nil {
		return "", nil, err
	}
	for _, id := range picked.Students {
		person, err := d.person(ctx, id, today)
		switch programme.CodeOf(err) {
		case "":
			p.People = append(p.People, person)
		case programme.CodeForgotten, programme.CodeNotFound:
		default:
			return "", nil, err
		}
	}
	if err := d.hill(ctx, &p, today); err != nil {
		return "", nil, err
	}
	b, err := json.Marshal(p)
	if err != nil {
		return "", nil, err
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:8]), b, nil
}

func (d day) hill(ctx context.Context, p *Pack, today programme.Date) error {
	if !d.v.Actor.May(programme.ReadHill) {
		return nil
	}
	h, err := d.v.Kit.Cases.HillAt(ctx, d.v.Actor, programme.AsOf{})
	if err != nil {
		return err
	}
	slopes, _ := h.InUse()
	for _, s := range slopes {
		p.Slopes = append(p.Slopes, packSlope{string(s.Slope), s.Name, s.MeanPct(), s.ErrorPct})
	}
	if t, ok := h.DayOf(today); ok {
		p.Snow = t.Snow
		for _, o := range t.Hours {
			p.Hours = append(p.Hours, packHour{o.Time, o.AirC, o.WindMS})
		}
	}
	return nil
}

// first is the first word of a name: the phone carries no surname.
func first(name string) string {
	f, _, _ := strings.Cut(strings.TrimSpace(name), " ")
	return f
}

func (d day) person(ctx context.Context, id programme.ID, today programme.Date) (packPerson, error) {
	v := d.v
	r, err := v.Kit.Cases.StudentAt(ctx, v.Actor, id, programme.AsOf{})
	if err != nil {
		return packPerson{}, err
	}
	made, err := v.DecideOn(r, programme.AsOf{}, false)
	if err != nil {
		return packPerson{}, err
	}
	card := page.DerivedID("phone", today.String(), string(id))
	code := strings.ToUpper(string([]rune(first(r.NameUsed) + "?")[:1])) + "-" + string(card[len(card)-4:])
	p := packPerson{Student: string(id), Name: first(r.NameUsed), Code: code, Card: json.RawMessage("null"), Skills: []packSkill{}, Findings: []packFinding{}, Held: []string{}, Cleared: []string{}, History: []packAttempt{},
		Known: r.KnownMinutes()}
	hill, err := v.Hill()
	if err != nil {
		return packPerson{}, err
	}
	order := page.CardOrder{ID: card, Record: r, Hill: hill, Decision: made.Decision, Table: made.Table, Answer: made.Answer, ForDay: today,
		MadeAt: v.Kit.Clock.Now().In(v.Kit.Zone).Truncate(24 * 60 * 60 * 1e9), UpTo: max(r.UpTo, hill.UpTo)}
	if n := len(r.Log); n > 0 {
		order.DataAt = r.Log[n-1].RecordedAt
	}
	if v.Kit.Lesson != nil {
		content, err := v.Kit.Lesson(ctx, order)
		if err != nil {
			p.Why = programme.SentenceOf(err)
		} else {
			p.Card = content
		}
	}
	n := made.Answer.Numbers
	set(&p.Block, n.BlockMin)
	set(&p.Feet, n.FeetCheckMin)
	set(&p.Chill, n.WindChillStopC)
	p.findings(made)
	return p, p.ladder(r, made)
}

func set(to *float64, from *float64) {
	if from != nil {
		*to = *from
	}
}

// findings takes along what can be seen on snow. What was asked at intake,
// such as a diagnosis, stays behind; what follows from it comes as the holds
// that the server judged.
func (p *packPerson) findings(made page.Decided) {
	in := made.Decision.Input.Findings
	for _, k := range in.Keys() {
		def, ok := finding.Lookup(k.ID)
		if !ok || def.Test == "gates" || def.Test == "person" || def.Scale == finding.Text {
			continue
		}
		p.Findings = append(p.Findings, packFinding{k.ID, side(k.Side), state(k.State), finding.Format(def, in[k])})
	}
	if v := in.Get("mass_kg", finding.NoSide, finding.Fresh); v.Kind == finding.Known {
		p.MassKG = v.X
	}
	for _, h := range made.Record.OpenHolds() {
		what := "hold"
		if h.StandingOnly {
			what = "hold_standing"
		}
		if !slices.Contains(p.Held, what) {
			p.Held = append(p.Held, what)
		}
	}
}

func side(s finding.Side) string {
	if w := s.Word(); w != "" {
		return w
	}
	return "none"
}

func state(s finding.State) string {
	if s == finding.Tired {
		return "tired"
	}
	return "fresh"
}

// ladder takes along what may be tried, and what was.
func (p *packPerson) ladder(r programme.Record, made page.Decided) error {
	l := ladder.Standing()
	reading, h, err := programme.ProgressOf(r, programme.ProgressNumbers(made.Signed))
	if err != nil {
		return err
	}
	set, err := ladder.Of(made.Answer)
	if err != nil {
		aids, ok := r.AidsOf(h)
		if !ok {
			return nil // not decided yet, or sitting: nothing to record against
		}
		set = ladder.Setup{Aids: aids}
	}
	if o, ok := r.OpenLesson(); ok {
		p.Lesson = string(o.ID)
	}
	p.Aids = packAids{set.Way, set.Clean().Tie, set.Words(), set.RouteLeft, set.RouteRight}
	board, err := l.Open(set, reading.Passes)
	if err != nil {
		return err
	}
	for _, e := range recent(board, reading) {
		if len(p.Skills) == MaxSkills {
			break
		}
		p.Skills = append(p.Skills, skillOf(l, e, reading, set))
	}
	from := max(0, len(h.Attempts)-MaxHistory)
	for _, a := range h.Attempts[from:] {
		p.History = append(p.History, packAttempt{a.Lesson, a.Day, a.Skill, side(a.Side), a.Help, a.Outcome.String(), a.Terrain, a.Aids.Way, a.Aids.Tie, a.Minute, a.Trouble.Names()})
	}
	return nil
}

// recent puts what was tried last first, then what is open and not passed,
// then the rest that is possible.
func recent(b *ladder.Board, r *progress.Reading) []ladder.Entry {
	var out []ladder.Entry
	add := func(want func(ladder.Entry) bool) {
		for _, e := range b.Entries {
			if e.Possible && want(e) && !slices.ContainsFunc(out, func(o ladder.Entry) bool { return o.Skill == e.Skill && o.Side == e.Side }) {
				out = append(out, e)
			}
		}
	}
	last := 0
	for _, l := range r.Lines {
		if l.Current && l.Attempts > 0 {
			last = max(last, l.Last.Day)
		}
	}
	add(func(e ladder.Entry) bool {
		return slices.ContainsFunc(r.Lines, func(l progress.Line) bool {
			return l.Current && l.Attempts > 0 && l.Last.Day == last && l.Skill == e.Skill.ID && l.Side == e.Side
		})
	})
	add(func(e ladder.Entry) bool { return e.State == ladder.Open })
	add(func(e ladder.Entry) bool { return e.Counts() })
	add(func(ladder.Entry) bool { return true })
	return out
}

func skillOf(l *ladder.Ladder, e ladder.Entry, r *progress.Reading, set ladder.Setup) packSkill {
	s := packSkill{Skill: e.Skill.ID, Name: e.Skill.Name, Side: side(e.Side), Words: e.Skill.SideWords(e.Side), Terrain: e.Skill.Place.ID,
		Pass: e.Skill.Pass, Least: e.LeastHelp, Help: max(4, e.LeastHelp)}
	if e.Start >= 0 {
		s.Help = e.Start
	}
	for _, line := range r.Lines {
		if line.Current && line.Skill == e.Skill.ID && line.Side == e.Side && line.Attempts > 0 {
			s.Terrain, s.Row = line.Last.Terrain, line.Row
			if line.Advice.Help >= 0 {
				s.Help = line.Advice.Help
			}
			if len(line.Advice.Reasons) > 0 {
				s.Advice = line.Advice.Reasons[0].Says
			}
		}
	}
	return s
}
