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
			if s := sc.interval(); s > 0 {
				return s, l
			}
		}
	}
	return 0, nil
}

// interval is the time between rows that the value is, s; 0 where it is none.
func (s *scanner) interval() float64 {
	x, n := number(s.value, '.')
	if n == 0 || x <= 0 {
		return 0
	}
	rest, named := bytes.TrimLeft(s.line[s.pos:], " "), understand(latin(s.label)).unit
	beside, behind := unitNamed(s.unit, Time), unitNamed(firstWord(rest), Time) // the latter in "every 5 s: volts"
	switch {
	case beside != nil:
		return beside.si(x)
	case behind != nil:
		return behind.si(x)
	case len(rest) >= 2 && foldEqual(rest[:2], "hz"):
		return 1 / x
	case named != nil && named.of == Time:
		return named.si(x)
	case s.unit == nil && hasAny(latin(s.label), intervalWords...) && len(bytes.TrimSpace(rest)) == 0:
		return x
	}
	return 0
}
