package programme

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"firnhand/core/decide"
	"firnhand/core/finding"
)

// Decision is what a record means for the rules on the record's day: the input
// they decide from, and what has to be asked beside it.
type Decision struct {
	Input decide.Input

	// Underway tells that an evaluation begun on this day is open. A gate that
	// only asks for an evaluation is passed over meanwhile, so that the answer
	// shows what comes out of it.
	Underway bool
	// AskAgain are findings that hold for one day and were answered on another;
	// they count as unknown.
	AskAgain []finding.Key
}

// dayKind says how long an answer about the day itself holds.
type dayKind uint8

const (
	signOfDay  dayKind = iota + 1 // a bad answer stays until it is asked again, a good one ends with the day
	stateOfDay                    // either answer ends with the day
)

// ofTheDay lists the findings that are asked each morning: red flags, and what
// is true of the hill and the student that day (common practice, no source).
var ofTheDay = map[string]dayKind{
	"neck_sign": signOfDay, "shunt_sign": signOfDay, "seizure_risk_today": signOfDay, "open_skin": signOfDay,
	"heart_symptom": signOfDay, "ad_sign": signOfDay, "sugar_today": signOfDay, "muscle_overwork_sign": signOfDay,
	"head_strike": signOfDay, "hip_pain": signOfDay, "legs_heavier_today": signOfDay, "vision_loss_new": signOfDay,
	"acute_sign": signOfDay, "stump_sore": signOfDay,
	"can_be_lowered": stateOfDay, "technician_available": stateOfDay, "snow_today": stateOfDay, "booked_hour": stateOfDay,
}

// AskedEachDay lists the findings that are asked each morning, in vocabulary
// order.
func AskedEachDay() []string {
	var ids []string
	for _, d := range finding.All() {
		if ofTheDay[d.ID] != 0 {
			ids = append(ids, d.ID)
		}
	}
	return ids
}

// growing lists the numbers of months after which something counts as too old.
// They grow with time. Months that have to pass (since an operation, free of
// seizures) do not: only asking again tells that nothing happened meanwhile.
var growing = []string{"hip_check_months", "heart_review_months"}

// FromRecord tells whether a finding follows from the record itself (age,
// waiver, days since the evaluation), so that nobody is asked for it.
func FromRecord(id string) bool {
	return id == "age_years" || id == "waiver" || id == "evaluation_age_days"
}

// DecisionOf reads a record for the rules of a table, as of the record's day.
// It is pure. To [CoreVocabulary.Input] it adds what time does: answers about
// another day are unknown again, old films grow older, and a new evaluation
// ends what only asked for one.
func DecisionOf(t *decide.Table, r Record) Decision {
	v := CoreVocabulary{t}
	d := Decision{Input: v.Input(r)}
	if e, open := r.OpenEvaluation(); open {
		d.Underway = DateOf(e.MadeAt) == r.Day
	}
	d.age(r)
	d.evaluated(v, r)
	return d
}

// age applies the passing of time to the findings.
func (d *Decision) age(r Record) {
	for key, seen := range r.Findings {
		side, state := coreKey(key)
		k := finding.Key{ID: key.Finding, Side: side, State: state}
		v, ok := d.Input.Findings[k]
		def, known := finding.Lookup(k.ID)
		if !ok || !known || v.Kind == finding.Unknown || FromRecord(k.ID) {
			continue
		}
		made := DateOf(firstMade(r, seen))
		if kind := ofTheDay[k.ID]; made != r.Day && (kind == stateOfDay || kind == signOfDay && seen.Value == def.Normal) {
			delete(d.Input.Findings, k)
			d.AskAgain = append(d.AskAgain, k)
		}
		if slices.Contains(growing, k.ID) && v.Kind == finding.Known {
			v.X = math.Min(v.X+float64(monthsBetween(made, r.Day)), def.Max)
			d.Input.Findings[k] = v
		}
	}
	slices.SortFunc(d.AskAgain, func(a, b finding.Key) int {
		if finding.Less(a, b) {
			return -1
		}
		return 1
	})
}

// firstMade is when a value was seen: a correction made later is about that
// same moment.
func firstMade(r Record, seen Seen) time.Time {
	if seen.Corrected() {
		for _, e := range r.Log {
			if e.Fact == seen.First {
				return e.MadeAt
			}
		}
	}
	return seen.MadeAt
}

// monthsBetween counts completed months, 0 when to lies before from.
func monthsBetween(from, to Date) int {
	n := (to.Year-from.Year)*12 + int(to.Month) - int(from.Month)
	if n > 0 && to.Before(from.AddMonths(n)) {
		n--
	}
	return max(0, n)
}

// evaluated marks the gates that ask for a new evaluation as answered where one
// was closed after the finding they rest on, or is under way. A gate that rests
// on the evaluation's own age is never answered by an older one.
func (d *Decision) evaluated(v CoreVocabulary, r Record) {
	last, ever := r.LastEvaluation()
	for _, g := range v.Table.Decide(d.Input).Gates {
		if g.Open || g.Effect != decide.ReEvaluate.String() {
			continue
		}
		fromAge := slices.ContainsFunc(g.Read, func(rd decide.Reading) bool { return rd.Finding == "evaluation_age_days" })
		newest := int64(0)
		for _, s := range reasons(r, g) {
			newest = max(newest, s.Seq)
		}
		if d.Underway || !fromAge && ever && last.Closing.Seq > newest {
			d.Input.Cleared = append(d.Input.Cleared, g.ID)
		}
	}
}

// Tables compiles rule tables with the numbers a programme signed off and
// keeps the last few. The zero value is ready. It is safe for concurrent use.
type Tables struct {
	mu   sync.Mutex
	kept map[string]*decide.Table
}

// tablesKept bounds the tables kept: the present one and those of cards that
// are made again.
const tablesKept = 8

// For returns the standing table with the numbers that were signed off. The
// same numbers give the same table. A value that the table refuses is an error
// with code CodeInvalid.
func (ts *Tables) For(signed map[string]SettingState) (*decide.Table, error) {
	values, key := map[string]float64{}, strings.Builder{}
	for _, name := range slices.Sorted(maps.Keys(signed)) {
		if _, own := ownSetting(name); own {
			continue
		}
		if _, counts := countSetting(name); counts {
			continue
		}
		x, err := strconv.ParseFloat(signed[name].Value, 64)
		if err != nil {
			return nil, Fail(CodeInvalid, err, "The signed value of %s is not a number.", clip(name))
		}
		values[name] = x
		key.WriteString(name + "=" + signed[name].Value + "\n")
	}
	if len(values) == 0 {
		return decide.Standing(), nil
	}
	ts.mu.Lock()
	defer ts.mu.Unlock()
	if t, ok := ts.kept[key.String()]; ok {
		return t, nil
	}
	t, err := decide.ParseWith(decide.StandingText(), values)
	if err != nil {
		return nil, Fail(CodeInvalid, err, "The rules do not work with the numbers that were signed off: %s", err.Error())
	}
	if ts.kept == nil || len(ts.kept) >= tablesKept {
		ts.kept = map[string]*decide.Table{}
	}
	ts.kept[key.String()] = t
	return t, nil
}

// AllFindings returns every value that was recorded and not taken back, each
// once, oldest first; a corrected value as it was corrected.
func (r Record) AllFindings() []Seen {
	var all []Seen
	for _, seen := range r.history {
		all = append(all, seen...)
	}
	slices.SortFunc(all, func(a, b Seen) int { return int(a.Seq - b.Seq) })
	return slices.CompactFunc(all, func(a, b Seen) bool { return a.Fact == b.Fact })
}
