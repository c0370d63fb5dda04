// Package exchange is how a phone on the hill and the server tell each other
// what was recorded: a state machine for the page on the phone, and what the
// server answers. It is pure. It asks no clock, no network and no storage:
// what happened comes in as an [Event], what is to be done goes out as a list
// of [Effect], and the same events always give the same effects.
//
// What the machine does in which mode is data, [Standing], a table of every
// mode by every event. The page on the phone is given the same table and
// carries it out in script; a test drives both with the same events and
// compares them. docs/reference/exchange.md shows the table whole.
//
// The promises, as long as the phone is not destroyed:
//
//   - an item has its id before it is stored, and is stored before it is sent;
//   - "saved" is said only when storage has confirmed, "sent" only when the
//     server has;
//   - sending again what was sent before changes nothing, because the server
//     answers created or exists, and orders by its own sequence;
//   - the items of one person on one phone arrive in the order in which they
//     were made;
//   - what the server refuses is set aside, shown and kept, and the next item
//     goes on;
//   - nobody's items are sent under somebody else's sign-in;
//   - nothing leaves the phone before the server has given back the checksum
//     of each item as it reads it from its own store, or the person has the
//     item in a file.
package exchange
