// Package hill holds the page that works on a phone with no signal: script in
// src, bundled into dist, and the engine as WebAssembly beside it where it was
// built. It serves nothing itself.
package hill

import (
	"embed"
	"io/fs"
)

//go:generate go run firnhand/tools/hill page

//go:embed all:dist
var dist embed.FS

// Files returns the files of the page, each as it is, and compressed beside it
// as NAME.gz (RFC 1952) and NAME.br (RFC 7932) where that is smaller.
func Files() fs.FS {
	sub, err := fs.Sub(dist, "dist")
	if err != nil {
		panic(err) // a test excludes it
	}
	return sub
}
