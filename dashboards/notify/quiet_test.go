package notify

import (
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The fake time begins at midnight UTC, long before this program.
func TestQuietHoursKeepAllButAlarms(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := Open(Options{Dir: t.TempDir(), Targets: []Target{b}, Rules: Rules{Quiet: Quiet{From: 22 * time.Hour, To: 7 * time.Hour}}, Now: func() time.Time { return time.Now().UTC().AddDate(26, 0, 0) }})
		defer c.Close()
		tell(c, 1, raised("stalled", analyze.Warning))
		time.Sleep(3 * time.Hour)
		assert.Empty(t, b.titles())
		tell(c, 2, raised("over-temperature", analyze.Alarm))
		time.Sleep(time.Minute)
		assert.Equal(t, []string{"Alarm: bench (mower), over temperature"}, b.titles())
		tell(c, 3, cleared("over-temperature"))
		time.Sleep(3*time.Hour + 58*time.Minute)
		assert.Len(t, b.all(), 1)
		time.Sleep(2 * time.Minute)
		assert.Equal(t, "Warning: bench (mower), stalled, and 1 more", b.titles()[1], "at seven the rest is told")
		assert.Len(t, b.all(), 2)
	})
}

// Where alarms come one after the other, what waits for the morning is not held back by their limit.
func TestQuietHoursAreNotTheLimitOfAnHour(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b := &box{}
		c := Open(Options{Dir: t.TempDir(), Targets: []Target{b}, Rules: Rules{Quiet: Quiet{From: 22 * time.Hour, To: 7 * time.Hour}}, Now: func() time.Time { return time.Now().UTC().AddDate(26, 0, 0) }})
		defer c.Close()
		tell(c, 1, raised("stalled", analyze.Warning))
		for k := range uint64(mostAnHour + 1) {
			tell(c, 2+k, raised(fmt.Sprintf("alarm-%d", k), analyze.Alarm))
			time.Sleep(3 * time.Second)
		}
		assert.Len(t, b.all(), mostAnHour)
		assert.EqualValues(t, 1, c.Status().Targets[0].Counts[heldBack], "the last of the alarms")
		time.Sleep(8 * time.Hour)
		require.Len(t, b.all(), mostAnHour+2)
		assert.Equal(t, "Warning: bench (mower), stalled", b.titles()[mostAnHour+1])
	})
}

func TestQuietOverNight(t *testing.T) {
	q, err := ParseQuiet("22:00-07:00")
	require.NoError(t, err)
	zone, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	for text, want := range map[string]string{
		"2026-03-28T21:59:00": "2026-03-28T21:59:00",
		"2026-03-28T22:00:00": "2026-03-29T07:00:00", // the clocks go forward in this night
		"2026-03-29T01:59:00": "2026-03-29T07:00:00",
		"2026-03-29T07:00:00": "2026-03-29T07:00:00",
		"1970-01-01T23:00:00": "1970-01-01T23:00:00", // the clock was never set
	} {
		now, err := time.ParseInLocation("2006-01-02T15:04:05", text, zone)
		require.NoError(t, err)
		assert.Equal(t, want, q.end(now).Format("2006-01-02T15:04:05"))
	}
	for _, text := range []string{"", "22-7", "22:00", "25:00-07:00", "07:00-07:00"} {
		_, err := ParseQuiet(text)
		assert.Error(t, err, text)
	}
	noon, err := ParseQuiet("12:30 - 14:00")
	require.NoError(t, err)
	at := time.Date(2026, 3, 14, 13, 0, 0, 0, time.UTC)
	assert.Equal(t, time.Hour, noon.end(at).Sub(at))
	for _, loud := range []time.Duration{-5 * time.Hour, -30*time.Minute - time.Second, time.Hour, 9 * time.Hour} {
		assert.Equal(t, at.Add(loud), noon.end(at.Add(loud)))
	}
}
