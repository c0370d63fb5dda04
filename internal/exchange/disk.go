package exchange

import "slices"

// Disk is a phone's storage as the rules above want it: every method is one
// transaction, and a page's storage does the same in its own terms. The
// simulator runs on it, and the page's storage is tested against it.
type Disk struct {
	Meta Meta
	Rows []Row
	Last int64 // N of the last row ever
	Pack bool  // the day's pack is there
	List bool  // the short list of people, by lesson code only, is there
}

// Put adds items that are not there yet, all or none. ok is false when the
// phone has changed hands.
func (d *Disk) Put(epoch int64, items []Pending) (rows []Row, ok bool) {
	for _, p := range items {
		if d.Meta.Epoch != epoch || d.Meta.Person != p.Item.Author || p.Item.Author == "" {
			return nil, false
		}
	}
	for _, p := range items {
		i := slices.IndexFunc(d.Rows, func(r Row) bool { return r.Item.ID == p.Item.ID })
		if i < 0 {
			d.Last++
			i = len(d.Rows)
			d.Rows = append(d.Rows, Row{N: d.Last, Item: p.Item, Size: p.Size, State: Kept})
		}
		rows = append(rows, d.Rows[i])
	}
	return rows, true
}

// Write writes marks on the rows that are there.
func (d *Disk) Write(marks []Mark) {
	for _, m := range marks {
		for i := range d.Rows {
			if d.Rows[i].Item.ID == m.ID {
				d.Rows[i] = m.Apply(d.Rows[i])
			}
		}
	}
}

// Amend changes Meta, if the phone is still in the same hand.
func (d *Disk) Amend(epoch int64, person string, p Patch) bool {
	if d.Meta.Epoch != epoch || d.Meta.Person != person {
		return false
	}
	d.Meta = p.Apply(d.Meta)
	return true
}

// Turn hands the phone to a person, if it is still in the hand it was in.
func (d *Disk) Turn(epoch int64, person string) bool {
	if d.Meta.Epoch != epoch {
		return false
	}
	d.Meta, d.Pack, d.List = d.Meta.AfterTurn(person), false, false
	return true
}

// KeepPack keeps the day's pack together with the patch.
func (d *Disk) KeepPack(epoch int64, person string, p Patch) bool {
	if !d.Amend(epoch, person, p) {
		return false
	}
	d.Pack, d.List = true, true
	return true
}

// DropPack drops the day's pack; with all, the short list of people too.
func (d *Disk) DropPack(all bool) { d.Pack, d.List = false, d.List && !all }

// Wipe empties the phone of what the person has on it (or, with all,
// everybody), if those are just the ids; else it does nothing.
func (d *Disk) Wipe(epoch int64, person string, ids []string, all bool, device string) bool {
	gone := func(r Row) bool { return all || r.Item.Author == person }
	if d.Meta.Epoch != epoch || slices.ContainsFunc(d.Rows, func(r Row) bool { return gone(r) && !slices.Contains(ids, r.Item.ID) }) {
		return false
	}
	d.Rows = slices.DeleteFunc(slices.Clone(d.Rows), gone)
	d.Meta, d.Pack, d.List = d.Meta.AfterWipe(), false, false
	if all {
		d.Meta.Device = device
	}
	return true
}

// Read reads everything.
func (d *Disk) Read() Snapshot { return Snapshot{Meta: d.Meta, Rows: slices.Clone(d.Rows)} }
