package decoders

import "slices"

// Words before a value that are no name of it.

// roamingTime tells that the word before the first time of a line is no name of it: a day
// of the week, or one of several words.
func roamingTime(lines [][]byte, decimal byte) bool {
	labels, all, most := map[string]int{}, 0, 0
	for _, l := range lines {
		for sc := (scanner{line: l, decimal: decimal}); sc.next(); {
			if !sc.isTime {
				continue
			}
			if weekdayAt(lastSpelt(sc.label)) > 0 {
				return true
			}
			word := lastWord(sc.label)
			all++
			labels[word]++
			most = max(most, labels[word])
			break
		}
	}
	return most*50 < all*49
}

// roamingUnits are the units of volts and amperes of which each line has one value, whose label is a word
// that changes from line to line: Charging 13.82 V, Discharging 12.31 V. So are those of lines that have one of them
// each, behind the same word: DC 13.82 V, then DC 3.50 A.
func roamingUnits(lines [][]byte, decimal byte) map[string]bool {
	volts, amps, both := unitLabels{words: map[string]int{}}, unitLabels{words: map[string]int{}}, 0
	units := map[string]*unitLabels{"V": &volts, "A": &amps}
	for _, l := range lines {
		came := map[*unitLabels]int{}
		for sc := (scanner{line: l, decimal: decimal}); sc.next(); {
			if sc.unit == nil {
				continue
			}
			if u := units[sc.bare()]; u != nil {
				if came[u]++; came[u] == 1 {
					u.words[lastWord(sc.label)]++
				}
			}
		}
		for u, n := range came {
			if u.lines++; n > 1 {
				u.many++
			}
		}
		if len(came) > 1 {
			both++
		}
	}
	same := sameWord(volts.words, amps.words)
	out := map[string]bool{}
	for name, u := range units {
		out[name] = u.roams() || same && both*hardly <= u.lines
	}
	return out
}

// unitLabels is what stands before the values of one unit.
type unitLabels struct {
	words map[string]int // lines that have each word before the first of them
	lines int            // that have the unit
	many  int            // of these, the ones that have it more than once
}

// roams tells that the words are not names but ways of the current, which change.
func (u *unitLabels) roams() bool {
	most, told, named := 0, 0, 0
	for word, n := range u.words {
		most = max(most, n)
		in, way := ways[word]
		if way || word == "" || slices.Contains(stills, word) {
			told += n
		}
		if word != "" && (in || !way) {
			named += n
		}
	}
	changes := named > 0 || most < u.lines
	return changes && told*hardly > u.lines*(hardly-1) && told > u.words[""] && u.many*hardly <= u.lines
}

// sameWord tells that the lines with volts and those with amperes have the same word before them, but for
// damaged ones.
func sameWord(volts, amps map[string]int) bool {
	all := func(of map[string]int) (n int) {
		for _, lines := range of {
			n += lines
		}
		return n
	}
	for word, n := range volts {
		if word != "" && n*hardly > all(volts)*(hardly-1) && amps[word]*hardly > all(amps)*(hardly-1) {
			return true
		}
	}
	return false
}
