package cli

import (
	"firnhand/core/decide"
)

// settingView is one number of the programme.
type settingView struct {
	Name        string   `json:"name"`
	Value       float64  `json:"value"`
	Unit        string   `json:"unit"`
	Low         float64  `json:"low"`
	High        float64  `json:"high"`
	Means       string   `json:"means"`
	Basis       []string `json:"basis"`
	Proposed    bool     `json:"proposed"` // wants the signature of a working lead
	SignedOffBy *string  `json:"signed_off_by"`
	SignedOffOn *string  `json:"signed_off_on"`
}

// signature is who signed a setting off, and when.
type signature struct{ by, on string }

// settings lists the numbers of a table with who signed each off; nobody where
// signed has no entry.
func settings(t *decide.Table, signed map[string]signature) []settingView {
	out := []settingView{}
	for _, s := range t.Settings() {
		v := settingView{Name: s.Name, Value: s.Value, Unit: s.Unit, Low: s.Min, High: s.Max, Means: s.Means, Basis: s.Basis, Proposed: s.Proposed}
		if sig, ok := signed[s.Name]; ok {
			v.SignedOffBy, v.SignedOffOn = &sig.by, &sig.on
		}
		out = append(out, v)
	}
	return out
}
