package hill

import (
	"io/fs"
	"strings"
)

// Size is one file of the page as it goes over the network.
type Size struct {
	Name   string
	Raw    int
	Gzip   int // Raw where compressing makes it no smaller
	Brotli int
	// First tells that the page needs it for its first load; the engine comes
	// later, and nothing waits for it.
	First bool
}

// Sizes lists the files of the page.
func Sizes() ([]Size, error) {
	var out []Size
	files := Files()
	names, err := fs.Glob(files, "*")
	if err != nil {
		return nil, err
	}
	for _, n := range names {
		if strings.HasSuffix(n, ".gz") || strings.HasSuffix(n, ".br") || n == "fonts-licence.txt" {
			continue
		}
		size := func(name string, otherwise int) int {
			if i, err := fs.Stat(files, name); err == nil {
				return int(i.Size())
			}
			return otherwise
		}
		raw := size(n, 0)
		out = append(out, Size{n, raw, size(n+".gz", raw), size(n+".br", raw), !strings.HasPrefix(n, "engine")})
	}
	return out, nil
}

// The most that may go over the network, in bytes.
const (
	MostFirst  = 150_000   // compressed, without the engine
	MostEngine = 1_000_000 // compressed with Brotli, as browsers are sent it over TLS
)
