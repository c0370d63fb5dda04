// Package questions turns findings of the vocabulary into form questions and
// what was typed back into findings. Intake, evaluation, the tired retest and
// corrections all ask through it, so a finding looks and reads the same
// wherever it is asked.
//
// Nothing is preselected that was not answered before; "not tested" and "I do
// not know" are answers; what was typed is kept when something has to be mended.
package questions
