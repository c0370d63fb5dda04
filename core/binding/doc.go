// Package binding prepares what a certified binding technician is asked, and
// looks at whether what the technician wrote down is plausible. It gives no
// setting.
//
// [Compose] fills the request: every input the technician needs, every reason
// why the usual table may not apply to this skier, what is not known, and the
// cautions. [Check] compares a technician's finished record with one maker's
// printed table and answers with a verdict and its reasons. The table is read
// inside Check and nowhere else; no value of it leaves the package, only the
// letter of a row, and only in the verdict on a record.
//
// The package is pure. Left and right are always the skier's.
package binding
