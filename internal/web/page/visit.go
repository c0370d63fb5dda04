package page

import (
	"bytes"
	"embed"
	"net/http"
	"slices"
	"time"

	"firnhand/core/decide"
	"firnhand/programme"
)

//go:embed *.html shared static
var files embed.FS

// Visit is one request of one person.
type Visit struct {
	W     http.ResponseWriter
	R     *http.Request
	Kit   *Kit
	Actor programme.Actor // zero for a stranger
	files map[string]File // that came with the form
}

// View is what a template is given.
type View struct {
	Title    string
	Actor    programme.Actor
	Path     string
	Student  *Heading // the student the page is about; nil for none
	Here     string   // which of the student's pages this is
	Problems Problems // shown at the top, and at the fields
	Saved    string   // what was saved by the step before
	Script   string   // a script the page wants
	Version  string
	Body     any
}

// Heading is what stands above every page about a student.
type Heading struct {
	ID      programme.ID
	Name    string
	Held    []Held // open holds
	AsOf    string // set when the page shows an earlier moment
	MayCard bool
}

// Held is an open hold in a word.
type Held struct {
	Word     string // "hip at risk"
	Standing bool   // only standing is held
}

// Render shows a template. The page is complete before the first byte is sent.
func (v *Visit) Render(status int, name string, view View) error {
	t := v.Kit.pages[name]
	if t == nil {
		panic("page: no template " + name)
	}
	view.Actor, view.Path, view.Version = v.Actor, v.R.URL.Path, v.Kit.Version
	if view.Saved == "" {
		view.Saved = savedWords[v.R.URL.Query().Get("saved")]
	}
	var b bytes.Buffer
	if err := t.ExecuteTemplate(&b, "layout", view); err != nil {
		return programme.Fail(programme.CodeInternal, err, "%s", programme.SentenceOf(err))
	}
	return v.send(status, "text/html; charset=utf-8", b.Bytes())
}

// Fragment shows one named part of a template, without the layout.
func (v *Visit) Fragment(name, part string, data any) error {
	var b bytes.Buffer
	if err := v.Kit.pages[name].ExecuteTemplate(&b, part, data); err != nil {
		return programme.Fail(programme.CodeInternal, err, "%s", programme.SentenceOf(err))
	}
	return v.send(http.StatusOK, "text/html; charset=utf-8", b.Bytes())
}

// Paper answers a report as a PDF with a file name.
func (v *Visit) Paper(order PaperOrder, name string) error {
	body, err := v.Kit.Paper(v.R.Context(), order)
	if err != nil {
		return err
	}
	v.W.Header().Set("Content-Disposition", `inline; filename="`+name+`"`)
	return v.Send("application/pdf", body)
}

// Send answers something that is not a page.
func (v *Visit) Send(kind string, body []byte) error { return v.send(http.StatusOK, kind, body) }

func (v *Visit) send(status int, kind string, body []byte) error {
	v.W.Header().Set("Content-Type", kind)
	v.W.WriteHeader(status)
	_, _ = v.W.Write(body) // a browser that went away is not our error
	return nil
}

// savedWords are the words of what was saved, by the short name in the address.
var savedWords = map[string]string{
	"student": "Saved: the student's details.", "intake": "Saved: the answers.", "consent": "Saved: the consent.",
	"guardian": "Saved: the guardian.", "hold": "Saved: the hold stands now.", "clearance": "Saved: the written clearance.",
	"findings": "Saved: the findings.", "nothing": "Nothing was changed.", "begun": "The evaluation has begun.",
	"closed": "The evaluation is closed.", "note": "Saved: the note.", "correction": "Saved: the correction.",
	"retraction": "Taken out of the record.", "card": "The card is made.", "staff": "Saved: the member of staff.",
	"proposal": "A set-up is proposed.", "measured": "Saved: what was measured.", "signature": "Signed.", "gear": "Saved: the gear changed.",
	"asked": "The technician is asked.", "test": "Saved: what the technician recorded.",
	"slope": "Saved: the slope.", "lift": "Saved: the lift.", "day": "Saved: the conditions of the day.", "glides": "Saved: the timed glides.", "back": "Taken back.",
	"choice": "Saved: where the student skis.", "times": "Saved: what was timed.", "stops": "Saved: the measured stops.", "effort": "Saved: from where the effort is known.",
	"attempt": "Saved: the attempt.", "lesson": "The lesson is open.", "handover": "The lesson is closed, and handed on.",
	"incident": "Saved. The gear you named is out of use.", "statement": "Saved: what you saw.", "released": "The item is back in use.",
	"setting": "Saved: the number is signed off.", "picked": "Saved: who comes onto the phone.", "revoked": "The phone is revoked.", "password": "The password was changed.", "out": "You are signed out.", "device": "That sign-in has ended.",
	"passkey": "The passkey is added.", "unkeyed": "The passkey is removed.", "assigned": "Saved: who may read medical details.", "forgotten": "Forgotten. Make a backup now, so that no older one brings it back.",
}

// Go sends the browser on after something was saved. saved is a key of the
// words shown there; "" for none.
func (v *Visit) Go(to, saved string) error {
	if saved != "" {
		to += "?saved=" + saved
	}
	http.Redirect(v.W, v.R, to, http.StatusSeeOther)
	return nil
}

// status is the HTTP status for a code.
func status(code programme.Code) int {
	switch code {
	case programme.CodeInvalid, programme.CodeUnknown, programme.CodeNotClearance, programme.CodeSignIn:
		return http.StatusUnprocessableEntity
	case programme.CodeNotFound, programme.CodeForgotten:
		return http.StatusNotFound
	case programme.CodeIDTaken, programme.CodeConflict:
		return http.StatusConflict
	case programme.CodeNotAllowed:
		return http.StatusForbidden
	case programme.CodeSignedOut:
		return http.StatusUnauthorized
	case programme.CodeTooManyTries:
		return http.StatusTooManyRequests
	case programme.CodeDiskFull, programme.CodeReadOnly, programme.CodeBusy:
		return http.StatusServiceUnavailable
	}
	return http.StatusInternalServerError
}

// failTitles are the headings of the error page.
var failTitles = map[int]string{
	http.StatusNotFound: "Not found", http.StatusForbidden: "Not open to you", http.StatusUnauthorized: "Sign in first",
	http.StatusConflict: "Not saved", http.StatusUnprocessableEntity: "Not saved", http.StatusTooManyRequests: "Wait a while",
	http.StatusServiceUnavailable: "Not saved: the store is not ready",
}

// failure is what the error page says and offers.
type failure struct {
	Sentence string
	SignIn   bool
	To       string // where a form goes again once its sender has signed in
	Again    Form
	Kept     []Kept
}

// Fail shows an error. Every error of every page ends here: the sentence is
// for the person, the cause for the log.
func (v *Visit) Fail(err error) {
	code := programme.CodeOf(err)
	st := status(code)
	if st >= 500 {
		v.Kit.Log.ErrorContext(v.R.Context(), "page failed", "pattern", v.R.Pattern, "code", string(code), "cause", err)
	}
	if code == programme.CodeSignedOut && v.R.Method == http.MethodGet && v.R.Header.Get("X-Part") == "" {
		http.Redirect(v.W, v.R, "/sign-in", http.StatusSeeOther)
		return
	}
	title := failTitles[st]
	if title == "" {
		title = "Something went wrong"
	}
	body := failure{Sentence: programme.SentenceOf(err), SignIn: code == programme.CodeSignedOut}
	if body.SignIn || v.Actor.Staff == "" && v.Typed(againLogin) != "" {
		if body.Kept = v.kept(); len(body.Kept) > 0 {
			body.To, body.Again = v.R.URL.RequestURI(), v.againForm(err)
			title = "Sign in, and this is saved"
		}
	}
	view := View{Title: title, Body: body}
	var b bytes.Buffer
	view.Actor, view.Version = v.Actor, v.Kit.Version
	t := v.Kit.pages["error"]
	if t == nil || t.ExecuteTemplate(&b, "layout", view) != nil {
		http.Error(v.W, title+"\n"+programme.SentenceOf(err), st)
		return
	}
	_ = v.send(st, "text/html; charset=utf-8", b.Bytes())
}

// Asking returns who is asking on a route that is open to strangers:
// CodeSignedOut for a stranger.
func (v *Visit) Asking() (programme.Actor, error) {
	err := v.Kit.enter(v, "")
	return v.Actor, err
}

// NewID makes an id.
func (v *Visit) NewID() programme.ID {
	id, err := programme.NewID(v.Kit.Clock.Now(), v.Kit.Random)
	if err != nil {
		panic(err) // no randomness: nothing can be recorded
	}
	return id
}

// FormID returns the id that a page put into a form value, a new one when
// there is none. The same form sent twice gives the same id.
func (v *Visit) FormID(name string) programme.ID {
	if id := programme.ID(v.Typed(name)); id.Check() == nil {
		return id
	}
	return v.NewID()
}

// Today returns the civil day where the programme is.
func (v *Visit) Today() programme.Date { return programme.DateOf(v.Kit.Clock.Now().In(v.Kit.Zone)) }

// StudentID returns the student named in the address.
func (v *Visit) StudentID() programme.ID { return programme.ID(v.R.PathValue("student")) }

// Record returns the record of the student in the address, as of now.
func (v *Visit) Record() (programme.Record, error) {
	return v.Kit.Cases.StudentAt(v.R.Context(), v.Actor, v.StudentID(), programme.AsOf{})
}

// Decided is a record with what the rules say about it.
type Decided struct {
	Record   programme.Record
	Decision programme.Decision
	Table    *decide.Table
	Answer   *decide.Answer
	Next     []decide.NextTest
	Signed   map[string]programme.SettingState // the numbers that were signed off
}

// Decide reads the student in the address as of a moment and lets the rules
// answer. argue adds the smallest changes and the tests worth doing.
func (v *Visit) Decide(at programme.AsOf, argue bool) (Decided, error) {
	r, err := v.Kit.Cases.StudentAt(v.R.Context(), v.Actor, v.StudentID(), at)
	if err != nil {
		return Decided{}, err
	}
	return v.DecideOn(r, at, argue)
}

// DecideOn is Decide on a record that was read before.
func (v *Visit) DecideOn(r programme.Record, at programme.AsOf, argue bool) (Decided, error) {
	t, err := v.Kit.Table(v.R.Context(), v.Actor, at)
	if err != nil {
		return Decided{}, err
	}
	signed, err := v.Kit.Cases.Settings(v.R.Context(), v.Actor, at)
	if err != nil {
		return Decided{}, err
	}
	d := Decided{Record: r, Table: t, Decision: programme.DecisionOf(t, r), Signed: signed}
	if argue {
		d.Answer, d.Next = t.Argue(d.Decision.Input)
	} else {
		d.Answer = t.Decide(d.Decision.Input)
	}
	return d, nil
}

// HeadingOf returns what stands above a page about a student.
func (v *Visit) HeadingOf(r programme.Record) *Heading {
	h := &Heading{ID: r.Student, Name: r.NameUsed,
		MayCard: v.Actor.May(programme.IssueCardAct)}
	for _, o := range r.OpenHolds() {
		w := Held{HoldWord(o.Rule), o.StandingOnly}
		if !slices.Contains(h.Held, w) {
			h.Held = append(h.Held, w)
		}
	}
	return h
}

// When writes a moment as "Tue 14 Jan 2027, 09:05" where the programme is.
func (v *Visit) When(t time.Time) string { return t.In(v.Kit.Zone).Format("Mon 2 Jan 2006, 15:04") }

// StaffNames returns the names of everybody who ever worked here, by id.
func (v *Visit) StaffNames() (map[programme.ID]string, error) {
	all, err := v.Kit.Cases.Staff(v.R.Context(), v.Actor, true)
	if err != nil {
		return nil, err
	}
	names := map[programme.ID]string{}
	for _, s := range all {
		names[s.Staff] = s.NameUsed
	}
	return names, nil
}
