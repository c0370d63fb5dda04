// Package e2e tries the built program from outside, as a person or a power cut
// would: it starts the binary, talks to it over loopback and looks at what is
// left.
package e2e
