//go:build linux

package browser

import (
	"fmt"
	"testing"

	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
)

// Of a night that goes on the whole curve is fetched again and again. What somebody looks
// into stays as fine as it was.
func TestACloserLookStaysOne(t *testing.T) {
	t.Parallel()
	n := madeup.Named("mower-float")
	n.Meter.Every = 1
	at, m := newPlace(t), newMeter(t, n)
	at.channel("bench", m, "limits: {silence: 10h}")
	p := at.serve(t)
	m.sayUntil(12_000)
	p.untilHeard("bench", m)
	b := openTab(t, p.page+"#/nights/"+string(p.view("bench").Session.ID), 1280, "light")
	const rows = "Number(document.querySelector('.curve').dataset.rows)"
	b.wait("document.querySelector('.curve')?.dataset.to")
	whole := eval[float64](b, rows)
	b.click(".tools button:first-child")
	b.wait(fmt.Sprintf("%s > %g", rows, 1.3*whole))

	eval[bool](b, "(now => { performance.now = () => now() + 25_000; return true; })(performance.now.bind(performance))")
	m.sayUntil(12_100)
	b.wait("performance.getEntriesByType('resource').filter(e => e.name.includes('samples') && !e.name.includes('to=')).length > 1")
	eval[bool](b, "new Promise(drawn => setTimeout(drawn, 300, true))")
	assert.Greater(t, eval[float64](b, rows), 1.3*whole)
}
