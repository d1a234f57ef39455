//go:build linux

package browser

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A night as somebody sees it who leaves the page open.
func TestNowFollowsACharge(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), newMeter(t, night("mower-float"))
	at.channel("bench", m, "battery: mower")
	p := at.serve(t)
	b := openTab(t, p.page, 1280, "light")
	b.waitText(".sentence", "Nothing heard yet")

	m.sayUntil(12_000)
	b.waitText(".sentence", "Filling with 2.00 A")
	b.wait("document.querySelector('.reading.volts .value').textContent.startsWith('12.')")
	b.waitText(".band .past[data-stage=constant-current]", "Constant current")
	b.wait("document.querySelector('.curve canvas')")

	m.sayUntil(28_000)
	b.waitText(".sentence", "Held at 14.50 V, current falling. Done about")
	b.waitText(".sentence", "between")
	b.wait("document.querySelector('.band .ahead')")
	b.waitText("#polite", "constant voltage")

	m.sayUntil(m.end())
	b.waitText(".sentence", "Full at")
	b.waitText(".sentence", "Ah went in")
	b.waitText("#polite", "resting")
	b.waitText(".reading.charge .doubt", "\u00b1")
	assert.Empty(t, b.text("#urgent"), "nothing to be alarmed about")
}
