// Package exchangetest makes states and events of the exchange at random, so
// that the machine and its copy in script can be tried with the same ones.
package exchangetest

import (
	"fmt"
	"math/rand/v2"

	"firnhand/internal/exchange"
)

// States makes pages in any state that the fields allow, and events for them.
type States struct{ *rand.Rand }

func (r States) one(of ...string) string { return of[r.IntN(len(of))] }

func (r States) item(n int) exchange.Item {
	i := exchange.Item{ID: fmt.Sprintf("00000000-0000-7000-8000-%012d", n), Author: r.one("anna", "bert"), Student: "s", Kind: "note", Version: 1,
		Payload: `{"text":"x"}`, MadeAt: "2027-01-14T09:00:00Z"}
	i.Sum = exchange.SumOf(i)
	return i
}

func (r States) rows(from int64) []exchange.Row {
	var rows []exchange.Row
	for k := range r.IntN(4) {
		row := exchange.Row{N: from + int64(k), Item: r.item(int(from) + k), Size: 12, State: exchange.RowState(r.one("kept", "sent", "set_aside"))}
		if row.State == exchange.SetAside {
			row.Code, row.Build, row.Exported = r.one("invalid", "newer", "too_big"), "build 1", r.IntN(2) == 0
		}
		if r.IntN(12) == 0 {
			row.Size = exchange.MaxPayload + 1
		}
		rows = append(rows, row)
	}
	return rows
}

func (r States) meta() exchange.Meta {
	m := exchange.Meta{Device: "d", Epoch: int64(r.IntN(2)), Person: r.one("anna", "anna", "bert", ""), Contact: int64(r.IntN(2)) * 1e12, LockAfter: exchange.LockAfter,
		Locked: r.IntN(4) == 0, Ending: exchange.Ending(r.one("", "", "done", "revoked")), Build: r.one("build 1", "build 2")}
	if !m.Locked {
		m.Pack, m.PackAt = r.one("p", ""), int64(r.IntN(2))*1e12
	}
	return m
}

// Phone makes a page in a mode.
func (r States) Phone(m exchange.Mode) *exchange.Phone {
	s := exchange.New()
	s.Mode, s.Meta, s.Rows = m, r.meta(), r.rows(1)
	for k := range r.IntN(3) {
		s.Unsaved = append(s.Unsaved, exchange.Pending{Item: r.item(50 + k), Size: 12})
	}
	s.No, s.Mono = 3, 1e6
	s.LastTry = int64(1e6) - int64(r.IntN(2))*exchange.MinGap
	s.RetryAt = int64(1e6) + int64(r.IntN(2))*exchange.MinGap
	s.Tries, s.Behind = r.IntN(5), r.IntN(6) == 0
	for _, row := range s.Rows {
		if m == exchange.Sending && row.State == exchange.Kept || m == exchange.Checking && row.State == exchange.Sent {
			s.Asked = append(s.Asked, row.Item.ID)
		}
		if r.IntN(2) == 0 {
			s.Checked = append(s.Checked, row.Item.ID)
		}
	}
	return s
}

// Event makes an event of a kind, as that page might meet it.
func (r States) Event(k exchange.EventKind, s *exchange.Phone) exchange.Event {
	e := exchange.Event{Kind: k, Wall: 1e12 + int64(r.IntN(1000)), Mono: s.Mono + int64(r.IntN(2))*exchange.MinGap, No: s.No}
	var ids []string
	for _, row := range s.Rows {
		ids = append(ids, row.Item.ID)
	}
	switch k {
	case exchange.Loaded:
		e.Snapshot = &exchange.Snapshot{Meta: r.meta(), Rows: r.rows(1), Fresh: r.IntN(4) == 0, Tally: r.IntN(2)}
	case exchange.Record:
		i := r.item(60)
		e.Item, e.Size = &i, 12
	case exchange.Stored:
		for k, p := range s.Unsaved {
			e.Rows = append(e.Rows, exchange.Row{N: int64(len(s.Rows)+k+1) + int64(r.IntN(2)), Item: p.Item, Size: p.Size, State: exchange.Kept})
		}
	case exchange.NotStored:
		e.Why = r.one("full", "turned", "closed")
	case exchange.Filed, exchange.Release:
		e.IDs = ids
	case exchange.Answered, exchange.Packed, exchange.Summed, exchange.SignOut, exchange.Other, exchange.Revoke, exchange.TooLong, exchange.Late:
		a := &exchange.Answer{Firnhand: exchange.Marker, Person: r.one("anna", "bert"), At: 1e12 + int64(r.IntN(1e6)), Build: r.one("build 1", "build 2"), Pack: "q",
			Code: exchange.Code(r.one("taken", "not_allowed")), Sums: map[string]string{}}
		for _, row := range s.Rows {
			switch r.IntN(4) {
			case 0:
				a.Sums[row.Item.ID] = "something else"
			case 1, 2:
				a.Sums[row.Item.ID] = row.Item.Sum
			}
		}
		if r.IntN(2) == 0 {
			for _, row := range s.Rows {
				a.Sums[row.Item.ID] = row.Item.Sum
			}
		}
		for _, id := range s.Asked {
			if r.IntN(8) == 0 {
				continue
			}
			a.Results = append(a.Results, exchange.Result{ID: id, Outcome: exchange.Outcome(r.one("created", "created", "exists", "held", "refused", "later", "of_a_later_build")),
				Seq: 9, Code: r.one("", "newer"), Sentence: "Because."})
		}
		e.Answer = a
	}
	return e
}
