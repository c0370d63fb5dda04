package programme

import (
	"encoding/hex"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// text trims and checks free text. what names it in the refusal.
func text(what string, s *string, most int, needed, lines bool) error {
	*s = strings.TrimSpace(*s)
	switch {
	case !utf8.ValidString(*s):
		return Refuse(CodeInvalid, "%s is not readable text (UTF-8).", what)
	case *s == "" && needed:
		return Refuse(CodeInvalid, "%s is missing.", what)
	case utf8.RuneCountInString(*s) > most:
		return Refuse(CodeInvalid, "%s is too long: at most %d characters.", what, most)
	}
	for _, r := range *s {
		if unicode.IsControl(r) && !(lines && (r == '\n' || r == '\r' || r == '\t')) {
			return Refuse(CodeInvalid, "%s holds a control character.", what)
		}
	}
	return nil
}

var languageTag = regexp.MustCompile(`^[A-Za-z]{2,3}(-[A-Za-z0-9]{2,8}){0,3}$`)

func (d *StudentDetails) check(today Date) error {
	if err := text("The name used", &d.NameUsed, MaxName, true, false); err != nil {
		return err
	}
	if err := text("The full name", &d.FullName, MaxName, false, false); err != nil {
		return err
	}
	if d.Language != "" && !languageTag.MatchString(d.Language) {
		return Refuse(CodeInvalid, "The language %q is not a language tag such as en or pt-BR.", clip(d.Language))
	}
	if !d.BirthDate.IsZero() {
		if d.BirthDate.After(today) || d.BirthDate.Years(today) > MaxAge {
			return Refuse(CodeInvalid, "The birth date %s cannot be right.", d.BirthDate)
		}
		if d.AgeYears != 0 || !d.AgeOn.IsZero() {
			return Refuse(CodeInvalid, "Give the birth date or the age, not both.")
		}
	}
	switch {
	case d.AgeYears < 0 || d.AgeYears > MaxAge:
		return Refuse(CodeInvalid, "An age of %d years cannot be right.", d.AgeYears)
	case d.AgeYears > 0 && d.AgeOn.IsZero():
		d.AgeOn = today
	case d.AgeYears == 0 && !d.AgeOn.IsZero():
		return Refuse(CodeInvalid, "There is a day for the age but no age.")
	case d.AgeOn.After(today):
		return Refuse(CodeInvalid, "The day of the age, %s, is in the future.", d.AgeOn)
	}
	switch d.BindsSelf {
	case "":
		d.BindsSelf = BindsUnknown
	case BindsYes, BindsNo, BindsUnknown:
	default:
		return Refuse(CodeInvalid, "Whether the own signature binds is yes, no or unknown, not %q.", clip(string(d.BindsSelf)))
	}
	return nil
}

func (g *GuardianDetails) check() error {
	if err := g.Guardian.Check(); err != nil {
		return err
	}
	if err := text("The guardian's name", &g.Name, MaxName, true, false); err != nil {
		return err
	}
	if err := text("The relation", &g.Relation, MaxName, false, false); err != nil {
		return err
	}
	return text("The phone number", &g.Phone, MaxName, false, false)
}

// check puts in the last possible day where none is given. It looks at the
// consent alone; who must sign is judged against the record.
func (c *Consent) check(today Date, months int) error {
	rule, ok := ConsentRuleOf(c.Consent)
	if !ok {
		return Refuse(CodeUnknown, "There is no consent called %q.", clip(string(c.Consent)))
	}
	if err := text("The version of the wording", &c.Wording, MaxShort, c.Answer == ConsentGiven, false); err != nil {
		return err
	}
	if len(c.SignedBy) > MaxGuardians+1 {
		return Refuse(CodeInvalid, "Too many signatures.")
	}
	for _, s := range c.SignedBy {
		if s.Student == (s.Guardian != "") {
			return Refuse(CodeInvalid, "A signature is the student's or one guardian's.")
		}
		if s.Guardian != "" {
			if err := s.Guardian.Check(); err != nil {
				return err
			}
		}
	}
	switch {
	case c.SignedOn.IsZero():
		return Refuse(CodeInvalid, "The day of the answer is missing.")
	case c.SignedOn.After(today):
		return Refuse(CodeInvalid, "The day of the answer, %s, is in the future.", c.SignedOn)
	}
	switch c.Answer {
	case ConsentRefused, ConsentWithdrawn:
		if !c.Expires.IsZero() {
			return Refuse(CodeInvalid, "Only a consent that is given has a last day.")
		}
		return nil
	case ConsentGiven:
	default:
		return Refuse(CodeInvalid, "A consent is given, refused or withdrawn, not %q.", clip(string(c.Answer)))
	}
	last := c.SignedOn.AddMonths(months).AddDays(-1)
	if c.Expires.IsZero() && rule.MustEnd {
		c.Expires = last
	}
	if c.Expires.Before(c.SignedOn) {
		return Refuse(CodeInvalid, "The last day, %s, is before the day of signing, %s.", c.Expires, c.SignedOn)
	}
	if rule.MustEnd && c.Expires.After(last) {
		return Refuse(CodeInvalid, "%s ends at the latest on %s, %d months after it was signed.", rule.Label, last, months)
	}
	return nil
}

func (h *Hold) check() error {
	if err := text("The reason of the hold", &h.Reason, MaxText, true, true); err != nil {
		return err
	}
	if err := text("Who can clear it", &h.Clearer, MaxShort, false, false); err != nil {
		return err
	}
	if len(h.Because) > MaxBecause {
		return Refuse(CodeInvalid, "A hold names at most %d facts.", MaxBecause)
	}
	for _, id := range h.Because {
		if err := id.Check(); err != nil {
			return err
		}
	}
	return nil
}

func (c *Clearance) check(today Date, months int) error {
	if err := c.Hold.Check(); err != nil {
		return err
	}
	for _, err := range []error{
		text("The name of the person who cleared", &c.ClearedBy, MaxName, true, false),
		text("Where the paper is kept", &c.Paper, MaxShort, false, false),
		text("The limits", &c.Limits, MaxText, false, true),
	} {
		if err != nil {
			return err
		}
	}
	if _, ok := clearerLabel(c.Licence); !ok {
		switch strings.ToLower(strings.TrimSpace(c.Licence)) {
		case "parent", "mother", "father", "guardian", "carer", "family", "student":
			return Refuse(CodeNotClearance, "A parent's, carer's or student's word does not clear a medical hold. A licensed person's letter is needed.")
		}
		return Refuse(CodeNotClearance, "%q is not a licensed role that clears a hold.", clip(c.Licence))
	}
	if !c.InWriting {
		return Refuse(CodeNotClearance, "A clearance counts only in writing. The hold stays until the letter is here.")
	}
	switch {
	case c.ClearedOn.IsZero():
		return Refuse(CodeInvalid, "The date of the letter is missing.")
	case c.ClearedOn.After(today):
		return Refuse(CodeInvalid, "The date of the letter, %s, is in the future.", c.ClearedOn)
	case c.ValidUntil.IsZero():
		return Refuse(CodeInvalid, "Until when the clearance holds is missing.")
	case c.ValidUntil.Before(c.ClearedOn):
		return Refuse(CodeInvalid, "The clearance ends on %s, before its date %s.", c.ValidUntil, c.ClearedOn)
	case c.ValidUntil.Before(today):
		return Refuse(CodeNotClearance, "The clearance ran out on %s.", c.ValidUntil)
	case c.ValidUntil.After(c.ClearedOn.AddMonths(months)):
		return Refuse(CodeInvalid, "A clearance holds for at most %d months from its date, here until %s.", months, c.ClearedOn.AddMonths(months))
	}
	return nil
}

func (e *EvaluationBegun) check() error {
	if !slices.Contains(EvaluationReasons, e.Reason) {
		return Refuse(CodeInvalid, "The reason of an evaluation is one of %s, not %q.", strings.Join(EvaluationReasons, ", "), clip(e.Reason))
	}
	return nil
}

func (e *EvaluationClosed) check() error {
	if err := e.Evaluation.Check(); err != nil {
		return err
	}
	return text("The summary", &e.Summary, MaxText, false, true)
}

func (f *Finding) check(v Vocabulary) error {
	if f.Side == "" {
		f.Side = "none"
	}
	if f.State == "" {
		f.State = "both"
	}
	if !slices.Contains([]string{"none", "left", "right"}, f.Side) {
		return Refuse(CodeInvalid, "A side is none, left or right, not %q.", clip(f.Side))
	}
	if !slices.Contains([]string{"fresh", "tired", "both"}, f.State) {
		return Refuse(CodeInvalid, "A state is fresh, tired or both, not %q.", clip(f.State))
	}
	if f.State == "tired" && !v.Tires(f.Finding) {
		if _, err := v.CheckFinding(FindingKey{f.Finding, f.Side, "both"}, f.Value); err == nil {
			return Refuse(CodeInvalid, "%s has no tired value.", clip(f.Finding))
		}
	}
	if !utf8.ValidString(f.Value) {
		return Refuse(CodeInvalid, "The value of %s is not readable text (UTF-8).", clip(f.Finding))
	}
	value, err := v.CheckFinding(f.FindingKey, f.Value)
	if err != nil {
		return err
	}
	f.Value = value
	for _, err := range []error{
		text("The value of "+f.Finding, &f.Value, MaxText, true, false),
		text("How it was seen", &f.How, MaxShort, false, false),
		text("The note", &f.Note, MaxText, false, true),
	} {
		if err != nil {
			return err
		}
	}
	if f.Evaluation != "" {
		return f.Evaluation.Check()
	}
	return nil
}

func (n *Note) check() error {
	if n.Class != NoteWork && n.Class != NoteMedical {
		return Refuse(CodeInvalid, "A note is for work or medical, not %q.", clip(string(n.Class)))
	}
	if err := text("What the note is about", &n.About, MaxName, false, false); err != nil {
		return err
	}
	return text("The note", &n.Text, MaxText, true, true)
}

func (c *Card) check() error {
	if c.UpTo <= 0 {
		return Refuse(CodeInvalid, "The card must say from which facts it was made.")
	}
	if b, err := hex.DecodeString(c.Digest); err != nil || len(b) != 32 || c.Digest != strings.ToLower(c.Digest) {
		return Refuse(CodeInvalid, "The card's digest must be 64 hexadecimal digits in lower case.")
	}
	if c.ForDay.IsZero() {
		return Refuse(CodeInvalid, "The day of the card is missing.")
	}
	if err := text("The version of the rules", &c.Rules, MaxName, false, false); err != nil {
		return err
	}
	return text("The version of the program", &c.Software, MaxName, false, false)
}

func (r *Retraction) check() error {
	return text("The reason of the retraction", &r.Reason, MaxText, true, true)
}

func (d *StaffDetails) check() error {
	if err := d.Staff.Check(); err != nil {
		return err
	}
	if err := text("The name used", &d.NameUsed, MaxName, true, false); err != nil {
		return err
	}
	if err := text("The full name", &d.FullName, MaxName, false, false); err != nil {
		return err
	}
	if len(d.Roles) == 0 {
		return Refuse(CodeInvalid, "A staff member has at least one role.")
	}
	for _, r := range d.Roles {
		if !slices.Contains(Roles, r) {
			return Refuse(CodeUnknown, "There is no role called %q.", clip(string(r)))
		}
	}
	roles := []Role{}
	for _, r := range Roles {
		if slices.Contains(d.Roles, r) {
			roles = append(roles, r)
		}
	}
	d.Roles = roles
	return nil
}

func (s *Setting) check(v Vocabulary, today Date) error {
	value := ""
	var err error
	if len(s.Value) > MaxSettingText {
		return Refuse(CodeInvalid, "The value is too long: at most %d characters.", MaxSettingText)
	}
	if own, ok := ownSetting(s.Name); ok {
		value, err = own.check(s.Value)
	} else {
		value, err = v.CheckSetting(s.Name, s.Value)
	}
	if err != nil {
		return err
	}
	s.Value = value
	if err := text("Who signs it off", &s.SignedBy, MaxName, true, false); err != nil {
		return err
	}
	if err := text("The rationale", &s.Rationale, MaxText, false, true); err != nil {
		return err
	}
	switch {
	case s.SignedOn.IsZero():
		return Refuse(CodeInvalid, "The day of signing off is missing.")
	case s.SignedOn.After(today):
		return Refuse(CodeInvalid, "The day of signing off, %s, is in the future.", s.SignedOn)
	}
	return nil
}
