package scenarios

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// Bounds on a file. They keep a hostile or broken file from costing more than a
// second or so; the largest file of a real truck is a thousandth of them.
const (
	maxFileBytes  = 1 << 20 // 1 MiB
	maxFileTokens = 30_000  // words and punctuation; the parser is quadratic on some shapes
	maxDepth      = 32      // mappings and lists within each other
	maxKeyLength  = 100     // characters
)

// parseFile reads the text of a file into nodes. Every error is a Problems.
func parseFile(name string, data []byte) (root *Node, err error) {
	report := &Report{}
	defer func() {
		if broken := recover(); broken != nil { // the YAML library, on malformed text
			root, err = nil, Problems{{Pos: Pos{name, 1, 1}, Message: "the file is not readable as YAML"}}
		}
	}()
	text, problem := checkText(name, data)
	if problem != nil {
		return nil, Problems{problem}
	}
	tokens := lexer.Tokenize(text)
	if problem := checkTokens(name, tokens); problem != nil {
		return nil, Problems{problem}
	}
	file, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		return nil, Problems{syntaxProblem(name, err)}
	}
	if len(file.Docs) != 1 || file.Docs[0].Body == nil {
		return nil, Problems{{Pos: Pos{name, 1, 1}, Message: "the file is empty"}}
	}
	c := converter{file: name, report: report}
	root = c.node(file.Docs[0].Body, 0)
	if err := report.Err(); err != nil {
		return nil, err
	}
	return root, nil
}

// checkText refuses what is no text: too large, not UTF-8, control characters.
func checkText(name string, data []byte) (string, *Problem) {
	if len(data) > maxFileBytes {
		return "", &Problem{Pos{name, 1, 1}, "the file is larger than 1 MiB", ""}
	}
	text := lineEnds.Replace(strings.TrimPrefix(string(data), "\ufeff"))
	line, column := 1, 1
	for i, r := range text {
		if r == utf8.RuneError {
			if _, size := utf8.DecodeRuneInString(text[i:]); size <= 1 {
				return "", &Problem{Pos{name, line, column}, "the file is not UTF-8 text", "save it with the encoding UTF-8"}
			}
		}
		if r < ' ' && r != '\n' && r != '\t' || r == 0x7f || r == '\ufeff' {
			return "", &Problem{Pos{name, line, column}, fmt.Sprintf("invisible character %U in the text", r), "delete it"}
		}
		column++
		if r == '\n' {
			line, column = line+1, 1
		}
	}
	if countMarks(text) > 2*maxFileTokens {
		return "", tooMany(Pos{name, 1, 1})
	}
	return text, nil
}

func tooMany(pos Pos) *Problem {
	return &Problem{pos, fmt.Sprintf("the file has more than %d words and signs", maxFileTokens), ""}
}

// countMarks is about the number of tokens that a text will become: marks of
// YAML and beginnings of lines, less what stands in comments. It is taken before
// the text is split, since the library splits all of it at once.
func countMarks(text string) int {
	count := 0
	comment := false
	previous := '\n'
	for _, r := range text {
		switch {
		case r == '\n':
			comment = false
		case comment:
		case r == '#' && (previous == ' ' || previous == '\t' || previous == '\n'):
			comment = true
			count++
		case previous == '\n' || strings.ContainsRune("[]{},:?&*!%|>'\"", r) || r == ' ' && previous == '-':
			count++
		}
		previous = r
	}
	return count
}

// lineEnds makes all line ends alike; the YAML library miscounts lines otherwise.
var lineEnds = strings.NewReplacer("\r\n", "\n", "\r", "\n")

// refusedTokens are the parts of YAML that files here do not use. They make a
// file mean more than it shows.
var refusedTokens = map[token.Type][2]string{
	token.AnchorType:      {"anchors (&name) are not used here", "common values belong under \"from:\" or \"each bay:\"; quote a text that begins with &"},
	token.AliasType:       {"aliases (*name) are not used here", "common values belong under \"from:\" or \"each bay:\"; quote a text that begins with *"},
	token.TagType:         {"tags (!name) are not used here", "quote a text that begins with !"},
	token.MergeKeyType:    {"merge keys (<<) are not used here", "name another file with \"from:\""},
	token.MappingKeyType:  {"keys written with ? are not used here", "write \"key: value\""},
	token.DirectiveType:   {"directives (%) are not used here", "write a percentage as number and sign: 80 %"},
	token.DocumentEndType: {"only one document a file", "delete the line \"...\""},
}

// checkTokens refuses unused parts of YAML, and shapes that the parser would
// take too long or too deep for.
func checkTokens(name string, tokens token.Tokens) *Problem {
	var columns []int // of the block mappings and lists around a token
	flow := 0
	for i, tk := range tokens {
		if tk.Type == token.InvalidType {
			return &Problem{tokenPos(name, tk), plainSyntax(tk.Error), syntaxHint(tk.Error)}
		}
		if i == maxFileTokens {
			return tooMany(tokenPos(name, tk))
		}
		if refused, ok := refusedTokens[tk.Type]; ok {
			return &Problem{tokenPos(name, tk), refused[0], refused[1]}
		}
		switch tk.Type {
		case token.DocumentHeaderType:
			if i > 0 {
				return &Problem{tokenPos(name, tk), "only one document a file", "split the file at the line \"---\""}
			}
		case token.MappingStartType, token.SequenceStartType:
			flow++
		case token.MappingEndType, token.SequenceEndType:
			flow = max(flow-1, 0)
		case token.SequenceEntryType:
			columns = nest(columns, tk.Position.Column)
		case token.MappingValueType:
			if i > 0 && flow == 0 {
				columns = nest(columns, tokens[i-1].Position.Column)
			}
		}
		if flow+len(columns) > 2*maxDepth {
			return tooDeep(tokenPos(name, tk))
		}
	}
	return nil
}

// nest closes the blocks that begin right of or at column and opens one there.
func nest(columns []int, column int) []int {
	for len(columns) > 0 && columns[len(columns)-1] >= column {
		columns = columns[:len(columns)-1]
	}
	return append(columns, column)
}

func tooDeep(pos Pos) *Problem {
	return &Problem{pos, fmt.Sprintf("mappings and lists lie within each other more than %d deep", maxDepth), ""}
}

func tokenPos(name string, tk *token.Token) Pos {
	if tk == nil || tk.Position == nil {
		return Pos{name, 1, 1}
	}
	return Pos{name, tk.Position.Line, tk.Position.Column}
}

// syntaxProblem words an error of the YAML parser for a person.
func syntaxProblem(name string, err error) *Problem {
	var syntax yaml.Error
	if !errors.As(err, &syntax) {
		first, _, _ := strings.Cut(err.Error(), "\n")
		return &Problem{Pos{name, 1, 1}, plainSyntax(first), ""}
	}
	message := syntax.GetMessage()
	return &Problem{tokenPos(name, syntax.GetToken()), plainSyntax(message), syntaxHint(message)}
}

// plainSyntax replaces the library's words where they are hard to understand.
func plainSyntax(message string) string {
	switch {
	case strings.Contains(message, "mapping value is not allowed"):
		return "a second \":\" on one line"
	case tabbed(message):
		return "a tab is used for indentation"
	case strings.Contains(message, "value is not allowed in this context"):
		return "this does not fit what stands above it"
	case strings.Contains(message, "block sequence entries are not allowed"):
		return "a list may not begin on the line of its key"
	case strings.Contains(message, "non-map value is specified"):
		return "a key with \":\" is expected"
	case strings.Contains(message, "end token ']'"), strings.Contains(message, "']' must be specified"):
		return "a list in [ ] is not closed"
	case strings.Contains(message, "end token '}'"), strings.Contains(message, "flow map content"), strings.Contains(message, "'}' must be specified"):
		return "a mapping in { } is not closed"
	case strings.Contains(message, "could not find end character"):
		return "the text that begins here has no closing quote"
	case strings.Contains(message, "unexpected key name"), strings.Contains(message, "invalid key"):
		return "no plain key stands before this \":\""
	}
	return strings.TrimSuffix(message, ".")
}

// tabbed reports whether the library complains about a tab.
func tabbed(message string) bool {
	return strings.Contains(message, "tab character") || strings.Contains(message, "\t")
}

// syntaxHint says what to check for the commonest slips.
func syntaxHint(message string) string {
	switch {
	case strings.Contains(message, "mapping value is not allowed"):
		return "quote a text that holds \": \", or put the second key on a line of its own"
	case tabbed(message):
		return "indent with spaces"
	case strings.Contains(message, "value is not allowed in this context"), strings.Contains(message, "non-map value is specified"):
		return "check the indentation, the brackets, and the space after \":\""
	case strings.Contains(message, "block sequence entries are not allowed"):
		return "put \"- item\" on the next line, or write [item, item]"
	}
	return ""
}

// A converter turns the library's tree into nodes, checking keys on the way.
type converter struct {
	file   string
	report *Report
}

func (c *converter) node(n ast.Node, depth int) *Node {
	if depth > maxDepth {
		c.report.add(tooDeep(tokenPos(c.file, n.GetToken())))
		return &Node{Kind: Empty}
	}
	switch n := n.(type) {
	case *ast.MappingNode:
		return c.mapping(tokenPos(c.file, n.Start), n.Values, depth)
	case *ast.MappingValueNode:
		return c.mapping(tokenPos(c.file, n.Key.GetToken()), []*ast.MappingValueNode{n}, depth)
	case *ast.SequenceNode:
		list := &Node{Kind: List, Pos: tokenPos(c.file, n.Start)}
		for _, item := range n.Values {
			list.Items = append(list.Items, c.node(item, depth+1))
		}
		return list
	case *ast.NullNode:
		return &Node{Kind: Empty, Pos: tokenPos(c.file, n.Token)}
	case *ast.LiteralNode:
		return &Node{Kind: Scalar, Text: n.Value.Value, Pos: tokenPos(c.file, n.Start)}
	case *ast.StringNode, *ast.BoolNode, *ast.IntegerNode, *ast.FloatNode, *ast.InfinityNode, *ast.NanNode:
		return &Node{Kind: Scalar, Text: n.GetToken().Value, Pos: tokenPos(c.file, n.GetToken())}
	}
	c.report.Add(tokenPos(c.file, n.GetToken()), "this part of YAML is not used here", "write plain keys, values and lists")
	return &Node{Kind: Empty, Pos: tokenPos(c.file, n.GetToken())}
}

func (c *converter) mapping(pos Pos, values []*ast.MappingValueNode, depth int) *Node {
	mapping := &Node{Kind: Mapping, Pos: pos}
	first := map[string]Pos{}
	for i, value := range values {
		key, keyPos, ok := c.key(value.Key)
		if !ok {
			continue
		}
		if i == 0 && pos.Line == keyPos.Line && pos.Column > keyPos.Column {
			mapping.Pos = keyPos // a block mapping begins at its first key, not at the ":"
		}
		if before, twice := first[key]; twice {
			c.report.Add(keyPos, fmt.Sprintf("key %s stands twice, first in line %d", quoted(key), before.Line), "delete one of the two")
			continue
		}
		first[key] = keyPos
		child := c.node(value.Value, depth+1)
		if child.Kind == Empty {
			child.Pos = keyPos
		}
		mapping.Pairs = append(mapping.Pairs, Pair{key, keyPos, child})
	}
	mapping.Pairs = slices.Clip(mapping.Pairs)
	return mapping
}

// key reads a key: one plain line of text.
func (c *converter) key(n ast.MapKeyNode) (key string, pos Pos, ok bool) {
	tk := n.GetToken()
	pos = tokenPos(c.file, tk)
	switch n.(type) {
	case *ast.StringNode, *ast.BoolNode, *ast.IntegerNode, *ast.FloatNode, *ast.NullNode:
		key = tk.Value
	default:
		c.report.Add(pos, "this is no key", "a key is a word or a few words before a \":\"")
		return "", pos, false
	}
	if key == "" || utf8.RuneCountInString(key) > maxKeyLength || strings.ContainsAny(key, "\n\r") {
		c.report.Add(pos, "a key must be one line of 1 to 100 characters", "")
		return "", pos, false
	}
	return key, pos, true
}
