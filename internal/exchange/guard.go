package exchange

import "slices"

// Guard is a question about the state of a page.
type Guard string

// The guards.
const (
	somethingLeft    Guard = "something_left"     // an item of whoever's day it is waits to be sent; on a revoked phone, anybody's
	somethingLeftMay Guard = "something_left_may" // and a try is not too soon
	nobody           Guard = "nobody"             // nobody's day is on the phone
	ending           Guard = "ending"             // the phone is to be emptied
	endingSafe       Guard = "ending_safe"        // and every item of the person is sent, or set aside and in a file
	endingSafeMay    Guard = "ending_safe_may"    // and a try is not too soon
	checked          Guard = "checked"            // and the checksum of each sent item came back right
	revoked          Guard = "revoked"            // the phone is revoked
	revokedClear     Guard = "revoked_clear"      // and nothing is left to hand over
	packOld          Guard = "pack_old"           // the day's pack is missing, locked or some minutes old
	packOldMay       Guard = "pack_old_may"       // and a try is not too soon
	stalled          Guard = "stalled"            // the last answer moved nothing on, or put something off
	sameHand         Guard = "same_hand"          // the phone did not change hands
	early            Guard = "early"              // the time of the next try has not come
)

var guards = map[Guard]func(*Phone) bool{
	somethingLeft:    (*Phone).left,
	somethingLeftMay: func(s *Phone) bool { return s.left() && s.may() },
	nobody:           func(s *Phone) bool { return s.Meta.Person == "" },
	ending:           func(s *Phone) bool { return s.Meta.Ending != NotEnding },
	endingSafe:       (*Phone).safe,
	endingSafeMay:    func(s *Phone) bool { return s.safe() && s.may() },
	checked:          (*Phone).allChecked,
	revoked:          func(s *Phone) bool { return s.Meta.Ending == Revoked },
	revokedClear:     func(s *Phone) bool { return s.Meta.Ending == Revoked && !s.Behind && !s.left() },
	packOld:          (*Phone).packIsOld,
	packOldMay:       func(s *Phone) bool { return s.packIsOld() && s.may() },
	stalled:          func(s *Phone) bool { return s.Stalled },
	sameHand:         func(s *Phone) bool { return !s.Turned },
	early:            func(s *Phone) bool { return s.Mono < s.RetryAt },
}

// may tells whether a try that nobody asked for is not too soon.
func (s *Phone) may() bool { return s.LastTry < 0 || s.Mono-s.LastTry >= MinGap }

// sendable tells whether a row goes with the next request. While another page
// has stored items that this one has not read, none goes: it could overtake.
func (s *Phone) sendable(r Row) bool {
	return !s.Behind && r.State == Kept && (s.Meta.Ending == Revoked || s.Meta.Person != "" && r.Item.Author == s.Meta.Person)
}

func (s *Phone) left() bool { return slices.ContainsFunc(s.Rows, s.sendable) }

// Waiting counts the items that are on this phone only, with those that
// storage has not confirmed.
func (s *Phone) Waiting() int {
	n := len(s.Unsaved)
	for _, r := range s.Rows {
		if r.State != Sent {
			n++
		}
	}
	return n
}

// HeldFor counts the items of people other than the one whose day it is that
// wait for their own sign-in.
func (s *Phone) HeldFor() int {
	n := 0
	for _, r := range s.Rows {
		if r.State != Sent && r.Item.Author != s.Meta.Person {
			n++
		}
	}
	return n
}

// own tells whether a row belongs to whoever's day it is.
func (s *Phone) own(r Row) bool { return r.Item.Author == s.Meta.Person }

// safe tells whether the person is done and nothing of theirs would be lost
// with the phone's storage, if the server has what it says.
func (s *Phone) safe() bool {
	return s.Meta.Ending == Done && !s.Behind && s.ownUnsaved() == 0 && s.keptBack() == 0 && !s.left()
}

// ownUnsaved counts the person's items that storage has not confirmed.
func (s *Phone) ownUnsaved() int {
	n := 0
	for _, p := range s.Unsaved {
		if p.Item.Author == s.Meta.Person {
			n++
		}
	}
	return n
}

// keptBack counts the person's items that are set aside and in no file.
func (s *Phone) keptBack() int {
	n := 0
	for _, r := range s.Rows {
		if s.own(r) && r.State == SetAside && !r.Exported {
			n++
		}
	}
	return n
}

func (s *Phone) allChecked() bool {
	return s.safe() && !slices.ContainsFunc(s.Rows, func(r Row) bool {
		return s.own(r) && r.State == Sent && !slices.Contains(s.Checked, r.Item.ID)
	})
}

// packIsOld tells whether the day's pack should be asked for. A clock that
// went back makes it old too.
func (s *Phone) packIsOld() bool {
	age := s.Wall - s.Meta.PackAt
	return s.Meta.Pack == "" || s.Meta.Locked || age > PackAge || age < -PackAge
}
