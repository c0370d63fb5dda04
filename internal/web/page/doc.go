// Package page is what all pages of the office share: the ports they are given,
// who is asking, the layout with its style, the parts of a form, and the one
// function through which every error is shown.
//
// A page lives in a folder of its own beside this one: template, style, script
// and test, and one file for each action. It hands its routes to a [Kit] with
// the right that they need; a request reaches the action only for a person who
// has it.
package page
