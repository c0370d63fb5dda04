// Package sheet makes the sheets that go from a programme to somebody else on
// paper, black on white, one A4 page each. There is one so far: the request to
// a certified binding technician, with room for what comes back.
//
// The request holds what was asked and found. It has no field for a setting:
// what the technician writes is written by hand, and recorded on its page.
package sheet
