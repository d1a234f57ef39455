package decoders

import "bytes"

// intervalWords announce the time between rows in a remark.
var intervalWords = []string{
	"interval", "period", "every", "rate", "frequency", "logging", "sampling", "dt",
	"intervall", "takt", "alle", "abtastrate", "messintervall", "abtastintervall",
	"intervalle", "toutes", "intervalo", "cada", "periodo",
}

// StatedInterval finds the time between rows in what stands between the rows:
// "# interval: 10 s", "sampling every 2 seconds", "rate 0.5 Hz". It is in s, with
// the remark that says so; 0 and nil where none does.
func StatedInterval(lines [][]byte) (s float64, remark []byte) {
	for _, l := range lines {
		if !hasAny(latin(l), intervalWords...) {
			continue
		}
		for sc := (scanner{line: l, decimal: '.'}); sc.next(); {
			x, n := number(sc.value, '.')
			if n == 0 || x <= 0 {
				continue
			}
			if u := unitNamed(sc.unit, Time); u != nil {
				return u.si(x), l
			}
			rest := bytes.TrimLeft(l[sc.pos:], " ")
			if u := unitNamed(firstWord(rest), Time); u != nil { // "every 5 s: volts"
				return u.si(x), l
			}
			if len(rest) >= 2 && foldEqual(rest[:2], "hz") {
				return 1 / x, l
			}
			if u := understand(latin(sc.label)).unit; u != nil && u.of == Time {
				return u.si(x), l
			}
			if sc.unit == nil && hasAny(latin(sc.label), intervalWords...) && len(bytes.TrimSpace(l[sc.pos:])) == 0 {
				return x, l
			}
		}
	}
	return 0, nil
}
