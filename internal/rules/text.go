package rules

import (
	"go/ast"
	"go/token"
	"net/url"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// longest is the most lines a hand-written file may have.
const longest = 800

// data are the endings of files that hold data, not code, and may be long.
var data = []string{".rules", ".yaml", ".toml"}

// Short finds files too long to read in one go.
func Short(t *Tree) []Problem {
	var found []Problem
	for _, f := range t.Files {
		if f.Generated() || slices.Contains(data, path.Ext(f.Path)) {
			continue
		}
		if n := strings.Count(f.Text, "\n"); n > longest {
			found = append(found, Problem{f.Path, strconv.Itoa(n) + " lines; no file is longer than " + strconv.Itoa(longest)})
		}
	}
	return found
}

// banned are the words that do not belong in this tree, each with the reason.
// They are written shifted by thirteen letters, so that this list does not
// contain them.
var banned = map[string]string{
	`(?-v:\o(GBQB|SVKZR|KKK)\o)`: "what is left to do does not wait in code",
	`fubhyq or svar|ubcrshyyl`:   "say what is known",
	`fbzrubj`:                    "say how",
	`yberz vcfhz`:                "examples are invented, not filler",
	`frrq qbphzrag|nf na NV`:     "the tree explains itself",
	`ynathntr zbqry|pungobg`:     "the tree explains itself",
	`\o(yyz|tcg|pbqrk)\o`:        "the tree explains itself",
	`pynhqr|naguebcvp|bcranv`:    "the tree explains itself",
	`pbcvybg`:                    "the tree explains itself",
	`vffhr #?[0-9]`:              "a comment gives the reason itself",
	`jurrypunve.obhaq`:           "plain words about people: uses a wheelchair",
	`fhssref sebz`:               "plain words about people: has",
	`unaqvpnccrq|pevccyr`:        "plain words about people",
}

// wordLists are the files that must name such words to refuse them, and why.
var wordLists = map[string]string{
	"internal/card/words.go": "refuses these words on a card",
}

// Words finds what does not belong in the tree, in any hand-written file.
func Words(t *Tree) []Problem {
	bans := map[*regexp.Regexp]string{}
	var any []string
	for shifted, why := range banned {
		bans[regexp.MustCompile(`(?i)`+shift(shifted))] = why
		any = append(any, shift(shifted))
	}
	suspect := regexp.MustCompile(`(?i)` + strings.Join(any, "|"))
	var found []Problem
	for _, f := range t.Files {
		if wordLists[f.Path] != "" || !suspect.MatchString(f.Text) {
			continue
		}
		n := 0
		for line := range strings.Lines(f.Text) {
			n++
			for re, why := range bans {
				if m := re.FindString(line); m != "" {
					found = append(found, Problem{f.Path + ":" + strconv.Itoa(n), strconv.Quote(m) + " does not belong here: " + why})
				}
			}
		}
	}
	return found
}

// shift turns letters by thirteen places and leaves everything else.
func shift(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case 'a' <= r && r <= 'z':
			return 'a' + (r-'a'+13)%26
		case 'A' <= r && r <= 'Z':
			return 'A' + (r-'A'+13)%26
		}
		return r
	}, s)
}

// hosts are the addresses that may stand in what the program is made of, and
// why. Nothing on a page or a card is fetched from anywhere else.
var hosts = map[string]string{
	"www.w3.org":  "names of XML spaces; nothing is fetched",
	"127.0.0.1":   "loopback",
	"localhost":   "loopback",
	"::1":         "loopback",
	"example.org": "reserved for examples",
}

var address = regexp.MustCompile(`\bhttps?://[^\s"'<>)` + "`" + `]+`)

// Hosts finds addresses of other machines in what the program is made of:
// the text of Go code, and pages, scripts and styles whole. Comments in Go and
// documents may point to a source.
func Hosts(t *Tree) []Problem {
	var found []Problem
	check := func(where, text string) {
		for _, a := range address.FindAllString(text, -1) {
			if strings.ContainsAny(a, "%${") {
				continue // filled in when the program runs
			}
			if u, err := url.Parse(a); err != nil || hosts[u.Hostname()] == "" {
				found = append(found, Problem{where, a + " points to another machine, and pages and cards fetch nothing from outside"})
			}
		}
	}
	for _, f := range t.Files {
		switch {
		case f.Test() || path.Ext(f.Path) == ".md":
		case f.Go != nil:
			ast.Inspect(f.Go, func(n ast.Node) bool {
				if lit, ok := n.(*ast.BasicLit); ok && lit.Kind == token.STRING {
					check(t.at(lit), lit.Value)
				}
				return true
			})
		default:
			check(f.Path, f.Text)
		}
	}
	return found
}
