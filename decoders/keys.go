package decoders

import "strings"

// keys give the values of labelled lines the keys that tell them apart: mostly the last word
// of the label; the whole label where lines have that word twice; and where that comes again
// as well, which of them it is: SET V=14.40 A=3.00 OUT V=13.33 A=2.95.
type keys struct {
	twice, cased map[string]bool
	roaming      bool            // the first time of a line has a label that changes
	roam         map[string]bool // units whose one value in a line has one
	again        map[string]bool // nil as long as nobody knows
	came         map[string]int  // in the line so far
	group        string          // what the words before a label's last one say of those that follow
}

// keysOf looks at lines for what they need.
func keysOf(lines [][]byte, decimal byte) *keys {
	probe := lines[:min(len(lines), 200)]
	k := &keys{roaming: roamingTime(lines, decimal), roam: roamingUnits(probe, decimal), came: map[string]int{}}
	k.twice, k.cased = alike(probe, decimal)
	for word := range byTurns(probe, decimal) {
		k.twice[word] = true
	}
	has, again := map[string]int{}, map[string]int{}
	for _, l := range probe {
		k.begin()
		for sc := (scanner{line: l, decimal: decimal}); sc.next(); {
			key, _ := k.of(&sc)
			if k.came[key]++; k.came[key] == 1 {
				has[key]++
			} else if k.came[key] == 2 {
				again[key]++
			}
		}
	}
	k.again = map[string]bool{}
	for key, n := range again {
		k.again[key] = n*hardly > has[key]
	}
	return k
}

// begin is called before each line.
func (k *keys) begin() {
	clear(k.came)
	k.group = ""
}

// of is the key of the value that the scanner is at, and its name: the label, with what the
// line said before of the group that it is in, where other groups have the same label.
func (k *keys) of(sc *scanner) (key, name string) {
	key, name = lastWord(sc.label), string(sc.label)
	switch {
	case sc.unit != nil && k.roam[sc.bare()]:
		return "~" + sc.bare(), ""
	case len(sc.label) == 0:
		key = "#" + sc.bare()
	case key == "": // it ends in a mark
		key = folded(sc.label)
	case k.cased[key]:
		key = "=" + string(lastSpelt(sc.label))
	case k.twice[key]:
		key = folded(sc.label)
	}
	if k.roaming && sc.isTime && sc.times == 1 {
		return firstTime, ""
	}
	switch before := strings.TrimSpace(name[:len(name)-len(lastSpelt(sc.label))]); {
	case before != "":
		k.group = before // OUT V=13.33
	case name != "" && sc.unit != nil:
		k.group = name // Out: 13.33V
	}
	switch {
	case k.again[key]:
	case k.again != nil && k.twice[key] && len(key) == len(name):
		return nthKey(key, 1), name // and not the label that ends in this word
	default:
		return key, name
	}
	k.came[key]++
	return nthKey(key, k.came[key]), strings.TrimSpace(k.group + " " + name)
}

// byTurns finds the last words that lines of one value each have by turns behind other ones, as those of a
// block have: "PV voltage: 35.1 V", then "Battery voltage: 13.8 V". A state, which stands before
// the same word for many lines, is no such thing.
func byTurns(lines [][]byte, decimal byte) map[string]bool {
	const most, nearly = 8, 0.8 // labels of a block that end in one word; share of the lines that take turns (our own figures)
	type seen struct {
		labels       map[string]bool
		last         string
		lines, turns int
		bare         bool // it stands alone, too
	}
	words := map[string]*seen{}
	for _, l := range lines {
		sc := scanner{line: l, decimal: decimal}
		if !sc.next() || sc.isTime || len(sc.label) == 0 {
			continue
		}
		label := folded(sc.label)
		word := lastWord(sc.label)
		w := words[word]
		if w == nil {
			w = &seen{labels: map[string]bool{}}
			words[word] = w
		}
		if w.lines++; w.last != label {
			w.turns++
		}
		w.labels[label], w.last = true, label
		w.bare = w.bare || label == word || sc.next()
	}
	out := map[string]bool{}
	for word, w := range words {
		if n := len(w.labels); !w.bare && n > 1 && n <= most && w.lines > n && float64(w.turns) >= nearly*float64(w.lines) {
			out[word] = true
		}
	}
	return out
}
