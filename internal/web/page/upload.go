package page

import (
	"errors"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"net/url"

	"firnhand/programme"
)

// File is a file that came with a form.
type File struct {
	Name string // as it was called there
	Data []byte
	// TooBig tells that it was larger than the route takes: Data is then empty.
	TooBig bool
}

// Bounds on a form with a file, in bytes. What is beyond a file's own bound is
// read to its end and thrown away, so that the sender hears why; beyond the
// last one the connection ends.
const (
	fieldMost  = 64 << 10
	fieldsMost = 200
	drainMost  = 1 << 30
)

// HandleUpload adds a route whose form may bring files of at most most bytes
// each; they are kept in memory, and [Visit.File] returns them.
func (k *Kit) HandleUpload(pattern string, needs programme.Action, most int64, do func(*Visit) error) {
	k.uploads[pattern] = true
	k.route(Route{Pattern: pattern, Needs: needs}, func(w http.ResponseWriter, r *http.Request) {
		v := k.visit(w, r)
		broken := v.takeForm(most)
		if err := k.enter(v, needs); err != nil {
			v.Fail(err)
			return
		}
		if broken != nil {
			v.Fail(programme.Fail(programme.CodeInvalid, broken, "The form did not arrive whole. Nothing was saved: send it again."))
			return
		}
		if err := do(v); err != nil {
			v.Fail(err)
		}
	})
}

// takesFiles tells whether a request goes to a route that takes files and
// brings a form with some.
func (k *Kit) takesFiles(r *http.Request) bool {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || kind != "multipart/form-data" || r.Method != http.MethodPost {
		return false
	}
	_, pattern := k.mux.Handler(r)
	return k.uploads[pattern]
}

// takeForm reads a form with files. Other forms are left to net/http.
func (v *Visit) takeForm(most int64) error {
	if !v.Kit.takesFiles(v.R) {
		return nil
	}
	v.R.PostForm, v.files = url.Values{}, map[string]File{}
	v.R.Form = v.R.URL.Query()
	parts, err := v.R.MultipartReader()
	if err != nil {
		return err
	}
	for n := 0; ; n++ {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err == nil && n == fieldsMost {
			err = errors.New("too many parts")
		}
		if err == nil {
			err = v.takePart(part, most)
		}
		if err != nil {
			return err
		}
	}
}

func (v *Visit) takePart(part *multipart.Part, most int64) error {
	if part.FileName() == "" {
		most = fieldMost
	}
	data, err := io.ReadAll(io.LimitReader(part, most+1))
	if err != nil {
		return err
	}
	tooBig := int64(len(data)) > most
	if tooBig {
		if _, err := io.Copy(io.Discard, part); err != nil {
			return err
		}
		data = nil
	}
	name := part.FormName()
	switch {
	case part.FileName() != "":
		v.files[name] = File{part.FileName(), data, tooBig}
	case tooBig:
		return errors.New("a field is too long")
	default:
		v.R.PostForm.Add(name, string(data))
		v.R.Form.Add(name, string(data))
	}
	return nil
}

// File returns a file that came with the form; ok is false where none was
// chosen.
func (v *Visit) File(name string) (f File, ok bool) {
	f, ok = v.files[name]
	return f, ok && f.Name != ""
}
