package decoders

import (
	"bytes"
	"strconv"
)

// findChecksum looks for marks and tail in lines that hold data. It returns
// the name for the setting, "" for plain lines, and what it saw.
func findChecksum(lines [][]byte) (name, evidence string) {
	marks := 0
	var tails, samples []parts // the latter with a mark
	for _, l := range lines {
		if p := takeApart(l); p.tail != nil {
			tails = append(tails, p)
			if p.begin > 0 || p.line[p.mark] == '*' || p.line[p.mark] == '\x03' {
				samples = append(samples, p)
			}
		}
		if startMark(l[0]) && bytes.IndexByte(l, '"') < 0 { // quotes after a bracket are JSON
			marks++
		}
	}
	enough := len(lines)*3/5 + 1
	if len(samples) >= enough && len(samples) >= 3 {
		if name, evidence = namedTail(samples); name != "unverified" || looksHex(samples) {
			return name, evidence
		}
	}
	if name, evidence = provenTail(tails, len(lines)); name != "" {
		return name, evidence
	}
	if marks >= enough && marks >= 3 {
		return "none", "lines begin with a mark, which is left out"
	}
	return "", ""
}

// looksHex tells a tail from a last column of two digits: it has a mark of its
// own, or letters in it. A letter at its end only may be a unit: ,300A behind a comma.
func looksHex(samples []parts) bool {
	letters := 0
	for _, p := range samples {
		if mark := p.line[p.mark]; mark == '*' || mark == '\x03' || len(p.tail) != 2 && len(p.tail) != 4 || bytes.ContainsAny(p.tail[:len(p.tail)-1], "abcdefABCDEF") {
			letters++
		}
	}
	return letters*4 > len(samples)
}

// provenTail accepts tails without marks around, of so many lines, only when their checksum holds.
func provenTail(tails []parts, lines int) (name, evidence string) {
	if len(tails) < 8 || len(tails) < lines/2 {
		return "", ""
	}
	if name, evidence = namedTail(tails); name == "unverified" {
		return "", ""
	}
	return name, evidence
}

func namedTail(samples []parts) (name, evidence string) {
	if len(samples) > 200 {
		samples = samples[:200]
	}
	for _, kind := range checksumKinds {
		for v := range 8 {
			c := kind
			c.start, c.mark, c.swapped = v&1 != 0, v&2 != 0, v&4 != 0
			if c.sum == nil || c.swapped && c.width != 4 {
				continue
			}
			held := 0
			for i, p := range samples {
				if c.holds(p) {
					held++
				}
				if i == 7 && held == 0 {
					break
				}
			}
			if held*2 > len(samples) {
				return c.name(), "the tail is a checksum (" + c.name() + "): it holds on " + strconv.Itoa(held) + " of " + strconv.Itoa(len(samples)) + " lines"
			}
		}
	}
	return "unverified", "lines end in a tail of hexadecimal digits that is no known checksum; it is left out"
}
