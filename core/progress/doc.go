// Package progress says how far a student is and whether less help is due:
// the counting rules of fading and stepping back, and beside them a model of
// what the attempts so far make likely.
//
// The rules ([Rules], [Judge]) count: three clean in a row, two misses in
// three. They decide. The model ([Fit]) is a cumulative logit of the outcome
// (miss, partly, clean) on Gaussian effects of the student, the skill, the
// side and the set-up, which drift from lesson to lesson and fade towards what
// is usual while nobody skis; it says how likely a clean attempt with one level
// less help is, with its interval, and left against right. Where the two
// disagree both are shown with their reasons; the model may ask for caution and
// never loosens a rule.
//
// Help levels run from 7, helpers move skis and body, to 0, independent. Sides
// are the student's. Days are numbers, minutes count from the beginning of the
// lesson. The package is pure.
package progress
