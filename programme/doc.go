// Package programme holds the records of a programme and what may be done with
// them: students, guardians, consents, holds and clearances, findings, notes,
// evaluations, staff, settings and the cards that were issued.
//
// Everything observed or decided about a student is a [Fact]: appended, never
// changed. A correction is a later fact that names the earlier one. What is
// shown about a student is a [Record], computed from the facts up to a chosen
// moment, so any card can be made again exactly as it was.
//
// The package knows core. It knows no database and no HTTP: those sit behind
// the ports in ports.go ([Store], [Clock], [Vocabulary], [SignInStore]), whose
// comments are the full contracts, and package programmetest checks any store
// against them. What may be done, and by which role, is in [UseCases] and
// [Permissions]; [Service] is the only implementation outside tests.
package programme
