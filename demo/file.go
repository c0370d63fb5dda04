package demo

import (
	"fmt"
	"strings"

	"github.com/goccy/go-yaml"
)

// The forms of the files. Keys are short names inside the demo; days are
// written 2025-12-06 and moments 2025-12-06 09:10, in the programme's zone.

type programmeFile struct {
	Name     string        `yaml:"name"`
	Village  string        `yaml:"village"`
	UTCHours int           `yaml:"utc_hours"`
	First    string        `yaml:"first"`
	Last     string        `yaml:"last"`
	Today    string        `yaml:"today"`
	Runs     []runFile     `yaml:"runs"`
	Lifts    []liftFile    `yaml:"lifts"`
	Staff    []staffFile   `yaml:"staff"`
	Settings []settingFile `yaml:"settings"`
}

type runFile struct {
	Name     string  `yaml:"name"`
	SlopePct float64 `yaml:"slope_pct"`
	WidthM   float64 `yaml:"width_m"`
	LengthM  float64 `yaml:"length_m"`
	RunOut   string  `yaml:"run_out"`
}

type liftFile struct {
	Name     string  `yaml:"name"`
	Kind     string  `yaml:"kind"`
	SpeedMS  float64 `yaml:"speed_m_s"`
	SlowedTo float64 `yaml:"slowed_to_m_s"`
	Seats    int     `yaml:"seats"`
	LengthM  float64 `yaml:"length_m"`
}

type staffFile struct {
	Key      string   `yaml:"key"`
	NameUsed string   `yaml:"name_used"`
	FullName string   `yaml:"full_name"`
	Roles    []string `yaml:"roles"`
	Login    string   `yaml:"login"`
	Password string   `yaml:"password"`
	Joined   string   `yaml:"joined"`
	Left     string   `yaml:"left"`
	AddedBy  string   `yaml:"added_by"` // empty: the first lead
}

type settingFile struct {
	On        string `yaml:"on"`
	By        string `yaml:"by"`
	Name      string `yaml:"name"`
	Value     string `yaml:"value"`
	Rationale string `yaml:"rationale"`
}

type studentFile struct {
	Shows     string                  `yaml:"shows"`
	Details   detailsFile             `yaml:"details"`
	Guardians map[string]guardianFile `yaml:"guardians"`
	Met       eventFile               `yaml:"met"` // on and by only
	Season    []eventFile             `yaml:"season"`
}

type detailsFile struct {
	NameUsed  string `yaml:"name_used"`
	FullName  string `yaml:"full_name"`
	Language  string `yaml:"language"`
	BirthDate string `yaml:"birth_date"`
	BindsSelf string `yaml:"binds_self"`
	Ended     bool   `yaml:"ended"`
}

type guardianFile struct {
	Name     string `yaml:"name"`
	Relation string `yaml:"relation"`
	Phone    string `yaml:"phone"`
	MaySign  bool   `yaml:"may_sign"`
}

// eventFile is one entry of a season: who did what, when. Exactly one of the
// fields after By is given.
type eventFile struct {
	On string `yaml:"on"`
	By string `yaml:"by"`

	Details        *detailsFile    `yaml:"details"`
	Consents       *consentsFile   `yaml:"consents"`
	Hold           *holdFile       `yaml:"hold"`
	Withdraw       *withdrawFile   `yaml:"withdraw"`
	Clearance      *clearanceFile  `yaml:"clearance"`
	Evaluation     *evaluationFile `yaml:"evaluation"`
	Findings       sheet           `yaml:"findings"` // outside an evaluation
	Morning        *morningFile    `yaml:"morning"`
	CorrectFinding *correctFile    `yaml:"correct_finding"`
	Note           *noteFile       `yaml:"note"`
	CorrectNote    *noteFile       `yaml:"correct_note"` // key names the note

	SetUp       *setUpFile       `yaml:"set_up"`
	Measures    *measuresFile    `yaml:"measures"`
	GearChanged *gearChangeFile  `yaml:"gear_changed"`
	AskBinding  *bindingFile     `yaml:"binding_asked"`
	BindingTest *bindingTestFile `yaml:"binding_tested"`
}

// kinds lists what the event holds, by the names of its fields.
func (e *eventFile) kinds() []string {
	var got []string
	for name, is := range map[string]bool{
		"details": e.Details != nil, "consents": e.Consents != nil, "hold": e.Hold != nil, "withdraw": e.Withdraw != nil,
		"clearance": e.Clearance != nil, "evaluation": e.Evaluation != nil, "findings": e.Findings != nil,
		"morning": e.Morning != nil, "correct_finding": e.CorrectFinding != nil, "note": e.Note != nil, "correct_note": e.CorrectNote != nil,
		"set_up": e.SetUp != nil, "measures": e.Measures != nil, "gear_changed": e.GearChanged != nil, "binding_asked": e.AskBinding != nil, "binding_tested": e.BindingTest != nil,
	} {
		if is {
			got = append(got, name)
		}
	}
	return got
}

type consentsFile struct {
	Kinds    []string `yaml:"kinds"`
	Answer   string   `yaml:"answer"` // empty: given
	Wording  string   `yaml:"wording"`
	SignedBy []string `yaml:"signed_by"` // "student" or the key of a guardian
	Expires  string   `yaml:"expires"`   // empty: as long as the programme allows
	OnPaper  bool     `yaml:"on_paper"`
}

// holdFile is a hold raised by hand. Those that a gate rule asks for are raised
// by the programme itself with the findings they rest on.
type holdFile struct {
	Key     string `yaml:"key"`
	Reason  string `yaml:"reason"`
	Clearer string `yaml:"clearer"`
}

// morningFile is the short look at the door: everything that is asked each day,
// with nothing to note but what the sheet says.
type morningFile struct {
	Findings sheet `yaml:"findings"`
}

type withdrawFile struct {
	Hold   string `yaml:"hold"` // the key of one by hand, or the gate rule
	Reason string `yaml:"reason"`
}

type clearanceFile struct {
	Hold       string `yaml:"hold"` // as in withdrawFile
	ClearedBy  string `yaml:"cleared_by"`
	Licence    string `yaml:"licence"`
	ClearedOn  string `yaml:"cleared_on"`
	ValidUntil string `yaml:"valid_until"`
	Paper      string `yaml:"paper"`
	Limits     string `yaml:"limits"`
}

// evaluationFile is one evaluation. Fresh values are recorded ten minutes
// after its beginning, tired ones half an hour after, and it is closed five
// minutes later.
type evaluationFile struct {
	Reason   string            `yaml:"reason"`
	Findings sheet             `yaml:"findings"`
	Said     map[string]string `yaml:"said"`    // words that go with a finding
	Nothing  []string          `yaml:"nothing"` // tests with nothing to note in what is not listed
	How      string            `yaml:"how"`
	Closed   string            `yaml:"closed"`     // summary of a complete evaluation
	Broken   string            `yaml:"broken_off"` // summary of one broken off; neither: it stays open
}

type correctFile struct {
	Finding string `yaml:"finding"` // as in a sheet: "push_out L"
	State   string `yaml:"state"`   // empty: both
	Value   string `yaml:"value"`
	Note    string `yaml:"note"`
}

type noteFile struct {
	Key   string `yaml:"key"`
	Class string `yaml:"class"` // empty: work
	About string `yaml:"about"`
	Text  string `yaml:"text"`
}

// line is one value of a sheet of findings.
type line struct {
	finding, side, state, value string
}

// sheet is a list of findings as they are written by hand:
//
//	gait: W4                  fresh and tired alike
//	stand_s: 20 / 12          fresh / tired
//	stand_s: 20 / later       fresh; not looked at tired yet
//	push_out: {L: 3 / 2, R: 3}
type sheet []line

// UnmarshalYAML implements yaml.InterfaceUnmarshaler.
func (s *sheet) UnmarshalYAML(unmarshal func(any) error) error {
	var all yaml.MapSlice
	if err := unmarshal(&all); err != nil {
		return err
	}
	for _, item := range all {
		id := fmt.Sprint(item.Key)
		sides, ok := item.Value.(map[string]any)
		if !ok {
			s.add(id, "none", item.Value)
			continue
		}
		for name := range sides {
			if name != "L" && name != "R" {
				return fmt.Errorf("%s: %q is not a side; write L or R", id, name)
			}
		}
		for _, side := range [][2]string{{"L", "left"}, {"R", "right"}} {
			if v, ok := sides[side[0]]; ok {
				s.add(id, side[1], v)
			}
		}
	}
	return nil
}

func (s *sheet) add(id, side string, v any) {
	fresh, tired, both := strings.Cut(fmt.Sprint(v), " / ")
	switch {
	case !both:
		*s = append(*s, line{id, side, "both", fresh})
	case tired == "later":
		*s = append(*s, line{id, side, "fresh", fresh})
	default:
		*s = append(*s, line{id, side, "fresh", fresh}, line{id, side, "tired", tired})
	}
}

// place splits the name of a finding as sheets and corrections write it:
// "push_out L" is push_out on the left.
func place(text string) (finding, side string) {
	finding, side, _ = strings.Cut(text, " ")
	switch side {
	case "L":
		return finding, "left"
	case "R":
		return finding, "right"
	}
	return finding, "none"
}
