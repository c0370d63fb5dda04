package programme_test

import (
	"testing"

	"firnhand/programme"
)

func waiver(signed ...programme.Signature) programme.Consent {
	return programme.Consent{Consent: programme.ConsentWaiver, Answer: programme.ConsentGiven, Wording: "2026-1",
		SignedBy: signed, SignedOn: date("2027-01-14"), OnPaper: true}
}

var self = programme.Signature{Student: true}

func (r *rig) guardian(student programme.ID, change ...func(*programme.GuardianDetails)) programme.Signature {
	r.t.Helper()
	g := programme.GuardianDetails{Guardian: r.ids.Next(), Name: "Corin Orrel", Relation: "father", Phone: "+00 1", MaySign: true}
	for _, c := range change {
		c(&g)
	}
	r.ok(r.PutGuardian(ctx, lead, r.made(), student, g))
	return programme.Signature{Guardian: g.Guardian}
}

// TestWhoSigns follows the trade: "guardian signs for minors and for adults who
// cannot bind themselves" and "Adults whose sole signature may not bind must be
// spotted by the form so a guardian signs too". 18 years as the age of signing
// is proposed, local law wins.
func TestWhoSigns(t *testing.T) {
	birth := func(s string) func(*programme.StudentDetails) {
		return func(d *programme.StudentDetails) { d.BirthDate = date(s) }
	}
	age := func(n int, on string) func(*programme.StudentDetails) {
		return func(d *programme.StudentDetails) { d.BirthDate, d.AgeYears, d.AgeOn = programme.Date{}, n, date(on) }
	}
	binds := func(b programme.BindsSelf) func(*programme.StudentDetails) {
		return func(d *programme.StudentDetails) { d.BindsSelf = b }
	}
	none := func(d *programme.StudentDetails) { d.BirthDate = programme.Date{} }
	for _, c := range []struct {
		name                 string
		change               []func(*programme.StudentDetails)
		self, guardian, both bool // is that signature, or both, enough?
		words                string
	}{
		{"adult", nil, true, false, true, "an adult signs in person"},
		{"18 today", []func(*programme.StudentDetails){birth("2009-01-14")}, true, false, true, "an adult signs in person"},
		{"18 tomorrow", []func(*programme.StudentDetails){birth("2009-01-15")}, false, true, true, "a minor needs a guardian's signature"},
		{"child", []func(*programme.StudentDetails){birth("2018-03-01"), binds(programme.BindsUnknown)}, false, true, true, "a minor needs"},
		{"minor said to bind", []func(*programme.StudentDetails){birth("2012-03-01"), binds(programme.BindsYes)}, false, true, true, "a minor needs"},
		{"cannot bind", []func(*programme.StudentDetails){binds(programme.BindsNo)}, false, true, true, "own signature does not bind"},
		{"not asked", []func(*programme.StudentDetails){binds(programme.BindsUnknown)}, false, false, true, "is not recorded"},
		{"age unknown", []func(*programme.StudentDetails){none}, false, false, true, "is not recorded"},
		{"age 40", []func(*programme.StudentDetails){age(40, "2027-01-14")}, true, false, true, "an adult signs"},
		{"age 17, said today", []func(*programme.StudentDetails){age(17, "2027-01-14")}, false, true, true, "a minor needs"},
		{"age 17, said two years ago", []func(*programme.StudentDetails){age(17, "2025-01-10")}, true, false, true, "an adult signs"},
		{"age 12, said two years ago", []func(*programme.StudentDetails){age(12, "2025-01-10")}, false, false, true, "is not recorded"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t)
			s := r.student(c.change...)
			g := r.guardian(s)
			for _, try := range []struct {
				by []programme.Signature
				ok bool
			}{{[]programme.Signature{self}, c.self}, {[]programme.Signature{g}, c.guardian}, {[]programme.Signature{self, g}, c.both}, {nil, false}} {
				n := r.count()
				id := r.made()
				_, err := r.RecordConsent(ctx, instructor, id, s, waiver(try.by...))
				if !try.ok {
					r.refused(n, err, programme.CodeInvalid, "Waiver of the season is not signed by everybody who must sign: ")
					if len(try.by) > 0 {
						r.refused(n, err, programme.CodeInvalid, c.words)
					}
					continue
				}
				if err != nil {
					t.Errorf("signed by %v: %v", try.by, err)
					continue
				}
				if w := r.at(s).ConsentOf(programme.ConsentWaiver); !w.Valid {
					t.Errorf("signed by %v: %s", try.by, w.Why)
				}
				r.ok(r.Retract(ctx, lead, r.made(), s, id.ID, programme.Retraction{Reason: "next try"}))
			}
		})
	}
}

// TestWaiverOnceAYear: trade, "Waiver once a year, nobody participates without
// it" (gate rule G16).
func TestWaiverOnceAYear(t *testing.T) {
	r := newRig(t)
	s := r.student()
	w := func() programme.ConsentState { return r.at(s).ConsentOf(programme.ConsentWaiver) }
	if got := w(); got.Valid || got.Recorded || !got.Needed || got.Why != "Nothing is recorded." {
		t.Fatalf("before: %+v", got)
	}
	n := r.count()
	c := waiver(self)
	c.Expires = date("2028-01-14")
	_, err := r.RecordConsent(ctx, lead, r.made(), s, c)
	r.refused(n, err, programme.CodeInvalid, "Waiver of the season ends at the latest on 2028-01-13, 12 months after it was signed.")
	c.Expires = date("2027-01-13")
	_, err = r.RecordConsent(ctx, lead, r.made(), s, c)
	r.refused(n, err, programme.CodeInvalid, "The last day, 2027-01-13, is before the day of signing")
	r.ok(r.RecordConsent(ctx, lead, r.made(), s, waiver(self)))
	if got := w(); !got.Valid || got.Why != "Valid until 2028-01-13." || got.By != lead.Staff {
		t.Fatalf("signed: %+v", got)
	}
	r.days(364) // 13 January 2028
	if got := w(); !got.Valid {
		t.Fatalf("on the last day: %+v", got)
	}
	r.days(1)
	if got := w(); got.Valid || got.Why != "Ran out on 2028-01-13." {
		t.Fatalf("a year later: %+v", got)
	}
	again := waiver(self)
	again.SignedOn = date("2028-01-14")
	second := r.ok(r.RecordConsent(ctx, lead, r.made(), s, again))
	if got := w(); !got.Valid {
		t.Fatalf("signed again: %+v", got)
	}
	gone := again
	gone.Answer = programme.ConsentWithdrawn
	r.ok(r.RecordConsent(ctx, lead, r.made(), s, gone))
	if got := w(); got.Valid || got.Why != "Withdrawn on 2028-01-14." {
		t.Fatalf("withdrawn: %+v", got)
	}
	// Correcting the earlier signature does not undo the later withdrawal.
	better := again
	better.Wording = "2027-1"
	r.ok(r.CorrectConsent(ctx, lead, r.made(), s, second, better))
	if got := w(); got.Valid || got.Answer != programme.ConsentWithdrawn {
		t.Fatalf("after the correction: %+v", got)
	}
}

func TestConsentFollowsTheRecord(t *testing.T) {
	r := newRig(t)
	s := r.student()
	r.ok(r.RecordConsent(ctx, lead, r.made(), s, waiver(self)))
	// The birth date was wrong: the student is a minor, so the waiver never bound.
	r.ok(r.ChangeStudent(ctx, lead, r.made(), s, programme.StudentDetails{NameUsed: "Tamsin", BirthDate: date("2015-05-02"), BindsSelf: programme.BindsNo}))
	if got := r.at(s).ConsentOf(programme.ConsentWaiver); got.Valid || got.Why != "Not signed by everybody who must: a minor needs a guardian's signature." {
		t.Fatalf("a minor's own signature: %+v", got)
	}
	g := r.guardian(s)
	r.ok(r.RecordConsent(ctx, lead, r.made(), s, waiver(g)))
	if missing := r.at(s).MissingConsents(); len(missing) != 1 || missing[0].Kind != programme.ConsentHealth {
		t.Fatalf("missing %+v", missing)
	}
	// A guardian who was entered by mistake takes the signature along.
	r.ok(r.Retract(ctx, lead, r.made(), s, r.at(s).Guardians[0].Fact, programme.Retraction{Reason: "wrong family"}))
	if got := r.at(s).ConsentOf(programme.ConsentWaiver); got.Valid || got.Why != "Signed by a guardian who is no longer in the record." {
		t.Fatalf("a stranger's signature: %+v", got)
	}
}

func TestConsentRefusals(t *testing.T) {
	r := newRig(t)
	s := r.student()
	other := r.student()
	theirs := r.guardian(other)
	visitor := r.guardian(s, func(g *programme.GuardianDetails) { g.MaySign = false })
	gone := r.guardian(s, func(g *programme.GuardianDetails) { g.Ended = true })
	for _, c := range []struct {
		name   string
		change func(*programme.Consent)
		code   programme.Code
		words  string
	}{
		{"kind", func(c *programme.Consent) { c.Consent = "cookies" }, programme.CodeUnknown, `There is no consent called "cookies".`},
		{"answer", func(c *programme.Consent) { c.Answer = "maybe" }, programme.CodeInvalid, "given, refused or withdrawn"},
		{"wording", func(c *programme.Consent) { c.Wording = "" }, programme.CodeInvalid, "The version of the wording is missing."},
		{"no day", func(c *programme.Consent) { c.SignedOn = programme.Date{} }, programme.CodeInvalid, "The day of the answer is missing."},
		{"tomorrow", func(c *programme.Consent) { c.SignedOn = date("2027-01-15") }, programme.CodeInvalid, "is in the future"},
		{"refused with an end", func(c *programme.Consent) { c.Answer, c.Expires = programme.ConsentRefused, date("2027-02-01") }, programme.CodeInvalid, "Only a consent that is given has a last day."},
		{"another's guardian", func(c *programme.Consent) { c.SignedBy = []programme.Signature{self, theirs} }, programme.CodeNotFound, "Add the guardian first."},
		{"may not sign", func(c *programme.Consent) { c.SignedBy = []programme.Signature{self, visitor} }, programme.CodeInvalid, "Corin Orrel may not sign for this student."},
		{"no longer", func(c *programme.Consent) { c.SignedBy = []programme.Signature{self, gone} }, programme.CodeInvalid, "may not sign"},
		{"odd signature", func(c *programme.Consent) { c.SignedBy = []programme.Signature{{}} }, programme.CodeInvalid, "A signature is the student's or one guardian's."},
		{"double signature", func(c *programme.Consent) {
			c.SignedBy = []programme.Signature{{Student: true, Guardian: visitor.Guardian}}
		}, programme.CodeInvalid, "A signature is"},
	} {
		w := waiver(self)
		c.change(&w)
		n := r.count()
		_, err := r.RecordConsent(ctx, lead, r.made(), s, w)
		t.Log(c.name)
		r.refused(n, err, c.code, c.words)
	}
	touch := waiver(gone)
	touch.Consent = programme.ConsentTouch
	n := r.count()
	_, err := r.RecordConsent(ctx, equipment, r.made(), s, touch)
	r.refused(n, err, programme.CodeNotAllowed, "Your role does not allow recording consents.")
}
