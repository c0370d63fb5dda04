package demo_test

import (
	"context"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"firnhand/core/decide"
	"firnhand/core/finding"
	"firnhand/demo"
	"firnhand/programme"
	"firnhand/programme/programmetest"
)

var ctx = context.Background()

// movable is a clock that Load can move.
type movable struct{ now time.Time }

func (m *movable) Now() time.Time          { return m.now }
func (m *movable) Advance(d time.Duration) { m.now = m.now.Add(d) }

// season is the demo loaded into a store in memory.
type season struct {
	p *demo.Programme
	*programme.Service
	clock  *movable
	store  *programmetest.Memory
	report demo.Report
}

func load(t testing.TB, today time.Time) *season {
	t.Helper()
	p, err := demo.Read()
	if err != nil {
		t.Fatal(err)
	}
	s := &season{p: p, clock: &movable{today}, store: programmetest.NewMemory()}
	v := programme.CoreVocabulary{Table: decide.Standing()}
	s.Service = programme.New(programme.Config{Store: s.store, Clock: s.clock, Vocabulary: v, Random: demo.NewRandom(), Zone: p.Zone, Holds: v.Holds})
	if s.report, err = demo.Load(ctx, s.Service, s.clock); err != nil {
		t.Fatalf("%v: %v", err, err.(*programme.Error).Cause)
	}
	return s
}

// whole is the demo loaded to the end of the season, once for all tests that
// only read it.
func whole(t testing.TB) *season {
	t.Helper()
	if wholeSeason == nil {
		p, err := demo.Read()
		if err != nil {
			t.Fatal(err)
		}
		wholeSeason = load(t, time.Date(p.Last.Year, p.Last.Month, p.Last.Day, 18, 0, 0, 0, p.Zone))
	}
	return wholeSeason
}

var wholeSeason *season

func (s *season) lead(t testing.TB) programme.Actor {
	t.Helper()
	lead, ok := s.p.StaffByKey("sunniva")
	if !ok {
		t.Fatal("no lead")
	}
	return lead.Actor()
}

// at returns the record of a student at a moment written 2026-02-21 09:00.
func (s *season) at(t testing.TB, student, moment string) programme.Record {
	t.Helper()
	st, ok := s.p.StudentByKey(student)
	if !ok {
		t.Fatalf("no student %s", student)
	}
	when, err := time.ParseInLocation("2006-01-02 15:04", moment, s.p.Zone)
	if err != nil {
		t.Fatal(err)
	}
	r, err := s.StudentAt(ctx, s.lead(t), st.ID, programme.AsOf{Time: when})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// table is the rule table with the numbers that the lead signed off.
func (s *season) table(t testing.TB) *decide.Table {
	t.Helper()
	signed, err := s.Settings(ctx, s.lead(t), programme.AsOf{})
	if err != nil {
		t.Fatal(err)
	}
	table, err := tables.For(signed)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

var tables programme.Tables

func counts(t testing.TB, s *season) programme.Counts {
	t.Helper()
	n, err := s.store.Counts(ctx)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func TestLoadingTwiceWritesNothingTwice(t *testing.T) {
	s := load(t, whole(t).clock.Now())
	first := counts(t, s)
	if s.report.Exists != 0 || s.report.Created == 0 || s.report.Later != 0 {
		t.Fatalf("first load: %+v", s.report)
	}
	again, err := demo.Load(ctx, s.Service, s.clock)
	if err != nil {
		t.Fatal(err)
	}
	if again.Created != 0 || again.Exists != s.report.Created {
		t.Errorf("second load: %+v after %+v", again, s.report)
	}
	if n := counts(t, s); n != first {
		t.Errorf("the second load changed the store from %+v to %+v", first, n)
	}
}

func TestLoadingInTwoPartsIsTheSameAsInOne(t *testing.T) {
	all := whole(t)
	s := load(t, all.p.Today)
	if s.report.Later == 0 {
		t.Fatal("nothing of the season lies after the demo's today")
	}
	if s.clock.Now() != all.p.Today {
		t.Errorf("the clock was left at %s", s.clock.Now())
	}
	s.clock.now = all.clock.Now()
	rest, err := demo.Load(ctx, s.Service, s.clock)
	if err != nil {
		t.Fatal(err)
	}
	if rest.Exists != s.report.Created || s.report.Created+rest.Created != all.report.Created {
		t.Errorf("parts %+v and %+v, whole %+v", s.report, rest, all.report)
	}
	// Everything but the ids of holds that the programme raised itself is the
	// same, so the stores hold the same facts in the same order.
	q := programme.Query{Everyone: true}
	a, err := all.store.Facts(ctx, q)
	if err != nil {
		t.Fatal(err)
	}
	b, err := s.store.Facts(ctx, q)
	if err != nil {
		t.Fatal(err)
	}
	if len(a) != len(b) {
		t.Fatalf("%d facts in one, %d in two parts", len(a), len(b))
	}
	for i := range a {
		if a[i].Kind != b[i].Kind || a[i].Kind != programme.KindHold && a[i].Kind != programme.KindClearance && a[i].ID != b[i].ID {
			t.Fatalf("fact %d is %s %s in one, %s %s in two parts", i, a[i].Kind, a[i].ID, b[i].Kind, b[i].ID)
		}
	}
}

func TestSameIDsEachTime(t *testing.T) {
	a, b := whole(t), load(t, whole(t).clock.Now())
	fa, _ := a.store.Facts(ctx, programme.Query{Everyone: true})
	fb, _ := b.store.Facts(ctx, programme.Query{Everyone: true})
	if len(fa) != len(fb) || len(fa) == 0 {
		t.Fatalf("%d and %d facts", len(fa), len(fb))
	}
	for i := range fa {
		if !programme.SameContent(fa[i], fb[i]) || !fa[i].RecordedAt.Equal(fb[i].RecordedAt) {
			t.Fatalf("fact %d differs: %s %s", i, fa[i].Kind, fa[i].ID)
		}
	}
}

// Every fact is recorded on its own day, so a record as of an earlier day is
// what the people of that day saw.
func TestFactsAreRecordedOnTheirOwnDay(t *testing.T) {
	s := whole(t)
	facts, err := s.store.Facts(ctx, programme.Query{Everyone: true})
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range facts {
		if f.Kind == programme.KindAttempt || f.Kind == programme.KindSnow { // a phone brings them at the end of the lesson
			if late := f.RecordedAt.Sub(f.MadeAt); late < 0 || late > 3*time.Hour {
				t.Fatalf("fact %d (%s) was made %s and recorded %s", i, f.Kind, f.MadeAt, f.RecordedAt)
			}
			continue
		}
		if !f.MadeAt.Equal(f.RecordedAt) {
			t.Fatalf("fact %d (%s) was made %s and recorded %s", i, f.Kind, f.MadeAt, f.RecordedAt)
		}
	}
}

func TestRefusesAProgrammeOfItsOwn(t *testing.T) {
	s := whole(t)
	moved := &movable{s.p.Today}
	other := programme.New(programme.Config{Store: programmetest.NewMemory(), Clock: moved, Vocabulary: s.Vocabulary, Random: programmetest.NewIDs(1), Zone: s.p.Zone})
	ids := programmetest.NewIDs(2)
	if _, err := other.FirstLead(ctx, programme.Made{ID: ids.Next()}, programme.StaffDetails{Staff: ids.Next(), NameUsed: "Somebody else"}); err != nil {
		t.Fatal(err)
	}
	_, err := demo.Load(ctx, other, moved)
	if programme.CodeOf(err) != programme.CodeConflict {
		t.Errorf("loading into another programme gave %v", err)
	}
	// A clock that the service does not run on is found out too.
	stuck := programme.New(programme.Config{Store: programmetest.NewMemory(), Clock: &movable{s.p.Today}, Vocabulary: s.Vocabulary, Random: programmetest.NewIDs(1), Zone: s.p.Zone})
	if _, err := demo.Load(ctx, stuck, moved); programme.CodeOf(err) != programme.CodeConflict {
		t.Errorf("loading with another clock gave %v", err)
	}
}

// Every value reads back through the vocabulary: nothing was recorded that the
// rules then leave out. Basis: the vocabulary is core's, not the demo's.
func TestEveryFindingIsValid(t *testing.T) {
	s := whole(t)
	n := 0
	for _, st := range s.p.Students {
		r, err := s.StudentAt(ctx, s.lead(t), st.ID, programme.AsOf{})
		if err != nil {
			t.Fatal(err)
		}
		if r.Unread != 0 {
			t.Errorf("%s: %d facts cannot be read", st.Key, r.Unread)
		}
		set := r.Set()
		for k, seen := range r.Findings {
			side, state := finding.NoSide, finding.Fresh
			switch k.Side {
			case "left":
				side = finding.Left
			case "right":
				side = finding.Right
			}
			if k.State == "tired" {
				state = finding.Tired
			}
			v, err := finding.Parse(k.Finding, side, state, seen.Value)
			if err != nil || set.Get(k.Finding, side, state) != v {
				t.Errorf("%s: %v = %q: %v", st.Key, k, seen.Value, err)
			}
			n++
		}
	}
	if n < 2000 {
		t.Errorf("only %d values", n)
	}
}

func TestTheProgrammeIsComplete(t *testing.T) {
	s := whole(t)
	has, logins, passwords := map[programme.Role]int{}, map[string]bool{}, map[string]bool{}
	active := 0
	for _, m := range s.p.Staff {
		if m.Ended {
			continue
		}
		active++
		for _, r := range m.Roles {
			has[r]++
		}
		if m.Login == "" || m.Login != strings.ToLower(m.Login) || logins[m.Login] {
			t.Errorf("%s: sign-in name %q", m.Key, m.Login)
		}
		// 15 characters: the length that NIST SP 800-63B-4, 3.1.1.2, asks of a
		// password used alone (from memory).
		if utf8.RuneCountInString(m.Password) < 15 || passwords[m.Password] {
			t.Errorf("%s: password %q is short or used twice", m.Key, m.Password)
		}
		logins[m.Login], passwords[m.Password] = true, true
	}
	if active < 10 {
		t.Errorf("%d staff", active)
	}
	for _, r := range programme.Roles {
		if has[r] == 0 {
			t.Errorf("nobody is %s", r.Label())
		}
	}
	now, err := s.Service.Staff(ctx, s.lead(t), false)
	if err != nil || len(now) != active {
		t.Errorf("%d staff in the records, %d in the files: %v", len(now), active, err)
	}
	if len(s.p.Students) < 14 {
		t.Errorf("%d students", len(s.p.Students))
	}
	for _, st := range s.p.Students {
		if len(st.Shows) < 30 {
			t.Errorf("%s does not say what it shows", st.Key)
		}
	}
	lines, err := s.Service.Students(ctx, s.lead(t), false)
	if err != nil || len(lines) != len(s.p.Students)-1 {
		t.Errorf("%d students listed, want all %d but the one who left: %v", len(lines), len(s.p.Students), err)
	}
}

// Some numbers are signed off and others still proposals, and none of the
// signed ones is unknown to the table or the records.
func TestSettingsAreSignedInPart(t *testing.T) {
	s := whole(t)
	signed, err := s.Settings(ctx, s.lead(t), programme.AsOf{})
	if err != nil {
		t.Fatal(err)
	}
	if len(signed) != len(s.p.SignedSettings) || len(signed) < 5 {
		t.Errorf("%d signed in the records, %d in the files", len(signed), len(s.p.SignedSettings))
	}
	proposed, changed := 0, 0
	for _, x := range decide.Standing().Settings() {
		v, ok := signed[x.Name]
		switch {
		case !ok && x.Proposed:
			proposed++
		case ok && v.Value != finding.FormatNumber(x.Value):
			changed++
		}
	}
	if proposed < 5 || changed < 2 {
		t.Errorf("%d still proposed, %d signed with another value", proposed, changed)
	}
}

// What an instructor reads says what to do, never what somebody has
// (trade A4: "instructors see what to do, not the diagnosis file").
func TestWorkNotesNameNoDiagnosis(t *testing.T) {
	diagnosis := regexp.MustCompile(`(?i)\b(palsy|diplegi\w*|hemiplegi\w*|hemiparesis|stroke|sclerosis|MS|ataxi\w*|spina bifida|down syndrome|` +
		`hydroceph\w*|amput\w*|dystroph\w*|epilep\w*|seizures?|polio\w*|paraplegi\w*|tetraplegi\w*|spinal cord|arthrogryposis|syndrome|disease)\b`)
	s := whole(t)
	total, short := 0, 0
	for _, st := range s.p.Students {
		r, err := s.StudentAt(ctx, s.lead(t), st.ID, programme.AsOf{})
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range r.Notes {
			total++
			if utf8.RuneCountInString(n.Text) < 40 {
				short++
			}
			if m := diagnosis.FindString(n.Text); m != "" && n.Class == programme.NoteWork {
				t.Errorf("%s, %s: a note for work says %q", st.Key, n.MadeAt, m)
			}
		}
		for _, e := range r.Evaluations {
			if m := diagnosis.FindString(e.Summary); m != "" {
				t.Errorf("%s: a summary says %q", st.Key, m)
			}
		}
	}
	if total < 80 || short < 4 {
		t.Errorf("%d notes, %d of them short and poor as in real life", total, short)
	}
}

// known are names of ski resorts and makers of ski and winter gear, from
// memory, shifted by thirteen letters so that this list does not contain them.
const known = `nfcra invy juvfgyre mrezngg punzbavk xvgmouury xvgmoüury ireovre yrpu vfputy qnibf xybfgref fnnyonpu fbryqra föyqra boretetfgy bobetetfgy
znleubsra pbegvan pbhepuriry zrevory gvtarf nibevnm zbemvar zrtrir synvar gelfvy urzfrqny trvyb nner fäyra yriv lyynf ehxn avfrxb unxhon shenab
ehfhgfh crevfure guerqob pneqeban oerpxraevqtr xrlfgbar fgrnzobng gryyhevqr fabjoveq nygn znzzbgu gnubr urniraycl xvexjbbq xvyyvatgba fgbjr fhtneohfu
fhtneybns onass gerzoynag eriryfgbxr sreavr yvivtab obezvb frfgevrer prreivavn prveivavn tnezvfpu borefgqbes jvagreoret pnveatbez tyrafurr arivf yrpug nivrzber uvagreghk
fghonv boregnhrea tnfgrva ratryoret ynnk nebfn yramreurvqr nqryobqra jratra tevaqryjnyq zheera fnnf-srr araqnm tnhqhev onafxb obebirgf wnfan mnxbcnar
ondhrven sbezvtny tenaqinyven cbegvyyb onevybpur unswryy xivgswryy ibff bccqny zlexqnyra ehfhgfh
ebffvtaby fnybzba ngbzvp svfpure ibyxy iöyxy abeqvpn grpavpn qlanfgne oyvmmneq glebyvn ohegba qnyoryyb fgbpxyv fgöpxyv xnfgyr xäfgyr hirk tveb bnxyrl
yrxv xbzcreqryy fjvk gbxb tber-grk irypeb qbccryznle cbzn yrvgare`

func TestNoRealPlaceOrMaker(t *testing.T) {
	rot := func(r rune) rune {
		switch {
		case 'a' <= r && r <= 'z':
			return 'a' + (r-'a'+13)%26
		case 'A' <= r && r <= 'Z':
			return 'A' + (r-'A'+13)%26
		}
		return r
	}
	bans := map[string]bool{}
	for _, w := range strings.Fields(strings.Map(rot, known)) {
		bans[w] = true
	}
	word := regexp.MustCompile(`[\p{L}][\p{L}-]*`)
	real := func(text string) []string {
		return slices.DeleteFunc(word.FindAllString(strings.ToLower(text), -1), func(w string) bool { return !bans[w] })
	}
	// The search itself can find something.
	if got := real(strings.Map(rot, "Guerr ehaf va Mreznt, bar va Mrezngg")); len(got) != 1 {
		t.Fatalf("the search found %v", got)
	}
	files := 0
	err := fs.WalkDir(os.DirFS("."), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(name, "_test.go") {
			return err
		}
		text, err := os.ReadFile(name)
		if got := real(string(text)); len(got) > 0 {
			t.Errorf("%s: %v", name, got)
		}
		files++
		return err
	})
	if err != nil || files < 20 {
		t.Errorf("%d files, %v", files, err)
	}
}

// Each file begins with a comment that argues what the student shows.
func TestEveryStudentFileArgues(t *testing.T) {
	names, err := fs.Glob(os.DirFS("."), "students/*.yaml")
	if err != nil || len(names) == 0 {
		t.Fatal(names, err)
	}
	for _, name := range names {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		head, _, _ := strings.Cut(string(text), "\nshows:")
		if !strings.HasPrefix(head, "# ") || !strings.Contains(head, "\n# Shows: ") {
			t.Errorf("%s does not begin with a comment that says what it shows", name)
		}
	}
}

func BenchmarkLoadMemory(b *testing.B) {
	today := whole(b).clock.Now()
	var created int
	for b.Loop() {
		created = load(b, today).report.Created
	}
	b.ReportMetric(float64(created), "facts")
}
