//go:build linux

package e2e

import (
	"fmt"
	"regexp"
	"strings"
	"time"

	"github.com/stretchr/testify/assert"
)

// mark is what the record says besides lines: what it begins with, and behind how many
// lines of the copy it stands.
type mark struct {
	flag, begins string
	by           time.Duration // that it tells of, 0 where it tells of none
	from, to     int
}

func (m mark) String() string {
	return fmt.Sprintf("%s %q %v behind line %d to %d", m.flag, m.begins, m.by, m.from, m.to)
}

// expect notes that a mark must stand on every channel, behind what was said since a
// place or before that.
func (h *house) expect(since []int, m mark) {
	for k, o := range h.observers {
		m.from, m.to = since[k], len(o.copy)
		o.marks = append(o.marks, m)
	}
}

// expectOf notes that a mark must stand here on one channel.
func (h *house) expectOf(channel int, m mark) {
	o := h.observers[channel]
	m.from, m.to = len(o.copy), len(o.copy)
	o.marks = append(o.marks, m)
}

// checkMarks looks whether all that was done to sources and clocks is named in the
// record, where it happened and by how much, and nothing else.
func (h *house) checkMarks() {
	h.t.Helper()
	for _, o := range h.observers {
		next := 0
		for _, m := range o.found {
			if m.remark() {
				continue
			}
			n := metBy(m, o.marks[next:])
			if n == 0 {
				assert.Fail(h.t, "a mark without a reason", "%s: there is %v, want the %d. of %v", o.channel, m, next, o.marks)
				break
			}
			next += n
		}
		assert.Equal(h.t, len(o.marks), next, "%s: so much of what was done is named", o.channel)
	}
}

// metBy is how many of the marks that must come a found one is: one; or two, where a
// clock was set twice before anybody looked at it; or none.
func metBy(found mark, want []mark) int {
	const step = "clock step: "
	switch {
	case len(want) > 0 && want[0].isMetBy(found):
		return 1
	case len(want) > 1 && want[0].begins == step && want[1].begins == step && want[0].to >= want[1].from:
		both := want[1]
		both.by += want[0].by
		if both.isMetBy(found) {
			return 2
		}
	}
	return 0
}

// remark reports whether a mark is not about what was done to it: which decoder and
// battery it is, and what may take a source away that is lost so often.
func (m mark) remark() bool {
	for _, begins := range []string{"decoder ", "stated decoder ", "battery ", "hint: "} {
		if strings.HasPrefix(m.begins, begins) {
			return true
		}
	}
	return false
}

var tells = regexp.MustCompile(`(?:by|for) (-?[0-9hms]+)`)

// isMetBy holds a mark of the record against what it must be. A duration is told to
// the second.
func (m mark) isMetBy(found mark) bool {
	if found.flag != m.flag || !strings.HasPrefix(found.begins, m.begins) || found.to < m.from || found.from > m.to {
		return false
	}
	if m.by == 0 {
		return true
	}
	told := tells.FindStringSubmatch(found.begins)
	if told == nil {
		return false
	}
	by, err := time.ParseDuration(told[1])
	return err == nil && (by-m.by).Abs() <= 2*time.Second
}
