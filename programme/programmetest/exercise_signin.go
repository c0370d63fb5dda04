package programmetest

import (
	"bytes"
	"context"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"firnhand/programme"
)

// ExerciseSignIn checks a store against every promise of
// programme.SignInStore's contract.
func ExerciseSignIn(t *testing.T, newStore func(t *testing.T) programme.SignInStore) {
	ctx := context.Background()
	code := func(t *testing.T, want programme.Code, err error) {
		t.Helper()
		if programme.CodeOf(err) != want {
			t.Fatalf("got %v, want code %q", err, want)
		}
	}
	t.Run("Credentials", func(t *testing.T) {
		s, ids := newStore(t), NewIDs(2)
		ann, bo := ids.Next(), ids.Next()
		_, err := s.CredentialByLogin(ctx, "ann")
		code(t, programme.CodeNotFound, err)
		old := programme.Credential{ID: ids.Next(), Staff: ann, Kind: "password", Login: "ann", Secret: []byte("h1"), Changed: Noon}
		code(t, "", s.PutCredential(ctx, old))
		key := programme.Credential{ID: ids.Next(), Staff: ann, Kind: "passkey", Secret: []byte{0, 1}, Changed: Noon.Add(time.Hour)}
		key2 := programme.Credential{ID: ids.Next(), Staff: ann, Kind: "passkey", Secret: []byte{2}, Changed: Noon.Add(2 * time.Hour)}
		code(t, "", s.PutCredential(ctx, key2))
		code(t, "", s.PutCredential(ctx, key))
		fresh := programme.Credential{ID: ids.Next(), Staff: ann, Kind: "password", Login: "annie", Secret: []byte("h2"), Changed: Noon.Add(time.Minute)}
		code(t, "", s.PutCredential(ctx, fresh))
		_, err = s.CredentialByLogin(ctx, "ann")
		code(t, programme.CodeNotFound, err)
		got, err := s.CredentialByLogin(ctx, "annie")
		if err != nil || got.Staff != ann || string(got.Secret) != "h2" || !got.Changed.Equal(fresh.Changed) {
			t.Fatalf("credential %+v, %v", got, err)
		}
		code(t, programme.CodeConflict, s.PutCredential(ctx, programme.Credential{ID: ids.Next(), Staff: bo, Kind: "password", Login: "annie", Secret: []byte("x"), Changed: Noon}))
		all, err := s.CredentialsOf(ctx, ann)
		if err != nil || len(all) != 3 || all[0].ID != fresh.ID || all[1].ID != key.ID || all[2].ID != key2.ID {
			t.Fatalf("credentials %+v, %v", all, err)
		}
		code(t, "", s.DeleteCredential(ctx, key.ID))
		code(t, "", s.DeleteCredential(ctx, key.ID))
		if all, _ := s.CredentialsOf(ctx, ann); len(all) != 2 || all[0].ID != fresh.ID || all[1].ID != key2.ID {
			t.Fatalf("after removing one: %+v", all)
		}
		code(t, "", s.DeleteCredentials(ctx, ann))
		if all, _ := s.CredentialsOf(ctx, ann); len(all) != 0 {
			t.Fatalf("left %+v", all)
		}
	})
	t.Run("Sessions", func(t *testing.T) {
		s, ids := newStore(t), NewIDs(3)
		ann, bo := ids.Next(), ids.Next()
		put := func(staff programme.ID, n byte, began time.Time) programme.Session {
			v := programme.Session{ID: ids.Next(), TokenHash: bytes.Repeat([]byte{n}, 32), Staff: staff, Device: "a browser",
				Began: began, LastSeen: began, IdleEnds: began.Add(30 * time.Minute), Ends: began.Add(12 * time.Hour)}
			code(t, "", s.PutSession(ctx, v))
			return v
		}
		a1, a2, b1 := put(ann, 1, Noon), put(ann, 2, Noon.Add(time.Minute)), put(bo, 3, Noon)
		got, err := s.SessionByToken(ctx, a1.TokenHash)
		if err != nil || got.ID != a1.ID || got.Staff != ann || got.Device != "a browser" || !got.Ends.Equal(a1.Ends) || !got.IdleEnds.Equal(a1.IdleEnds) || !got.Began.Equal(Noon) {
			t.Fatalf("session %+v, %v", got, err)
		}
		_, err = s.SessionByToken(ctx, bytes.Repeat([]byte{9}, 32))
		code(t, programme.CodeNotFound, err)
		code(t, "", s.TouchSession(ctx, a1.ID, Noon.Add(time.Hour), Noon.Add(2*time.Hour)))
		if got, _ := s.SessionByToken(ctx, a1.TokenHash); !got.LastSeen.Equal(Noon.Add(time.Hour)) || !got.IdleEnds.Equal(Noon.Add(2*time.Hour)) || !got.Ends.Equal(a1.Ends) {
			t.Fatalf("touched session %+v", got)
		}
		code(t, programme.CodeNotFound, s.TouchSession(ctx, ids.Next(), Noon, Noon))
		list, err := s.SessionsOf(ctx, ann)
		if err != nil || len(list) != 2 || list[0].ID != a2.ID || list[1].ID != a1.ID {
			t.Fatalf("sessions %+v, %v", list, err)
		}
		code(t, "", s.DeleteSessionsBefore(ctx, a2.IdleEnds)) // a2 and b1 are idle by then, a1 was touched
		if list, _ := s.SessionsOf(ctx, ann); len(list) != 1 || list[0].ID != a1.ID {
			t.Fatalf("after clearing: %+v", list)
		}
		_, err = s.SessionByToken(ctx, b1.TokenHash)
		code(t, programme.CodeNotFound, err)
		a3, a4 := put(ann, 4, Noon.Add(3*time.Hour)), put(ann, 5, Noon.Add(3*time.Hour))
		code(t, "", s.DeleteSession(ctx, a3.ID))
		code(t, "", s.DeleteSession(ctx, a3.ID))
		code(t, "", s.DeleteSessionsOf(ctx, ann, a4.ID))
		if list, _ := s.SessionsOf(ctx, ann); len(list) != 1 || list[0].ID != a4.ID {
			t.Fatalf("kept %+v", list)
		}
		code(t, "", s.DeleteSessionsOf(ctx, ann, ""))
		if list, _ := s.SessionsOf(ctx, ann); len(list) != 0 {
			t.Fatalf("left %+v", list)
		}
	})
	t.Run("Codes", func(t *testing.T) {
		s, ids := newStore(t), NewIDs(4)
		ann := ids.Next()
		put := func(purpose string, staff programme.ID) programme.OneTimeCode {
			c := programme.OneTimeCode{ID: ids.Next(), Purpose: purpose, Staff: staff, Hash: bytes.Repeat([]byte{7}, 32), Made: Noon, Expires: Noon.Add(10 * time.Minute)}
			code(t, "", s.PutCode(ctx, c))
			return c
		}
		put("first_lead", "")
		c := put("first_lead", "") // takes the place of the earlier one
		j := put("join", ann)
		list, err := s.Codes(ctx, "first_lead")
		if err != nil || len(list) != 1 || list[0].ID != c.ID || !bytes.Equal(list[0].Hash, c.Hash) || !list[0].Expires.Equal(c.Expires) {
			t.Fatalf("codes %+v, %v", list, err)
		}
		var won atomic.Int32
		var wg sync.WaitGroup
		for range 8 {
			wg.Go(func() {
				switch err := s.UseCode(ctx, c.ID, Noon); programme.CodeOf(err) {
				case "":
					won.Add(1)
				case programme.CodeConflict:
				default:
					t.Errorf("UseCode: %v", err)
				}
			})
		}
		wg.Wait()
		if won.Load() != 1 {
			t.Fatalf("the code was used %d times", won.Load())
		}
		if list, _ := s.Codes(ctx, "first_lead"); len(list) != 0 {
			t.Fatalf("a used code is still listed: %+v", list)
		}
		if list, _ := s.Codes(ctx, "join"); len(list) != 1 || list[0].ID != j.ID || list[0].Staff != ann {
			t.Fatalf("join codes %+v", list)
		}
		code(t, programme.CodeNotFound, s.UseCode(ctx, ids.Next(), Noon))
	})
}
