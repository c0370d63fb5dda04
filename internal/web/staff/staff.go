// Package staff shows who works in the programme and in which roles. The lead
// adds people, changes their roles, and gives them the code with which they
// join.
package staff

import (
	"embed"
	"net/http"
	"slices"
	"time"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Handle("GET /staff", programme.ReadIdentity, list)
	k.Handle("GET /staff/{staff}", programme.ManageStaff, show)
	k.Handle("POST /staff/{staff}", programme.ManageStaff, save)
	k.Handle("POST /staff/{staff}/invite", programme.ManageStaff, invite)
	k.Handle("GET /staff/{staff}/sign-ins", programme.ManageStaff, signIns)
	k.Handle("POST /staff/{staff}/sign-ins", programme.ManageStaff, endSignIns)
}

type listBody struct {
	Staff []programme.StaffState
	May   bool
	New   programme.ID
	Me    programme.ID
}

func list(v *page.Visit) error {
	all, err := v.Kit.Cases.Staff(v.R.Context(), v.Actor, v.R.URL.Query().Get("ended") != "")
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "staff", page.View{Title: "Staff", Body: listBody{all, v.Actor.May(programme.ManageStaff), v.NewID(), v.Actor.Staff}})
}

type formBody struct {
	ID   programme.ID
	Form page.Form
	Fact programme.ID
	New  bool
	Name string
}

func form() page.Form {
	roles := &page.Field{Kind: "ticks", Name: "roles", Label: "Roles", Hint: "One person may hold several."}
	does := map[programme.Role]string{programme.Instructor: "Meets, evaluates, makes cards.", programme.Lead: "Everything an instructor does; staff, settings, written clearances.",
		programme.Scheduler: "Students, guardians and consents; no findings.", programme.EquipmentLead: "Findings and holds, to prepare gear; no contact details.",
		programme.Technician: "Names only, for binding requests.", programme.MedicalReviewer: "Holds, clearances and medical notes."}
	for _, r := range programme.Roles {
		roles.Options = append(roles.Options, page.Option{Value: string(r), Label: upper(r.Label()), Hint: does[r]})
	}
	return page.Form{
		{Kind: "text", Name: "name_used", Label: "Name used"},
		{Kind: "text", Name: "full_name", Label: "Full name", Hint: "May stay empty."},
		roles,
		{Kind: "tick", Name: "ended", Label: "No longer with the programme"},
	}
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return string(s[0]-'a'+'A') + s[1:]
}

// known returns the member of staff in the address.
func known(v *page.Visit) (programme.StaffState, bool, error) {
	id := programme.ID(v.R.PathValue("staff"))
	if err := id.Check(); err != nil {
		return programme.StaffState{}, false, programme.Refuse(programme.CodeNotFound, "There is no such member of staff.")
	}
	all, err := v.Kit.Cases.Staff(v.R.Context(), v.Actor, true)
	if err != nil {
		return programme.StaffState{}, false, err
	}
	i := slices.IndexFunc(all, func(s programme.StaffState) bool { return s.Staff == id })
	if i < 0 {
		return programme.StaffState{}, false, nil
	}
	return all[i], true, nil
}

func show(v *page.Visit) error {
	s, old, err := known(v)
	if err != nil {
		return err
	}
	f := form()
	if old {
		f.Get("name_used").Value, f.Get("full_name").Value = s.NameUsed, s.FullName
		if s.Ended {
			f.Get("ended").Value = "yes"
		}
		tick(f.Get("roles"), s.Roles)
	}
	return v.Render(http.StatusOK, "staff-form", page.View{Title: "Member of staff", Body: formBody{programme.ID(v.R.PathValue("staff")), f, v.NewID(), !old, s.NameUsed}})
}

func tick(f *page.Field, roles []programme.Role) {
	for i := range f.Options {
		f.Options[i].On = slices.Contains(roles, programme.Role(f.Options[i].Value))
	}
}

func save(v *page.Visit) error {
	s, old, err := known(v)
	if err != nil {
		return err
	}
	var problems page.Problems
	d := programme.StaffDetails{Staff: programme.ID(v.R.PathValue("staff")), NameUsed: v.Typed("name_used"), FullName: v.Typed("full_name"), Ended: v.Ticked("ended")}
	for _, r := range v.R.PostForm["roles"] {
		d.Roles = append(d.Roles, programme.Role(r))
	}
	if d.NameUsed == "" {
		problems.Add("name_used", "Write the name used.")
	}
	if len(d.Roles) == 0 {
		problems.Add("roles", "Tick at least one role.")
	}
	if len(problems) == 0 {
		_, err := v.Kit.Cases.PutStaff(v.R.Context(), v.Actor, programme.Made{ID: v.FormID("fact")}, d)
		if err == nil {
			return v.Go("/staff", "staff")
		}
		if c := programme.CodeOf(err); c != programme.CodeInvalid && c != programme.CodeConflict {
			return err
		}
		problems.Add("roles", programme.SentenceOf(err))
	}
	f := form().Fill(v, problems)
	tick(f.Get("roles"), d.Roles)
	return v.Render(http.StatusUnprocessableEntity, "staff-form", page.View{Title: "Member of staff", Problems: problems, Body: formBody{d.Staff, f, v.FormID("fact"), !old, s.NameUsed}})
}

// invite makes the code with which a person joins and shows it once.
func invite(v *page.Visit) error {
	s, old, err := known(v)
	if err != nil {
		return err
	}
	if !old || s.Ended {
		return programme.Refuse(programme.CodeNotFound, "There is no such member of staff.")
	}
	code, ends, err := v.Kit.SignIn.Invite(v.R.Context(), v.Actor, s.Staff)
	if err != nil {
		return err
	}
	return v.Render(http.StatusOK, "invite", page.View{Title: "Code to join", Body: struct {
		Name, Code string
		Ends       time.Time
	}{s.NameUsed, code, ends}})
}
