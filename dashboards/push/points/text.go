package points

import (
	"strings"
)

// looksLike stands for a backslash where line protocol cannot say one: U+29F5, the
// operator that looks the same.
const looksLike = "\u29F5"

// Text is text as the value of a tag may hold it: good UTF-8, a question mark for
// each control character, and no backslash where servers differ about what it means. Before
// a comma, an equals sign, a space or another backslash one server (InfluxDB 1.6)
// takes it for itself, another (VictoriaMetrics 1.79) for a mark, and drops the line
// without a word; at the end of a value it cannot stand at all.
func Text(s string) string {
	if plain(s) {
		return s
	}
	var b strings.Builder
	for k, r := range s {
		switch {
		case r < ' ', r >= 0x7F && r < 0xA0:
			b.WriteByte('?')
		case r == '\\' && (k+1 == len(s) || strings.ContainsRune(`\,= `, rune(s[k+1]))):
			b.WriteString(looksLike)
		default:
			b.WriteRune(r) // U+FFFD where it was no good UTF-8
		}
	}
	return b.String()
}

// plain reports whether text needs no care.
func plain(s string) bool {
	for k := range len(s) {
		if s[k] < ' ' || s[k] >= 0x7F || s[k] == '\\' {
			return false
		}
	}
	return true
}
