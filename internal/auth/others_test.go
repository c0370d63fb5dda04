package auth_test

import (
	"testing"
	"time"

	"firnhand/internal/auth"
	"firnhand/programme"
)

// TestPhone: the code works once, for ten minutes, and the sign-in lasts as
// trust.md section 5 has it for phones: 12 hours without use, 7 days at most.
func TestPhone(t *testing.T) {
	r := newRig(t)
	k := r.lead()
	code, ends, err := r.PhoneCode(ctx, k.Token)
	if err != nil || !ends.Equal(r.clock.Now().Add(10*time.Minute)) {
		t.Fatalf("%s until %v, %v", code, ends, err)
	}
	old := code
	if code, _, err = r.PhoneCode(ctx, k.Token); err != nil {
		t.Fatal(err)
	}
	_, err = r.EnterPhone(ctx, old, "Firefox on Android", here)
	refused(t, err, programme.CodeSignIn, "The code is not right")
	r.clock.Advance(time.Minute)
	p, err := r.EnterPhone(ctx, code, "Firefox on Android", here)
	if err != nil || !p.Ends.Equal(r.clock.Now().Add(7*24*time.Hour)) {
		t.Fatalf("%+v, %v", p, err)
	}
	_, err = r.EnterPhone(ctx, code, "Firefox on Android", here)
	refused(t, err, programme.CodeSignIn, "was used before")
	code, _, _ = r.PhoneCode(ctx, k.Token)
	r.clock.Advance(10 * time.Minute)
	_, err = r.EnterPhone(ctx, code, "Firefox on Android", here)
	refused(t, err, programme.CodeSignIn, "too old")
	_, _, err = r.PhoneCode(ctx, "")
	refused(t, err, programme.CodeSignedOut, "Please sign in.")

	list, err := r.Devices(ctx, k.Token)
	if err != nil || len(list) != 2 || !list[0].Phone || list[1].Phone {
		t.Fatalf("%+v, %v", list, err)
	}
	r.who(p)
	for range 13 { // used now and then, it goes on
		r.clock.Advance(12*time.Hour - time.Minute)
		r.who(p)
	}
	r.clock.Advance(12*time.Hour - time.Minute)
	r.who(p)
	r.clock.Advance(20 * time.Minute) // 7 days, although it was just used
	_, err = r.Who(ctx, p.Token)
	refused(t, err, programme.CodeSignedOut, "after a while")
	code, _ = again(t, r)
	p, err = r.EnterPhone(ctx, code, "Firefox on Android", here)
	if err != nil {
		t.Fatal(err)
	}
	r.clock.Advance(12 * time.Hour)
	_, err = r.Who(ctx, p.Token)
	refused(t, err, programme.CodeSignedOut, "after a while")
}

func again(t *testing.T, r *rig) (string, auth.Ticket) {
	t.Helper()
	k, err := r.Enter(ctx, "wenna", good, "Browser", here)
	if err != nil {
		t.Fatal(err)
	}
	code, _, err := r.PhoneCode(ctx, k.Token)
	if err != nil {
		t.Fatal(err)
	}
	return code, k
}

// TestLostPhone: whoever manages staff sees and ends a person's sign-ins at
// once; nobody else does.
func TestLostPhone(t *testing.T) {
	r := newRig(t)
	r.lead()
	staff := r.member()
	code, _, err := r.Invite(ctx, r.leadActor(), staff)
	if err != nil {
		t.Fatal(err)
	}
	desk, err := r.Join(ctx, code, auth.Person{Login: "jory", Password: other}, "Browser", here)
	if err != nil {
		t.Fatal(err)
	}
	code, _, err = r.PhoneCode(ctx, desk.Token)
	if err != nil {
		t.Fatal(err)
	}
	r.clock.Advance(time.Minute)
	phone, err := r.EnterPhone(ctx, code, "Chromium on Android", here)
	if err != nil {
		t.Fatal(err)
	}
	lead := r.leadActor()
	list, err := r.DevicesOf(ctx, lead, staff)
	if err != nil || len(list) != 2 || list[0].Name != "Chromium on Android" || list[0].This || !list[0].Phone {
		t.Fatalf("%+v, %v", list, err)
	}
	_, err = r.DevicesOf(ctx, r.who(desk), staff)
	refused(t, err, programme.CodeNotAllowed, "Only the lead")
	refused(t, r.EndDevices(ctx, r.who(desk), lead.Staff, ""), programme.CodeNotAllowed, "Only the lead")
	refused(t, r.EndDevices(ctx, programme.Actor{}, staff, ""), programme.CodeSignedOut, "")
	refused(t, r.EndDevices(ctx, lead, lead.Staff, list[0].ID), programme.CodeNotFound, "There is no such sign-in.")
	if err := r.EndDevices(ctx, lead, staff, list[0].ID); err != nil {
		t.Fatal(err)
	}
	_, err = r.Who(ctx, phone.Token)
	refused(t, err, programme.CodeSignedOut, "Please sign in.")
	r.who(desk)
	if err := r.EndDevices(ctx, lead, staff, ""); err != nil {
		t.Fatal(err)
	}
	_, err = r.Who(ctx, desk.Token)
	refused(t, err, programme.CodeSignedOut, "")
}

// TestPasskeyRefusals: no address of ours, no question, somebody else's
// question, an answer that is none. The way that works is tried with a real
// browser in e2e.
func TestPasskeyRefusals(t *testing.T) {
	r := newRig(t)
	k := r.lead()
	_, _, err := r.AskPasskey(ctx, "https://ski.example.org")
	refused(t, err, programme.CodeConflict, "cannot be used under this address")
	r.Addresses = []string{"https://ski.example.org"}
	const at = "https://ski.example.org"
	for _, bad := range []string{"", "https://evil.example.org", "http://ski.example.org", "https://ski.example.org.evil.example.org", "null"} {
		if r.Origins(bad) {
			t.Errorf("%q is taken for ours", bad)
		}
	}
	asked, question, err := r.AskPasskey(ctx, at)
	if err != nil || len(question) == 0 {
		t.Fatal(err)
	}
	for _, answer := range []string{"", "{}", "null", `{"id":"AA","rawId":"AA","type":"public-key","response":{}}`} {
		_, err = r.EnterPasskey(ctx, at, asked, []byte(answer), "Browser", here)
		if programme.CodeOf(err) != programme.CodeSignIn {
			t.Errorf("%q: %v", answer, err)
		}
	}
	asked, _, _ = r.AskPasskey(ctx, at)
	r.clock.Advance(5 * time.Minute)
	_, err = r.EnterPasskey(ctx, at, asked, []byte("{}"), "Browser", "127.0.0.7")
	refused(t, err, programme.CodeSignIn, "took too long")
	mine, _, err := r.AskNewPasskey(ctx, k.Token, at)
	if err != nil {
		t.Fatal(err)
	}
	_, err = r.EnterPasskey(ctx, at, mine, []byte("{}"), "Browser", "127.0.0.7")
	refused(t, err, programme.CodeSignIn, "took too long")
	refused(t, r.AddPasskey(ctx, k.Token, at, "0190a5d0-ac96-774b-8cce-b302099a8001", []byte("{}"), ""), programme.CodeSignIn, "took too long")
	refused(t, r.RemovePasskey(ctx, k.Token, "0190a5d0-ac96-774b-8cce-b302099a8001"), programme.CodeNotFound, "no such passkey")
	if list, err := r.Passkeys(ctx, k.Token); err != nil || len(list) != 0 {
		t.Errorf("%v, %v", list, err)
	}
	for i := range 40 {
		_, err = r.EnterPasskey(ctx, at, asked, []byte("{}"), "Browser", "127.0.0.8")
		if want := i >= 10; (programme.CodeOf(err) == programme.CodeTooManyTries) != want {
			t.Fatalf("try %d: %v", i+1, err)
		}
	}
}
