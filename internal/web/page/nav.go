package page

import "firnhand/programme"

// Link is a page that the navigation leads to.
type Link struct {
	Here  string           // what View.Here says on that page; the address itself for pages of the programme
	Label string           //
	Path  string           // below /students/{student}, or from the root
	Needs programme.Action // "" where being signed in is enough
}

// LinkGroup is a few pages that belong together.
type LinkGroup struct {
	Name  string
	Links []Link
}

// studentPages are the pages of one student, in the order of the work.
var studentPages = []LinkGroup{
	{"Today", []Link{
		{"read", "30-second read", "", ""},
		{"today", "Today's questions", "/intake/today", programme.Evaluate},
		{"card", "Card", "/card", programme.IssueCardAct},
		{"progress", "Progress", "/progress", programme.ReadWork},
		{"handover", "Handover", "/handover", programme.ReadWork},
	}},
	{"Evaluate", []Link{
		{"intake", "Intake", "/intake", programme.Evaluate},
		{"evaluation", "Evaluation", "/evaluation", programme.Evaluate},
		{"answer", "Answer", "/answer", programme.ReadWork},
	}},
	{"Gear", []Link{
		{"set-up", "Set-up", "/set-up", programme.ReadWork},
		{"measures", "Measures", "/measures", programme.ReadWork},
		{"stance", "Stance", "/stance", programme.ReadWork},
		{"binding", "Binding", "/binding", programme.ReadBinding},
	}},
	{"Hill", []Link{
		{"slope", "Slope", "/slope", programme.ReadWork},
		{"lift", "Lift", "/lift", programme.ReadWork},
		{"cold", "Cold and effort", "/cold", programme.ReadWork},
		{"plan", "Lesson plan", "/plan", programme.ReadWork},
	}},
	{"Papers", []Link{
		{"holds", "Holds", "/holds", programme.ReadHold},
		{"consents", "Consents", "/consents", ""},
		{"details", "Details", "/details", ""},
		{"assigned", "Who reads medical details", "/assigned", programme.Assign},
		{"forget", "Copy and forget", "/forget", programme.Forget},
	}},
	{"Record", []Link{
		{"season", "Season", "/season", programme.ReadWork},
		{"family", "Page for the family", "/family", programme.ReadWork},
		{"alike", "Others like this", "/alike", programme.ReadReports},
		{"notes", "Notes", "/notes", programme.ReadWork},
		{"record", "Record", "/record", programme.ReadWork},
	}},
}

// programmePages are the pages of the programme as a whole.
var programmePages = []Link{
	{"/students", "Students", "/students", ""},
	{"/hill", "Hill", "/hill", programme.ReadHill},
	{"/bindings", "Bindings", "/bindings", programme.ReadBinding},
	{"/incidents", "Incidents", "/incidents", programme.WriteIncident},
	{"/report", "Report", "/report", programme.ReadReports},
	{"/phones", "Phones", "/phones", programme.LogSnow},
	{"/rules", "Rules", "/rules", ""},
	{"/settings", "Settings", "/settings", ""},
	{"/staff", "Staff", "/staff", ""},
}

// studentPagesFor returns the pages of a student that somebody may open.
func studentPagesFor(a programme.Actor) []LinkGroup {
	var out []LinkGroup
	for _, g := range studentPages {
		if links := mayOpen(a, g.Links); len(links) > 0 {
			out = append(out, LinkGroup{g.Name, links})
		}
	}
	return out
}

// programmePagesFor returns the pages of the programme that somebody may open.
func programmePagesFor(a programme.Actor) []Link { return mayOpen(a, programmePages) }

func mayOpen(a programme.Actor, links []Link) []Link {
	var out []Link
	for _, l := range links {
		if l.Needs == "" || a.May(l.Needs) {
			out = append(out, l)
		}
	}
	return out
}
