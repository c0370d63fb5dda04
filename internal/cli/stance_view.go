package cli

import (
	"math"
	"strings"

	"firnhand/core/quantity"
	"firnhand/core/source"
	"firnhand/core/stance"
	"firnhand/internal/picture/standing"
)

// stanceAsked is a stance and what is wanted of it.
type stanceAsked struct {
	stance  stance.Stance
	changes bool
	draw    stanceDrawFlags
	json    bool
	who     *whoStands // where it comes from a person's file
}

// span is a value with its limits, in the unit its field names.
type span struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

func spanOf[T quantity.Scalar](r quantity.Range[T], scale float64) span {
	return span{float64(r.Value()) * scale, float64(r.Low()) * scale, float64(r.High()) * scale}
}

const radian = 180 / math.Pi

// stanceView is the balance of a stance, as JSON.
type stanceView struct {
	MassKg     float64            `json:"mass_kg"`
	CentreX    span               `json:"centre_right_m"`
	CentreY    span               `json:"centre_forward_m"`
	CentreZ    span               `json:"centre_height_m"`
	LeftShare  *span              `json:"left_share_given_pct,omitempty"`
	Verdict    string             `json:"verdict"` // held, partly, not_held
	WeightN    float64            `json:"weight_n"`
	ActsRight  span               `json:"acts_right_m"`
	ActsAhead  span               `json:"acts_forward_m"`
	CarriedPct float64            `json:"carried_pct"`
	SurePct    float64            `json:"carried_shown_pct"` // by what was shown that legs and arms carry
	ArmsN      *span              `json:"arms_least_n"`      // null where it is not held
	ArmsPct    *span              `json:"arms_least_pct"`
	ArmsEvenN  float64            `json:"arms_even_n"`
	Contacts   []stanceLoadView   `json:"contacts"`
	Margin     span               `json:"margin_m"`
	Edge       string             `json:"margin_towards"`
	Reserve    *span              `json:"reserve_m"` // null where legs and arms carry the weight nowhere
	Nearest    string             `json:"reserve_towards,omitempty"`
	Directions []stanceWayView    `json:"directions"`
	Polygon    [][2]float64       `json:"polygon_m"`
	Region     [][2]float64       `json:"region_m"`
	LeanDeg    float64            `json:"lean_deg"`
	AlongN     float64            `json:"snow_holds_along_n"`
	AcrossN    float64            `json:"snow_holds_across_n"`
	Xcom       *stanceXcomView    `json:"extrapolated,omitempty"`
	ResidualN  float64            `json:"residual_n"`
	Notes      []stanceNoteView   `json:"notes"`
	Changes    []stanceChangeView `json:"changes,omitempty"`
	Basis      []string           `json:"basis"`
	*whoStands
}

type stanceLoadView struct {
	Name       string     `json:"name"`
	Kind       string     `json:"kind"`
	Rear       [2]float64 `json:"rear_m"`
	Front      [2]float64 `json:"front_m"`
	Side       string     `json:"side"`
	LeastN     float64    `json:"least_n"`
	MostN      float64    `json:"most_n"`
	LeastPct   float64    `json:"least_pct"`
	MostPct    float64    `json:"most_pct"`
	EvenN      float64    `json:"even_n"`
	EvenPct    float64    `json:"even_pct"`
	EvenRearN  float64    `json:"even_rear_n"`
	EvenFrontN float64    `json:"even_front_n"`
	WideLowN   float64    `json:"with_uncertainty_low_n"`
	WideHighN  float64    `json:"with_uncertainty_high_n"`
	LimitN     *float64   `json:"limit_n"`
	LimitLowN  *float64   `json:"limit_shown_n,omitempty"`         // what was shown to be carried
	LimitHighN *float64   `json:"limit_not_ruled_out_n,omitempty"` // what is not ruled out
	LimitFrom  string     `json:"limit_from,omitempty"`
	AtLimit    bool       `json:"at_limit,omitempty"`
}

type stanceWayView struct {
	Toward string `json:"toward"`
	Edge   span   `json:"edge_m"`
	Tips   span   `json:"tips_deg"`
	Limit  span   `json:"limit_m"`
	Fails  span   `json:"fails_deg"`
}

type stanceXcomView struct {
	At      [2]float64 `json:"at_m"`
	Lead    [2]float64 `json:"lead_m"`
	RatePer float64    `json:"rate_per_s"`
	Margin  span       `json:"margin_m"`
}

type stanceNoteView struct {
	Code     string `json:"code"`
	Sentence string `json:"sentence"`
}

type stanceChangeView struct {
	Code       string   `json:"code"`
	Sentence   string   `json:"sentence"`
	Verdict    string   `json:"verdict"`
	ReserveM   float64  `json:"reserve_m"`
	BuysM      float64  `json:"buys_m"`
	CarriedPct float64  `json:"carried_pct"`
	ArmsN      float64  `json:"arms_least_n"`
	HelperN    float64  `json:"helper_n,omitempty"`
	Basis      []string `json:"basis"`
}

// stance balances, draws and prints.
func (a *app) stance(asked stanceAsked) error {
	r, err := stance.Analyse(asked.stance)
	if err != nil {
		return stanceFault(err)
	}
	var changes []stance.Change
	if asked.changes {
		if changes, err = stance.Changes(asked.stance); err != nil {
			return stanceFault(err)
		}
	}
	if err := a.drawStance(asked, r); err != nil {
		return err
	}
	if asked.json {
		return a.printJSON(viewStance(r, changes, asked.who))
	}
	return printStance(a.sheet(false), r, changes, asked)
}

func viewStance(r stance.Result, changes []stance.Change, who *whoStands) stanceView {
	w := float64(r.Weight)
	of := r.Of
	v := stanceView{MassKg: float64(of.Mass), CentreX: spanOf(of.Centre.X, 1), CentreY: spanOf(of.Centre.Y, 1), CentreZ: spanOf(of.Centre.Height, 1),
		Verdict: r.Verdict.String(), WeightN: w, ActsRight: spanOf(r.Acts[0], 1), ActsAhead: spanOf(r.Acts[1], 1),
		CarriedPct: r.Carried.Percent(), SurePct: r.Sure.Percent(), ArmsEvenN: float64(r.ArmsEven), Margin: spanOf(r.Margin, 1), Edge: r.Edge.String(),
		Polygon: [][2]float64{}, Region: [][2]float64{}, LeanDeg: r.Lean.Degrees(), AlongN: float64(r.Along), AcrossN: float64(r.Over),
		ResidualN: r.Residual, Notes: []stanceNoteView{}, Basis: r.Basis, whoStands: who}
	if r.Verdict != stance.NotHeld {
		n, pct := spanOf(r.Arms, 1), spanOf(r.Arms, 100/w)
		v.ArmsN, v.ArmsPct = &n, &pct
	}
	if of.LeftShare != nil {
		s := spanOf(*of.LeftShare, 100)
		v.LeftShare = &s
	}
	if !r.RegionEmpty {
		s := spanOf(r.Reserve, 1)
		v.Reserve, v.Nearest = &s, r.Nearest.String()
	}
	for _, l := range r.Loads {
		one := stanceLoadView{Name: l.Contact.Name(), Kind: l.Contact.Kind.String(), Side: l.Contact.Side.String(), Rear: xy(l.Contact.Rear), Front: xy(l.Contact.Front),
			LeastN: float64(l.Possible.Low()), MostN: float64(l.Possible.High()), EvenN: float64(l.Even), EvenRearN: float64(l.EvenRear), EvenFrontN: float64(l.EvenFront),
			LeastPct: float64(l.Possible.Low()) / w * 100, MostPct: float64(l.Possible.High()) / w * 100, EvenPct: float64(l.Even) / w * 100,
			WideLowN: float64(l.Wide.Low()), WideHighN: float64(l.Wide.High()), LimitFrom: l.Contact.Limit.From, AtLimit: l.AtLimit}
		if l.Contact.Limit.Known {
			limit := l.Contact.Limit.Range()
			one.LimitN = ptr(float64(limit.Value()))
			if limit.Width() > 0 {
				one.LimitLowN, one.LimitHighN = ptr(float64(limit.Low())), ptr(float64(limit.High()))
			}
		}
		v.Contacts = append(v.Contacts, one)
	}
	for _, room := range r.Rooms {
		v.Directions = append(v.Directions, stanceWayView{room.Toward.String(), spanOf(room.Edge, 1), spanOf(room.Tips, radian), spanOf(room.Limit, 1), spanOf(room.Fails, radian)})
	}
	for _, p := range r.Polygon {
		v.Polygon = append(v.Polygon, xy(p))
	}
	for _, p := range r.Region {
		v.Region = append(v.Region, xy(p))
	}
	if m := r.Moving; m != nil {
		v.Xcom = &stanceXcomView{xy(m.At), xy(m.Lead), m.Rate, spanOf(m.Margin, 1)}
	}
	for _, n := range r.Notes {
		v.Notes = append(v.Notes, stanceNoteView(n))
	}
	for _, c := range changes {
		v.Changes = append(v.Changes, stanceChangeView{c.Code, c.Sentence, c.Verdict.String(), float64(c.Reserve), float64(c.Buys), c.Carried.Percent(), float64(c.Arms), float64(c.Force), c.Basis})
	}
	return v
}

// printStance prints for people.
func printStance(p *sheet, r stance.Result, changes []stance.Change, asked stanceAsked) error {
	if asked.who != nil {
		asked.who.print(p)
	}
	n, cm, pct := quantity.Decimals(0), quantity.Decimals(1), quantity.Decimals(0)
	w := float64(r.Weight)
	p.para(0, standing.Words(r.Verdict))
	p.line("  weight on the snow   %s N", n.Text(w))
	p.line("  it acts              %s cm right, %s cm ahead of the ankles", cm.Text(100*float64(r.Acts[0].Value())), cm.Text(100*float64(r.Acts[1].Value())))
	if r.Verdict != stance.NotHeld {
		p.line("  arms at least        %s, %s %% of the weight", r.Arms.Text(n), pct.Text(100*float64(r.Arms.Value())/w))
	}
	p.line("  to the edge          %s cm (%s to %s), nearest %s", cm.Text(100*float64(r.Margin.Value())), cm.Text(100*float64(r.Margin.Low())), cm.Text(100*float64(r.Margin.High())), r.Edge)
	if !r.RegionEmpty {
		p.line("  to what can be held  %s cm (%s to %s), nearest %s", cm.Text(100*float64(r.Reserve.Value())), cm.Text(100*float64(r.Reserve.Low())), cm.Text(100*float64(r.Reserve.High())), r.Nearest)
	}
	p.heading("Loads in newtons: least and most possible, and shared evenly")
	for _, l := range r.Loads {
		limit := "limit not known"
		if l.Contact.Limit.Known {
			limit = "limit " + l.Contact.Limit.Range().Text(n)
		}
		if r.Verdict == stance.NotHeld {
			p.line("  %-14s %s", l.Contact.Name(), limit)
			continue
		}
		p.line("  %-14s %4s to %4s   even %4s (%s %%)   %s", l.Contact.Name(), n.Text(float64(l.Possible.Low())), n.Text(float64(l.Possible.High())),
			n.Text(float64(l.Even)), pct.Text(100*float64(l.Even)/w), limit)
	}
	if asked.stance.Centre.Height.Value() > 0 {
		p.heading("Lean that tips the body, and that arms and legs no longer hold, degrees")
		for _, room := range r.Rooms {
			p.line("  %-14s %5s   %5s", room.Toward, cm.Text(room.Tips.Value().Degrees()), cm.Text(room.Fails.Value().Degrees()))
		}
	}
	if asked.who != nil && len(asked.who.Situations) > 0 {
		p.heading("In each situation: held, N on the arms at least, cm to what can be held")
		for _, s := range asked.who.Situations {
			arms, reserve := "-", "-"
			if s.ArmsN != nil {
				arms = n.Text(s.ArmsN.Value)
			}
			if s.Reserve != nil {
				reserve = cm.Text(100*s.Reserve.Value) + " " + s.Nearest
			}
			p.line("  %-30s %-9s %4s   %s", s.Name, strings.ReplaceAll(s.Verdict, "_", " "), arms, reserve)
		}
	}
	if m := r.Moving; m != nil {
		p.line("\nextrapolated centre %+.3f m inside the edge", float64(m.Margin.Value()))
	}
	if len(r.Notes) > 0 {
		p.heading("Notes")
		for _, note := range r.Notes {
			p.bullet(note.Sentence)
		}
	}
	if asked.changes {
		p.heading("What could be changed, most helpful first")
		for _, c := range changes {
			text := c.Sentence
			if c.Buys > 0 {
				text += " Buys " + cm.Text(100*float64(c.Buys)) + " cm"
				if c.Verdict == stance.Held {
					text += "; then it is held, with " + n.Text(float64(c.Arms)) + " N on the arms at least"
				}
				text += "."
			}
			p.bullet(text)
		}
		if len(changes) == 0 {
			p.line("  Nothing that is tried here helps.")
		}
	}
	p.blank()
	p.para(0, "Computed from: "+strings.Join(worksOf(r.Basis), "; ")+". A starting point for the instructor's eyes, not a clearance.")
	return p.err
}

// worksOf names what an answer stands on.
func worksOf(ids []string) []string {
	var out []string
	for _, id := range ids {
		name := id
		if id == "D" {
			name = "statics"
		} else if f, ok := source.Figure(id); ok {
			name = f.Quantity + " (" + string(f.Status) + ")"
		} else if work, ok := source.Reference(id); ok {
			name = work.Text
		}
		out = append(out, name)
	}
	return out
}

// whoStands is what a person's file adds to a stance.
type whoStands struct {
	Name       string          `json:"name,omitempty"`
	Aid        string          `json:"aid"`
	Handle     sided[*float64] `json:"handle_height_cm"`
	Elbow      sided[*float64] `json:"elbow_deg"`
	Upright    string          `json:"upright,omitempty"` // how they stand upright on the slope
	Situations []situationView `json:"situations,omitempty"`
	Taken      []string        `json:"taken"` // what was not measured and what stands in for it

	Hold bool `json:"hold_in_force"` // the person is not to stand on skis today, whatever is computed

	posed *stance.Posed
	slope quantity.Radian // along the skis, downhill ahead
}

func (w *whoStands) print(p *sheet) {
	if w.Name != "" {
		p.line("%s, %s", w.Name, aidWords[w.Aid])
	}
	if w.Hold {
		p.para(2, "A hold is in force: nobody stands on skis on the strength of this sheet before it is cleared in writing.")
	}
	for i, h := range []*float64{w.Handle.L, w.Handle.R} {
		if h == nil {
			continue
		}
		side, bend := "left", w.Elbow.L
		if i == 1 {
			side, bend = "right", w.Elbow.R
		}
		p.line("  %-6s handle %.1f cm over the snow, elbow bent %.0f degrees", side, *h, *bend)
	}
	if w.Upright != "" {
		p.para(2, w.Upright)
	}
	for _, t := range w.Taken {
		p.bullet(t)
	}
	p.blank()
}

var aidWords = map[string]string{"none": "no aid", "outriggers": "two outriggers", "one_outrigger_left": "one outrigger, left",
	"one_outrigger_right": "one outrigger, right", "slider": "slider",
	"one_ski_left": "one ski on the left leg, two outriggers", "one_ski_right": "one ski on the right leg, two outriggers"}
