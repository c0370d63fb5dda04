// Command sources writes SOURCES.md: every figure the program knows, where it
// comes from, who uses it and what checks it.
//
// What is used where is found by reading the tree: a Go file that imports
// core/source uses a figure or a table when it names its id, any Go file cites
// one in a source comment, and a rule table cites the works of its bases.
package main

import (
	"fmt"
	"os"
)

func main() {
	text, err := document(".")
	if err != nil {
		fmt.Fprintln(os.Stderr, "sources:", err)
		os.Exit(1)
	}
	fmt.Print(text)
}
