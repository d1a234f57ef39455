//go:build linux

package e2e

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// reasons say what a warning of the program may be about, by how it begins.
var reasons = []struct {
	said string
	of   []fault
}{
	{"source lost", []fault{unplugged, away}},
	{"source keeps being lost", []fault{unplugged, away}},
	{"push: points are not taken", []fault{refused, hung, fullDisk}},
	{"push: the disk refuses", []fault{fullDisk}},
	{"push: it cannot be noted", []fault{fullDisk}},
	{"journal", []fault{fullDisk, killed, killedUnheard}},
	{"the logbook cannot be written", []fault{fullDisk}},
	{"cannot compress old segments", []fault{fullDisk}},
	{"cannot note the place", []fault{fullDisk}},
	{"cannot keep the shape", []fault{fullDisk}},
	{"notifications:", []fault{fullDisk}},
}

// checkLog looks for warnings without a reason.
func (h *house) checkLog(days []day) {
	h.t.Helper()
	happened := make(map[fault]bool)
	wrong := make(map[string]bool)
	for _, d := range days {
		for _, f := range d.faults {
			happened[f.fault] = true
		}
		for _, n := range d.nights {
			if t, any := troubles[n.Name]; any {
				for _, code := range append(t.may, t.must) {
					wrong[code] = true
				}
			}
		}
	}
	for _, l := range h.lives {
		for line := range strings.Lines(l.log.String()) {
			if strings.Contains(line, "level=INFO") {
				continue
			}
			assert.True(h.t, explained(line, happened, wrong), "said for no reason: %s", line)
		}
	}
}

func explained(line string, happened map[fault]bool, wrong map[string]bool) bool {
	_, said, _ := strings.Cut(line, "msg=")
	said = strings.TrimPrefix(said, `"`)
	for _, r := range reasons {
		if strings.HasPrefix(said, r.said) && slices.ContainsFunc(r.of, func(f fault) bool { return happened[f] }) {
			return true
		}
	}
	for code := range wrong {
		if strings.HasPrefix(said, "warning: "+code) || strings.HasPrefix(said, "alarm: "+code) {
			return true
		}
	}
	return false
}

// A soak forgives a warning only where what it is about happened.
func TestSoakForgivesNoWarningWithoutItsReason(t *testing.T) {
	for _, r := range reasons {
		line := `time=2026-03-01T20:00:00Z level=WARN msg="` + r.said + ` and more" channel=garage`
		assert.False(t, explained(line, nil, nil), r.said)
		for _, other := range slices.Concat(restarts, clocks, others) {
			assert.Equal(t, slices.Contains(r.of, other), explained(line, map[fault]bool{other: true}, nil), "%s, %s", r.said, other)
		}
	}
	assert.False(t, explained(`level=WARN msg="warning: stalled" channel=shed`, nil, map[string]bool{"over-capacity": true}))
	assert.True(t, explained(`level=WARN msg="warning: stalled" channel=shed`, nil, map[string]bool{"stalled": true}))
}
