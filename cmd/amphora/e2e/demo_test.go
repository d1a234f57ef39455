//go:build linux

package e2e

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDemoShowsANightToItsEnd(t *testing.T) {
	for _, c := range []struct{ night, says string }{
		{"mower-float", "charge was completed"},
		{"drill-three-cells", "li-ion, 3 cells"},
		{"shorted-cell", "cut short"},
	} {
		t.Run(c.night, func(t *testing.T) {
			t.Parallel()
			began := time.Now()
			status, out, said := amphora(t, "demo", "--speed", "20000", "--exit", "--night", c.night)
			require.Zero(t, status, said)
			assert.Contains(t, out, "invented")
			assert.Contains(t, out, "went in")
			assert.Contains(t, out, c.says)
			t.Logf("took %v", time.Since(began))
		})
	}
	status, _, said := amphora(t, "demo", "--night", "no-such")
	assert.Equal(t, 2, status)
	assert.Contains(t, said, "mower-float", "names those there are")
}
