package programme

import (
	"fmt"
	"strconv"
	"strings"
)

// Clearer is a licensed role whose written word clears a medical hold.
type Clearer struct {
	ID    string
	Label string
}

// Clearers lists the licensed roles. Basis: the condition sheet's column "who
// clears" (common practice); which profession may write what differs by
// country and is the programme's to know.
var Clearers = []Clearer{
	{"physician", "physician"},
	{"orthopaedic_surgeon", "orthopaedic surgeon"},
	{"neurosurgeon", "neurosurgeon"},
	{"neurologist", "neurologist"},
	{"cardiologist", "cardiologist"},
	{"neuromuscular_clinic", "neuromuscular clinic"},
	{"bone_specialist", "bone specialist"},
	{"eye_doctor", "eye doctor"},
	{"prosthetist", "prosthetist"},
	{"physiotherapist", "physiotherapist"},
	{"nurse", "nurse"},
}

// clearerLabel returns the label of a licensed role, and whether it is one.
func clearerLabel(id string) (string, bool) {
	for _, c := range Clearers {
		if c.ID == id {
			return c.Label, true
		}
	}
	return "", false
}

// MayClear tells whether a licensed role is among those a hold names. A hold
// that names no licensed role may be cleared by any.
func (h Hold) MayClear(licence string) bool {
	text, named := strings.ToLower(h.Clearer), false
	for _, c := range Clearers {
		if strings.Contains(text, c.Label) {
			if c.ID == licence {
				return true
			}
			named = true
		}
	}
	return !named
}

// ConsentRule is what holds for one kind of consent.
type ConsentRule struct {
	Kind     ConsentKind
	Label    string
	Needed   bool // nobody takes part without it
	Binding  bool // signed by those whom SignerRules ask for; else by anybody who may speak for the student
	MustEnd  bool // expires at the latest after the setting consent_months
	Question string
	Basis    string
}

// ConsentRules lists the consents in the order in which they are asked.
var ConsentRules = []ConsentRule{
	{ConsentWaiver, "Waiver of the season", true, true, true,
		"Do you accept the programme's waiver for this season?", "gate rule G16; once a year, one insurer's rule"},
	{ConsentHealth, "Keeping health data", true, true, true,
		"May the programme keep the health facts it needs for safety?", "GDPR Article 9(2)(a): explicit consent"},
	{ConsentEmergency, "Emergency treatment", false, true, true,
		"May patrol and helpers treat the student in an emergency?", "common practice, no source"},
	{ConsentSharing, "Sharing with a clinician", false, true, true,
		"May the programme share what it saw with the student's clinician?", "common practice, no source"},
	{ConsentPhoto, "Photos and video", false, true, true,
		"May photos or video be taken?", "common practice, no source"},
	{ConsentTouch, "Touch", false, false, true,
		"May instructors hold or steady the student? Asked again on snow, each time.", "common practice, no source"},
}

// ConsentRuleOf returns the rule of a kind of consent.
func ConsentRuleOf(k ConsentKind) (ConsentRule, bool) {
	for _, r := range ConsentRules {
		if r.Kind == k {
			return r, true
		}
	}
	return ConsentRule{}, false
}

// SignerCase is the kind of person whom a signing rule is about.
type SignerCase string

// The cases, looked at in this order.
const (
	SignerMinor      SignerCase = "minor"       // younger than the setting adult_age_years on the day of signing
	SignerCannotBind SignerCase = "cannot_bind" // an adult whose own signature does not bind
	SignerAdult      SignerCase = "adult"       // an adult whose own signature binds
	SignerUnknown    SignerCase = "unknown"     // age or binding is not recorded
)

// SignerRule says who must sign a binding consent.
type SignerRule struct {
	Case     SignerCase
	Student  bool
	Guardian bool
	Because  string
}

// SignerRules is the table of who must sign. Basis: guardian signs for minors
// and, beside them, for adults whose sole signature may not bind; local law
// wins.
var SignerRules = []SignerRule{
	{SignerMinor, false, true, "a minor needs a guardian's signature"},
	{SignerCannotBind, false, true, "an adult whose own signature does not bind needs a guardian's signature"},
	{SignerAdult, true, false, "an adult signs in person"},
	{SignerUnknown, true, true, "age, or whether the own signature binds, is not recorded, so both the student and a guardian must sign"},
}

// signerRule returns the rule for a student on a day.
func signerRule(d StudentDetails, on Date, adultAge int) SignerRule {
	c := SignerUnknown
	age, known := d.Age(on)
	switch {
	case known && age < adultAge && (!d.BirthDate.IsZero() || d.ageIsSure(on)):
		c = SignerMinor
	case known && age < adultAge:
		c = SignerUnknown
	case known && d.BindsSelf == BindsNo:
		c = SignerCannotBind
	case known && d.BindsSelf == BindsYes:
		c = SignerAdult
	}
	for _, r := range SignerRules {
		if r.Case == c {
			return r
		}
	}
	return SignerRules[len(SignerRules)-1]
}

// ageIsSure tells whether an age without a birth date is still the age: it is
// until a year after it was said, and the lowest possible one later on.
func (d StudentDetails) ageIsSure(on Date) bool {
	return d.AgeOn.Years(on) == 0
}

// signedEnough tells whether the signatures satisfy a consent's rules; if not,
// it says why in half a sentence.
func signedEnough(rule ConsentRule, c Consent, d StudentDetails, adultAge int) (ok bool, why string) {
	student, guardian := false, false
	for _, s := range c.SignedBy {
		student = student || s.Student
		guardian = guardian || s.Guardian != ""
	}
	if !rule.Binding {
		return student || guardian, "nobody signed it"
	}
	sr := signerRule(d, c.SignedOn, adultAge)
	return (student || !sr.Student) && (guardian || !sr.Guardian), sr.Because
}

// OwnSetting is a number that the records themselves use. Like every setting
// it is a proposal until somebody signs it off.
type OwnSetting struct {
	Name     string
	Value    int
	Min, Max int
	Unit     string
	Means    string
	Basis    string
}

// OwnSettings lists the records' own settings; those of the rule table are
// core's.
var OwnSettings = []OwnSetting{
	{"adult_age_years", 18, 16, 21, "years", "From this age a person signs for themselves. Local law wins.", "P"},
	{"consent_months", 12, 1, 12, "months", "A waiver or consent ends at the latest this long after it was signed.", "P, from: waiver once a year"},
	{"clearance_months", 12, 1, 36, "months", "A clearance ends at the latest this long after its date.", "P"},
	{"season_month", 7, 1, 12, "month", "The month with which a season's figures begin.", "P"},
	{"retention_months", 24, 6, 120, "months", "A student's record is due to be forgotten this long after the last thing written in it. Local law wins.", "P"},
	{"waiver_years", 7, 1, 30, "years", "A signed waiver is kept this long after it ended, or after the student came of age. Ask the insurer; local law wins.", "P, common practice"},
	{"first_slide_pct", 5, 2, 10, "%", "A first slide is on a slope no steeper than this over 50 m that ends flat or rising.", "P"},
}

func ownSetting(name string) (OwnSetting, bool) {
	for _, s := range OwnSettings {
		if s.Name == name {
			return s, true
		}
	}
	return OwnSetting{}, false
}

func (s OwnSetting) check(value string) (string, error) {
	n, err := strconv.Atoi(strings.TrimSpace(value))
	if err != nil || n < s.Min || n > s.Max {
		return "", Refuse(CodeInvalid, "%s takes a whole number of %s between %d and %d, not %q.", s.Name, s.Unit, s.Min, s.Max, clip(value))
	}
	return strconv.Itoa(n), nil
}

// Numbers are the values of OwnSettings in force.
type Numbers struct {
	AdultAgeYears   int
	ConsentMonths   int
	ClearanceMonths int
	SeasonMonth     int
	RetentionMonths int     // after the last thing written, a record is due to be forgotten
	WaiverYears     int     // a waiver is kept after it ended
	FirstSlidePct   int     // steepest 50 m of a slope for a first slide
	GrowthCM        float64 // growth beyond this makes a set-up void: the rules' own number; 0: as proposed
}

// NumbersOf reads the records' own numbers from the settings that were signed
// off; what nobody signed off has its proposed value.
func NumbersOf(signed map[string]SettingState) Numbers {
	get := func(name string) int {
		own, ok := ownSetting(name)
		if !ok {
			panic(fmt.Sprintf("programme: no own setting %s", name))
		}
		if s, ok := signed[name]; ok {
			if v, err := own.check(s.Value); err == nil {
				n, _ := strconv.Atoi(v)
				return n
			}
		}
		return own.Value
	}
	return Numbers{
		AdultAgeYears:   get("adult_age_years"),
		ConsentMonths:   get("consent_months"),
		ClearanceMonths: get("clearance_months"),
		SeasonMonth:     get("season_month"),
		RetentionMonths: get("retention_months"),
		WaiverYears:     get("waiver_years"),
		FirstSlidePct:   get("first_slide_pct"),
		GrowthCM:        growthOf(signed),
	}
}
