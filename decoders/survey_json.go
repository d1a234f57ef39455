package decoders

import (
	"bytes"
	"slices"
	"strconv"
	"strings"
)

func surveyJSON(s *sample) []*table {
	g := newGather("json", '.')
	w := jsonWalk{path: make([]byte, 0, 256)}
	words := besides{}
	seen := 0
	for _, l := range s.lines {
		if len(bytes.TrimSpace(l)) == 0 {
			continue
		}
		seen++
		if bytes.IndexByte(l, '{') < 0 && bytes.IndexByte(l, '[') < 0 {
			continue
		}
		values := 0
		for w.start(l); w.next(); values++ {
		}
		if values == 0 || w.torn {
			continue
		}
		for w.start(l); w.next(); {
			g.put(string(w.path), string(w.path), w.value)
			words.note(w.path, w.value)
		}
		g.t.rows++
	}
	t := g.finish(seen)
	if t == nil {
		return nil
	}
	for _, c := range t.cols {
		c.name = words.name(c.key, g.t.rows)
	}
	t.unitsOfRows()
	for _, c := range t.cols { // a list without one object is no JSON log
		if _, err := strconv.Atoi(c.key); err != nil {
			return []*table{t}
		}
	}
	return nil
}

// besides are the words that stand beside a value in its object and say what it is:
//
//	{"name":"voltage","value":13.82,"unit":"V"}
type besides map[string]*beside

// beside is the first word at a path, and how many lines have it there and how many
// have another.
type beside struct {
	word        string
	same, other int
}

var nameKeys = []string{"name", "label", "quantity", "type", "kind", "sensor", "channel", "id", "key"}

// note keeps a word that names its neighbours.
func (b besides) note(path, value []byte) {
	_, key := cutPath(string(path))
	key = strings.ToLower(key)
	if !slices.Contains(nameKeys, key) && !slices.Contains(unitKeys, key) {
		return
	}
	switch before := b[string(path)]; {
	case before == nil:
		b[string(path)] = &beside{word: string(value), same: 1}
	case before.word == string(value):
		before.same++
	default:
		before.other++
	}
}

// at is the word at a path. One that hardly any of the rows has, or that is not the same
// on them, names nothing, for a value is known by its path.
func (b besides) at(path string, rows int) string {
	if w := b[path]; w != nil && w.same*rarely > rows && w.other*rarely <= w.same {
		return w.word
	}
	return ""
}

// name is what a value is called: its path, or by the words beside it.
func (b besides) name(path string, rows int) string {
	object, key := cutPath(path)
	find := func(keys []string) string {
		for _, k := range keys {
			if word := b.at(join(object, k), rows); k != key && word != "" {
				return word
			}
		}
		return ""
	}
	called, unit := path, find(unitKeys)
	if word := find(nameKeys); word != "" && understand(word).of != none {
		called = word
	}
	if u := unitNamed([]byte(unit), none); u != nil && (u.of == understand(called).of || understand(called).of == none) {
		called += " [" + unit + "]"
	}
	return called
}

// cutPath splits a path into that of the object and the key in it.
func cutPath(path string) (object, key string) {
	at := strings.LastIndexByte(path, '.')
	return path[:max(at, 0)], path[at+1:]
}

func join(object, key string) string {
	if object == "" {
		return key
	}
	return object + "." + key
}
