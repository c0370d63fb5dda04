package programme

import (
	"slices"
	"strings"
)

// The kinds of fact about incidents. An incident concerns one student or none.
const (
	KindIncident Kind = "incident" // Incident; the fact's id is the incident's id; corrections name it
	KindWitness  Kind = "witness"  // Witness: one person's own words
	KindGearTag  Kind = "gear_tag" // GearTag; the latest of each tag stands; no student
)

// Incident is the payload of a KindIncident fact: an unexpected event, or a
// near miss. Known facts only; no guesses, no diagnosis.
type Incident struct {
	NearMiss  bool     `json:"near_miss,omitempty"` // nothing happened, and it could have
	Day       Date     `json:"day"`
	Time      string   `json:"time,omitempty"` // 24-hour clock, "14:05"
	Where     string   `json:"where,omitempty"`
	What      string   `json:"what"`
	Lesson    ID       `json:"lesson,omitempty"`
	Help      *int     `json:"help,omitempty"`   // level, 7 full to 0 independent
	SetUp     string   `json:"set_up,omitempty"` // in words
	Tags      []string `json:"tags,omitempty"`   // gear that is quarantined with it
	Hurt      string   `json:"hurt,omitempty"`   // yes, no, unknown
	Part      string   `json:"part,omitempty"`   // of BodyParts
	Head      string   `json:"head,omitempty"`   // head strike, neck pain or odd numbness: yes, no, unknown
	Patrol    string   `json:"patrol,omitempty"` // was called: yes, no
	Paper     string   `json:"paper,omitempty"`  // where patrol's paper is kept
	StoppedBy string   `json:"stopped_by,omitempty"`
	From      ID       `json:"from,omitempty"` // what was written down on snow, that this grew out of
}

// Witness is the payload of a KindWitness fact. Each writes for themselves.
type Witness struct {
	Incident ID     `json:"incident"`
	Name     string `json:"name,omitempty"` // who saw it, where that is not the fact's author
	Text     string `json:"text"`
}

// GearTag is the payload of a KindGearTag fact: an item taken out of use, or
// given back, by its tag.
type GearTag struct {
	Tag      string `json:"tag"` // in capitals
	Out      bool   `json:"out"`
	Reason   string `json:"reason"`
	Incident ID     `json:"incident,omitempty"`
}

// BodyParts are where somebody is hurt: an id and the words. Arms are listed
// apart, since among competitors with a disability they are hurt nearly as often
// as legs (S19).
var BodyParts = [][2]string{
	{"head", "Head"}, {"neck", "Neck"}, {"shoulder", "Shoulder"}, {"arm", "Arm or hand"}, {"trunk", "Trunk"},
	{"hip", "Hip"}, {"leg", "Leg or knee"}, {"foot", "Foot"}, {"skin", "Skin"}, {"other", "Elsewhere"},
}

// IncidentVersion is one wording of an incident.
type IncidentVersion struct {
	Provenance
	Incident
}

// IncidentState is an incident with everything that was ever written about it.
type IncidentState struct {
	ID      ID
	Student ID // "" for none
	Provenance
	Incident
	Earlier   []IncidentVersion // replaced wordings, oldest first
	Witnesses []WitnessState    // oldest first; only those the reader may see
	Hidden    int               // statements of others
	OnSnow    bool              // written down on a phone, and not written up yet
}

// WitnessState is one statement.
type WitnessState struct {
	Provenance
	Witness
}

// GearTagState is an item as known.
type GearTagState struct {
	Provenance
	GearTag
}

// MaxTags is the most items one incident takes out of use.
const MaxTags = 12

// cleanTag writes a tag as it stands on the gear.
func cleanTag(s string) string { return strings.ToUpper(strings.Join(strings.Fields(s), "")) }

func checkTag(s string) error {
	if s == "" || len(s) > 40 || strings.ContainsFunc(s, func(r rune) bool {
		return !(r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_' || r == '.' || r == '/')
	}) {
		return Refuse(CodeInvalid, "A tag has at most 40 letters, digits, hyphens or dots, not %q.", clip(s))
	}
	return nil
}

func (i *Incident) check(today Date) error {
	switch {
	case i.Day.IsZero():
		return Refuse(CodeInvalid, "The day is missing.")
	case i.Day.After(today):
		return Refuse(CodeInvalid, "The day, %s, is in the future.", i.Day)
	case i.Help != nil && (*i.Help < 0 || *i.Help > 7):
		return Refuse(CodeInvalid, "A help level lies between 7, full, and 0, independent.")
	case len(i.Tags) > MaxTags:
		return Refuse(CodeInvalid, "At most %d items are taken out of use with one incident.", MaxTags)
	case i.Part != "" && !slices.ContainsFunc(BodyParts, func(p [2]string) bool { return p[0] == i.Part }):
		return Refuse(CodeInvalid, "Where it hurts is one of the listed parts, not %q.", clip(i.Part))
	}
	if i.Time != "" && !clockTime(i.Time) {
		return Refuse(CodeInvalid, "The time is written 14:05, not %q.", clip(i.Time))
	}
	for n := range i.Tags {
		i.Tags[n] = cleanTag(i.Tags[n])
		if err := checkTag(i.Tags[n]); err != nil {
			return err
		}
	}
	for _, a := range []string{i.Hurt, i.Head, i.Patrol} {
		if !slices.Contains(answersOnSnow, a) {
			return Refuse(CodeInvalid, "Whether somebody is hurt, and whether patrol came, is yes, no or unknown.")
		}
	}
	for _, id := range []ID{i.Lesson, i.From} {
		if id == "" {
			continue
		}
		if err := id.Check(); err != nil {
			return err
		}
	}
	for _, err := range []error{
		text("What happened", &i.What, MaxText, true, true), text("Where it was", &i.Where, MaxShort, false, false),
		text("The set-up", &i.SetUp, MaxShort, false, false), text("Where the paper is", &i.Paper, MaxShort, false, false),
		text("What stopped it", &i.StoppedBy, MaxShort, false, false),
	} {
		if err != nil {
			return err
		}
	}
	return nil
}

// clockTime tells whether a text is a time of day.
func clockTime(s string) bool {
	if len(s) != 5 || s[2] != ':' {
		return false
	}
	for _, i := range []int{0, 1, 3, 4} {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return s[:2] < "24" && s[3:] < "60"
}

func (w *Witness) check() error {
	if err := w.Incident.Check(); err != nil {
		return err
	}
	if err := text("The name of the witness", &w.Name, MaxName, false, false); err != nil {
		return err
	}
	return text("What was seen", &w.Text, MaxText, true, true)
}

func (g *GearTag) check() error {
	g.Tag = cleanTag(g.Tag)
	if err := checkTag(g.Tag); err != nil {
		return err
	}
	return text("The reason", &g.Reason, MaxShort, true, false)
}

// incidentKinds are the facts that incidents are read from.
var incidentKinds = []Kind{KindIncident, KindWitness, KindSnow, KindRetraction}

// IncidentsOf computes the incidents from facts in rising Seq, of every student
// and of none. A near miss that was written down on snow is one until it is
// written up. It is pure.
func IncidentsOf(facts []Fact, day func(Fact) Date) []IncidentState {
	var log Record // takes the places; only its log is written
	var out []IncidentState
	up := map[ID]bool{}
	for _, pl := range log.takePlaces(facts) {
		if pl.retracted {
			continue
		}
		f, from := pl.current(), pl.from()
		switch f.Kind {
		case KindIncident:
			s := IncidentState{ID: pl.root.ID, Student: pl.root.Student, Provenance: from}
			if f.Read(&s.Incident) != nil {
				continue
			}
			for _, old := range append([]Fact{pl.root}, pl.chain...) {
				v := IncidentVersion{Provenance: provenance(old, pl.root.ID)}
				if old.ID != f.ID && old.Read(&v.Incident) == nil {
					s.Earlier = append(s.Earlier, v)
				}
			}
			up[s.From] = true
			out = append(out, s)
		case KindWitness:
			w := WitnessState{Provenance: from}
			if f.Read(&w.Witness) != nil {
				continue
			}
			if i := slices.IndexFunc(out, func(s IncidentState) bool { return s.ID == w.Incident }); i >= 0 {
				out[i].Witnesses = append(out[i].Witnesses, w)
			}
		case KindSnow:
			var e SnowEvent
			if f.Read(&e) != nil || e.Event != SnowNearMiss {
				continue
			}
			out = append(out, IncidentState{ID: pl.root.ID, Student: pl.root.Student, Provenance: from, OnSnow: true,
				Incident: Incident{NearMiss: true, Day: day(f), Where: e.Where, What: e.What, SetUp: e.SetUp, Help: e.Help, StoppedBy: e.StoppedBy}})
		}
	}
	return slices.DeleteFunc(out, func(s IncidentState) bool { return s.OnSnow && up[s.ID] })
}

// GearTagsOf computes how each tagged item stands, in the order in which they
// were first named.
func GearTagsOf(facts []Fact) []GearTagState {
	var out []GearTagState
	for _, f := range facts {
		t := GearTagState{Provenance: provenance(f, f.ID)}
		if f.Kind == KindGearTag && f.Read(&t.GearTag) == nil {
			out = latest(out, t, func(o GearTagState) bool { return o.Tag == t.Tag })
		}
	}
	return out
}
