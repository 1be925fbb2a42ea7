// Package strict reads YAML that people write, by one description that also gives its
// JSON Schema: a Go struct whose tags say what may stand in a field. It finds all faults
// at once, each with its line and column, and suggests the word that was meant.
//
// Tags of a field:
//
//	yaml:"seconds"                  its name
//	doc:"time to answer, s"         what it is, for the schema and for messages
//	want:"required; 5..600"         must be there; a number from 5 to 600
//	want:"of lessons"               a word of the list that Words gives under this name
//	want:"end|strip"                one of these words
//	want:"like [a-z-]+"             text that this expression matches as a whole
//	items:"1..4"                    so many items of a list or entries of a map
//	keys:"of lessons"               what the keys of a map are
//	one:"when"                      exactly one of the fields with this word must be there
//
// Fields are structs, pointers to structs, lists, maps with text as keys, text, whole
// numbers, numbers, true or false. For lists and maps want speaks of their items. Anchors,
// aliases and tags are refused: nobody needs them here. Start with Read and Schema.
package strict

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"telltrace/synth/near"
)

// A Fault is one thing that is wrong in a file.
type Fault struct {
	File         string
	Line, Column int // from 1
	What         string
}

// String is FILE:LINE:COLUMN: WHAT.
func (f Fault) String() string { return fmt.Sprintf("%s:%d:%d: %s", f.File, f.Line, f.Column, f.What) }

// Faults are all that is wrong, as an error: a line each.
type Faults []Fault

// Error is a line a fault.
func (f Faults) Error() string {
	lines := make([]string, len(f))
	for i, one := range f {
		lines[i] = one.String()
	}
	return strings.Join(lines, "\n")
}

// Words are the lists that "of NAME" speaks of.
type Words map[string][]string

// most is the size of the largest file that is read, bytes; deepest how far it may nest.
const (
	most    = 1 << 20
	deepest = 32
)

// A Document knows where things stand in a file that was read.
type Document struct {
	file string
	root ast.Node
}

// Read reads text into the struct that into points to. The faults are in the order of the
// file; with any of them the struct holds what could be read.
func Read(file string, text []byte, into any, words Words) (*Document, Faults) {
	d := &Document{file: file}
	r := &reader{file: file, words: words}
	switch {
	case len(text) > most:
		return d, Faults{{file, 1, 1, fmt.Sprintf("%d bytes are too many; at most %d", len(text), most)}}
	case !utf8.Valid(text):
		return d, Faults{{file, 1, 1, "this is not plain UTF-8 text"}}
	case nested(text) > 4*deepest:
		return d, Faults{{file, 1, 1, "brackets are nested too deeply"}}
	}
	parsed, err := parser.ParseBytes(text, 0)
	if err != nil {
		var at yaml.Error
		if errors.As(err, &at) && at.GetToken() != nil {
			r.add(at.GetToken(), "%s", at.GetMessage())
		} else {
			r.faults = append(r.faults, Fault{file, 1, 1, err.Error()})
		}
		return d, r.faults
	}
	var bodies []ast.Node
	for _, doc := range parsed.Docs {
		if doc.Body != nil {
			bodies = append(bodies, doc.Body)
		}
	}
	switch len(bodies) {
	case 0:
		return d, Faults{{file, 1, 1, "the file is empty"}}
	case 1:
	default:
		r.add(start(bodies[1]), "a second document begins here; one file holds one")
		return d, r.faults
	}
	d.root = bodies[0]
	r.value(d.root, reflect.ValueOf(into).Elem(), rule{}, rule{}, rule{}, "the file", 0)
	slices.SortStableFunc(r.faults, func(a, b Fault) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
	return d, r.faults
}

// nested is how deep brackets nest at most, quotes or not: enough to refuse what is made to
// exhaust a parser.
func nested(text []byte) (deep int) {
	now := 0
	for _, b := range text {
		switch b {
		case '[', '{':
			now++
		case ']', '}':
			now--
		}
		deep = max(deep, now)
	}
	return deep
}

// Fault is a fault at a place: names of fields and keys (text) and places in lists (int, from
// 0). Where the place does not exist it is as near as there is something.
func (d *Document) Fault(what string, path ...any) Fault {
	node := d.root
	var at *token.Token
	if node != nil {
		at = start(node)
	}
	for _, step := range path {
		var next ast.Node
		switch step := step.(type) {
		case string:
			for _, v := range pairs(node) {
				if keyOf(v) == step {
					next, at = v.Value, v.Key.GetToken()
				}
			}
		case int:
			if s, ok := node.(*ast.SequenceNode); ok && step < len(s.Values) {
				next = s.Values[step]
				at = start(next)
			}
		}
		if next == nil {
			break
		}
		node = next
	}
	f := Fault{File: d.file, Line: 1, Column: 1, What: what}
	if at != nil && at.Position != nil {
		f.Line, f.Column = at.Position.Line, at.Position.Column
	}
	return f
}

// pairs are the entries of a mapping.
func pairs(n ast.Node) []*ast.MappingValueNode {
	switch n := n.(type) {
	case *ast.MappingNode:
		return n.Values
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{n}
	default:
		return nil
	}
}

// start is the first token of a node: that of its first key for a mapping.
func start(n ast.Node) *token.Token {
	if p := pairs(n); len(p) > 0 {
		return p[0].Key.GetToken()
	}
	return n.GetToken()
}

func keyOf(v *ast.MappingValueNode) string {
	if s, ok := v.Key.(*ast.StringNode); ok {
		return s.Value
	}
	return v.Key.String()
}

// A rule is what a want, items or keys tag says.
type rule struct {
	required  bool
	low, high *float64
	of        string
	words     []string
	like      *regexp.Regexp
}

// parseRule reads a tag. A tag that makes no sense is a mistake of the program.
func parseRule(tag string) (r rule) {
	for part := range strings.SplitSeq(tag, ";") {
		part = strings.TrimSpace(part)
		switch low, high, span := strings.Cut(part, ".."); {
		case part == "":
		case part == "required":
			r.required = true
		case strings.HasPrefix(part, "of "):
			r.of = strings.TrimPrefix(part, "of ")
		case strings.HasPrefix(part, "like "):
			r.like = regexp.MustCompile("^(?:" + strings.TrimPrefix(part, "like ") + ")$")
		case span:
			r.low, r.high = limit(low), limit(high)
		default:
			r.words = strings.Split(part, "|")
		}
	}
	return r
}

func limit(text string) *float64 {
	if text == "" {
		return nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic("strict: a tag says " + text)
	}
	return &v
}

func (r rule) span() string {
	switch {
	case r.low == nil && r.high == nil:
		return "any number"
	case r.low == nil:
		return fmt.Sprintf("at most %g", *r.high)
	case r.high == nil:
		return fmt.Sprintf("%g or more", *r.low)
	default:
		return fmt.Sprintf("%g to %g", *r.low, *r.high)
	}
}

func (r rule) holds(v float64) bool {
	return !math.IsNaN(v) && (r.low == nil || v >= *r.low) && (r.high == nil || v <= *r.high)
}

// A reader goes through a file.
type reader struct {
	file   string
	words  Words
	faults Faults
}

func (r *reader) add(at *token.Token, format string, args ...any) {
	f := Fault{r.file, 1, 1, fmt.Sprintf(format, args...)}
	if at != nil && at.Position != nil {
		f.Line, f.Column = at.Position.Line, at.Position.Column
	}
	r.faults = append(r.faults, f)
}

// value reads a node into v. want is of the value itself, or of the items of a list or map;
// items and keys are of the list or map.
func (r *reader) value(n ast.Node, v reflect.Value, want, items, keys rule, name string, deep int) {
	if deep > deepest {
		r.add(start(n), "%s is nested too deeply", name)
		return
	}
	switch n.(type) {
	case *ast.AnchorNode, *ast.AliasNode, *ast.TagNode, *ast.MergeKeyNode:
		r.add(n.GetToken(), "%s: anchors, aliases and tags are not read here; write it out", name)
		return
	case *ast.NullNode:
		r.add(n.GetToken(), "%s is empty", name)
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		r.value(n, v.Elem(), want, items, keys, name, deep)
	case reflect.Struct:
		r.structure(n, v, name, deep)
	case reflect.Slice:
		list, ok := n.(*ast.SequenceNode)
		if !ok {
			r.add(start(n), "%s: want a list", name)
			return
		}
		r.count(n, len(list.Values), items, name)
		v.Set(reflect.MakeSlice(v.Type(), len(list.Values), len(list.Values)))
		for i, item := range list.Values {
			r.value(item, v.Index(i), want, rule{}, rule{}, fmt.Sprintf("%s, item %d", name, i+1), deep+1)
		}
	case reflect.Map:
		entries, ok := r.mapping(n, name)
		if !ok {
			return
		}
		r.count(n, len(entries), items, name)
		v.Set(reflect.MakeMap(v.Type()))
		for _, e := range entries {
			k := keyOf(e)
			r.word(e.Key.GetToken(), k, keys, name)
			item := reflect.New(v.Type().Elem()).Elem()
			r.value(e.Value, item, want, rule{}, rule{}, name+", "+k, deep+1)
			v.SetMapIndex(reflect.ValueOf(k).Convert(v.Type().Key()), item)
		}
	default:
		r.scalar(n, v, want, name)
	}
}

func (r *reader) count(n ast.Node, have int, items rule, name string) {
	if !items.holds(float64(have)) {
		r.add(start(n), "%s has %d items; want %s", name, have, items.span())
	}
}

// mapping are the entries of a mapping, each key once.
func (r *reader) mapping(n ast.Node, name string) ([]*ast.MappingValueNode, bool) {
	list := pairs(n)
	if m, empty := n.(*ast.MappingNode); list == nil && (!empty || m == nil) {
		r.add(start(n), "%s: want names with values, as in \"name: value\"", name)
		return nil, false
	}
	seen := map[string]bool{}
	var out []*ast.MappingValueNode
	for _, e := range list {
		k := keyOf(e)
		if seen[k] {
			r.add(e.Key.GetToken(), "%s stands twice in %s", k, name)
			continue
		}
		seen[k] = true
		out = append(out, e)
	}
	return out, true
}

func (r *reader) structure(n ast.Node, v reflect.Value, name string, deep int) {
	entries, ok := r.mapping(n, name)
	if !ok {
		return
	}
	fields := fieldsOf(v.Type())
	var names []string
	for _, f := range fields {
		names = append(names, f.name)
	}
	there := map[string]bool{}
	for _, e := range entries {
		k := keyOf(e)
		i := slices.Index(names, k)
		if i < 0 {
			r.add(e.Key.GetToken(), "%s knows no %q%s", name, k, suggest(k, names))
			continue
		}
		there[k] = true
		f := fields[i]
		r.value(e.Value, v.Field(f.at), f.want, f.items, f.keys, k, deep+1)
	}
	for _, f := range fields {
		if f.want.required && !there[f.name] {
			doc := ""
			if f.doc != "" {
				doc = " (" + f.doc + ")"
			}
			r.add(start(n), "%s lacks %s%s", name, f.name, doc)
		}
	}
	for _, group := range groupsOf(fields) {
		have := slices.DeleteFunc(slices.Clone(group), func(name string) bool { return !there[name] })
		if len(have) != 1 {
			r.add(start(n), "%s: want exactly one of %s; there is %s", name, strings.Join(group, ", "), cmp.Or(strings.Join(have, " and "), "none"))
		}
	}
}

// suggest names the nearest word, or the words there are.
func suggest(k string, among []string) string {
	if best, ok := near.Word(k, among); ok {
		return "; did you mean " + best + "?"
	}
	if len(among) > 12 {
		return ""
	}
	return "; known are " + strings.Join(among, ", ")
}

func (r *reader) scalar(n ast.Node, v reflect.Value, want rule, name string) {
	at := n.GetToken()
	switch v.Kind() {
	case reflect.String:
		switch s := n.(type) {
		case *ast.StringNode:
			v.SetString(s.Value)
		case *ast.LiteralNode:
			v.SetString(s.Value.Value)
		default:
			r.add(start(n), "%s: want text; where it looks like a number, put it in quotes", name)
			return
		}
		r.word(at, v.String(), want, name)
	case reflect.Int:
		x := math.NaN()
		switch i := n.(type) {
		case *ast.IntegerNode:
			x = float(i.Value)
		case *ast.FloatNode: // 2.0 is whole, to JSON Schema as well
			x = i.Value
		}
		if x != math.Trunc(x) {
			r.add(start(n), "%s: want a whole number", name)
			return
		}
		r.number(at, x, want, name)
		v.SetInt(int64(max(-1<<52, min(1<<52, x))))
	case reflect.Float64:
		var f float64
		switch s := n.(type) {
		case *ast.IntegerNode:
			f = float(s.Value)
		case *ast.FloatNode:
			f = s.Value
		default:
			r.add(start(n), "%s: want a number", name)
			return
		}
		r.number(at, f, want, name)
		v.SetFloat(f)
	case reflect.Bool:
		b, ok := n.(*ast.BoolNode)
		if !ok {
			r.add(start(n), "%s: want true or false", name)
			return
		}
		v.SetBool(b.Value)
	default:
		panic("strict: no field can be a " + v.Kind().String())
	}
}

// float is an integer as the parser gives it.
func float(i any) float64 {
	switch i := i.(type) {
	case int64:
		return float64(i)
	case uint64:
		return float64(i)
	default:
		return math.NaN()
	}
}

func (r *reader) number(at *token.Token, got float64, want rule, name string) {
	if !want.holds(got) {
		r.add(at, "%s is %g; want %s", name, got, want.span())
	}
}

func (r *reader) word(at *token.Token, got string, want rule, name string) {
	among := want.words
	if want.of != "" {
		among = r.words[want.of]
	}
	switch {
	case among != nil && !slices.Contains(among, got):
		r.add(at, "%s: there is no %q%s", name, got, suggest(got, among))
	case want.like != nil && !want.like.MatchString(got):
		r.add(at, "%s: %q is not of the form %s", name, got, strings.TrimSuffix(strings.TrimPrefix(want.like.String(), "^(?:"), ")$"))
	case !want.holds(float64(utf8.RuneCountInString(got))):
		r.add(at, "%s has %d letters; want %s", name, utf8.RuneCountInString(got), want.span())
	}
}

// A field is what the tags of a struct field say.
type field struct {
	name, doc, one    string
	at                int
	want, items, keys rule
}

func fieldsOf(t reflect.Type) (out []field) {
	for i := range t.NumField() {
		f := t.Field(i)
		if name := f.Tag.Get("yaml"); name != "" && f.IsExported() {
			out = append(out, field{name, f.Tag.Get("doc"), f.Tag.Get("one"), i, parseRule(f.Tag.Get("want")), parseRule(f.Tag.Get("items")), parseRule(f.Tag.Get("keys"))})
		}
	}
	return out
}

// groupsOf are the names of which exactly one must be there, group by group.
func groupsOf(fields []field) (out [][]string) {
	at := map[string]int{}
	for _, f := range fields {
		if f.one == "" {
			continue
		}
		i, ok := at[f.one]
		if !ok {
			i, at[f.one], out = len(out), len(out), append(out, nil)
		}
		out[i] = append(out[i], f.name)
	}
	return out
}
