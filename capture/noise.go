package capture

import "time"

// At a wrong line rate bytes come that are no text, and hardly a line end among them: a
// line then takes as long to be cut as 4 KiB take to come, and nobody would be told for
// an hour why there is no reading.
const (
	noiseAfter = 5 * time.Second // of bytes without a line end; a whole line comes within one or two
	noiseLeast = 16              // bytes, that a stray one tells nothing
	noiseHint  = HintNoise + ", but neither text nor line ends: check the line rate (baud), bits and parity; amphora identify tries the usual ones"
)

// noise watches what comes before a line end does. It tells of it once an opening.
type noise struct {
	since time.Duration // boot clock: the first byte
	bytes int
	odd   int // of them that no text has
	told  bool
}

// take takes what one read brought, with so many line ends in it, and reports whether
// it is time to tell.
func (n *noise) take(boot time.Duration, block []byte, ends int) bool {
	if ends > 0 {
		n.bytes, n.odd = 0, 0
		return false
	}
	if n.bytes == 0 {
		n.since = boot
	}
	n.bytes += len(block)
	for _, b := range block {
		if b < ' ' && b != '\t' || b >= 0x7f {
			n.odd++
		}
	}
	if n.told || boot-n.since < noiseAfter || n.bytes < noiseLeast || 4*n.odd < n.bytes {
		return false
	}
	n.told = true
	return true
}
