// Command sources writes SOURCES.md: every figure the program knows, where it
// comes from, who uses it and what checks it; and the list of measures in
// NOMENCLATURE.md.
//
// What is used where is found by reading the tree: a Go file that imports
// core/source uses a figure or a table when it names its id, any Go file cites
// one in a source comment, and a rule table cites the works of its bases.
package main

import (
	"fmt"
	"os"
)

// The files this command writes, wholly and in part.
const (
	sourcesFile      = "SOURCES.md"
	nomenclatureFile = "NOMENCLATURE.md"
)

func main() {
	if err := write(); err != nil {
		fmt.Fprintln(os.Stderr, "sources:", err)
		os.Exit(1)
	}
}

func write() error {
	text, err := document(".")
	if err != nil {
		return err
	}
	if err := os.WriteFile(sourcesFile, []byte(text), 0o644); err != nil {
		return err
	}
	old, err := os.ReadFile(nomenclatureFile)
	if err != nil {
		return err
	}
	if text, err = measures(string(old)); err != nil {
		return err
	}
	return os.WriteFile(nomenclatureFile, []byte(text), 0o644)
}
