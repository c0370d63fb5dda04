// Package rules holds the house's own rules as code: which room may know
// which, what the core may not touch, what must be written beside a figure.
//
// A rule is a function from a [Tree] to the places where it is broken. Its
// tests run every rule over this repository, and prove on a small invented
// tree that the rule can fail.
package rules

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"
)

// Module is the name of the module, the first part of every import path of
// the house.
const Module = "firnhand"

// File is one text file of the tree.
type File struct {
	Path string // slash-separated, from the root
	Text string
	Go   *ast.File // nil where it is no Go file
}

// Tree is the source tree a rule looks at.
type Tree struct {
	Files []File
	fset  *token.FileSet
}

// Problem is one place where a rule is broken.
type Problem struct {
	Where string // path, and line where there is one
	What  string // the rule and the reason for it, in a sentence
}

// String returns "where: what".
func (p Problem) String() string { return p.Where + ": " + p.What }

// Folders that hold nothing the house wrote, or that Go itself passes over.
var passedOver = []string{".git", ".cache", "bin", "dist", "node_modules", "out", "testdata"}

// Endings of the files that are written by hand, so that rules on length and
// words apply to them.
var written = []string{".go", ".ts", ".js", ".mjs", ".css", ".html", ".tmpl", ".md", ".sh", ".sql", ".yaml", ".toml", ".rules"}

// Load reads every hand-written file below the root of fsys.
func Load(fsys fs.FS) (*Tree, error) {
	t := &Tree{fset: token.NewFileSet()}
	err := fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if slices.Contains(passedOver, d.Name()) {
				return fs.SkipDir
			}
			return nil
		}
		if !slices.Contains(written, path.Ext(name)) && path.Base(name) != "Makefile" {
			return nil
		}
		text, err := fs.ReadFile(fsys, name)
		if err != nil {
			return err
		}
		f := File{Path: name, Text: string(text)}
		if path.Ext(name) == ".go" {
			f.Go, err = parser.ParseFile(t.fset, name, text, parser.ParseComments)
			if err != nil {
				return fmt.Errorf("%s does not parse: %w", name, err)
			}
		}
		t.Files = append(t.Files, f)
		return nil
	})
	if err != nil {
		return nil, err
	}
	return t, nil
}

// Dir returns the folder of the file, "." for the root.
func (f File) Dir() string { return path.Dir(f.Path) }

// Test tells whether the file is compiled only for tests.
func (f File) Test() bool { return strings.HasSuffix(f.Path, "_test.go") }

// Generated tells whether a program wrote the file, by the line Go asks for.
func (f File) Generated() bool {
	if f.Go != nil {
		return ast.IsGenerated(f.Go)
	}
	head, _, _ := strings.Cut(f.Text, "\n")
	return strings.Contains(head, "DO NOT EDIT")
}

// In tells whether the file lies in a folder or below it.
func (f File) In(dir string) bool { return within(f.Dir(), dir) }

func within(p, dir string) bool { return p == dir || strings.HasPrefix(p, dir+"/") }

// goFiles returns the Go files for which keep is true.
func (t *Tree) goFiles(keep func(File) bool) []File {
	var files []File
	for _, f := range t.Files {
		if f.Go != nil && keep(f) {
			files = append(files, f)
		}
	}
	return files
}

// at names the place of a node.
func (t *Tree) at(n ast.Node) string {
	p := t.fset.Position(n.Pos())
	return p.Filename + ":" + strconv.Itoa(p.Line)
}

func (t *Tree) line(n ast.Node) int { return t.fset.Position(n.Pos()).Line }

// imports calls visit with each import of each file.
func (t *Tree) imports(files []File, visit func(f File, spec *ast.ImportSpec, imported string)) {
	for _, f := range files {
		for _, spec := range f.Go.Imports {
			if p, err := strconv.Unquote(spec.Path.Value); err == nil {
				visit(f, spec, p)
			}
		}
	}
}

// own turns an import path of the house into a folder; ok is false for others.
func own(imported string) (dir string, ok bool) {
	if imported == Module {
		return ".", true
	}
	return strings.CutPrefix(imported, Module+"/")
}
