package capture

import (
	"fmt"
	"regexp"
)

// Two adapters without a serial number share one stable name, and which of them it
// means may change with each plugging. What stands in the lines tells them apart: until
// one has matched, each is flagged Doubted, and after some it is said.

// expectWithin is how many lines may come before the one that proves a device.
const expectWithin = 20

// expected compiles what a user expects; nil for nothing.
func expected(text string) (*regexp.Regexp, error) {
	if text == "" {
		return nil, nil
	}
	pattern, err := regexp.Compile(text)
	if err != nil {
		return nil, fmt.Errorf("expect %q is not a regular expression: %w", text, err)
	}
	return pattern, nil
}

// proof is what a source has shown of itself since it was opened.
type proof struct {
	of     *regexp.Regexp // nil: none is wanted, or it has been given
	doubts int            // lines without it
}

// ask tells whether the device is still in doubt after a line, and whether that is to be
// said now.
func (p *proof) ask(line []byte, flags Flags) (doubted, wrong bool) {
	if p.of == nil {
		return false, false
	}
	if flags&(Fragment|Overlong) == 0 && p.of.Match(line) {
		p.of = nil
		return false, false
	}
	p.doubts++
	return true, p.doubts == expectWithin
}
