package exchange

import (
	"encoding/json"
	"fmt"
	"slices"
)

// File is an outbox as a file, for when all else fails. It holds what the
// items say in the clear.
type File struct {
	Firnhand string `json:"firnhand"` // FileMarker
	Exchange int    `json:"exchange"`
	Device   string `json:"device"`
	MadeAt   string `json:"made_at"` // label of the phone's clock
	Items    []Item `json:"items"`   // in the order in which they were made
}

// FileMarker is how a file says that it is an outbox.
const FileMarker = "outbox"

// FileOf returns the person's items that the server does not have.
func (s *Phone) FileOf(madeAt string) File {
	f := File{Firnhand: FileMarker, Exchange: Version, Device: s.Meta.Device, MadeAt: madeAt, Items: []Item{}}
	for _, r := range s.Rows {
		if r.State != Sent && s.own(r) {
			f.Items = append(f.Items, r.Item)
		}
	}
	for _, p := range s.Unsaved {
		if p.Item.Author == s.Meta.Person {
			f.Items = append(f.Items, p.Item)
		}
	}
	return f
}

// ReadFile reads an outbox file. It refuses what is none, what a newer page
// wrote in a form of its own, and a file with an item that was altered or
// stands twice; the error is a sentence.
func ReadFile(text []byte) (File, error) {
	var f File
	if err := json.Unmarshal(text, &f); err != nil || f.Firnhand != FileMarker {
		return File{}, fmt.Errorf("this file is not an outbox from a phone")
	}
	if f.Exchange > Version {
		return File{}, fmt.Errorf("this outbox was written by a newer page (form %d; this program knows %d)", f.Exchange, Version)
	}
	for i, item := range f.Items {
		if SumOf(item) != item.Sum {
			return File{}, fmt.Errorf("item %d of the outbox is not as it was made; the file is damaged", i+1)
		}
		if slices.ContainsFunc(f.Items[:i], func(o Item) bool { return o.ID == item.ID }) {
			return File{}, fmt.Errorf("item %d of the outbox stands in it twice; the file is damaged", i+1)
		}
	}
	return f, nil
}
