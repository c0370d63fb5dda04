package programme

import (
	"context"
	"time"
)

// Made says how a fact came to be. ID is made by the caller before the first
// try, so that a second try of the same thing is answered Exists; a page puts
// it into the form. With an empty ID the service makes one, and a second try
// then makes a second fact. A zero At means now.
type Made struct {
	ID ID
	At time.Time

	// Written is the payload as it was written where the fact was made; nil: the
	// service writes it. It is stored byte by byte, with fields that this program
	// does not know; one that does not say what is recorded is CodeInvalid.
	Written []byte
	said    []byte // Written as the service writes it, where it was read already
}

// UseCases is everything that may be done with the records. Each call checks
// the actor's right first (CodeSignedOut without a staff id, CodeNotAllowed),
// then the input (CodeInvalid, CodeUnknown), then the state of the record
// (CodeNotFound, CodeConflict, CodeNotClearance), and writes all or nothing.
// Repeating a call with the same Made.ID and content answers Exists, whatever
// happened in between; other content under the same id is CodeIDTaken.
type UseCases interface {
	// AddStudent records a new student. student is made by the caller.
	AddStudent(ctx context.Context, a Actor, m Made, student ID, d StudentDetails) (Receipt, error)
	// ChangeStudent records the details as they are from now on.
	ChangeStudent(ctx context.Context, a Actor, m Made, student ID, d StudentDetails) (Receipt, error)
	// Students lists students by name used; ended ones only when asked for.
	Students(ctx context.Context, a Actor, ended bool) ([]StudentLine, error)
	// StudentAt returns the record as of a moment, without what the actor may not
	// read. Opening a record that has medical details with the right to read them
	// is written to the log of readings.
	StudentAt(ctx context.Context, a Actor, student ID, at AsOf) (Record, error)
	// ForgetStudent destroys the text of everything recorded about the student.
	// The facts keep their number and order. It needs a store with keys.
	ForgetStudent(ctx context.Context, a Actor, student ID) error

	// Assign opens a student's medical details to a member of staff until a day,
	// or ends that. Those whom Permissions let read them need no assignment.
	Assign(ctx context.Context, a Actor, m Made, student ID, v Assignment) (Receipt, error)
	// Retention lists the students with the day on which each record is due to be
	// forgotten and what speaks against it, those that are due first.
	Retention(ctx context.Context, a Actor) ([]RetentionLine, error)
	// ExportStudent returns everything that is kept about a student. It is written
	// to the log of readings.
	ExportStudent(ctx context.Context, a Actor, student ID) (Export, error)
	// ImportStudent takes in what ExportStudent returned elsewhere. Facts that are
	// there already are left alone; an export that was changed is CodeDamaged.
	ImportStudent(ctx context.Context, a Actor, e Export) (created int, err error)

	// PutGuardian adds a guardian or changes one (same GuardianDetails.Guardian).
	PutGuardian(ctx context.Context, a Actor, m Made, student ID, g GuardianDetails) (Receipt, error)
	// RecordConsent records an answer. A consent that is given must be signed by
	// everybody whom the SignerRules ask for; an empty Expires becomes the last
	// day that ConsentRules allow.
	RecordConsent(ctx context.Context, a Actor, m Made, student ID, c Consent) (Receipt, error)

	// RaiseHold raises a hold. A gate rule whose hold is open already, or is
	// cleared today and has no newer fact in Because, is answered Exists with the
	// receipt of that hold.
	RaiseHold(ctx context.Context, a Actor, m Made, student ID, h Hold) (Receipt, error)
	// RecordClearance writes down a licensed person's written clearance of one
	// hold. Anything else is CodeNotClearance: not in writing, a parent's word, an
	// unlicensed person. Instructors get CodeNotAllowed.
	RecordClearance(ctx context.Context, a Actor, m Made, student ID, c Clearance) (Receipt, error)

	// BeginEvaluation begins one; its id is the fact's id. Another one open is
	// CodeConflict.
	BeginEvaluation(ctx context.Context, a Actor, m Made, student ID, e EvaluationBegun) (Receipt, error)
	// RecordFindings records values, all or none, each its own fact. A hold that
	// the gate rules ask for because of them is raised in the same append; the
	// receipts are those of the findings. CorrectFinding does the same.
	RecordFindings(ctx context.Context, a Actor, student ID, f []NewFinding) ([]Receipt, error)
	// CloseEvaluation closes an open one.
	CloseEvaluation(ctx context.Context, a Actor, m Made, student ID, e EvaluationClosed) (Receipt, error)
	// AddNote records a note.
	AddNote(ctx context.Context, a Actor, m Made, student ID, n Note) (Receipt, error)

	// CorrectFinding, CorrectNote and CorrectConsent put a later fact in the place
	// of an earlier one of the same kind, which they name. A retracted fact cannot
	// be corrected (CodeConflict): record it anew.
	CorrectFinding(ctx context.Context, a Actor, m Made, student, earlier ID, f Finding) (Receipt, error)
	CorrectNote(ctx context.Context, a Actor, m Made, student, earlier ID, n Note) (Receipt, error)
	CorrectConsent(ctx context.Context, a Actor, m Made, student, earlier ID, c Consent) (Receipt, error)
	// Retract takes a fact, with its corrections, out of the record for good, with
	// a reason. It needs the right to make such a fact; student details cannot be
	// retracted, only changed; a clearance by its recorders; a hold only when it
	// was recorded in error: by the medical reviewer,
	// or by the lead who raised it by hand, or by the lead once every fact in its
	// Because was corrected or retracted. A printed card and a retraction stay.
	Retract(ctx context.Context, a Actor, m Made, student, earlier ID, r Retraction) (Receipt, error)

	// IssueCard records that a card was made from the facts up to Card.UpTo. Its
	// Made.ID is the opaque id in the card's code.
	IssueCard(ctx context.Context, a Actor, m Made, student ID, c Card) (Receipt, error)
	// CardByID finds an issued card by the opaque id in its code.
	CardByID(ctx context.Context, a Actor, card ID) (student ID, c CardState, err error)

	// ProposeSetUp writes down a new version of the set-up sheet; its id is the
	// fact's id. MeasureSetUp records what was measured on the person for the
	// newest version (CodeConflict for another, one that is void or signed by two).
	// A value with another unit than its line is CodeInvalid, a line that is not
	// on the sheet CodeNotFound.
	ProposeSetUp(ctx context.Context, a Actor, m Made, student ID, p SetUpProposal) (Receipt, error)
	MeasureSetUp(ctx context.Context, a Actor, m Made, student ID, v SetUpMeasures) (Receipt, error)
	// SignSetUp signs the newest version once everything on it is measured. Two
	// different people sign; a measurement after a signature ends the signature.
	SignSetUp(ctx context.Context, a Actor, m Made, student ID, s SetUpSignature) (Receipt, error)
	// RecordGearChange writes down that gear changed, which voids the set-up and,
	// where it concerns boot, sole, plate, binding or ski, the binding's setting.
	RecordGearChange(ctx context.Context, a Actor, m Made, student ID, g GearChange) (Receipt, error)

	// RecordMeasures writes down what was measured on a student and their gear.
	// Refused are values no person can have, and values that contradict each
	// other by more than their errors; what only stands out is told by FlagsOf.
	RecordMeasures(ctx context.Context, a Actor, m Made, student ID, t MeasuresTaken) (Receipt, error)
	// AskBinding writes down a request to a certified technician: the complete
	// sheet with every refer reason, composed from the record and the gear. It
	// never holds a setting.
	AskBinding(ctx context.Context, a Actor, m Made, student ID, g BindingGear) (Receipt, error)
	// RecordBindingTest writes down what a technician set and measured for the
	// newest request, with the verdict on whether it is plausible. Only a
	// technician may; without a signature, instrument, day and all indicator
	// values it is CodeInvalid.
	RecordBindingTest(ctx context.Context, a Actor, m Made, student ID, b BindingRecord) (Receipt, error)
	// WaitingBindings lists the requests that no technician has answered, oldest
	// first.
	WaitingBindings(ctx context.Context, a Actor) ([]WaitingBinding, error)

	// HillAt returns the programme's slopes, lifts, days and timed glides as of a
	// moment.
	HillAt(ctx context.Context, a Actor, at AsOf) (Hill, error)
	// PutSlope and PutLift add a slope or a lift or change one (same id); a name
	// that another one in use has is CodeConflict. PutDay records a day anew.
	PutSlope(ctx context.Context, a Actor, m Made, d SlopeDetails) (Receipt, error)
	PutLift(ctx context.Context, a Actor, m Made, d LiftDetails) (Receipt, error)
	PutDay(ctx context.Context, a Actor, m Made, d DayDetails) (Receipt, error)
	// RecordGlides records timed glides; CorrectGlides puts others in their
	// place, RetractGlides takes them back.
	RecordGlides(ctx context.Context, a Actor, m Made, g TimedGlides) (Receipt, error)
	CorrectGlides(ctx context.Context, a Actor, m Made, earlier ID, g TimedGlides) (Receipt, error)
	RetractGlides(ctx context.Context, a Actor, m Made, earlier ID, why Retraction) (Receipt, error)
	// ChooseHill records where a student skis next, RecordLiftTimes what was
	// timed with them for a lift, RecordStops how they stopped. A slope or lift
	// that is not there is CodeNotFound, one no longer used CodeConflict.
	ChooseHill(ctx context.Context, a Actor, m Made, student ID, c HillChoice) (Receipt, error)
	RecordLiftTimes(ctx context.Context, a Actor, m Made, student ID, t LiftTimes) (Receipt, error)
	RecordStops(ctx context.Context, a Actor, m Made, student ID, st MeasuredStops) (Receipt, error)
	// RecordEffort records from where the student's effort is known.
	RecordEffort(ctx context.Context, a Actor, m Made, student ID, e EffortBasis) (Receipt, error)

	// OpenLesson opens a lesson; its id is the fact's id. Another one open on that
	// day is CodeConflict.
	OpenLesson(ctx context.Context, a Actor, m Made, student ID, l LessonOpened) (Receipt, error)
	// RecordAttempt records one try at a skill. What the gear or the skill rules
	// out, such as a sidestep with a tie on, is CodeInvalid. CorrectAttempt puts a
	// later one in the place of an earlier.
	RecordAttempt(ctx context.Context, a Actor, m Made, student ID, v AttemptMade) (Receipt, error)
	CorrectAttempt(ctx context.Context, a Actor, m Made, student, earlier ID, v AttemptMade) (Receipt, error)
	// HandoverDraft computes the ten lines of a lesson from the record as it is,
	// with what is missing.
	HandoverDraft(ctx context.Context, a Actor, student, lesson ID) (Handover, error)
	// CloseLesson closes a lesson with its ten lines, all in their order. A line
	// that the draft asks for and that is empty is CodeInvalid, as is a missing
	// reason for reins never slackened; a lesson closed already CodeConflict.
	// CorrectHandover puts another closing in the place of an earlier.
	CloseLesson(ctx context.Context, a Actor, m Made, student ID, c LessonClosed) (Receipt, error)
	CorrectHandover(ctx context.Context, a Actor, m Made, student, earlier ID, c LessonClosed) (Receipt, error)
	// RecordIncident records an incident or near miss, of a student or of none
	// (""). The gear named by tag is taken out of use in the same append.
	// CorrectIncident puts another wording in the place of an earlier; the earlier
	// stays visible. Whoever wrote it corrects it, or the lead.
	RecordIncident(ctx context.Context, a Actor, m Made, student ID, i Incident) (Receipt, error)
	CorrectIncident(ctx context.Context, a Actor, m Made, student, earlier ID, i Incident) (Receipt, error)
	// AddWitness records what one person saw, in their own words. Others do not
	// read it, but the lead and the medical reviewer.
	AddWitness(ctx context.Context, a Actor, m Made, w Witness) (Receipt, error)
	// Incidents lists incidents and near misses, newest first, with those written
	// down on snow: all for the lead and the medical reviewer, else one's own.
	// IncidentByID returns one; opening one of a student is written to the log of
	// readings.
	Incidents(ctx context.Context, a Actor) ([]IncidentState, error)
	IncidentByID(ctx context.Context, a Actor, id ID) (IncidentState, error)
	// IncidentDays lists when the incidents of the last month were that the actor
	// does not read, so that a witness can write a statement.
	IncidentDays(ctx context.Context, a Actor) ([]IncidentDay, error)
	// IncidentDraft fills an incident from what was logged last with a student
	// ("" for none), and returns the last lines of that log.
	IncidentDraft(ctx context.Context, a Actor, student ID) (Incident, []string, error)
	// Quarantined lists gear that is out of use; ReleaseGear gives one item back,
	// with a reason. One that is in use is CodeConflict.
	Quarantined(ctx context.Context, a Actor) ([]GearTagState, error)
	ReleaseGear(ctx context.Context, a Actor, m Made, g GearTag) (Receipt, error)
	// SeasonReport is what may be told of the season that a day lies in (today
	// where it is zero): counts at a month's end, none of which tells of fewer than
	// LeastCell people, nor do two of them.
	SeasonReport(ctx context.Context, a Actor, on Date) (SeasonReport, error)
	// OthersLike tells of others whose function is nearest, at least LeastCell of
	// them or none.
	OthersLike(ctx context.Context, a Actor, student ID) (Alike, error)
	// Everything returns every student's record as far as lessons, attempts and
	// findings go, for tables of everything.
	Everything(ctx context.Context, a Actor) ([]Record, error)
	// RecordSnow records a fall, a stop, a near miss or a look at the skin.
	RecordSnow(ctx context.Context, a Actor, m Made, student ID, e SnowEvent) (Receipt, error)
	// EnrolPhone makes a phone known that keeps the actor's day, or hands one over
	// to the actor. One that was revoked stays so and is returned as it is; another
	// proof for a known phone is CodeNotAllowed.
	EnrolPhone(ctx context.Context, a Actor, phone ID, secretHash, name string) (PhoneState, error)
	// PhoneOf finds a phone by what it proves itself with: CodeNotFound, and
	// CodeNotAllowed for a wrong proof. It needs no sign-in.
	PhoneOf(ctx context.Context, phone ID, secretHash string) (PhoneState, error)
	// Phones lists the actor's own phones; who manages staff sees all.
	Phones(ctx context.Context, a Actor) ([]PhoneState, error)
	// RevokePhone lets a phone keep nothing any more: one's own, or any for those
	// who manage staff.
	RevokePhone(ctx context.Context, a Actor, m Made, phone ID, reason string) (Receipt, error)
	// TakeFromPhone takes what the actor recorded on a phone, in order, each as
	// its own use case would, with one outcome for each. What can never be taken
	// as it is gets ItemRefused, and the next one goes on. At the first that cannot
	// be taken now, it and all that follow get ItemLater.
	TakeFromPhone(ctx context.Context, a Actor, items []PhoneItem) []PhoneOutcome
	// HoldFromPhone keeps the items of a revoked phone for the lead to look at.
	HoldFromPhone(ctx context.Context, p PhoneState, items []PhoneItem) []PhoneOutcome
	// PickDay writes down whom a member of staff has on a day: one's own, or
	// anybody's for those who manage staff. PickedDay returns the actor's.
	PickDay(ctx context.Context, a Actor, m Made, d PhoneDay) (Receipt, error)
	PickedDay(ctx context.Context, a Actor, day Date) (PhoneDay, error)
	// FromPhone returns those of the facts that the actor made, read from the store.
	FromPhone(ctx context.Context, a Actor, ids []ID) ([]Fact, error)

	// PutStaff adds a staff member or changes one (same StaffDetails.Staff). The
	// last lead can neither end nor lose that role (CodeConflict).
	PutStaff(ctx context.Context, a Actor, m Made, d StaffDetails) (Receipt, error)
	// Staff lists staff by name used; ended ones only when asked for.
	Staff(ctx context.Context, a Actor, ended bool) ([]StaffState, error)
	// ActorOf returns a staff member as an actor, for sign-in. CodeNotFound when
	// there is none or their time has ended.
	ActorOf(ctx context.Context, staff ID) (Actor, error)
	// HasLead tells whether anybody leads the programme.
	HasLead(ctx context.Context) (bool, error)
	// FirstLead makes the first lead of a programme that has none (else
	// CodeConflict). The fact's id is given, so that of several tries with one
	// first-run code exactly one succeeds.
	FirstLead(ctx context.Context, m Made, d StaffDetails) (Receipt, error)

	// PutSetting signs off a number or choice of the programme.
	PutSetting(ctx context.Context, a Actor, m Made, s Setting) (Receipt, error)
	// Settings returns the settings that were signed off, by name, as of a moment.
	// A setting that nobody signed off is absent: core's proposed value counts.
	Settings(ctx context.Context, a Actor, at AsOf) (map[string]SettingState, error)

	// Readings returns the log of opened medical details, newest first.
	Readings(ctx context.Context, a Actor, student ID, limit int) ([]Reading, error)
}

// NewFinding is one value to record.
type NewFinding struct {
	Made
	Finding
}
