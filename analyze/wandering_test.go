package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// The sun charges as it shines. Under a cloud the voltage stands for some minutes while
// the current fades, as it would at a charger's limit; when the sun is back it goes on to
// rise. Nothing is amiss with that, and the charge was not complete there.
func TestCloudIsNoLimit(t *testing.T) {
	rows := script(10,
		idle(600, 12.2),
		ramp(2*anHour, 12.5, 12.72, 5, 5),
		fade(900, 12.65, 4, 900),
		ramp(3*anHour, 12.72, 14.4, 5, 5),
		fade(3*anHour, 14.4, 5, anHour),
		settle(anHour, 13.6, 12.9, 900),
	)
	d := run(analyze.Options{}, rows)
	require.Len(t, d.Sessions, 1)
	s := &d.Sessions[0]
	assert.Empty(t, warnings(d))
	assert.InDelta(t, 14.4, float64(s.HeldV), 0.01)
	assert.Greater(t, float64(s.FinishS), 600+5.25*anHour)
}

// Some chargers lift a full battery well above their first limit with a small current.
// Neither that nor the sinking from there is a lead that has come loose; one that comes
// loose there is.
func TestLiftedAboveItsLimit(t *testing.T) {
	lifted := []part{
		idle(600, 12.2),
		ramp(4*anHour, 12.5, 14.4, 5, 5),
		fade(2*anHour, 14.4, 5, anHour),
		ramp(anHour, 14.45, 15.3, 0.75, 0.75),
	}
	o := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * 3600}
	good := run(o, script(10, append(lifted, settle(anHour, 15.2, 13, 900))...))
	assert.Empty(t, warnings(good))
	loose := run(o, script(10, append(lifted, steady(anHour, 16.2, 0))...))
	assert.Contains(t, codesOf(&loose.Sessions[0]), analyze.CodeOpenCircuit)
}
