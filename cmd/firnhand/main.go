// Command firnhand is the working tool of an adaptive ski instructor and the
// small programme around them.
package main

import (
	"os"

	"firnhand/internal/cli"
)

// version is set when a release is built.
var version = "unversioned"

func main() { os.Exit(cli.Main(version)) }
