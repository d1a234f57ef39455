//go:build linux

package browser

import (
	"os"
	"path/filepath"
	"testing"

	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestPicturesOfBatteriesPlanAndSetup makes those of the views beside Now and Nights,
// on request.
func TestPicturesOfBatteriesPlanAndSetup(t *testing.T) {
	if *pictures == "" {
		t.Skip("asked for with -pictures FOLDER")
	}
	at, m := newPlace(t), newMeter(t, madeup.Named("mower-float"))
	m.rows = odd()
	at.channel("bench", m, "battery: mower", "limits: {hours: 20, celsius: 45}")
	at.fill(t, years(t))
	p := at.serve(t)
	m.sayUntil(1e9)
	for _, c := range []struct {
		name, hash, ready, from string
		width                   int
		scheme                  string
	}{
		{"batteries", "#/batteries/mower", ".trend-chart svg", "#over-months", 1280, "light"},
		{"batteries-phone", "#/batteries/mower", ".trend-chart svg", "body", 390, "dark"},
		{"plan", "#/plan?reserve-minutes=85&chemistry=lead-flooded&celsius=10C&timer=2h", ".cautions", "body", 1280, "light"},
		{"plan-phone", "#/plan?capacity=17Ah&chemistry=lead-agm", ".cautions", ".plan-result", 390, "light"},
		{"setup", "#/setup/bench", "tr[data-became=refused]", "body", 1280, "dark"},
	} {
		b := openTab(t, p.page+c.hash, c.width, c.scheme)
		b.wait("document.querySelector(" + quoted(c.ready) + ")")
		eval[bool](b, "(document.querySelector("+quoted(c.from)+").scrollIntoView(), true)")
		picture := b.picture()
		assert.Less(t, len(picture), 120_000, c.name)
		require.NoError(t, os.WriteFile(filepath.Join(*pictures, c.name+".webp"), picture, 0o600))
	}
}
