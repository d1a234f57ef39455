//go:build linux

package browser

import (
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze/madeup"
)

// When summer time ends an hour comes twice: then, and only then, the page says which one it means.
func TestTheHourThatComesTwiceIsToldApart(t *testing.T) {
	t.Parallel()
	at := newPlace(t)
	at.channel("bench", newMeter(t, madeup.Named("mower-float")))
	b := openTab(t, at.serve(t).page, 1280, "light")
	_, err := chromedp.Call(b.ctx, emulation.SetTimezoneOverride, emulation.SetTimezoneOverrideParams{TimezoneID: "Europe/Berlin"})
	require.NoError(t, err)
	b.do(chromedp.Reload()) // what writes times knows the zone from its beginning
	b.wait("document.querySelector('main .view') !== null")
	b.wait("window.times !== undefined || (import('./lib/when.js').then(m => { window.times = m; }), false)")
	told := func(utc string) string { return eval[string](b, "times.dateTime(Date.parse("+quoted(utc)+"))") }
	before, first, second, after := told("2026-10-24T23:30:00Z"), told("2026-10-25T00:30:00Z"), told("2026-10-25T01:30:00Z"), told("2026-10-25T02:30:00Z")
	assert.NotEqual(t, first, second)
	assert.Contains(t, first, "2")
	assert.Regexp(t, `GMT\+2|CEST`, first)
	assert.Regexp(t, `GMT\+1|CET`, second)
	for _, plain := range []string{before, after, told("2026-03-29T00:30:00Z"), told("2026-03-29T01:30:00Z")} {
		assert.NotRegexp(t, `GMT|CES?T`, plain)
	}
}
