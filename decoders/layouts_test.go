package decoders

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// layoutCase is one way to write the night.
type layoutCase struct {
	name   string
	header string
	line   func(k int, r row) string
	opt    Options
	live   bool    // lines are stamped on arrival, one every 10 s
	kind   string  // decoder that must be chosen
	share  float64 // of the night's charge that must come out; 0 is all of it
}

// layouts are all the ways; the first is the plainest.
func layouts() []layoutCase { return slices.Concat(columnLayouts(), labelledLayouts(), oddLayouts()) }

// summer is the local time, in an hour that begins so many hours before the
// night of a change at 01:00 UTC.
func summer(r row, night time.Time) time.Time {
	utc := night.Add(-3 * time.Hour).Add(time.Duration(r.t) * time.Second)
	change := night.Add(time.Hour)
	if utc.Before(change) == (night.Month() > 6) {
		return utc.Add(2 * time.Hour)
	}
	return utc.Add(time.Hour)
}

// charge integrates what a stream gives, by the trapezoid, and finds the
// median of the highest voltages.
func charge(t testing.TB, s *Stream, lines [][]byte, live bool) (ah, held float64) {
	last := analyze.Sample{At: math.NaN()}
	var volts []float64
	for i, l := range lines {
		arrival := math.NaN()
		if live {
			arrival = float64(i) * 10 * 2520 / float64(len(lines))
		}
		now, err := s.Line(l, arrival, 0)
		if err != nil {
			assert.IsType(t, ErrNotMine, err)
			continue
		}
		if !known(now.Amps) {
			continue
		}
		if dt := now.At - last.At; dt > 0 && dt < 100 {
			ah += (now.Amps + last.Amps) / 2 * dt / 3600
			if now.Volts > 14.39 && now.Volts < 14.41 {
				volts = append(volts, now.Volts)
			}
		}
		last = now
	}
	var st stats
	st.measure(volts)
	return ah, st.median
}

func TestLayouts(t *testing.T) {
	night := madeUpNight()
	for _, c := range layouts() {
		t.Run(c.name, func(t *testing.T) {
			lines := bytesOf(logOf(c.header, c.line))
			truth := night[len(night)-1].ah
			if c.share > 0 {
				truth *= c.share
			}
			c.opt.Live = c.live
			f, err := Fit(head(lines), c.opt)
			require.NoError(t, err)
			t.Log(f.Setting, f.Confidence, strings.Join(f.Evidence, "\n"), f.RunnerUp, f.Difference)
			assert.Equal(t, c.kind, f.Layout.Kind)
			again, err := Parse(f.Setting)
			require.NoError(t, err)
			assert.Equal(t, f.Setting, again.String(), "the setting reads back")
			ah, held := charge(t, streamOf(t, f.Setting), lines, c.live)
			assert.InEpsilon(t, truth, ah, 0.005, "ampere-hours")
			assert.InDelta(t, 14.4, held, 0.01, "held voltage")
		})
	}
}
