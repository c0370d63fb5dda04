package main

import (
	"go/ast"
	"go/token"
	"os"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"firnhand/core/source"
	"firnhand/internal/rules"
)

// uses says where each id of core/source is named.
type uses struct {
	code   map[string][]string // id -> packages that compute with it
	checks map[string][]string // id -> packages whose tests or checks read it
	bases  map[string][]string // mark -> rules and settings that stand on it
}

// setting is one number of a rule table.
type setting struct {
	table, name, value, means string
	basis                     []string
}

// survey reads the tree.
func survey(root string) (uses, []setting, error) {
	u := uses{map[string][]string{}, map[string][]string{}, map[string][]string{}}
	tree, err := rules.Load(os.DirFS(root))
	if err != nil {
		return uses{}, nil, err
	}
	ids := map[string]bool{}
	for _, d := range source.All() {
		ids[d.ID] = true
	}
	for _, s := range source.Tables() {
		ids[s.Name] = true
	}
	var settings []setting
	for _, f := range tree.Files {
		switch {
		case f.In("core/source") || f.In("tools"):
			// The list itself, its own tests, and this command use nothing.
		case f.Go != nil:
			u.readGo(f, ids)
		case path.Ext(f.Path) == ".rules":
			settings = append(settings, u.readRules(f)...)
		}
	}
	return u, settings, nil
}

var srcComment = regexp.MustCompile(`// src: ([A-Za-z0-9_, ]+)`)

func (u uses) readGo(f rules.File, ids map[string]bool) {
	note := func(id string) {
		into := u.code
		if f.Test() || f.In("internal/verify") {
			into = u.checks
		}
		if !slices.Contains(into[id], f.Dir()) {
			into[id] = append(into[id], f.Dir())
		}
	}
	reads := slices.ContainsFunc(f.Go.Imports, func(i *ast.ImportSpec) bool { return i.Path.Value == `"firnhand/core/source"` })
	ast.Inspect(f.Go, func(n ast.Node) bool {
		if !reads {
			return false
		}
		if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
			if text, err := strconv.Unquote(lit.Value); err == nil && ids[text] {
				note(text)
			}
		}
		return true
	})
	for _, group := range f.Go.Comments {
		for _, c := range group.List {
			if m := srcComment.FindStringSubmatch(c.Text); m != nil {
				for id := range strings.SplitSeq(m[1], ",") {
					note(strings.TrimSpace(id))
				}
			}
		}
	}
}

// readRules notes the basis of every rule and setting of a rule table, and
// returns its settings.
func (u uses) readRules(f rules.File) []setting {
	table := strings.TrimSuffix(path.Base(f.Path), ".rules")
	var settings []setting
	kind, name := "", ""
	for line := range strings.Lines(f.Text) {
		word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		if line[0] != ' ' && line[0] != '\t' {
			kind, name = word, rest
			if kind == "setting" {
				id, value, _ := strings.Cut(rest, " = ")
				name = id
				settings = append(settings, setting{table: table, name: id, value: value})
			}
			continue
		}
		switch word {
		case "means":
			if kind == "setting" {
				settings[len(settings)-1].means = rest
			}
		case "basis":
			for mark := range strings.FieldsSeq(rest) {
				u.bases[mark] = append(u.bases[mark], table+" "+name)
			}
			if kind == "setting" {
				settings[len(settings)-1].basis = strings.Fields(rest)
			}
		}
	}
	return settings
}
