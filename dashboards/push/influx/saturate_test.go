//go:build linux

package influx

import (
	"fmt"
	"os"
	"sync"
	"syscall"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/dashboards/push"
	"amphora/dashboards/push/influx/stores"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// How many points one store takes, and what one costs it and us: the figures in
// DEVELOPERS.md. Four sinks push without a pause, fifty channels each.
func TestHowMuchOneStoreTakes(t *testing.T) {
	if os.Getenv("AMPHORA_LONG") == "" {
		t.Skip("measures for a minute; set AMPHORA_LONG=1")
	}
	for _, start := range []func(testing.TB) *stores.Store{stores.Influx, stores.Victoria} {
		db := start(t)
		t.Run(db.Name, func(t *testing.T) {
			if db.Name == "influxd" {
				db.Ask("", "CREATE DATABASE garage")
			}
			const sinks, channels, lasts = 4, 50, 20 * time.Second
			began, ours, theirs := time.Now(), own(t), stores.Spent(t, db.PID)
			var pushing sync.WaitGroup
			var taken [sinks]int
			for n := range sinks {
				s := &Server{URL: db.URL, Database: "garage", Tags: map[string]string{"site": fmt.Sprint("s", n)}}
				k, err := s.Open(push.Host{Dir: t.TempDir()})
				require.NoError(t, err)
				pushing.Go(func() {
					defer k.Close()
					for ; time.Since(began) < lasts; taken[n] += channels {
						for c := range channels {
							k.Take(made(c, taken[n]/channels))
						}
						for k.Status().Pending > 3*DefaultPoints {
							time.Sleep(time.Millisecond) // a real server is on the other side
						}
					}
					testhelp.Until(t, "the delivery", func() bool { return k.Status().Pending == 0 })
					assert.Zero(t, k.Status().Dropped+k.Status().Failures+k.Status().Refused)
				})
			}
			pushing.Wait()
			sum := 0
			for _, n := range taken {
				sum += n
			}
			t.Logf("%s: %d points in %.0f s, %.0f a second; processor time for a point: %.1f us there, %.1f us here; %.0f MiB there",
				db.Name, sum, time.Since(began).Seconds(), float64(sum)/time.Since(began).Seconds(),
				(stores.Spent(t, db.PID)-theirs).Seconds()*1e6/float64(sum), (own(t)-ours).Seconds()*1e6/float64(sum), stores.Resident(t, db.PID))
		})
		db.Stop()
	}
}

// made is the row of a number of one of the channels.
func made(channel, row int) push.Record {
	return push.Record{Channel: fmt.Sprintf("c%02d", channel), Battery: fmt.Sprintf("b%02d", channel), Seq: uint64(row + 1), Samples: []push.Sample{{
		At: time.Unix(1773524400+int64(row), 0), Stage: analyze.ConstantCurrent, Volts: 12 + float64((row*7919+channel)%2000)/1000,
		Amps: 3 + float64(row*31%17)/1000, Celsius: 20 + float64(row/600%50)/10, ChargeAh: float64(row) * 3 / 3600,
	}}}
}

// own is the processor time of the test itself.
func own(t testing.TB) time.Duration {
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
