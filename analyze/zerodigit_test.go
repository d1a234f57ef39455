package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
)

// A current that stands at 4.61 A from its beginning to the end of the log has a last digit, too, in which the
// meter's accuracy is stated: the same charge by a display that flickers is known no worse.
func TestCurrentThatStandsIsKnownNoBetterThanOneThatFlickers(t *testing.T) {
	u95 := func(flicker float64) float64 {
		rows := metered(10, 0.001, 0.01, idle(600, 12.5), ramp(4*anHour, 12.6, 13.6, 4.61, 4.61))
		m := analyze.New(analyze.Options{})
		for k, s := range rows {
			if s.Amps > 0 && k%5 == 0 {
				s.Amps += flicker
			}
			m.Step(s)
		}
		return float64(m.Document().Sessions[0].ChargeInAhU95)
	}
	assert.InEpsilon(t, u95(0.01), u95(0), 0.02)
}
