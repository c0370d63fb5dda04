package programme

import (
	"math"
	"slices"
)

// The kinds of fact of the set-up sheet. A sheet is a proposal with what was
// measured for it and who signed it; a later proposal is a new version.
const (
	KindSetUpProposed Kind = "set_up_proposed" // SetUpProposal; the fact's id is the version's id
	KindSetUpMeasured Kind = "set_up_measured" // SetUpMeasures of one version; the latest of each item stands
	KindSetUpSigned   Kind = "set_up_signed"   // SetUpSignature of one version by the fact's author
	KindGearChanged   Kind = "gear_changed"    // GearChange: voids what was set and measured before
)

// SetUpProposal is the payload of a KindSetUpProposed fact: what the program
// proposes, with everything a person needs beside a number.
type SetUpProposal struct {
	Items []SetUpItem `json:"items"`
	UpTo  int64       `json:"up_to"`           // the last fact that it was computed from
	Rules string      `json:"rules,omitempty"` // version of the rule table
	// Taken are readings that were made for this proposal.
	Taken []TakenReading `json:"taken,omitempty"`
}

// SetUpKey names one line of a sheet.
type SetUpKey struct {
	Item string `json:"item"` // short name: "outrigger_handle"
	Side string `json:"side"` // "none", "left" or "right", always the student's
}

// SetUpItem is one line of a proposal: a number with its tolerance, words, or
// something to measure.
type SetUpItem struct {
	SetUpKey
	Label string `json:"label"`
	// Unit is that of a number; "" for an item that is set in words.
	Unit  string   `json:"unit,omitempty"`
	Value *float64 `json:"value_in_unit,omitempty"` // proposed; nil where it has to be measured first
	Low   *float64 `json:"low_in_unit,omitempty"`   // tolerance; both or none
	High  *float64 `json:"high_in_unit,omitempty"`
	Words string   `json:"words,omitempty"` // proposed words, where Unit is ""
	// Holes lists what the pair at hand can be set to, in Unit, from hole 1 on;
	// empty where the gear has none or none was chosen.
	Holes   []float64 `json:"holes_in_unit,omitempty"`
	Hole    int       `json:"hole,omitempty"`    // proposed hole; 0: none
	Measure string    `json:"measure,omitempty"` // the measurement that narrows it most, and how it is taken
	Wrong   []string  `json:"wrong,omitempty"`   // what a wrong fit looks like
	Recheck string    `json:"recheck,omitempty"` // when to look again
	// Warnings are sentences that go with this line.
	Warnings []string `json:"warnings,omitempty"`
	Basis    []string `json:"basis,omitempty"` // marks of works
}

// SetUpMeasures is the payload of a KindSetUpMeasured fact. The person who
// measured is the fact's author.
type SetUpMeasures struct {
	SetUp  ID           `json:"set_up"` // the version
	Values []SetUpValue `json:"values"`
}

// SetUpValue is what was measured or chosen for one item on the person.
type SetUpValue struct {
	SetUpKey
	Value *float64 `json:"value_in_unit,omitempty"` // in the item's unit
	Words string   `json:"words,omitempty"`         // for an item in words
	Hole  int      `json:"hole,omitempty"`          // hole number, 0 where there is none
	Note  string   `json:"note,omitempty"`
}

// SetUpSignature is the payload of a KindSetUpSigned fact: its author looked
// at the person in this set-up and stands by it.
type SetUpSignature struct {
	SetUp ID `json:"set_up"`
}

// GearChange is the payload of a KindGearChanged fact.
type GearChange struct {
	What string `json:"what"`           // one of GearChanges
	Side string `json:"side"`           // "none", "left" or "right"
	Note string `json:"note,omitempty"` // in words
}

// GearChangeKind is something that voids a set-up when it changes.
type GearChangeKind struct {
	What, Label string
	Binding     bool // it voids a binding's setting too
}

// GearChanges lists what can be recorded as changed. What voids a binding is
// the trade's list: boot, sole, plate; a lift inside the boot does not (common
// practice, no source).
var GearChanges = []GearChangeKind{
	{"boots", "Boots", true},
	{"soles", "Boot soles", true},
	{"plate", "A plate or lift under boot or binding", true},
	{"binding", "Binding", true},
	{"skis", "Skis", true},
	{"brace", "Brace or prosthesis", false},
	{"hand_aid", "Outriggers or slider", false},
	{"other", "Something else", false},
}

func gearChangeOf(what string) (GearChangeKind, bool) {
	i := slices.IndexFunc(GearChanges, func(k GearChangeKind) bool { return k.What == what })
	if i < 0 {
		return GearChangeKind{}, false
	}
	return GearChanges[i], true
}

// Limits of a set-up sheet.
const (
	MaxSetUpItems = 60
	MaxHoles      = 40
	MaxSetUpValue = 10000 // in the item's unit
)

func (k SetUpKey) check() error {
	if k.Item == "" || len(k.Item) > MaxName {
		return Refuse(CodeInvalid, "A line of the set-up sheet needs a short name.")
	}
	if !slices.Contains([]string{"none", "left", "right"}, k.Side) {
		return Refuse(CodeInvalid, "A side is none, left or right, not %q.", clip(k.Side))
	}
	return nil
}

func sane(v *float64) bool {
	return v == nil || !math.IsNaN(*v) && !math.IsInf(*v, 0) && *v >= -MaxSetUpValue && *v <= MaxSetUpValue
}

func (p *SetUpProposal) check() error {
	switch {
	case len(p.Items) == 0:
		return Refuse(CodeInvalid, "A set-up sheet has at least one line.")
	case len(p.Items) > MaxSetUpItems:
		return Refuse(CodeInvalid, "A set-up sheet has at most %d lines.", MaxSetUpItems)
	case p.UpTo <= 0:
		return Refuse(CodeInvalid, "A set-up sheet must say from which facts it was computed.")
	}
	seen := map[SetUpKey]bool{}
	for i := range p.Items {
		it := &p.Items[i]
		if err := it.check(); err != nil {
			return err
		}
		if seen[it.SetUpKey] {
			return Refuse(CodeInvalid, "%s (%s) stands twice on the set-up sheet.", it.Label, it.Side)
		}
		seen[it.SetUpKey] = true
	}
	for i := range p.Taken {
		t := &p.Taken[i]
		if !sane(&t.Value) {
			return Refuse(CodeInvalid, "A reading for the sheet cannot be right.")
		}
		if err := text("What was read", &t.Measure, MaxShort, true, false); err != nil {
			return err
		}
	}
	return text("The version of the rules", &p.Rules, MaxName, false, false)
}

func (it *SetUpItem) check() error {
	if err := it.SetUpKey.check(); err != nil {
		return err
	}
	if err := text("The label of a line", &it.Label, MaxName, true, false); err != nil {
		return err
	}
	number := it.Value != nil || it.Low != nil || it.High != nil || len(it.Holes) > 0 || it.Hole != 0
	switch {
	case it.Unit == "" && number:
		return Refuse(CodeInvalid, "%s has a number but no unit.", it.Label)
	case it.Unit != "" && it.Words != "":
		return Refuse(CodeInvalid, "%s is a number or words, not both.", it.Label)
	case (it.Low == nil) != (it.High == nil):
		return Refuse(CodeInvalid, "%s has half a tolerance.", it.Label)
	case it.Low != nil && *it.Low > *it.High, it.Low != nil && it.Value != nil && (*it.Value < *it.Low || *it.Value > *it.High):
		return Refuse(CodeInvalid, "%s lies outside its own tolerance.", it.Label)
	case len(it.Holes) > MaxHoles || it.Hole < 0 || it.Hole > max(len(it.Holes), 0):
		return Refuse(CodeInvalid, "%s names a hole that is not there.", it.Label)
	}
	for _, v := range []*float64{it.Value, it.Low, it.High} {
		if !sane(v) {
			return Refuse(CodeInvalid, "%s has a number that cannot be right.", it.Label)
		}
	}
	for i := range it.Holes {
		if !sane(&it.Holes[i]) {
			return Refuse(CodeInvalid, "%s has a hole that cannot be right.", it.Label)
		}
	}
	for _, err := range []error{
		text("The unit", &it.Unit, MaxName, false, false), text("The words", &it.Words, MaxShort, false, false),
		text("How to measure", &it.Measure, MaxShort, false, false), text("When to look again", &it.Recheck, MaxShort, false, false),
	} {
		if err != nil {
			return err
		}
	}
	for i := range it.Wrong {
		if err := text("A sign of wrong fit", &it.Wrong[i], MaxShort, true, false); err != nil {
			return err
		}
	}
	for i := range it.Warnings {
		if err := text("A warning", &it.Warnings[i], MaxShort, true, false); err != nil {
			return err
		}
	}
	return nil
}

func (m *SetUpMeasures) check() error {
	if err := m.SetUp.Check(); err != nil {
		return err
	}
	if len(m.Values) == 0 {
		return Refuse(CodeInvalid, "There is nothing to record.")
	}
	if len(m.Values) > MaxSetUpItems {
		return Refuse(CodeInvalid, "A set-up sheet has at most %d lines.", MaxSetUpItems)
	}
	seen := map[SetUpKey]bool{}
	for i := range m.Values {
		v := &m.Values[i]
		if err := v.SetUpKey.check(); err != nil {
			return err
		}
		if seen[v.SetUpKey] {
			return Refuse(CodeInvalid, "%s (%s) is given twice. Nothing was saved.", v.Item, v.Side)
		}
		seen[v.SetUpKey] = true
		if !sane(v.Value) || v.Hole < 0 || v.Hole > MaxHoles {
			return Refuse(CodeInvalid, "The value of %s (%s) cannot be right.", v.Item, v.Side)
		}
		for _, err := range []error{text("The words", &v.Words, MaxShort, false, false), text("The note", &v.Note, MaxShort, false, false)} {
			if err != nil {
				return err
			}
		}
	}
	return nil
}

func (g *GearChange) check() error {
	if _, ok := gearChangeOf(g.What); !ok {
		return Refuse(CodeInvalid, "What changed is one of the listed things, not %q.", clip(g.What))
	}
	if g.Side == "" {
		g.Side = "none"
	}
	if !slices.Contains([]string{"none", "left", "right"}, g.Side) {
		return Refuse(CodeInvalid, "A side is none, left or right, not %q.", clip(g.Side))
	}
	return text("The note", &g.Note, MaxShort, g.What == "other", false)
}

// SetUpStatus says how a version of the sheet stands.
type SetUpStatus string

// The states of a version.
const (
	SetUpDraft    SetUpStatus = "draft"    // something is still to be measured
	SetUpMeasured SetUpStatus = "measured" // everything is measured; fewer than two people signed
	SetUpSigned   SetUpStatus = "signed"   // signed by two people; this is the set-up
	SetUpVoid     SetUpStatus = "void"     // something it rests on has changed
	SetUpReplaced SetUpStatus = "replaced" // a later version stands in its place
)

// SetUpState is one version of the sheet.
type SetUpState struct {
	ID      ID
	Version int // from 1
	Provenance
	SetUpProposal
	Measured   []MeasuredItem // one for each of Items, in their order
	Signatures []Provenance   // those that count: of different people, after the last measurement; at most two
	Status     SetUpStatus
	Why        string       // one sentence: what the status rests on
	Void       []VoidReason // why it was reopened, oldest first
}

// MeasuredItem is what stands for one item.
type MeasuredItem struct {
	Done bool // else the rest is empty
	Provenance
	SetUpValue
}

// VoidReason is one thing that made a set-up or a binding's setting void.
type VoidReason struct {
	Code string // "growth", "brace", "g13", "leg", "leg_length", "soles", "weight", or of GearChanges
	Say  string // one sentence
	Provenance
}

// Item returns a line of the proposal with what was measured for it.
func (s SetUpState) Item(item, side string) (SetUpItem, MeasuredItem, bool) {
	for i, it := range s.Items {
		if it.Item == item && it.Side == side {
			return it, s.Measured[i], true
		}
	}
	return SetUpItem{}, MeasuredItem{}, false
}

// Complete tells whether every line was measured.
func (s SetUpState) Complete() bool {
	return !slices.ContainsFunc(s.Measured, func(m MeasuredItem) bool { return !m.Done })
}

// Outside tells whether a measured number lies outside the proposed tolerance.
func (it SetUpItem) Outside(v SetUpValue) bool {
	return v.Value != nil && it.Low != nil && (*v.Value < *it.Low || *v.Value > *it.High)
}

// SetUp returns the set-up in force: signed by two people and not void.
func (r Record) SetUp() (SetUpState, bool) {
	for i := len(r.SetUps) - 1; i >= 0; i-- {
		if r.SetUps[i].Status == SetUpSigned {
			return r.SetUps[i], true
		}
	}
	return SetUpState{}, false
}

// LatestSetUp returns the newest version of the sheet.
func (r Record) LatestSetUp() (SetUpState, bool) {
	if len(r.SetUps) == 0 {
		return SetUpState{}, false
	}
	return r.SetUps[len(r.SetUps)-1], true
}

// SetUpByID finds a version.
func (r Record) SetUpByID(id ID) (SetUpState, bool) {
	for _, s := range r.SetUps {
		if s.ID == id {
			return s, true
		}
	}
	return SetUpState{}, false
}
