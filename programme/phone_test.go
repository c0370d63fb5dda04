package programme_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"firnhand/programme"
	"firnhand/programme/programmetest"
)

// What comes from a phone has no outside source: these are the rules of the
// house for it.

func (r *rig) item(student programme.ID, kind programme.Kind, payload string, names ...programme.ID) programme.PhoneItem {
	it := programme.PhoneItem{ID: r.ids.Next(), Student: student, Kind: kind, Version: 1, Payload: []byte(payload), MadeAt: r.clock.Now(), Author: instructor.Staff}
	if len(names) > 0 {
		it.Names = names[0]
	}
	return it
}

func words(out []programme.PhoneOutcome) string {
	var all []string
	for _, o := range out {
		w := string(o.Outcome)
		if o.Code != "" {
			w += ":" + string(o.Code)
		}
		all = append(all, w)
	}
	return strings.Join(all, " ")
}

func TestTakesFromAPhoneInOrderAndAgain(t *testing.T) {
	r := newRig(t)
	st := r.student()
	note := r.item(st, programme.KindNote, `{"class":"work","about":"lesson","text":"Left turn late","colour_of_the_sky":"blue"}`)
	fall := r.item(st, programme.KindSnow, `{"event":"fall","hurt":"no","head":"no"}`)
	undo := r.item(st, programme.KindRetraction, `{"reason":"Tapped by mistake"}`, fall.ID)
	items := []programme.PhoneItem{
		note, fall, undo,
		r.item(st, programme.KindFinding, `{"finding":"stand_s","side":"none","state":"fresh","value":"12"}`),
		r.item(st, "song", `{}`),
		r.item(r.ids.Next(), programme.KindNote, `{"class":"work","text":"About nobody"}`),
		r.item(st, programme.KindNote, `{"class":"work","text":"`+strings.Repeat("x", programme.MaxPayload)+`"}`),
		r.item(st, programme.KindNote, `{"class":"medical","text":"Not mine to write"}`),
		r.item(st, programme.KindSnow, `{"event":"stop","reason":"boredom"}`),
		r.item(st, programme.KindNote, `{"class":"work","text":" spaces the records do not write "}`),
		r.item(st, programme.KindNote, `{"class":"work","text":"After all of them"}`),
	}
	newer := r.item(st, programme.KindNote, `{"class":"work","text":"From later on"}`)
	newer.Version = 2
	other := r.item(st, programme.KindNote, `{"class":"work","text":"Of somebody else"}`)
	other.Author = lead.Staff
	items = append(items, newer, other)
	got := r.TakeFromPhone(ctx, instructor, items)
	want := "created created created created refused:newer refused:not_found refused:invalid refused:not_allowed refused:invalid refused:invalid created refused:newer refused:not_allowed"
	if words(got) != want {
		t.Fatalf("got  %s\nwant %s", words(got), want)
	}
	last := int64(0)
	for _, o := range got {
		if o.Outcome == programme.Created {
			if o.Seq <= last || o.Seq > 1000 {
				t.Errorf("seq %d after %d", o.Seq, last)
			}
			last = o.Seq
		}
	}
	n := r.count()
	again := r.TakeFromPhone(ctx, instructor, items)
	if w := strings.ReplaceAll(want, "created", "exists"); words(again) != w {
		t.Errorf("again: %s", words(again))
	}
	if r.count() != n {
		t.Error("the second time wrote something")
	}
	stored, err := r.store.Fact(ctx, note.ID)
	if err != nil || !bytes.Equal(stored.Payload, note.Payload) {
		t.Errorf("the note is stored as %s, %v", stored.Payload, err)
	}
	rec := r.at(st)
	if len(rec.Notes) != 2 || len(rec.Snow) != 0 {
		t.Errorf("the record has %d notes and %d events on snow", len(rec.Notes), len(rec.Snow))
	}
	back, err := r.FromPhone(ctx, instructor, []programme.ID{note.ID, r.ids.Next()})
	if err != nil || len(back) != 1 || back[0].ID != note.ID {
		t.Errorf("FromPhone = %v, %v", back, err)
	}
	changed := note
	changed.Payload = []byte(`{"class":"work","text":"Other words"}`)
	if got := r.TakeFromPhone(ctx, instructor, []programme.PhoneItem{changed}); words(got) != "refused:id_taken" {
		t.Errorf("other content under one id: %s", words(got))
	}
}

// A finding from a phone raises the hold that the gate rules ask for, as on a
// page.
func TestAFindingFromAPhoneRaisesItsHold(t *testing.T) {
	r := newRig(t)
	st := r.student()
	r.ok(r.BeginEvaluation(ctx, instructor, r.made(), st, programme.EvaluationBegun{Reason: "first"}))
	got := r.TakeFromPhone(ctx, instructor, []programme.PhoneItem{
		r.item(st, programme.KindFinding, `{"finding":"hip_pain","side":"none","state":"both","value":"yes"}`)})
	byPage := newRig(t)
	st2 := byPage.student()
	byPage.find(st2, "hip_pain", "none", "both", "yes")
	if words(got) != "created" || len(r.at(st).OpenHolds()) != 1 || len(r.at(st).OpenHolds()) != len(byPage.at(st2).OpenHolds()) {
		t.Errorf("%s; %d holds, by page %d", words(got), len(r.at(st).OpenHolds()), len(byPage.at(st2).OpenHolds()))
	}
}

// notNow is a store whose appends fail from a number on.
type notNow struct {
	programme.Store
	left int
	code programme.Code
}

func (f *notNow) Append(ctx context.Context, now time.Time, facts ...programme.Fact) ([]programme.Receipt, error) {
	if f.left--; f.left < 0 {
		return nil, programme.Refuse(f.code, "Not now.")
	}
	return f.Store.Append(ctx, now, facts...)
}

func TestNothingOvertakesWhatCannotBeTakenNow(t *testing.T) {
	f := &notNow{Store: programmetest.NewMemory(), left: 1 << 20, code: programme.CodeDiskFull}
	r := rigOn(t, f)
	st := r.student()
	items := []programme.PhoneItem{r.item(st, "song", `{}`), r.item(st, programme.KindNote, `{"class":"work","text":"One"}`),
		r.item(st, programme.KindNote, `{"class":"work","text":"Two"}`)}
	f.left = 0
	if got := r.TakeFromPhone(ctx, instructor, items); words(got) != "refused:newer later:disk_full later:disk_full" {
		t.Errorf("with a full disk: %s", words(got))
	}
	f.left = 1 << 20
	if got := r.TakeFromPhone(ctx, instructor, items); words(got) != "refused:newer created created" {
		t.Errorf("afterwards: %s", words(got))
	}
}

func TestPhones(t *testing.T) {
	r := newRig(t)
	st := r.student()
	phone, proof := r.ids.Next(), strings.Repeat("ab", 32)
	if _, err := r.EnrolPhone(ctx, scheduler, phone, proof, "Phone"); programme.CodeOf(err) != programme.CodeNotAllowed {
		t.Errorf("a scheduler enrols a phone: %v", err)
	}
	for range 2 {
		if p, err := r.EnrolPhone(ctx, instructor, phone, proof, "Phone"); err != nil || p.Staff != instructor.Staff {
			t.Fatalf("EnrolPhone = %+v, %v", p, err)
		}
	}
	if _, err := r.EnrolPhone(ctx, lead, phone, strings.Repeat("cd", 32), "Phone"); programme.CodeOf(err) != programme.CodeNotAllowed {
		t.Errorf("another proof: %v", err)
	}
	if _, err := r.PhoneOf(ctx, phone, strings.Repeat("cd", 32)); programme.CodeOf(err) != programme.CodeNotAllowed {
		t.Errorf("another proof: %v", err)
	}
	if all, err := r.Phones(ctx, lead); err != nil || len(all) != 1 {
		t.Errorf("the lead sees %v, %v", all, err)
	}
	if _, err := r.RevokePhone(ctx, actor(programme.Instructor, "0009"), r.made(), phone, "not mine"); programme.CodeOf(err) != programme.CodeNotFound {
		t.Errorf("somebody else's phone: %v", err)
	}
	r.ok(r.RevokePhone(ctx, lead, r.made(), phone, "lost on the lift"))
	p, err := r.PhoneOf(ctx, phone, proof)
	if err != nil || !p.Revoked || p.Staff != instructor.Staff {
		t.Fatalf("revoked: %+v, %v", p, err)
	}
	if p, err := r.EnrolPhone(ctx, instructor, phone, proof, "Phone"); err != nil || !p.Revoked {
		t.Errorf("enrolled again: %+v, %v", p, err)
	}
	sent := r.item(st, programme.KindNote, `{"class":"work","text":"Sent before"}`)
	r.TakeFromPhone(ctx, instructor, []programme.PhoneItem{sent})
	items := []programme.PhoneItem{sent, r.item(st, programme.KindNote, `{"class":"work","text":"Still there"}`), r.item(r.ids.Next(), programme.KindNote, `{}`)}
	for range 2 {
		if got := r.HoldFromPhone(ctx, p, items); words(got) != "exists held refused:not_found" {
			t.Errorf("held: %s", words(got))
		}
	}
	rec := r.at(st)
	if len(rec.Notes) != 1 || len(rec.HeldItems) != 1 || rec.Unread != 0 {
		t.Errorf("%d notes, %d held, %d unread", len(rec.Notes), len(rec.HeldItems), rec.Unread)
	}
}

func TestPeopleOfADay(t *testing.T) {
	r := newRig(t)
	one, two, day := r.student(), r.student(), date("2027-01-14")
	if d, err := r.PickedDay(ctx, instructor, day); err != nil || len(d.Students) != 0 {
		t.Errorf("before anybody chose: %v, %v", d, err)
	}
	r.ok(r.PickDay(ctx, instructor, r.made(), programme.PhoneDay{Day: day, Students: []programme.ID{one}}))
	r.ok(r.PickDay(ctx, lead, r.made(), programme.PhoneDay{Day: day, Staff: instructor.Staff, Students: []programme.ID{two, one}}))
	if d, err := r.PickedDay(ctx, instructor, day); err != nil || len(d.Students) != 2 || d.Students[0] != two {
		t.Errorf("chosen: %v, %v", d, err)
	}
	if d, err := r.PickedDay(ctx, lead, day); err != nil || len(d.Students) != 0 {
		t.Errorf("the lead's own day: %v, %v", d, err)
	}
	for want, d := range map[programme.Code]programme.PhoneDay{
		programme.CodeInvalid:  {Day: day, Students: []programme.ID{one, one}},
		programme.CodeNotFound: {Day: day, Students: []programme.ID{r.ids.Next()}},
	} {
		if _, err := r.PickDay(ctx, instructor, r.made(), d); programme.CodeOf(err) != want {
			t.Errorf("%v: %v", d, err)
		}
	}
	if _, err := r.PickDay(ctx, instructor, r.made(), programme.PhoneDay{Day: day, Staff: lead.Staff}); programme.CodeOf(err) != programme.CodeNotAllowed {
		t.Errorf("somebody else's day: %v", err)
	}
}

func TestSnowEvents(t *testing.T) {
	r := newRig(t)
	st := r.student()
	help := 9
	for _, e := range []programme.SnowEvent{{}, {Event: "fall", Hurt: "perhaps"}, {Event: "near_miss"}, {Event: "stop"}, {Event: "check", Reason: "hat"},
		{Event: "fall", Help: &help}, {Event: "fall", What: "\x00"}} {
		n := r.count()
		_, err := r.RecordSnow(ctx, instructor, r.made(), st, e)
		if err == nil || r.count() != n {
			t.Errorf("%+v was taken", e)
		}
	}
	for _, reason := range programme.StopReasons {
		r.ok(r.RecordSnow(ctx, instructor, r.made(), st, programme.SnowEvent{Event: "stop", Reason: reason[0]}))
	}
	if got := len(r.at(st).Snow); got != len(programme.StopReasons) {
		t.Errorf("%d events", got)
	}
}

func BenchmarkTakeFromPhone(b *testing.B) {
	store := programmetest.NewMemory()
	t := &testing.T{}
	r := rigOn(t, store)
	st := r.student()
	for b.Loop() {
		var items []programme.PhoneItem
		for i := range 100 {
			text, _ := json.Marshal(programme.Note{Class: programme.NoteWork, Text: fmt.Sprint("note ", i)})
			items = append(items, r.item(st, programme.KindNote, string(text)))
		}
		r.TakeFromPhone(ctx, instructor, items)
	}
}
