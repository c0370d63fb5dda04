// Command hill makes the files of the page for a phone.
//
//	hill page     bundles internal/hill/src into internal/hill/dist
//	hill engine   compiles the engine for the page into internal/hill/dist
//
// It runs from the root of the tree, or from internal/hill.
package main

import (
	"fmt"
	"os"

	"firnhand/internal/hill/bundle"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: hill page | engine")
		os.Exit(2)
	}
	root := "."
	if _, err := os.Stat("internal/hill"); err != nil {
		root = "../.."
	}
	var err error
	switch os.Args[1] {
	case "page":
		err = bundle.Page(root)
	case "engine":
		err = bundle.Engine(root)
	default:
		err = fmt.Errorf("there is no %q", os.Args[1])
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "hill:", err)
		os.Exit(1)
	}
}
