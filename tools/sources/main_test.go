package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"firnhand/core/source"
)

const root = "../.."

func TestSourcesFileIsCurrent(t *testing.T) {
	want, err := document(root)
	if err != nil {
		t.Fatal(err)
	}
	got, err := os.ReadFile(filepath.Join(root, sourcesFile))
	if err != nil || string(got) != want {
		t.Fatalf("SOURCES.md is not what the tree says now: run make generate (%v)", err)
	}
	for _, d := range source.All() {
		if !strings.Contains(want, "| `"+d.ID+"` |") {
			t.Errorf("figure %s is missing", d.ID)
		}
	}
}

func TestNomenclatureIsCurrent(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(root, nomenclatureFile))
	if err != nil {
		t.Fatal(err)
	}
	want, err := measures(string(text))
	if err != nil || want != string(text) {
		t.Fatalf("the measures in NOMENCLATURE.md are not those of core/finding: run make generate (%v)", err)
	}
	if !strings.Contains(want, "| `height_cm` |") {
		t.Error("stature is missing from the measures")
	}
	if _, err := measures("# Nomenclature\n"); err == nil {
		t.Error("a file without the marked lines must be reported")
	}
}

// A small tree with one user, one test, one check and one rule table.
func TestSurvey(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"core/fit/a.go":          "package fit\n\nconst a = 1.5 // src: inch, S31\n",
		"core/fit/b.go":          "package fit\n\nimport \"firnhand/core/source\"\n\nvar b = source.Value(\"foot\")\n",
		"core/fit/a_test.go":     "package fit\n\nimport \"firnhand/core/source\"\n\nvar _ = source.Value(\"foot\")\n",
		"internal/verify/fit.go": "package verify\n\nimport \"firnhand/core/source\"\n\nvar _ = source.Table(\"friction\")\n",
		"core/body/a.go":         "package body\n\nvar part = \"foot\"\n",
		"core/source/a.go":       "package source\n\nvar _ = \"foot\"\n",
		"core/decide/t.rules": "# bases\ntable t\nsetting wait_months = 3 months, 0 to 24\n  means How long.\n  basis S13 P\n" +
			"rule D1\n  then x\n  basis S13\n",
	} {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	u, settings, err := survey(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what string
		got  []string
		want []string
	}{
		{"inch used", u.code["inch"], []string{"core/fit"}},
		{"S31 cited", u.code["S31"], []string{"core/fit"}},
		{"foot used", u.code["foot"], []string{"core/fit"}},
		{"foot checked", u.checks["foot"], []string{"core/fit"}},
		{"friction checked", u.checks["friction"], []string{"internal/verify"}},
		{"friction used", u.code["friction"], nil},
		{"S13 basis", u.bases["S13"], []string{"t wait_months", "t D1"}},
		{"P basis", u.bases["P"], []string{"t wait_months"}},
	} {
		if !slices.Equal(c.got, c.want) {
			t.Errorf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
	if len(settings) != 1 || settings[0].name != "wait_months" || settings[0].value != "3 months, 0 to 24" || settings[0].means != "How long." {
		t.Errorf("settings %+v", settings)
	}
	if _, err := document(filepath.Join(dir, "nowhere")); err == nil {
		t.Error("a tree that is not there must be reported")
	}
}
