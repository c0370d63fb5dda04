package person

import (
	"bytes"
	"errors"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// node is one value of a file: words, a map or a list. Exactly one of the
// three is meant; words may be empty.
type node struct {
	line  int
	kind  kind
	words string
	pairs []pair
	items []*node
}

type kind uint8

const (
	isWords kind = iota
	isMap
	isList
)

type pair struct {
	key   string
	line  int
	value *node
}

func only(code string, line int, sentence string) Problems {
	return Problems{{Code: code, Sentence: sentence, Line: line}}
}

// parse turns text into nodes. Everything of YAML that a person file has no
// use for (anchors, tags, several documents, maps as keys) is refused.
func parse(data []byte) (root *node, err error) {
	switch {
	case len(data) > MaxBytes:
		return nil, only("too_big", 0, "The file is larger than 1 MB; a person's file has a few pages at most. Nothing was read.")
	case !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0:
		return nil, only("not_text", 0, "The file is not readable text (UTF-8).")
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	text = strings.ReplaceAll(text, "\r\n", "\n")
	if err := shallow(text); err != nil {
		return nil, err
	}
	defer func() {
		// The YAML library is not ours to trust with every odd text.
		if p := recover(); p != nil {
			root, err = nil, only("not_yaml", 0, "The file cannot be read as YAML.")
		}
	}()
	tokens := lexer.Tokenize(text)
	if err := plain(tokens); err != nil {
		return nil, err
	}
	file, perr := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if perr != nil {
		return nil, syntax(perr)
	}
	var docs []ast.Node
	for _, d := range file.Docs {
		if d.Body != nil {
			docs = append(docs, d.Body)
		}
	}
	switch len(docs) {
	case 0:
		return nil, only("empty", 0, "The file is empty.")
	case 1:
		b := builder{}
		root := b.node(docs[0], 0)
		if len(b.problems) > 0 {
			return nil, b.problems
		}
		return root, nil
	}
	return nil, only("not_yaml", docs[1].GetToken().Position.Line, "One file holds one person; a second document begins here.")
}

// shallow refuses texts that nest deeper than any evaluation, before the YAML
// library follows them down.
func shallow(text string) error {
	depth, line := 0, 1
	for _, c := range text {
		switch c {
		case '[', '{':
			depth++
		case ']', '}':
			depth = max(0, depth-1)
		case '\n':
			line++
		}
		if depth > 4*maxDepth {
			return only("not_yaml", line, "The brackets here are nested too deep for a person's file.")
		}
	}
	line = 0
	for s := range strings.Lines(text) {
		line++
		if len(s)-len(strings.TrimLeft(s, " \t")) > 200 {
			return only("not_yaml", line, "This line is indented too deep for a person's file.")
		}
		if dashes := strings.TrimLeft(s, "-? \t"); strings.Count(s[:len(s)-len(dashes)], "-")+strings.Count(s[:len(s)-len(dashes)], "?") > maxDepth {
			return only("not_yaml", line, "Lists are not put inside lists in a person's file.")
		}
	}
	return nil
}

// plain refuses the signs of YAML that a person file has no use for.
func plain(tokens token.Tokens) error {
	if len(tokens) > maxTokens {
		return only("too_big", 0, "The file has more words than any evaluation. Nothing was read.")
	}
	for _, t := range tokens {
		what := ""
		switch t.Type {
		case token.AnchorType, token.AliasType:
			what = "Anchors and references (& and *)"
		case token.TagType:
			what = "Tags (!)"
		case token.MergeKeyType:
			what = "Merges (<<)"
		case token.MappingKeyType:
			what = "Keys with ?"
		case token.DirectiveType:
			what = "Directives (%)"
		default:
			continue
		}
		return only("not_yaml", t.Position.Line, what+" are not read in a person's file: write the value out, in quotes where it begins with a sign.")
	}
	return nil
}

// syntax turns the library's error into one of ours.
func syntax(err error) error {
	var e yaml.Error
	if !errors.As(err, &e) {
		return only("not_yaml", 0, "The file cannot be read as YAML.")
	}
	line := 0
	if t := e.GetToken(); t != nil && t.Position != nil {
		line = t.Position.Line
	}
	return only("not_yaml", line, "This is not written as YAML: "+clip(strings.TrimSpace(e.GetMessage()), 120)+".")
}

type builder struct{ problems Problems }

func (b *builder) refuse(line int, sentence string) *node {
	if len(b.problems) < maxProblems {
		b.problems = append(b.problems, Problem{"not_yaml", sentence, line})
	}
	return &node{line: line}
}

func (b *builder) node(n ast.Node, depth int) *node {
	line := 0
	if t := n.GetToken(); t != nil {
		line = t.Position.Line
	}
	if depth > maxDepth {
		return b.refuse(line, "Maps are nested too deep here.")
	}
	switch n := n.(type) {
	case *ast.MappingNode:
		return b.pairs(line, n.Values, depth)
	case *ast.MappingValueNode:
		return b.pairs(line, []*ast.MappingValueNode{n}, depth)
	case *ast.SequenceNode:
		out := &node{line: line, kind: isList}
		for _, v := range n.Values {
			out.items = append(out.items, b.node(v, depth+1))
		}
		return out
	case *ast.StringNode:
		return &node{line: line, words: strings.TrimSpace(n.Value)}
	case *ast.LiteralNode:
		return &node{line: line, words: strings.TrimSpace(n.Value.Value)}
	case *ast.NullNode:
		return &node{line: line, words: ""}
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		return &node{line: line, words: strings.TrimSpace(n.GetToken().Value)}
	}
	return b.refuse(line, "This part of YAML is not read in a person's file.")
}

func (b *builder) pairs(line int, values []*ast.MappingValueNode, depth int) *node {
	out := &node{line: line, kind: isMap}
	at := map[string]int{}
	for _, v := range values {
		t := v.Key.GetToken()
		key := strings.TrimSpace(t.Value)
		if s, ok := v.Key.(*ast.StringNode); ok {
			key = strings.TrimSpace(s.Value)
		}
		if first, twice := at[key]; twice {
			b.problems = append(b.problems, Problem{"duplicate_key", quote(key) + " stands here twice; the first time on line " + itoa(first) + ".", t.Position.Line})
			continue
		}
		at[key] = t.Position.Line
		if v.Value == nil {
			out.pairs = append(out.pairs, pair{key, t.Position.Line, &node{line: t.Position.Line}})
			continue
		}
		out.pairs = append(out.pairs, pair{key, t.Position.Line, b.node(v.Value, depth+1)})
	}
	if len(out.pairs) > 0 {
		out.line = out.pairs[0].line
	}
	return out
}
