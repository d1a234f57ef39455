package config

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// reader walks through the file, fills in the Config and collects problems. The
// YAML module's own decoding into structs stops at the first problem, reads 010
// as 8 and 9600.5 as 9600; the values are therefore read here from their text.
type reader struct {
	host Host
	file string

	problems []Problem
	claimed  map[string]node // what only one channel can have, and who has it

	offer func(path string, keys []string) // told which keys are known where; may be nil
}

// keys are what a mapping may hold, and who reads each value.
type keys map[string]func(node)

// place is a line and column, from 1; zero where there is none.
type place struct{ line, column int }

// node is a value in the file.
type node struct {
	value ast.Node
	at    place
	path  string // such as channels[0].limits
}

// key is the last part of the path, which is how people know the value.
func (n node) key() string { return n.path[strings.LastIndexByte(n.path, '.')+1:] }

// placeOf is where a value begins; a mapping without braces begins at its
// first key.
func placeOf(v ast.Node) place {
	if m, ok := v.(*ast.MappingNode); ok && !m.IsFlowStyle && len(m.Values) > 0 {
		v = m.Values[0].Key
	}
	p := v.GetToken().Position
	return place{p.Line, p.Column}
}

// placeOfEntry is where people look for the value of a key: at the key itself
// if the value only begins in a later line, or not at all.
func placeOfEntry(entry *ast.MappingValueNode) place {
	key, value := placeOf(entry.Key), placeOf(entry.Value)
	if _, nothing := entry.Value.(*ast.NullNode); nothing || value.line != key.line {
		return key
	}
	return value
}

func (r *reader) failAt(at place, key, format string, args ...any) {
	r.problems = append(r.problems, Problem{File: r.file, Line: at.line, Column: at.column, Key: key, Message: fmt.Sprintf(format, args...)})
}

// fail reports a problem with the value at n.
func (r *reader) fail(n node, format string, args ...any) {
	r.failAt(n.at, n.path, "%s: %s", n.key(), fmt.Sprintf(format, args...))
}

// warn reports what may be meant so.
func (r *reader) warn(n node, format string, args ...any) {
	r.fail(n, format, args...)
	r.problems[len(r.problems)-1].Warning = true
}

// mapping reads the keys of a mapping and returns the values that are there.
func (r *reader) mapping(n node, known keys) map[string]node {
	names := slices.Sorted(maps.Keys(known))
	if r.offer != nil {
		r.offer(n.path, names)
	}
	m, ok := n.value.(*ast.MappingNode)
	if !ok {
		r.wrongShape(n, "keys below it or in braces, from "+strings.Join(names, ", ")+"; `amphora check --example` shows them")
		return nil
	}
	seen := map[string]node{}
	for _, entry := range m.Values {
		at := placeOf(entry.Key)
		name, ok := scalar(entry.Key)
		path := join(n.path, name)
		switch read := known[name]; {
		case !ok:
			r.failAt(at, n.path, "a key is a plain word, want one of %s", strings.Join(names, ", "))
		case read == nil:
			r.failAt(at, path, "unknown key %q%s; %s", name, within(n), meant(name, names))
		case seen[name].value != nil:
			r.failAt(at, path, "%s is given twice, first in line %d", name, seen[name].at.line)
		default:
			child := node{entry.Value, placeOfEntry(entry), path}
			seen[name] = child
			read(child)
		}
	}
	return seen
}

func join(path, key string) string { return strings.TrimPrefix(path+"."+key, ".") }

func within(n node) string {
	if n.path == "" {
		return ""
	}
	return " in " + n.key()
}

// pairs reads names of the owner's own choice, each with a text. take is given one after
// the other, with the place of the name; ok is false where the text cannot be used, which
// has been told. It returns how many there are, -1 where something else stands there.
func (r *reader) pairs(n node, example, want string, take func(at place, name, text string, ok bool)) int {
	m, is := n.value.(*ast.MappingNode)
	if !is {
		r.wrongShape(n, "names and texts like "+example)
		return -1
	}
	for _, entry := range m.Values {
		name, _ := scalar(entry.Key)
		if r.offer != nil {
			r.offer(n.path, []string{name})
		}
		text, ok := r.scalar(node{entry.Value, placeOfEntry(entry), join(n.path, name)}, want)
		take(placeOf(entry.Key), name, text, ok)
	}
	return len(m.Values)
}

// oneOf reads a mapping of which exactly one key is to be there.
func (r *reader) oneOf(n node, known keys) {
	before := len(r.problems)
	seen := r.mapping(n, known)
	if len(seen) > 1 || len(seen) == 0 && Errors(r.problems[before:]) == 0 { // an unknown one may be what was meant
		r.fail(n, "want exactly one of %s, got %d", strings.Join(slices.Sorted(maps.Keys(known)), ", "), len(seen))
	}
}

// need reports the keys that are not there.
func (r *reader) need(n node, seen map[string]node, names ...string) {
	for _, name := range names {
		if _, ok := seen[name]; seen != nil && !ok {
			r.failAt(n.at, join(n.path, name), "%s is missing%s", name, within(n))
		}
	}
}

// list reads each item of a list and returns how many there are.
func (r *reader) list(n node, item func(node)) int {
	s, ok := n.value.(*ast.SequenceNode)
	if !ok {
		r.wrongShape(n, "a list, each item with - in front")
		return -1
	}
	for i, v := range s.Values {
		item(node{v, placeOf(v), fmt.Sprintf("%s[%d]", n.path, i)})
	}
	return len(s.Values)
}

// wrongShape says what stands at n instead of what is wanted.
func (r *reader) wrongShape(n node, want string) {
	got := "a value"
	switch n.value.(type) {
	case *ast.NullNode:
		got = "nothing"
	case *ast.MappingNode:
		got = "keys"
	case *ast.SequenceNode:
		got = "a list"
	case *ast.AnchorNode, *ast.AliasNode, *ast.TagNode:
		got = "a YAML anchor, alias or tag, which is not taken"
	}
	if n.path == "" {
		r.failAt(n.at, "", "got %s, want %s", got, want)
		return
	}
	r.fail(n, "got %s, want %s", got, want)
}

// claim takes what only one channel can have; identity is what makes it the
// same thing.
func (r *reader) claim(n node, identity, problem string) bool {
	first, taken := r.claimed[identity]
	if taken {
		r.fail(n, "%s in line %d already", problem, first.at.line)
		return false
	}
	r.claimed[identity] = n
	return true
}
