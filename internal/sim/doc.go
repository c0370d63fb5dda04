// Package sim plays phones, a server and the network between them, with
// crashes, full storage, wrong clocks, guest networks and people who sign in
// and out, all from one seed. The phones run the real state machine of package
// exchange, the server the real use cases of package programme; only storage,
// network and time are played. The same seed always gives the same play.
//
// After every step and at the end it looks at what must hold: no item that was
// called saved is lost, none that was called sent is missing in the store,
// none is there twice or out of order, nothing of one person goes under
// another's name, no phone is emptied of what is nowhere else. A play that
// finds a breach says so with its seed.
package sim
