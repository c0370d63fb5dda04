package web_test

// row is one route with what each role may do there and read there. Roles are
// written as letters in a fixed order, a dot for each role that is refused:
//
//	I instructor, L lead, S scheduler, E equipment lead, T technician, M medical reviewer
//
// The table is written by hand and knows nothing of programme.Permissions: a
// right given by mistake shows here.
type row struct {
	route string // as in http.ServeMux
	may   string // who is let in; "open": strangers too
	says  string // what everybody who may is told, several things with | between
	reads string // "word:roles", by the short names of plants: exactly these roles read it
	send  string // what a form sends, as a query
}

// plants are the short names of the words in webtest.Canaries.
var plants = map[string]string{
	"surname": "Larkmoor-Quill", "birth": "2001-03-09", "guardian": "Guardian-Pell", "phone": "5550142",
	"goal": "Goal-Tarnlight", "work": "Worknote-Birch", "medical": "Mednote-Alder", "reason": "Reason-Rowan",
	"clearer": "Clearer-Hazel", "paper": "Paper-Willow", "hip": "hip at risk", "tie": "No spreading fo",
	"sheet": "Setup-Wisteria", "boot": "Boot-Juniper", "hill": "Hillnote-Sorrel",
	"handed": "Handover-Sallow", "incident": "Incident-Spindle", "witness": "Witness-Bramble",
}

const student = "/students/{student}"

// table has one row for each route, in the order in which the pages are added.
// A new route needs a row: TestEveryRouteEveryRole prints what it found, to be
// compared with what was meant.
var table = []row{
	{route: "GET /static/{name}", may: "open"},
	{route: "/", may: "open", says: "There is no page at this address."},

	// Signing in, and oneself.
	{route: "GET /{$}", may: "open"},
	{route: "GET /sign-in", may: "open", says: "Sign in"},
	{route: "POST /sign-in", may: "open"},
	{route: "POST /sign-out", may: "ILSETM"},
	{route: "POST /sign-in/passkey/ask", may: "open"},
	{route: "POST /sign-in/passkey", may: "open"},
	{route: "GET /enrol", may: "open", says: "Sign in this phone"},
	{route: "POST /enrol", may: "open"},
	{route: "GET /first-run", may: "open"},
	{route: "POST /first-run", may: "open"},
	{route: "GET /join", may: "open", says: "Join the programme"},
	{route: "POST /join", may: "open"},
	{route: "GET /me", may: "ILSETM", says: "Where you are signed in"},
	{route: "POST /me/password", may: "ILSETM"},
	{route: "POST /me/devices", may: "ILSETM"},
	{route: "POST /me/phone", may: "ILSETM", says: "Point your phone"},
	{route: "POST /me/passkeys/ask", may: "ILSETM"},
	{route: "POST /me/passkeys", may: "ILSETM"},
	{route: "POST /me/passkeys/remove", may: "ILSETM"},

	// Students.
	{route: "GET /students", may: "ILSETM", says: "Students|Edda", reads: "hip:ILSE.M"},
	{route: "GET /students/new", may: "ILS...", says: "New student"},
	{route: "POST /students", may: "ILS..."},
	{route: "GET " + student + "/details", may: "ILSETM", says: "Details|Edda", reads: "surname:ILS..M birth:ILS... hip:ILSE.M"},
	{route: "POST " + student + "/details", may: "ILS..."},
	{route: "GET " + student, may: "ILSETM", says: "Edda", reads: "goal:IL.E.M handed:IL.E.M hip:ILSE.M"},

	// Intake and evaluation.
	{route: "GET " + student + "/intake", may: "IL....", says: "Intake", reads: "hip:IL...."},
	{route: "GET " + student + "/intake/{block}", may: "IL....", says: "Bones and hips", reads: "hip:IL...."},
	{route: "POST " + student + "/intake/{block}", may: "IL...."},
	{route: "GET " + student + "/evaluation", may: "IL....", says: "Evaluation", reads: "hip:IL...."},
	{route: "POST " + student + "/evaluation", may: "IL...."},
	{route: "POST " + student + "/evaluation/close", may: "IL...."},
	{route: "GET " + student + "/evaluation/tired", may: "IL....", says: "Tired retest", reads: "hip:IL...."},
	{route: "POST " + student + "/evaluation/tired", may: "IL...."},
	{route: "POST " + student + "/evaluation/panel", may: "IL...."},
	{route: "GET " + student + "/evaluation/{test}", may: "IL....", says: "Push at each knee", reads: "hip:IL...."},
	{route: "POST " + student + "/evaluation/{test}", may: "IL...."},
	{route: "GET " + student + "/answer", may: "IL.E.M", reads: "tie:IL.E.M hip:IL.E.M"},

	// Consents, guardians, holds.
	{route: "GET " + student + "/consents", may: "ILSETM", says: "Consents|Waiver of the season", reads: "guardian:ILS..M phone:ILS..M hip:ILSE.M"},
	{route: "GET " + student + "/consents/{kind}", may: "ILS...", says: "Waiver of the season", reads: "guardian:ILS... hip:ILS..."},
	{route: "POST " + student + "/consents/{kind}", may: "ILS..."},
	{route: "GET " + student + "/guardians/{guardian}", may: "ILS...", says: "Guardian or contact", reads: "guardian:ILS... phone:ILS... hip:ILS..."},
	{route: "POST " + student + "/guardians/{guardian}", may: "ILS..."},
	{route: "GET " + student + "/holds", may: "ILSE.M", says: "Holds", reads: "hip:ILSE.M clearer:.L...M paper:.L...M"},
	{route: "GET " + student + "/holds/new", may: "IL...M", says: "Raise a hold", reads: "hip:IL...M"},
	{route: "POST " + student + "/holds", may: "IL...M"},
	{route: "GET " + student + "/holds/{hold}/clearance", may: ".L...M", says: "Write down a clearance", reads: "reason:.L...M hip:.L...M"},
	{route: "POST " + student + "/holds/{hold}/clearance", may: ".L...M"},

	// The card, the set-up, the stance, the binding.
	{route: "GET " + student + "/card", may: "IL....", says: "Card", reads: "hip:IL...."},
	{route: "POST " + student + "/card", may: "IL...."},
	{route: "GET /cards/{card}", may: "IL.E.M", says: "Card for Thu 14 Jan 2027", reads: "hip:IL.E.M"},
	{route: "GET /cards/{card}/pdf", may: "IL.E.M"},
	{route: "GET /cards/{card}/text", may: "IL.E.M"},
	{route: "GET " + student + "/set-up", may: "IL.E.M", says: "Set-up", reads: "sheet:IL.E.M hip:IL.E.M"},
	{route: "GET " + student + "/set-up/propose", may: "IL.E.."},
	{route: "POST " + student + "/set-up", may: "IL.E.."},
	{route: "GET " + student + "/set-up/changed", may: "IL.E..", says: "Write down that gear changed", reads: "hip:IL.E.."},
	{route: "POST " + student + "/set-up/changed", may: "IL.E.."},
	{route: "GET " + student + "/stance/card", may: "IL.E.M"},
	{route: "GET " + student + "/measures", may: "IL.E.M", says: "Measures", reads: "hip:IL.E.M"},
	{route: "GET " + student + "/measures/{topic}", may: "IL.E..", says: "Stance", reads: "hip:IL.E.."},
	{route: "POST " + student + "/measures/{topic}", may: "IL.E.."},
	{route: "GET " + student + "/set-up/{sheet}", may: "IL.E.M", says: "Set-up", reads: "sheet:IL.E.M hip:IL.E.M"},
	{route: "GET " + student + "/set-up/{sheet}/measure", may: "IL.E..", says: "Measure on the person", reads: "sheet:IL.E.. hip:IL.E.."},
	{route: "POST " + student + "/set-up/{sheet}/measure", may: "IL.E.."},
	{route: "POST " + student + "/set-up/{sheet}/sign", may: "IL.E.."},
	{route: "GET " + student + "/stance", may: "IL.E.M", reads: "hip:IL.E.M"},
	{route: "GET /bindings", may: "IL.ET.", says: "Requests to the binding technician|Edda"},
	{route: "GET " + student + "/binding", may: "IL.ET.", says: "Binding", reads: "boot:IL.ET. hip:IL.E.."},
	{route: "GET " + student + "/binding/ask", may: "IL.E..", says: "Ask the technician", reads: "boot:IL.E.. hip:IL.E.."},
	{route: "POST " + student + "/binding", may: "IL.E.."},
	{route: "GET " + student + "/binding/{request}", may: "IL.ET.", says: "Binding", reads: "boot:IL.ET. hip:IL.E.."},
	{route: "GET " + student + "/binding/{request}/pdf", may: "IL.ET."},
	{route: "GET " + student + "/binding/{request}/test", may: "....T.", says: "Record a test", reads: "boot:....T."},
	{route: "POST " + student + "/binding/{request}/test", may: "....T."},

	// How far, and what next.
	{route: "GET " + student + "/progress", may: "IL.E.M", says: "Progress|uphill turn|Cautions", reads: "hip:IL.E.M"},
	{route: "GET " + student + "/attempts/new", may: "IL....", says: "Write down an attempt", reads: "hip:IL...."},
	{route: "POST " + student + "/attempts", may: "IL....", send: "skill=K25&side=left&help=4&outcome=clean&terrain=beginner"},
	{route: "GET " + student + "/handover", may: "IL.E.M", says: "Handover of", reads: "handed:IL.E.M hip:IL.E.M"},
	{route: "GET " + student + "/lessons/new", may: "IL....", says: "Open a lesson", reads: "hip:IL...."},
	{route: "POST " + student + "/lessons", may: "IL....", send: "day=2027-01-14&way=outriggers"},
	{route: "GET " + student + "/lessons/{lesson}", may: "IL....", says: "Correct the handover", reads: "handed:IL.... hip:IL...."},
	{route: "POST " + student + "/lessons/{lesson}", may: "IL...."},
	{route: "GET /incidents", may: "ILSETM", says: "Incidents and near misses|Gear out of use", reads: "incident:.L...M"},
	{route: "GET /incidents/new", may: "ILSETM", says: "Write an incident down"},
	{route: "POST /incidents", may: "ILSETM", send: "kind=near_miss&what=x"},
	{route: "GET /incidents/csv", may: ".L...M", reads: "incident:.L...M"},
	{route: "GET /incidents/{incident}", may: ".L...M", says: "Incident", reads: "incident:.L...M witness:.L...M"},
	{route: "GET /incidents/{incident}/text", may: ".L...M", reads: "incident:.L...M witness:.L...M"},
	{route: "GET /incidents/{incident}/correct", may: ".L...M", says: "Correct an incident", reads: "incident:.L...M"},
	{route: "POST /incidents/{incident}", may: ".L...M", send: "kind=incident&what=x"},
	{route: "GET /incidents/{incident}/statement", may: "ILSETM", says: "Your statement"},
	{route: "POST /incidents/{incident}/statements", may: "ILSETM", send: "statement=x"},
	{route: "POST /quarantine", may: ".L.E..", send: "tag=OG-12&reason=x"},

	{route: "GET " + student + "/season", may: "IL.E.M", says: "Season|lesson", reads: "hip:IL.E.M"},
	{route: "GET " + student + "/season/pdf", may: "IL.E.M"},
	{route: "GET " + student + "/family", may: "IL.E.M", says: "Page for the family|Nothing of health", reads: "goal:IL.E.M hip:IL.E.M"},
	{route: "GET " + student + "/family/pdf", may: "IL.E.M", reads: "goal:IL.E.M"},
	{route: "GET " + student + "/lessons/ics", may: "IL.E.M"},
	{route: "GET " + student + "/alike", may: ".L....", says: "Others like this", reads: "hip:.L...."},
	{route: "GET /report", may: ".L....", says: "Season report"},
	{route: "GET /report/pdf", may: ".L...."},
	{route: "GET /report/{table}/csv", may: ".L....", reads: "handed:.L...."},
	{route: "GET /report/ics", may: ".L...."},

	// Notes and the record.
	{route: "GET " + student + "/notes", may: "IL.E.M", says: "Notes", reads: "work:IL.E.M medical:.L...M hip:IL.E.M"},
	{route: "POST " + student + "/notes", may: "IL.E..", send: "class=work&about=lesson&text=x"},
	{route: "GET " + student + "/notes/{note}", may: "IL.E.M", says: "Correct a note", reads: "work:IL.E.M hip:IL.E.M"},
	{route: "POST " + student + "/notes/{note}", may: "IL.E..", send: "class=work&about=lesson&text=x"},
	{route: "GET " + student + "/record", may: "IL.E.M", says: "Record", reads: "handed:IL.E.M goal:IL.E.M work:IL.E.M medical:.L...M reason:.L...M hip:IL.E.M hill:IL.E.M"},
	{route: "GET " + student + "/facts/{fact}/correct", may: "IL....", says: "Correct a finding", reads: "goal:IL.... hip:IL...."},
	{route: "POST " + student + "/facts/{fact}/correct", may: "IL...."},
	{route: "GET " + student + "/facts/{fact}/retract", may: "IL.E.M", says: "Take out of the record", reads: "goal:IL.E.M hip:IL.E.M"},
	{route: "POST " + student + "/facts/{fact}/retract", may: "IL....", send: "reason=misheard"},
	{route: "GET /readings", may: ".L...M", says: "Reading log|Edda"},

	// The hill, and a student on it.
	{route: "GET /hill", may: "ILSETM", says: "Hill|Lower Larch|Larch chair"},
	{route: "GET /hill/slopes/{slope}", may: "ILSETM", says: "Lower Larch|Cautions"},
	{route: "GET /hill/slopes/{slope}/change", may: "IL....", says: "Change Lower Larch"},
	{route: "POST /hill/slopes/{slope}", may: "IL...."},
	{route: "GET /hill/lifts/{lift}", may: "ILSETM", says: "Larch chair|Cautions"},
	{route: "GET /hill/lifts/{lift}/change", may: "IL....", says: "Change Larch chair"},
	{route: "POST /hill/lifts/{lift}", may: "IL...."},
	{route: "GET /hill/day", may: "ILS...", says: "Conditions of Thu 14 Jan 2027"},
	{route: "POST /hill/day", may: "ILS..."},
	{route: "GET /hill/slopes/{slope}/glides", may: "ILS...", says: "Time glides on Lower Larch"},
	{route: "POST /hill/slopes/{slope}/glides", may: "ILS..."},
	{route: "GET /hill/glides/{glides}", may: "ILS...", says: "Correct timed glides"},
	{route: "POST /hill/glides/{glides}", may: "ILS..."},
	{route: "POST /hill/glides/{glides}/back", may: "ILS..."},
	{route: "GET " + student + "/slope", may: "IL.E.M", says: "Slope|Cautions", reads: "hip:IL.E.M"},
	{route: "GET " + student + "/slope/choose", may: "IL....", says: "Where Edda skis", reads: "hip:IL.... hill:IL...."},
	{route: "POST " + student + "/slope", may: "IL...."},
	{route: "GET " + student + "/slope/stops", may: "IL....", says: "Measured stops", reads: "hip:IL...."},
	{route: "POST " + student + "/slope/stops", may: "IL...."},
	{route: "GET " + student + "/lift", may: "IL.E.M", says: "Request card for lift staff|Cautions", reads: "hip:IL.E.M"},
	{route: "GET " + student + "/lift/times", may: "IL....", says: "Time Edda for Larch chair", reads: "hip:IL...."},
	{route: "POST " + student + "/lift/times", may: "IL...."},
	{route: "GET " + student + "/cold", may: "IL.E.M", says: "Cold and effort|Cautions", reads: "hip:IL.E.M"},
	{route: "GET " + student + "/plan", may: "IL.E.M", says: "Lesson plan|Cautions", reads: "hip:IL.E.M goal:IL.E.M"},
	{route: "GET " + student + "/effort", may: "IL....", says: "effort is known", reads: "hip:IL...."},
	{route: "POST " + student + "/effort", may: "IL...."},

	// What the lead answers for.
	{route: "GET " + student + "/assigned", may: ".L....", says: "Who reads medical details|Staff instructor", reads: "hip:.L...."},
	{route: "POST " + student + "/assigned", may: ".L...."},
	{route: "GET " + student + "/export", may: ".L....", says: "digest", reads: "handed:.L.... incident:.L.... witness:.L.... hip:.L.... surname:.L.... birth:.L.... guardian:.L.... phone:.L.... goal:.L.... work:.L.... medical:.L.... reason:.L.... clearer:.L.... paper:.L.... sheet:.L.... boot:.L.... hill:.L...."},
	{route: "GET " + student + "/forget", may: ".L....", says: "Forget Edda|Download the copy", reads: "hip:.L...."},
	{route: "POST " + student + "/forget", may: ".L...."},
	{route: "GET /retention", may: ".L....", says: "How long records are kept|Edda"},

	// The programme. Rules and settings are the same for everybody and name no
	// student: two of the planted words are theirs.
	{route: "GET /settings", may: "ILSETM", says: "Settings", reads: "hip:ILSETM"},
	{route: "GET /settings/{name}", may: ".L....", says: "Sign off a number"},
	{route: "POST /settings/{name}", may: ".L...."},
	{route: "GET /rules", may: "ILSETM", says: "Rules", reads: "hip:ILSETM tie:ILSETM"},
	{route: "GET /staff", may: "ILSETM", says: "Staff|Staff instructor"},
	{route: "GET /staff/{staff}", may: ".L....", says: "Staff instructor"},
	{route: "POST /staff/{staff}", may: ".L...."},
	{route: "POST /staff/{staff}/invite", may: ".L...."},

	// Phones. The files of the phone's page hold nobody's data, and a phone must
	// be told that its sign-in ended or that it was revoked.
	{route: "GET /phones", may: "IL....", says: "Phones|Edda"},
	{route: "POST /phones/day", may: "IL...."},
	{route: "POST /phones/{phone}/revoke", may: "IL...."},
	{route: "POST /phone/exchange", may: "open"},
	{route: "GET /phone/{file...}", may: "open", says: "Firnhand"},
	{route: "GET /staff/{staff}/sign-ins", may: ".L....", says: "Sign-ins of Staff instructor"},
	{route: "POST /staff/{staff}/sign-ins", may: ".L....", says: ""},
}
