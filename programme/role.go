package programme

import "slices"

// Role is what a staff member may be; one person may hold several.
type Role string

// The roles.
const (
	Instructor      Role = "instructor"
	Lead            Role = "lead"
	Scheduler       Role = "scheduler"
	EquipmentLead   Role = "equipment_lead"
	Technician      Role = "technician"
	MedicalReviewer Role = "medical_reviewer"
)

// Roles lists every role in the order in which tables show them.
var Roles = []Role{Instructor, Lead, Scheduler, EquipmentLead, Technician, MedicalReviewer}

// Label returns the role in words.
func (r Role) Label() string {
	switch r {
	case Instructor:
		return "instructor"
	case Lead:
		return "programme lead"
	case Scheduler:
		return "scheduler"
	case EquipmentLead:
		return "equipment lead"
	case Technician:
		return "binding technician"
	case MedicalReviewer:
		return "medical reviewer"
	}
	return string(r)
}

// Action is something a person may or may not do or read.
type Action string

// The actions. Read actions also decide which fields a Record shows.
const (
	ReadIdentity   Action = "read_identity"    // name used, language, age in years
	ReadContact    Action = "read_contact"     // full name, birth date, guardians, who signed
	ReadHold       Action = "read_hold"        // that a hold is open, its rule and who can clear it
	ReadWork       Action = "read_work"        // findings, evaluations, notes for the work
	ReadMedical    Action = "read_medical"     // reasons of holds by hand, clearances, medical notes; each opening is logged
	WriteStudent   Action = "write_student"    // add and change students and guardians
	WriteConsent   Action = "write_consent"    // record consents as signed, refused or withdrawn
	RaiseHoldAct   Action = "raise_hold"       // raise a hold
	RecordClears   Action = "record_clearance" // write down that a licensed person cleared a hold
	Evaluate       Action = "evaluate"         // begin, record findings, close
	WriteNote      Action = "write_note"       // notes for the work
	WriteMedical   Action = "write_medical"    // medical notes
	IssueCardAct   Action = "issue_card"       // print a card
	WriteSetUp     Action = "write_set_up"     // propose a set-up, measure it on the person, sign it, write down that gear changed
	RequestBinding Action = "request_binding"  // ask a technician
	ReadBinding    Action = "read_binding"     // requests to the technician, and what came back
	RecordBinding  Action = "record_binding"   // what a technician set and measured
	ReadHill       Action = "read_hill"        // slopes, lifts, days and timed glides; nothing about students
	WriteHill      Action = "write_hill"       // slopes and lifts
	WriteDay       Action = "write_day"        // forecast, snow and timed glides of a day
	PlanHill       Action = "plan_hill"        // a student's slope and lift, lift times, measured stops
	LogSnow        Action = "log_snow"         // keep the day on a phone and record on snow with it
	WriteIncident  Action = "write_incident"   // incidents and near misses, statements; read one's own
	ReadIncident   Action = "read_incident"    // all of them, with every statement
	ReleaseGearAct Action = "release_gear"     // give an item back that was out of use
	ReadReports    Action = "read_reports"     // reports of the programme, others like this, tables of everything
	ManageStaff    Action = "manage_staff"     // add staff, change roles, end their time
	ManageSettings Action = "manage_settings"  // change and sign off the programme's numbers
	ReadLog        Action = "read_log"         // who opened which medical detail
	Assign         Action = "assign"           // open a student's medical details to a member of staff for a while
	TakeOut        Action = "export_student"   // take out everything about a student, or take it in
	Forget         Action = "forget_student"   // destroy a student's text
)

// Permissions is the table of actions and the roles that may do them. What is
// not in the table nobody may do. Nobody may clear a medical hold: even
// RecordClears only writes down what a licensed person said in writing, and
// what a binding is set to comes from a technician alone.
var Permissions = map[Action][]Role{
	ReadIdentity:   {Instructor, Lead, Scheduler, EquipmentLead, Technician, MedicalReviewer},
	ReadContact:    {Instructor, Lead, Scheduler, MedicalReviewer},
	ReadHold:       {Instructor, Lead, Scheduler, EquipmentLead, MedicalReviewer},
	ReadWork:       {Instructor, Lead, EquipmentLead, MedicalReviewer},
	ReadMedical:    {Lead, MedicalReviewer},
	WriteStudent:   {Lead, Scheduler, Instructor},
	WriteConsent:   {Lead, Scheduler, Instructor},
	RaiseHoldAct:   {Instructor, Lead, MedicalReviewer},
	RecordClears:   {Lead, MedicalReviewer},
	Evaluate:       {Instructor, Lead},
	WriteNote:      {Instructor, Lead, EquipmentLead},
	WriteMedical:   {Lead, MedicalReviewer},
	IssueCardAct:   {Instructor, Lead},
	WriteSetUp:     {Instructor, Lead, EquipmentLead},
	RequestBinding: {Instructor, Lead, EquipmentLead},
	ReadBinding:    {Instructor, Lead, EquipmentLead, Technician},
	RecordBinding:  {Technician},
	ReadHill:       {Instructor, Lead, Scheduler, EquipmentLead, Technician, MedicalReviewer},
	WriteHill:      {Instructor, Lead},
	WriteDay:       {Instructor, Lead, Scheduler},
	PlanHill:       {Instructor, Lead},
	LogSnow:        {Instructor, Lead},
	WriteIncident:  {Instructor, Lead, Scheduler, EquipmentLead, Technician, MedicalReviewer},
	ReadIncident:   {Lead, MedicalReviewer},
	ReleaseGearAct: {Lead, EquipmentLead},
	ReadReports:    {Lead},
	ManageStaff:    {Lead},
	ManageSettings: {Lead},
	ReadLog:        {Lead, MedicalReviewer},
	Assign:         {Lead},
	TakeOut:        {Lead},
	Forget:         {Lead},
}

// Actor is the person on whose behalf a use case runs. Sign-in makes it; a
// command on the programme's own machine may make one too.
type Actor struct {
	Staff ID
	Name  string
	Roles []Role
}

// May tells whether any of the actor's roles allows the action.
func (a Actor) May(act Action) bool {
	for _, r := range Permissions[act] {
		if slices.Contains(a.Roles, r) {
			return true
		}
	}
	return false
}
