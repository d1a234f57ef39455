package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// A row a minute, of a charger that switches off at its tail: LiFePO4 comes to its limit full, and its current is gone
// within three rows. Where a plug is pulled the meter's last row may be of next to no current, too; the voltage has
// gone down by then.
func TestACurrentThatRunsDownAtTheLimitIsComplete(t *testing.T) {
	for _, c := range []struct {
		name string
		last []float64 // V and A of the last rows
		want analyze.Outcome
	}{
		{"the limit", []float64{13.60, 4.1, 14.11, 3.59, 14.17, 0.62, 14.19, 0.18}, analyze.Complete},
		{"the limit, within one row", []float64{13.60, 4.1, 14.11, 3.59, 14.19, 0.18}, analyze.Complete},
		{"a plug that is pulled", []float64{13.60, 4.1, 14.11, 4.1, 13.80, 0.18}, analyze.CutShort},
	} {
		rows := script(60, idle(600, 13.1), ramp(1.6*anHour, 13.3, 13.5, 4.1, 4.1))
		for k := 0; k < len(c.last); k += 2 {
			r := rows[len(rows)-1]
			r.At, r.Volts, r.Amps, r.Line = r.At+60, c.last[k], c.last[k+1], r.Line+1
			rows = append(rows, r)
		}
		end := rows[len(rows)-1].At
		for _, r := range script(60, settle(anHour, 13.9, 13.5, 900)) {
			r.At += end + 60
			rows = append(rows, r)
		}
		for _, o := range []analyze.Options{{}, {Capacity: 10 * anHour, Chemistry: analyze.LiFePO4, Cells: 4}} {
			doc := run(o, rows)
			require.Len(t, doc.Sessions, 1, c.name)
			s := doc.Sessions[0]
			assert.Equal(t, c.want, s.Outcome, c.name)
			if c.want == analyze.Complete {
				assert.InDelta(t, end, float64(s.FinishS), 120, c.name)
				assert.Equal(t, analyze.EndTailCurrent, s.EndedBy, c.name)
			}
		}
	}
}
