package daemon

// thinned keeps lines of all the time since a source was first heard, ever fewer of them:
// a charge under way shows in hours which value stands and which one rises, and where nothing
// ever begins or ends, nothing else tells which is which.
type thinned struct {
	fitting
	every, skip int // one line of so many is kept; how many are left out until the next
}

// thinnedMost is how many lines are kept. Each time there are as many, they are looked at,
// and every second one is dropped. Of a source whose values have names, of which only the sign is open, so
// many of the first ones do: at a line a minute they are half an hour.
const (
	thinnedMost  = 240
	thinnedFirst = 30
)

// take takes the next line, and reports whether it is time to look.
func (h *thinned) take(l line, text []byte, named bool) bool {
	if h.skip > 0 {
		h.skip--
		return false
	}
	h.every = max(h.every, 1)
	h.skip = h.every - 1
	h.keep(l, text)
	return len(h.lines) >= thinnedMost || named && h.every == 1 && len(h.lines)%thinnedFirst == 0
}

// thin drops every second line, once there are as many as are kept.
func (h *thinned) thin() {
	if len(h.lines) < thinnedMost {
		return
	}
	kept := 0
	for k := 0; k < len(h.lines); k += 2 {
		h.lines[kept], h.texts[kept] = h.lines[k], h.texts[k]
		kept++
	}
	h.lines, h.texts, h.size = h.lines[:kept], h.texts[:kept], h.size/2
	h.every *= 2
}
