// Package reckon is what the engine answers on a phone: the decision after a
// changed finding, the fan, the snow of today, the cold, and the counting
// rules of help. It computes nothing itself; it reads a question, asks core,
// and writes the answer in words that fit a small screen. The same code runs
// in the browser, as WebAssembly, and in the tests.
package reckon

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"firnhand/core/cold"
	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/ladder"
	"firnhand/core/progress"
	"firnhand/core/quantity"
	"firnhand/core/slope"
	"firnhand/core/source"
)

// Finding is one value as a pack carries it.
type Finding struct {
	Finding string `json:"finding"`
	Side    string `json:"side"`
	State   string `json:"state"`
	Value   string `json:"value"`
}

// Said is an answer in words, the first sentence first.
type Said struct {
	Says     []string `json:"says"`
	Cautions []string `json:"cautions"`
}

// reply is what goes back: a value, or why there is none.
type reply struct {
	Value any    `json:"value,omitempty"`
	Error string `json:"error,omitempty"`
}

// Answer answers a question by its name. It never panics on odd input: what
// cannot be answered comes back as an error in words.
func Answer(what string, question []byte) (out []byte) {
	defer func() {
		if p := recover(); p != nil {
			out = written(reply{Error: "This could not be computed here."})
		}
	}()
	ask, ok := questions[what]
	if !ok {
		return written(reply{Error: "The engine does not know this question."})
	}
	v, err := ask(question)
	if err != nil {
		return written(reply{Error: err.Error()})
	}
	return written(reply{Value: v})
}

func written(r reply) []byte {
	b, err := json.Marshal(r)
	if err != nil {
		return []byte(`{"error":"The answer could not be written down."}`)
	}
	return b
}

var questions = map[string]func([]byte) (any, error){
	"findings": asked(findings), "levels": asked(levels), "decide": asked(decideAgain),
	"cold": asked(coldNow), "fan": asked(fanOn), "snow": asked(snowToday), "advise": asked(advise),
}

func asked[Q, A any](do func(Q) (A, error)) func([]byte) (any, error) {
	return func(b []byte) (any, error) {
		var q Q
		if err := json.Unmarshal(b, &q); err != nil {
			return nil, fmt.Errorf("the question cannot be read")
		}
		return do(q)
	}
}

func sideOf(s string) finding.Side {
	switch s {
	case "left":
		return finding.Left
	case "right":
		return finding.Right
	}
	return finding.NoSide
}

func stateOf(s string) finding.State {
	if s == "tired" {
		return finding.Tired
	}
	return finding.Fresh
}

// set reads findings. What was asked at intake stays on the server: on the
// phone it counts as "nothing noted", and the server's holds stand as they are.
func set(list []Finding) (finding.Set, error) {
	fs := finding.Set{}
	for _, f := range list {
		if err := fs.Put(f.Finding, sideOf(f.Side), stateOf(f.State), f.Value); err != nil {
			return nil, err
		}
	}
	fs.FillNormal(func(d *finding.Def) bool { return d.Test == "gates" })
	if _, ok := fs[finding.Key{ID: "waiver"}]; !ok {
		if err := fs.Put("waiver", finding.NoSide, finding.Fresh, "valid"); err != nil {
			return nil, err
		}
	}
	return fs, nil
}

type listed struct {
	Key   string `json:"key"`
	Label string `json:"label"`
	Now   string `json:"now"`
}

// onSnow are the tests whose findings can be seen again on snow.
var onSnow = []string{"gait", "stand_s", "one_leg_s", "knee_bend", "push_out", "push_in", "push_down", "grip", "sensation", "stop_delay_s", "endurance_min", "vision_m"}

func findings(q struct{ Findings []Finding }) (map[string][]listed, error) {
	var out []listed
	for _, f := range q.Findings {
		d, ok := finding.Lookup(f.Finding)
		if !ok || d.Scale == finding.Text || !slices.Contains(onSnow, f.Finding) || f.State == "tired" || f.Value == "unknown" || f.Value == "na" {
			continue
		}
		v, err := finding.Parse(f.Finding, sideOf(f.Side), stateOf(f.State), f.Value)
		if err != nil {
			continue
		}
		label := d.Label
		if w := sideOf(f.Side).Word(); w != "" {
			label += ", " + w
		}
		if f.State == "tired" {
			label += ", tired"
		}
		out = append(out, listed{f.Finding + "|" + f.Side + "|" + f.State, label, finding.Say(d, v)})
	}
	slices.SortStableFunc(out, func(a, b listed) int { return rank(a.Key) - rank(b.Key) })
	return map[string][]listed{"list": out}, nil
}

func rank(key string) int {
	id, _, _ := strings.Cut(key, "|")
	if i := slices.Index(onSnow, id); i >= 0 {
		return i
	}
	return len(onSnow)
}

type level struct {
	Value string `json:"value"`
	Label string `json:"label"`
}

func levels(q struct {
	Key      string
	Findings []Finding
}) (any, error) {
	parts := strings.Split(q.Key, "|")
	if len(parts) != 3 {
		return nil, fmt.Errorf("there is no such finding")
	}
	d, ok := finding.Lookup(parts[0])
	if !ok {
		return nil, fmt.Errorf("there is no finding %q", parts[0])
	}
	out := struct {
		Label  string  `json:"label"`
		Levels []level `json:"levels"`
	}{Label: d.Label}
	if w := sideOf(parts[1]).Word(); w != "" {
		out.Label += ", " + w
	}
	for _, l := range d.Levels {
		out.Levels = append(out.Levels, level{l.ID, l.Label})
	}
	if d.Scale == finding.Number {
		for _, x := range steps(d, now(q.Findings, parts)) {
			text := finding.FormatNumber(x)
			out.Levels = append(out.Levels, level{text, strings.TrimSpace(text + " " + d.Unit)})
		}
	}
	return out, nil
}

func now(list []Finding, parts []string) float64 {
	for _, f := range list {
		if f.Finding == parts[0] && f.Side == parts[1] && f.State == parts[2] {
			if v, err := finding.Parse(f.Finding, sideOf(f.Side), stateOf(f.State), f.Value); err == nil {
				return v.X
			}
		}
	}
	return 0
}

// steps are a few values around the one that stands.
func steps(d *finding.Def, x float64) []float64 {
	step := 1.0
	for _, s := range []float64{1, 2, 5, 10} {
		if step = s; x < 8*s {
			break
		}
	}
	var out []float64
	for k := -3.0; k <= 3; k++ {
		if v := math.Round(x/step)*step + k*step; v >= d.Min && v <= d.Max {
			out = append(out, v)
		}
	}
	return out
}

func input(list []Finding, held, cleared []string) (decide.Input, error) {
	fs, err := set(list)
	if err != nil {
		return decide.Input{}, err
	}
	in := decide.Input{Findings: fs, Cleared: cleared}
	for _, h := range held {
		switch h {
		case "hold":
			in.Held = append(in.Held, decide.Hold)
		case "hold_standing":
			in.Held = append(in.Held, decide.HoldStanding)
		}
	}
	return in, nil
}

// decideAgain says what of the set-up changes with changed findings.
func decideAgain(q struct {
	Before, After []Finding
	Held, Cleared []string
}) (Said, error) {
	t := decide.Standing()
	was, err := input(q.Before, q.Held, q.Cleared)
	if err != nil {
		return Said{}, err
	}
	is, err := input(q.After, q.Held, q.Cleared)
	if err != nil {
		return Said{}, err
	}
	a, b := t.Decide(was), t.Decide(is)
	var says []string
	for i, x := range b.Axes {
		if i >= len(a.Axes) || x.Asks == "" {
			continue
		}
		from, to := label(a.Axes[i]), label(x)
		if from == to {
			continue
		}
		what := x.Asks
		if x.Side != "" {
			what += ", " + x.Side
		}
		line := what + ": " + to + ", was " + from + "."
		if x.Because != "" {
			line += " " + x.Because
		}
		says = append(says, line)
	}
	for _, n := range b.Notes {
		if !slices.ContainsFunc(a.Notes, func(o decide.NoteAnswer) bool { return o.Code == n.Code && o.Side == n.Side }) {
			says = append(says, n.Say)
		}
	}
	if len(says) == 0 {
		says = []string{"Nothing of the set-up changes."}
	} else {
		says = append([]string{"Change one thing at a time, and try it on easy ground."}, says...)
	}
	return Said{Says: says, Cautions: []string{"Holds stay as the server judged them. The binding is set by a certified technician."}}, nil
}

func label(x decide.AxisAnswer) string {
	if x.Open {
		return "not decided"
	}
	return x.Label
}

// limits are the programme's numbers on the cold; what the pack brought goes
// first.
func limits(stop, check float64) cold.Limits {
	need := map[string]float64{}
	for _, s := range decide.Standing().Settings() {
		need[s.Name] = s.Value
	}
	l := cold.Limits{Stop: quantity.Celsius(need["wind_chill_stop_c"]), StopReduced: quantity.Celsius(need["wind_chill_stop_reduced_c"]), Look: quantity.Must(quantity.Minutes(need["feet_check_min"]))}
	if stop < 0 {
		l.Stop, l.StopReduced = quantity.Celsius(stop), quantity.Celsius(max(stop, float64(l.StopReduced)))
	}
	if check > 0 {
		if look, err := quantity.Minutes(check); err == nil {
			l.Look = look
		}
	}
	return l
}

func coldNow(q struct {
	AirC     float64 `json:"air_c"`
	WindMS   float64 `json:"wind_m_s"`
	StopC    float64 `json:"stop_c"`
	CheckMin float64 `json:"check_min"`
	Findings []Finding
}) (Said, error) {
	fs, err := set(q.Findings)
	if err != nil {
		return Said{}, err
	}
	f, _, err := cold.Through(cold.Moment{Air: quantity.Celsius(q.AirC), Wind: quantity.MetrePerSecond(q.WindMS)}, 0, 0)
	if err != nil {
		return Said{}, err
	}
	w, err := cold.Look(f, cold.FeelOf(fs), limits(q.StopC, q.CheckMin))
	if err != nil {
		return Said{}, err
	}
	says := w.Say
	if f.Chill.Known {
		says = append([]string{"Wind chill " + finding.FormatNumber(f.Chill.Printed()) + "."}, says...)
	}
	return Said{Says: says, Cautions: cold.Cautions()}, nil
}

type fanStep struct {
	StartDeg    float64 `json:"start_deg"`
	GradientPct float64 `json:"gradient_pct"`
	TopKMH      float64 `json:"top_kmh"`
}

type fanSaid struct {
	Said
	Steps []fanStep `json:"steps"`
}

func fanOn(q struct {
	GradientPct float64 `json:"gradient_pct"`
	Snow        string
	MassKG      float64 `json:"mass_kg"`
}) (fanSaid, error) {
	mu, err := slope.FrictionOf(q.Snow)
	if err != nil {
		return fanSaid{}, err
	}
	side := slope.UsualFanSide()
	ask := slope.FanAsk{Ask: slope.Ask{Slope: slope.Given(slope.Exactly(math.Atan(q.GradientPct / 100))), Friction: mu, Gravity: source.Value("gravity_standard")},
		Sides: map[slope.Side]slope.FanSideAsk{slope.Left: side, slope.Right: side}}
	a, ladders, err := ask.Answer()
	if err != nil {
		return fanSaid{}, err
	}
	out := fanSaid{Said: Said{Says: a.Says, Cautions: append(slices.Clone(a.Warnings), a.Cautions...)}}
	for _, s := range ladders[0].Trade {
		out.Steps = append(out.Steps, fanStep{math.Round(s.StartDeg), math.Round(10*s.GradientPct) / 10, math.Round(10*s.PeakKmh.Value) / 10})
	}
	return out, nil
}

// timed is a glide as the phone records it.
type timed struct {
	LengthM float64   `json:"length_m"`
	Pct     float64   `json:"gradient_pct"`
	PctSD   float64   `json:"gradient_sd_pct"`
	StartMS float64   `json:"start_m_s"`
	MassKG  float64   `json:"mass_kg"`
	WatchSD float64   `json:"watch_sd_s"`
	TimesS  []float64 `json:"times_s"`
	Short   int       `json:"short_count"`
}

func snowToday(q struct {
	Snow   string
	Glides []timed
}) (Said, error) {
	air, err := slope.AirAt(1000)
	if err != nil {
		return Said{}, err
	}
	ask := slope.SnowAsk{Snow: q.Snow, Air: air, Area: slope.Upright()}
	ask.Gravity = source.Value("gravity_standard")
	for _, g := range q.Glides {
		t := g.Pct / 100
		ask.Mass, ask.WatchSD = g.MassKG, max(ask.WatchSD, g.WatchSD)
		ask.Timed = append(ask.Timed, slope.Timed{Slope: math.Atan(t), SlopeSD: g.PctSD / 100 / (1 + t*t), Length: g.LengthM, From: g.StartMS, Times: g.TimesS, Short: g.Short, Mass: g.MassKG})
	}
	a, _, err := ask.Answer()
	if err != nil {
		return Said{}, err
	}
	says := slices.Clone(a.Says)
	for _, f := range a.Figures {
		says = append(says, f.Label+": "+f.Text())
	}
	return Said{Says: says, Cautions: append(slices.Clone(a.Warnings), a.Cautions...)}, nil
}

// attempt is one as the pack carries it, or as the phone recorded it.
type attempt struct {
	Lesson  string   `json:"lesson"`
	Day     int      `json:"day"`
	Skill   string   `json:"skill"`
	Side    string   `json:"side"`
	Help    int      `json:"help"`
	Outcome string   `json:"outcome"`
	Terrain string   `json:"terrain"`
	Way     string   `json:"way"`
	Tie     string   `json:"tie"`
	Minute  *float64 `json:"minute"`
	Minutes *int     `json:"minutes"`
	Trouble []string `json:"trouble"`
}

func (a attempt) core(day int, lesson string) (progress.Attempt, error) {
	o, err := progress.ParseOutcome(a.Outcome)
	if err != nil {
		return progress.Attempt{}, err
	}
	out := progress.Attempt{Attempt: ladder.Attempt{Skill: a.Skill, Side: sideOf(a.Side), Terrain: a.Terrain, Help: a.Help, Aids: ladder.Aids{Way: a.Way, Tie: a.Tie}.Clean()},
		Outcome: o, Lesson: lesson, Day: day, Minute: progress.MinuteUnknown}
	switch {
	case a.Minute != nil:
		out.Minute = *a.Minute
	case a.Minutes != nil:
		out.Minute = float64(*a.Minutes)
	}
	for _, name := range a.Trouble {
		t, err := progress.ParseTrouble(name)
		if err != nil {
			return progress.Attempt{}, err
		}
		out.Trouble |= t
	}
	return out, nil
}

// advise applies the counting rules to the attempts of before and of here.
func advise(q struct {
	History []attempt
	Here    []attempt
	Skill   string
	Side    string
	Aids    struct{ Way, Tie string }
	Known   float64 `json:"known_min"`
}) (any, error) {
	var all []progress.Attempt
	last := 0
	for _, a := range q.History {
		one, err := a.core(a.Day, a.Lesson)
		if err != nil {
			return nil, err
		}
		all, last = append(all, one), max(last, a.Day)
	}
	const lesson = "here"
	for _, a := range q.Here {
		one, err := a.core(last+1, lesson)
		if err != nil {
			return nil, err
		}
		all = append(all, one)
	}
	aids := ladder.Aids{Way: q.Aids.Way, Tie: q.Aids.Tie}.Clean()
	report, err := progress.Judge(ladder.Standing(), progress.Numbers{}, all, progress.Now{Day: last + 1, Lesson: lesson, Aids: aids, KnownMinutes: q.Known})
	if err != nil {
		return nil, err
	}
	out := struct {
		Help int    `json:"help"`
		Why  string `json:"why"`
		Stop bool   `json:"stop"`
	}{Help: -1}
	if s, ok := report.Of(progress.Track{Skill: q.Skill, Side: sideOf(q.Side), Aids: aids}); ok {
		out.Help, out.Stop = s.Advice.Help, s.Advice.Stop
		if len(s.Advice.Reasons) > 0 {
			out.Why = s.Advice.Reasons[0].Says
		}
	}
	if len(report.Stop) > 0 {
		out.Stop, out.Why = true, report.Stop[0].Says
	}
	return out, nil
}
