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

// ReadFile reads an outbox file. It refuses what is none, and what a newer
// page wrote in a form of its own; the error is a sentence. Items that are not
// as they were made, or stand in it twice, are left out; damaged counts their
// places from 1.
func ReadFile(text []byte) (f File, damaged []int, err error) {
	if err := json.Unmarshal(text, &f); err != nil || f.Firnhand != FileMarker {
		return File{}, nil, fmt.Errorf("this file is not an outbox from a phone")
	}
	if f.Exchange > Version {
		return File{}, nil, fmt.Errorf("this outbox was written by a newer page (form %d; this program knows %d)", f.Exchange, Version)
	}
	var good []Item
	for i, item := range f.Items {
		if SumOf(item) != item.Sum || slices.ContainsFunc(good, func(o Item) bool { return o.ID == item.ID }) {
			damaged = append(damaged, i+1)
			continue
		}
		good = append(good, item)
	}
	f.Items = good
	return f, damaged, nil
}
