package analyze_test

import (
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
)

// unwatched is a night without the rows from a time before its current stops to one after, s.
func unwatched(n madeup.Night, before, after float64) func() []analyze.Sample {
	return func() []analyze.Sample {
		return without(collected(n)(), lastFlow(n)-before, lastFlow(n)+after)
	}
}

// A charge that may have come to its end while nobody looked was not dropped for certain.
// It is cut short all the same by the rules of its outcome, as its end was not seen.
func TestNothingIsSaidToBeDroppedThatMayBeDone(t *testing.T) {
	done, peak := madeup.Named("mower-two-hour-timer"), madeup.Named("lantern-peak")
	done.Charger.Timer = 0
	for name, c := range map[string]struct {
		night madeup.Night
		rows  func() []analyze.Sample
	}{
		"nickel, not watched for ten minutes": {peak, unwatched(peak, 420, 180)},
		"not watched for most of the night":   {done, unwatched(done, 6*anHour, anHour)},
	} {
		for _, o := range []analyze.Options{{}, known(c.night)} {
			s := run(o, c.rows()).Sessions[0]
			assert.Equal(t, analyze.CutShort, s.Outcome, name)
			assert.NotContains(t, codesOf(&s), analyze.CodeCurrentDropped, name)
			assert.Contains(t, codesOf(&s), analyze.CodeDataGap, name)
		}
	}
}
