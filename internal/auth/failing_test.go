package auth_test

import (
	"testing"
	"time"

	"firnhand/internal/auth"
	"firnhand/programme"
)

// TestEveryCallFails (trust.md S5): each store call of each way in fails in
// turn. Nobody gets in by an error, the error says what is the matter, and the
// next try works.
func TestEveryCallFails(t *testing.T) {
	// do returns a sign-in where the call gives one.
	ways := map[string]func(r *rig, k auth.Ticket, code string) (auth.Ticket, error){
		"Enter": func(r *rig, _ auth.Ticket, _ string) (auth.Ticket, error) {
			return r.Enter(ctx, "wenna", good, "Browser", here)
		},
		"EnterPhone": func(r *rig, _ auth.Ticket, code string) (auth.Ticket, error) {
			return r.EnterPhone(ctx, code, "Phone", here)
		},
		"Who": func(r *rig, k auth.Ticket, _ string) (auth.Ticket, error) {
			a, err := r.Who(ctx, k.Token)
			if err != nil && a.Staff != "" {
				t.Errorf("Who gives %+v with %v", a, err)
			}
			return auth.Ticket{}, err
		},
		"PhoneCode": func(r *rig, k auth.Ticket, _ string) (auth.Ticket, error) {
			c, _, err := r.PhoneCode(ctx, k.Token)
			if err != nil && c != "" {
				t.Errorf("a code is given with %v", err)
			}
			return auth.Ticket{}, err
		},
		"Devices": func(r *rig, k auth.Ticket, _ string) (auth.Ticket, error) {
			_, err := r.Devices(ctx, k.Token)
			return auth.Ticket{}, err
		},
		"EndDevice": func(r *rig, k auth.Ticket, _ string) (auth.Ticket, error) {
			return auth.Ticket{}, r.EndDevice(ctx, k.Token, "")
		},
		"Leave": func(r *rig, k auth.Ticket, _ string) (auth.Ticket, error) {
			return auth.Ticket{}, r.Leave(ctx, k.Token)
		},
		"Passkeys": func(r *rig, k auth.Ticket, _ string) (auth.Ticket, error) {
			_, err := r.Passkeys(ctx, k.Token)
			return auth.Ticket{}, err
		},
		"AskNewPasskey": func(r *rig, k auth.Ticket, _ string) (auth.Ticket, error) {
			_, _, err := r.AskNewPasskey(ctx, k.Token, "https://ski.example.org")
			return auth.Ticket{}, err
		},
	}
	sites := 0
	for name, do := range ways {
		for n := 1; n < 30; n++ {
			r := newRig(t)
			r.Addresses = []string{"https://ski.example.org"}
			k := r.lead()
			code, _, err := r.PhoneCode(ctx, k.Token)
			if err != nil {
				t.Fatal(err)
			}
			r.clock.Advance(5 * time.Minute) // so that the use is counted
			r.store.FailAt(n)
			got, err := do(r, k, code)
			if r.store.FailAt(0) < n {
				if err != nil {
					t.Errorf("%s: %v", name, err)
				}
				break
			}
			sites++
			if got.Token != "" || err != nil && programme.CodeOf(err) != programme.CodeDiskFull {
				t.Errorf("%s, call %d: a ticket %v, %v", name, n, got.Token != "", err)
			}
			if err == nil && name != "Enter" {
				t.Errorf("%s, call %d: the failure is not told", name, n)
			}
		}
	}
	t.Logf("%d failing calls", sites)
	if sites < 3*len(ways) {
		t.Errorf("only %d failing calls were tried", sites)
	}
}
