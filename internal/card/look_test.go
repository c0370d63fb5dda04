package card_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"firnhand/internal/card"
)

var lookDir = flag.String("look", "", "write the fixture cards as PDF and SVG into this directory, to be looked at")

// TestLook writes the fixtures for a person to look at; without -look it only
// checks that they can be made.
func TestLook(t *testing.T) {
	for name, c := range fixtures() {
		var pdf, svg, text bytes.Buffer
		if err := card.PDF(&pdf, c); err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if err := card.SVG(&svg, c); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if err := card.Text(&text, c); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if *lookDir != "" {
			if err := os.WriteFile(filepath.Join(*lookDir, name+".txt"), text.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(*lookDir, name+".pdf"), pdf.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(*lookDir, name+".svg"), svg.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}
