// Package binding holds the pages of the request to a certified binding
// technician: what is asked, with every reason why the usual table may not
// apply, and what the technician recorded. No page of it shows a setting before
// a technician recorded one.
package binding

import (
	"embed"

	"firnhand/internal/web/page"
	"firnhand/programme"
)

//go:embed *.html *.css
var files embed.FS

// Add adds the pages.
func Add(k *page.Kit) {
	k.Templates(files)
	k.Static(files, ".")
	const at = "/students/{student}/binding"
	k.Handle("GET /bindings", programme.ReadBinding, waiting)
	k.Handle("GET "+at, programme.ReadBinding, show)
	k.Handle("GET "+at+"/ask", programme.RequestBinding, showAsk)
	k.Handle("POST "+at, programme.RequestBinding, ask)
	k.Handle("GET "+at+"/{request}", programme.ReadBinding, showRequest)
	k.Handle("GET "+at+"/{request}/pdf", programme.ReadBinding, pdf)
	k.Handle("GET "+at+"/{request}/test", programme.RecordBinding, showTest)
	k.Handle("POST "+at+"/{request}/test", programme.RecordBinding, test)
}

func address(r programme.Record) string { return "/students/" + string(r.Student) + "/binding" }

// waiting lists the requests that no technician has answered.
func waiting(v *page.Visit) error {
	list, err := v.Kit.Cases.WaitingBindings(v.R.Context(), v.Actor)
	if err != nil {
		return err
	}
	names, err := v.StaffNames()
	if err != nil {
		return err
	}
	return v.Render(200, "bindings", page.View{Title: "Requests to the binding technician", Body: struct {
		Waiting []programme.WaitingBinding
		Names   map[programme.ID]string
	}{list, names}})
}
