package reckon_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"firnhand/core/cold"
	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/core/quantity"
	"firnhand/internal/hill/reckon"
)

func ask(t *testing.T, what, question string, into any) string {
	t.Helper()
	var r struct {
		Value json.RawMessage
		Error string
	}
	if err := json.Unmarshal(reckon.Answer(what, []byte(question)), &r); err != nil {
		t.Fatal(err)
	}
	if r.Error == "" && into != nil {
		if err := json.Unmarshal(r.Value, into); err != nil {
			t.Fatalf("%s: %v in %s", what, err, r.Value)
		}
	}
	return r.Error
}

// evaluated is somebody whose legs and balance ask for outriggers.
const evaluated = `[{"finding":"gait","side":"none","state":"fresh","value":"W3"},{"finding":"stand_s","side":"none","state":"fresh","value":"20"},{"finding":"sensation","side":"left","state":"fresh","value":"full"},{"finding":"sensation","side":"right","state":"fresh","value":"full"}%s]`

// wholeEvaluation is somebody in whom everything that is tested is good.
func wholeEvaluation(t *testing.T) string {
	t.Helper()
	var list []reckon.Finding
	for _, d := range finding.All() {
		if d.Test == "gates" || d.Test == "person" || d.Scale == finding.Text {
			continue
		}
		value := d.Normal
		switch {
		case value != "":
		case d.Scale == finding.Number:
			value = finding.FormatNumber(math.Round(d.Min + 0.8*(d.Max-d.Min)))
		default:
			value = d.Levels[len(d.Levels)-1].ID
		}
		for _, k := range d.Keys() {
			side := map[finding.Side]string{finding.NoSide: "none", finding.Left: "left", finding.Right: "right"}[k.Side]
			list = append(list, reckon.Finding{Finding: d.ID, Side: side, State: map[bool]string{true: "tired", false: "fresh"}[k.State == finding.Tired], Value: value})
		}
	}
	b, err := json.Marshal(list)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// A changed finding gives what core gives for the same findings.
func TestDecisionAfterAChangedFinding(t *testing.T) {
	before := wholeEvaluation(t)
	after := strings.Replace(before, `"W5"`, `"W3"`, -1)
	if before == after {
		t.Fatal("nobody walks steadily in a good evaluation")
	}
	var said reckon.Said
	if err := ask(t, "decide", fmt.Sprintf(`{"before":%s,"after":%s,"held":[],"cleared":[]}`, before, after), &said); err != "" {
		t.Fatal(err)
	}
	if len(said.Says) < 2 || len(said.Cautions) == 0 {
		t.Errorf("nothing is said to change: %v", said)
	}
	if err := ask(t, "decide", fmt.Sprintf(`{"before":%s,"after":%s,"held":["hold"],"cleared":[]}`, before, before), &said); err != "" || said.Says[0] != "Nothing of the set-up changes." {
		t.Errorf("the same findings: %v, %v", said, err)
	}
	// What the phone takes for granted is what "nothing noted" means at intake.
	fs := finding.Set{}
	fs.FillNormal(func(d *finding.Def) bool { return d.Test == "gates" })
	for _, g := range decide.Standing().Decide(decide.Input{Findings: fs}).Gates {
		if !g.Open && g.ID != "G16" && (g.Effect == decide.Hold.String() || g.Effect == decide.Refuse.String()) {
			t.Errorf("with nothing noted, gate %s holds", g.ID)
		}
	}
}

// The cold is that of core, word for word. The cell checked is of the printed
// wind chill table of Environment Canada: -20 °C and 30 km/h are -33.
func TestColdIsThatOfCore(t *testing.T) {
	var said reckon.Said
	if err := ask(t, "cold", `{"air_c":-20,"wind_m_s":8.333333333333334,"findings":[]}`, &said); err != "" {
		t.Fatal(err)
	}
	f, err := cold.Freeze(-20, quantity.MetrePerSecond(30/3.6))
	if err != nil || f.Chill.Printed() != -33 {
		t.Fatalf("core says %v, %v", f.Chill.Printed(), err)
	}
	if !strings.Contains(strings.Join(said.Says, " "), "-33") && !strings.Contains(strings.Join(said.Says, " "), "−33") {
		t.Errorf("-33 is not said: %v", said.Says)
	}
}

// Effective steepness of a traverse, sin(angle) times the slope: on 10 % the
// trade's own list says 2.6, 5, 7, 8.7, 9.7 and 10 % (working knowledge E2,
// from S48), within a tenth: the trade multiplies percent by the sine, core the
// sines of the angles.
func TestFanFeelsAsTheTradeSays(t *testing.T) {
	var fan struct {
		Steps []struct {
			StartDeg    float64 `json:"start_deg"`
			GradientPct float64 `json:"gradient_pct"`
			TopKMH      float64 `json:"top_kmh"`
		}
	}
	if err := ask(t, "fan", `{"gradient_pct":10,"snow":"all","mass_kg":70}`, &fan); err != "" {
		t.Fatal(err)
	}
	want := []struct{ deg, pct, within float64 }{{15, 2.6, 0.1}, {30, 5, 0.5}, {45, 7, 0.5}, {60, 8.7, 0.1}, {75, 9.7, 0.1}, {90, 10, 0.5}}
	if len(fan.Steps) != len(want) {
		t.Fatalf("%d steps", len(fan.Steps))
	}
	for i, w := range want {
		s := fan.Steps[i]
		if s.StartDeg != w.deg || math.Abs(s.GradientPct-w.pct) > w.within+1e-9 || i > 0 && s.TopKMH < fan.Steps[i-1].TopKMH {
			t.Errorf("step %d: %+v, the trade says %v° feels like %v %%", i+1, s, w.deg, w.pct)
		}
	}
}

// Drop one level after three clean in a row in one place (working knowledge
// G, common practice); two misses in three step back one.
func TestCountingRulesOnThePhone(t *testing.T) {
	one := func(outcome string, minute int) string {
		return fmt.Sprintf(`{"skill":"K15","side":"none","help":4,"outcome":%q,"terrain":"beginner","way":"outriggers","tie":"none","minutes":%d}`, outcome, minute)
	}
	for _, c := range []struct {
		here []string
		help int
	}{{[]string{one("clean", 1), one("clean", 2), one("clean", 3)}, 3}, {[]string{one("clean", 1), one("miss", 2), one("miss", 3)}, 5}, {[]string{one("clean", 1)}, 4}} {
		var got struct {
			Help int
			Why  string
		}
		if err := ask(t, "advise", `{"history":[],"here":[`+strings.Join(c.here, ",")+`],"skill":"K15","side":"none","aids":{"way":"outriggers","tie":"none"}}`, &got); err != "" || got.Help != c.help {
			t.Errorf("%d attempts: help %d, want %d (%s) %s", len(c.here), got.Help, c.help, got.Why, err)
		}
	}
}

func TestSnowOfToday(t *testing.T) {
	var said reckon.Said
	if err := ask(t, "snow", `{"snow":"all","glides":[{"length_m":20,"gradient_pct":10,"gradient_sd_pct":0.5,"mass_kg":70,"watch_sd_s":0.2,"times_s":[9.1]}]}`, &said); err != "" || len(said.Says) == 0 {
		t.Errorf("%v, %s", said, err)
	}
}

func TestListsAndOddInput(t *testing.T) {
	var l struct {
		List []struct{ Key, Label, Now string }
	}
	if err := ask(t, "findings", `{"findings":`+fmt.Sprintf(evaluated, "")+`}`, &l); err != "" || len(l.List) != 4 || l.List[0].Key != "gait|none|fresh" {
		t.Errorf("%v, %s", l, err)
	}
	for _, f := range finding.All() {
		for _, k := range f.Keys() {
			key := fmt.Sprintf("%s|%s|%s", f.ID, map[finding.Side]string{finding.NoSide: "none", finding.Left: "left", finding.Right: "right"}[k.Side], map[bool]string{true: "tired", false: "fresh"}[k.State == finding.Tired])
			var v struct {
				Label  string
				Levels []struct{ Value, Label string }
			}
			if err := ask(t, "levels", fmt.Sprintf(`{"key":%q,"findings":[]}`, key), &v); err != "" || v.Label == "" {
				t.Errorf("%s: %s", key, err)
			}
			for _, one := range v.Levels {
				if _, err := finding.Parse(f.ID, k.Side, k.State, one.Value); err != nil {
					t.Errorf("%s offers %q, which is not its own: %v", key, one.Value, err)
				}
			}
		}
	}
	for what, q := range map[string]string{"decide": "{", "nothing": "{}", "levels": `{"key":"x"}`, "cold": `{"air_c":-500}`, "fan": `{"gradient_pct":9e9}`, "snow": `{}`, "advise": `{"here":[{"outcome":"great"}]}`} {
		if err := ask(t, what, q, nil); err == "" {
			t.Errorf("%s %s is answered", what, q)
		}
	}
}

func FuzzAnswer(f *testing.F) {
	f.Add("decide", `{"before":[],"after":[]}`)
	f.Add("fan", `{"gradient_pct":10,"snow":"all"}`)
	f.Fuzz(func(t *testing.T, what, q string) {
		var v map[string]any
		if err := json.Unmarshal(reckon.Answer(what, []byte(q)), &v); err != nil {
			t.Errorf("%s %q: %v", what, q, err)
		}
	})
}
