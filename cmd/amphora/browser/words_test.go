//go:build linux

package browser

import "github.com/stretchr/testify/assert"

// inWords fails where the page says the name of a JSON field in place of words, also in
// what is folded away or only read aloud. What a meter sends and settings to copy stand
// in code, and how lines are laid out is told by the names of their own columns.
func (b *tab) inWords(what string) {
	b.t.Helper()
	names := eval[[]string](b, `[...new Set([...document.body.querySelectorAll("*")]
		.filter(e => !e.closest("script, style, code, [aria-labelledby=layout]"))
		.flatMap(e => [...e.childNodes].filter(n => n.nodeType === Node.TEXT_NODE).map(n => n.textContent)
			.concat(["aria-label", "title", "placeholder", "alt"].map(a => e.getAttribute(a) ?? "")))
		.flatMap(text => text.match(/\b[a-z][a-z0-9]*(_[a-z0-9]+)+\b/g) ?? []))]`)
	assert.Empty(b.t, names, "%s: names of fields where words are wanted", what)
}
