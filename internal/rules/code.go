package rules

import (
	"go/ast"
	"go/token"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"firnhand/core/source"
)

// Documented finds packages without a package comment, and exported things
// without a comment in the packages others build on.
func Documented(t *Tree) []Problem {
	var found []Problem
	first := map[string]File{}
	has := map[string]bool{}
	for _, f := range t.goFiles(func(f File) bool { return !f.Test() }) {
		key := f.Dir()
		if _, ok := first[key]; !ok {
			first[key] = f
		}
		start := "Package " + f.Go.Name.Name + " "
		if f.Go.Name.Name == "main" {
			start = "Command "
		}
		if f.Go.Doc != nil && strings.HasPrefix(f.Go.Doc.Text(), start) {
			has[key] = true
		}
		if f.Go.Name.Name != "main" && !f.Generated() {
			found = append(found, t.undocumented(f)...)
		}
	}
	for dir, f := range first {
		if !has[dir] {
			found = append(found, Problem{f.Dir(), "the package needs a comment that begins with its name and says what it is for"})
		}
	}
	slices.SortFunc(found, func(a, b Problem) int { return strings.Compare(a.Where, b.Where) })
	return found
}

// undocumented finds exported declarations without a comment. A comment on a
// group, or at the end of the line in a group, serves.
func (t *Tree) undocumented(f File) []Problem {
	var found []Problem
	missing := func(n ast.Node, name string) {
		found = append(found, Problem{t.at(n), "exported " + name + " needs a comment"})
	}
	for _, d := range f.Go.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			if d.Name.IsExported() && d.Doc == nil && exportedReceiver(d) {
				missing(d, d.Name.Name)
			}
		case *ast.GenDecl:
			for _, spec := range d.Specs {
				switch s := spec.(type) {
				case *ast.TypeSpec:
					if s.Name.IsExported() && s.Doc == nil && d.Doc == nil {
						missing(s, s.Name.Name)
					}
				case *ast.ValueSpec:
					for _, name := range s.Names {
						if name.IsExported() && s.Doc == nil && s.Comment == nil && d.Doc == nil {
							missing(s, name.Name)
						}
					}
				}
			}
		}
	}
	return found
}

// exportedReceiver tells whether a function is one, or a method of an exported
// type.
func exportedReceiver(d *ast.FuncDecl) bool {
	if d.Recv == nil || len(d.Recv.List) == 0 {
		return true
	}
	exported := false
	ast.Inspect(d.Recv.List[0].Type, func(n ast.Node) bool {
		if id, ok := n.(*ast.Ident); ok && !exported {
			exported = id.IsExported()
			return false
		}
		return true
	})
	return exported
}

// mapFile is the map of the house, and mapLine a line of it.
const mapFile = "ARCHITECTURE.md"

var mapLine = regexp.MustCompile("(?m)^\\| `([a-z0-9/_]+(?:/\\.\\.\\.)?)` \\|")

// Mapped finds packages that do not stand in the map of the house, and lines
// of the map that name no package. A line that ends in /... stands for every
// package below that folder that has no line of its own.
func Mapped(t *Tree) []Problem {
	var text string
	for _, f := range t.Files {
		if f.Path == mapFile {
			text = f.Text
		}
	}
	var mapped, real []string
	for _, m := range mapLine.FindAllStringSubmatch(text, -1) {
		mapped = append(mapped, m[1])
	}
	for _, f := range t.goFiles(func(f File) bool { return !f.Test() }) {
		if !slices.Contains(real, f.Dir()) {
			real = append(real, f.Dir())
		}
	}
	var found []Problem
	covers := func(line, dir string) bool {
		above, all := strings.CutSuffix(line, "/...")
		return line == dir || all && within(dir, above)
	}
	for _, dir := range real {
		if !slices.ContainsFunc(mapped, func(line string) bool { return covers(line, dir) }) {
			found = append(found, Problem{dir, "the package needs its line in " + mapFile})
		}
	}
	for i, dir := range mapped {
		if slices.Contains(mapped[:i], dir) {
			found = append(found, Problem{mapFile, dir + " has two lines"})
		}
		if !slices.ContainsFunc(real, func(r string) bool { return covers(dir, r) }) {
			found = append(found, Problem{mapFile, dir + " is not a package of this tree"})
		}
	}
	return found
}

// srcComment is how code names the source of a figure.
var srcComment = regexp.MustCompile(`// src: ([A-Za-z0-9_, ]+)`)

// Cited finds source comments whose ids do not exist.
func Cited(t *Tree) []Problem {
	var found []Problem
	for _, f := range t.goFiles(func(f File) bool { return !f.In("internal/rules") }) {
		for _, group := range f.Go.Comments {
			for _, c := range group.List {
				m := srcComment.FindStringSubmatch(c.Text)
				if m == nil {
					continue
				}
				for id := range strings.SplitSeq(m[1], ",") {
					if id = strings.TrimSpace(id); !source.Known(id) {
						found = append(found, Problem{t.at(c), "cites " + strconv.Quote(id) + ", which core/source does not know"})
					}
				}
			}
		}
	}
	return found
}

// Sourced finds floating-point numbers in the core that say neither where
// they come from nor that they are exact. Figures belong in core/source; the
// few that stay in code (a definition, a guard against rounding) say so on
// their line or the line above.
func Sourced(t *Tree) []Problem {
	var found []Problem
	for _, f := range t.goFiles(func(f File) bool { return f.In("core") && !f.Test() }) {
		said := map[int]bool{}
		for _, group := range f.Go.Comments {
			for _, c := range group.List {
				if strings.Contains(c.Text, "// src: ") || strings.Contains(c.Text, "// exact") {
					said[t.line(c)] = true
				}
			}
		}
		ast.Inspect(f.Go, func(n ast.Node) bool {
			lit, ok := n.(*ast.BasicLit)
			if !ok || lit.Kind != token.FLOAT || plain(lit.Value) {
				return true
			}
			if line := t.line(lit); !said[line] && !said[line-1] {
				found = append(found, Problem{t.at(lit), lit.Value + " needs its source: a figure of core/source, or // src: ID or // exact beside it"})
			}
			return true
		})
	}
	return found
}

// plain tells whether a number carries no knowledge: 0, 1, 2, a half, a power
// of ten.
func plain(text string) bool {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return false
	}
	if v == 0 || v == 2 || v == 0.5 {
		return true
	}
	digits := strings.Trim(strconv.FormatFloat(v, 'f', -1, 64), "0.")
	return digits == "1"
}

// sqlBuilt lists the files that may put SQL together from parts, and why.
var sqlBuilt = map[string]string{}

// sqlStart is how a statement begins, sqlClause how a clause does. Words of
// ordinary sentences ("Select a student") are neither.
var (
	sqlStart = regexp.MustCompile(`^\s*SELECT\s|(?i)^\s*(SELECT\s.*\sFROM\s|INSERT\s+(OR\s+\w+\s+)?INTO\s|REPLACE\s+INTO\s|UPDATE\s.*\sSET\s|DELETE\s+FROM\s|` +
		`(CREATE|ALTER|DROP)\s+(TEMP\s+|UNIQUE\s+|VIRTUAL\s+)?(TABLE|INDEX|VIEW|TRIGGER)\s|PRAGMA\s|ATTACH\s+DATABASE\s)`)
	sqlClause = regexp.MustCompile(`^\s*(WHERE|AND|OR|ORDER BY|GROUP BY|VALUES|SET|FROM|LIMIT|JOIN|HAVING)\s`)
)

// Parameters finds SQL that is put together from parts, where a value could
// slip in as a command.
func Parameters(t *Tree) []Problem {
	var found []Problem
	say := func(n ast.Node) {
		found = append(found, Problem{t.at(n), "SQL is written whole, with parameters, never put together from parts"})
	}
	for _, f := range t.goFiles(func(f File) bool { return !f.Test() && sqlBuilt[f.Path] == "" }) {
		ast.Inspect(f.Go, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.BinaryExpr:
				if n.Op == token.ADD && mixesSQL(n) {
					say(n)
					return false
				}
			case *ast.AssignStmt:
				if n.Tok == token.ADD_ASSIGN && isSQL(n.Rhs[0], sqlStart, sqlClause) {
					say(n)
				}
			case *ast.CallExpr:
				if (formats(n) || writesString(n)) && slices.ContainsFunc(n.Args, func(a ast.Expr) bool { return isSQL(a, sqlStart) }) {
					say(n)
				}
			}
			return true
		})
	}
	return found
}

// mixesSQL tells whether a sum of strings has SQL in one part and anything but
// a literal in another.
func mixesSQL(sum *ast.BinaryExpr) bool {
	sql, other := false, false
	var walk func(ast.Expr)
	walk = func(e ast.Expr) {
		switch e := e.(type) {
		case *ast.BinaryExpr:
			walk(e.X)
			walk(e.Y)
		case *ast.ParenExpr:
			walk(e.X)
		case *ast.BasicLit:
			sql = sql || isSQL(e, sqlStart, sqlClause)
		default:
			other = true
		}
	}
	walk(sum)
	return sql && other
}

func isSQL(e ast.Expr, forms ...*regexp.Regexp) bool {
	lit, ok := e.(*ast.BasicLit)
	if !ok || lit.Kind != token.STRING {
		return false
	}
	text, err := strconv.Unquote(lit.Value)
	return err == nil && slices.ContainsFunc(forms, func(re *regexp.Regexp) bool { return re.MatchString(text) })
}

// formats tells whether a call puts values into a text.
func formats(call *ast.CallExpr) bool {
	sel, ok := call.Fun.(*ast.SelectorExpr)
	if !ok {
		return false
	}
	from, ok := sel.X.(*ast.Ident)
	return ok && from.Name == "fmt" && slices.Contains([]string{"Sprintf", "Fprintf", "Appendf", "Sprint", "Fprint"}, sel.Sel.Name)
}

// writesString tells whether a call adds to a text being built.
func writesString(call *ast.CallExpr) bool {
	sel, ok := call.Fun.(*ast.SelectorExpr)
	return ok && sel.Sel.Name == "WriteString"
}

// Timeless finds code that asks the machine for the time instead of a clock
// it was handed. Tests, and the tools that run tests, may.
func Timeless(t *Tree) []Problem {
	var found []Problem
	for _, f := range t.goFiles(func(f File) bool {
		return !f.Test() && !f.In("internal/clock") && !f.In("tools") && !f.In("e2e")
	}) {
		ast.Inspect(f.Go, func(n ast.Node) bool {
			sel, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			from, ok := sel.X.(*ast.Ident)
			if ok && from.Name == "time" && slices.Contains([]string{"Now", "Since", "Until"}, sel.Sel.Name) {
				found = append(found, Problem{t.at(sel), "time comes in through a clock; only internal/clock asks for time." + sel.Sel.Name})
			}
			return true
		})
	}
	return found
}
