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
	beside := besides{}
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
			beside.note(w.path, w.value)
		}
		g.t.rows++
	}
	t := g.finish(seen)
	if t == nil {
		return nil
	}
	for _, c := range t.cols {
		c.name = beside.name(c.key)
	}
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
type besides map[string]string

var (
	nameKeys = []string{"name", "label", "quantity", "type", "kind", "sensor", "channel", "id", "key"}
	unitKeys = []string{"unit", "units", "uom"}
)

// note keeps a word that names its neighbours. One that is not the same on every
// line names nothing, for a value is known by its path.
func (b besides) note(path, value []byte) {
	_, key := cutPath(string(path))
	key = strings.ToLower(key)
	if !slices.Contains(nameKeys, key) && !slices.Contains(unitKeys, key) {
		return
	}
	if before, ok := b[string(path)]; ok && before != string(value) {
		value = nil
	}
	b[string(path)] = string(value)
}

// name is what a value is called: its path, or by the words beside it.
func (b besides) name(path string) string {
	object, key := cutPath(path)
	find := func(keys []string) string {
		for _, k := range keys {
			if word := b[join(object, k)]; k != key && word != "" {
				return word
			}
		}
		return ""
	}
	called, unit := path, find(unitKeys)
	if word := find(nameKeys); word != "" && understand(word).of != none {
		called = word
	}
	if unit != "" && unitNamed([]byte(unit), none) != nil {
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
