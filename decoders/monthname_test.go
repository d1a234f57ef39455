package decoders

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestStampsWithNames(t *testing.T) {
	for text, want := range map[string]string{
		"Sat Mar 14 20:40:05 2026":         "2026-03-14T20:40:05Z",
		"Sat Mar 14 20:40:05 CET 2026":     "2026-03-14T20:40:05Z", // whatever that is
		"Sun 1 Nov 20:40:05 UTC 2026":      "2026-11-01T20:40:05Z",
		"Sat Mar 14 20:40:05 +0200 2026":   "2026-03-14T18:40:05Z",
		"14. März 2026 20:40:05":           "2026-03-14T20:40:05Z",
		"14 m\xe4rz 2026, 20:40:05":        "2026-03-14T20:40:05Z",
		"3 déc. 2026 20:40:05":             "2026-12-03T20:40:05Z",
		"Mar 31 20:40:05 2026":             "2026-03-31T20:40:05Z",
		"Feb 30 20:40:05 2026":             "",
		"Mar 14 20:40:05":                  "",
		"mais 14 20:40:05 2026 12.1":       "2026-05-14T20:40:05Z",
		"December 14 2026 20:40:05":        "2026-12-14T20:40:05Z",
		"June 14 20:40:05 2026":            "2026-06-14T20:40:05Z",
		"marginal 12.1":                    "",
		"Mar 14 20:40:05 12.1":             "",
		"Mar 14 20:40:052026":              "",
		"Saturday, 14 March 2026 20:40:05": "2026-03-14T20:40:05Z",
	} {
		s, n := stampAt([]byte(text), formDMY)
		if want == "" {
			assert.Zero(t, n, text)
			continue
		}
		assert.Equal(t, want, time.Unix(int64(s), 0).UTC().Format(time.RFC3339), text)
		assert.Equal(t, len(strings.TrimSuffix(text, " 12.1")), n, text)
	}
}

// The number of a row in front of a date with the name of a month is no month itself.
func TestRowNumbersBeforeNamedMonths(t *testing.T) {
	for name, form := range map[string]string{"dashes": "%d,%s,%.3fV,%.3fA", "blanks": "#%d %s %.3f V %.3f A"} {
		layout := map[string]string{"dashes": "02-Jan-2006 15:04:05", "blanks": "02 Jan 2006 15:04:05"}[name]
		at := time.Date(2023, 11, 14, 22, 13, 20, 0, time.UTC)
		var lines [][]byte
		for k := range 200 {
			amps := 0.001 * float64(k%3)
			if k > 6 {
				amps += 6
			}
			lines = append(lines, fmt.Appendf(nil, form, k, at.Add(time.Duration(k)*20*time.Second).Format(layout), 11.9+0.005*float64(k), amps))
		}
		f, err := Fit(lines, Options{})
		require.NoError(t, err)
		s, err := NewStream(f.Layout)
		require.NoError(t, err)
		for k, l := range lines {
			x, err := s.Line(l, math.NaN(), 0)
			require.NoError(t, err, "%s", l)
			assert.InDelta(t, float64(at.Unix()+20*int64(k)), x.At, 1e-6)
		}
	}
}

func TestDayClock(t *testing.T) {
	for text, want := range map[string]float64{
		"0:00:00:10": 10, "1:02:03:04": 93784, "01:02:03:04.5": 93784.5, "12:00:00:01,12.1": 12*day + 1,
		"20:40:05:12": -1, "20:10:05:12.1": -1, "20:40:05:123": -1, "1:2:03:04": -1, "0:00:00": -1,
	} {
		s, n := dayClock([]byte(text))
		if want < 0 {
			assert.Zero(t, n, text)
			continue
		}
		require.NotZero(t, n, text)
		assert.InDelta(t, want, s, 1e-9, text)
		_, n = clockAt([]byte(text), formHMS)
		assert.Zero(t, n, "%s is no clock and something behind", text)
	}
}

// A dated log has its wall time, and no day is a temperature.
func TestNamedMonthsAreNoTemperatures(t *testing.T) {
	for layout, want := range map[string]string{
		time.ANSIC:        "stamp_m-d-y, voltage_V, current_A",
		"Jan _2 15:04:05": "clock_h:m:s, voltage_V, current_A",
	} {
		lines := bytesOf(logOf("", func(_ int, r row) string {
			return r.at().Format(layout) + " bench: " + comma("%.3fV %.3fA", r.v, r.i)
		}))
		f, err := Fit(head(lines), Options{})
		require.NoError(t, err)
		assert.Equal(t, want, f.Columns)
	}
}
