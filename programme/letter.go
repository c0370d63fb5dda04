package programme

// CheckLetter tells whether RecordClearance would take a clearance of a hold
// that stands, given who records it and the numbers in force, without writing
// anything: the recorder's right, the letter itself, and whether that licensed
// role clears that hold. It serves readers of files, which have no record; the
// clearance's Hold is not looked at. Refusals have the codes of
// [UseCases.RecordClearance].
func CheckLetter(a Actor, h Hold, c Clearance, today Date, n Numbers) error {
	if err := allow(a, RecordClears); err != nil {
		return err
	}
	c.Hold = "00000000-0000-7000-8000-000000000000" // well formed, names nothing
	if err := c.check(today, n.ClearanceMonths); err != nil {
		return err
	}
	if !h.MayClear(c.Licence) {
		label, _ := clearerLabel(c.Licence)
		return Refuse(CodeNotClearance, "This hold is not cleared by: %s. It needs: %s.", label, h.Clearer)
	}
	return nil
}
