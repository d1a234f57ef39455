package decoders

import "bytes"

// Remnant is what can be relied on of a line whose beginning may have been missed, as
// the first that a port gives: of a header all names but the first, which may be cut
// (mV to V), in their columns. Of the first the unit is left if it is one of time and a mark stands
// before it. It is nil for anything else.
//
//	rrent_A,voltage_V,time_s     gives     ,voltage_V,time_s
//	ime [0.1 s];U;I              gives     [0.1 s];U;I
func Remnant(line []byte) []byte {
	at := bytes.IndexAny(line, ",;\t|")
	if at < 0 || MayBeRow(line) {
		return nil
	}
	return bytes.Clone(line[at-len(timeUnit(line[:at])):])
}

// timeUnit is the unit of time with the mark before it that the rest of a name ends in, nil for none.
func timeUnit(rest []byte) []byte {
	if u := unitNamed(bytes.TrimSpace(rest), Time); u != nil && len(u.name) > 1 && !partOfLonger(string(bytes.TrimSpace(rest))) {
		return rest
	}
	at := bytes.IndexAny(rest, "([")
	if at < 0 {
		at = bytes.LastIndexAny(rest, " _/")
	}
	if at < 0 || bytes.ContainsAny(rest[:at], "0123456789)]") || bytes.ContainsAny(rest, `"'`) {
		return nil
	}
	if n := understand(string(rest[at:])); n.of != Time || n.unit == nil {
		return nil
	}
	return rest[at:]
}

// partOfLonger tells a word that is the end of another unit's as well, as seconds are of milliseconds.
func partOfLonger(word string) bool {
	for _, before := range []string{"m", "u", "n", "milli", "micro", "nano"} {
		if lastUnit([]string{before + word}) != nil {
			return true
		}
	}
	return false
}
