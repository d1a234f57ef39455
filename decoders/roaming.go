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
	labels := map[string]map[string]int{"V": {}, "A": {}}
	once, many, both := map[string]int{}, map[string]int{}, 0
	for _, l := range lines {
		came := map[string]int{}
		for sc := (scanner{line: l, decimal: decimal}); sc.next(); {
			if sc.unit == nil || labels[sc.bare()] == nil {
				continue
			}
			if came[sc.bare()]++; came[sc.bare()] == 1 {
				labels[sc.bare()][lastWord(sc.label)]++
			}
		}
		for unit, n := range came {
			if once[unit]++; n > 1 {
				many[unit]++
			}
		}
		if len(came) > 1 {
			both++
		}
	}
	out := map[string]bool{}
	for unit, of := range labels {
		most, told, named := 0, 0, 0
		for word, n := range of {
			most = max(most, n)
			in, way := ways[word]
			if way || word == "" || slices.Contains(stills, word) {
				told += n
			}
			if word != "" && (in || !way) {
				named += n
			}
		}
		out[unit] = both*hardly <= once[unit] && sameWord(labels["V"], labels["A"]) || (named > 0 || most < once[unit]) && told*hardly > once[unit]*(hardly-1) && told > of[""] && many[unit]*hardly <= once[unit]
	}
	return out
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
