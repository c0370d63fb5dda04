// Command goldens prints every check of a computed figure against a published
// one, with what this build of the core gets: the same program compiled for
// another machine must print the same.
package main

import (
	"fmt"
	"os"

	"firnhand/internal/verify"
)

func main() {
	for _, c := range verify.All() {
		r, err := c.Judge()
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		fmt.Printf("%s\t%v\t%.12e\t%s\n", c.ID, r.Pass, c.Got, c.GotWord)
	}
}
