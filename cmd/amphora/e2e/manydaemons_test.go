//go:build linux

package e2e

import (
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"amphora/dashboards/push/influx/stores"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// meters are many of them behind bridges: who connects to a port of theirs is told a
// row a second, as long as it may last.
type meters struct {
	listeners []net.Listener
	stop      chan struct{}
	talking   sync.WaitGroup
}

func newMeters(t testing.TB, count int) *meters {
	m := &meters{stop: make(chan struct{})}
	lines := mower(2).lines
	for k := range count {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		require.NoError(t, err)
		t.Cleanup(func() { l.Close() })
		m.listeners = append(m.listeners, l)
		m.talking.Go(func() {
			c, err := l.Accept()
			if err != nil {
				return
			}
			defer c.Close()
			tick := time.NewTicker(time.Second)
			defer tick.Stop()
			for n := 100 + 40*k; ; n++ {
				if _, err := io.WriteString(c, lines[n%len(lines)]+"\r\n"); err != nil {
					return
				}
				select {
				case <-m.stop:
					return
				case <-tick.C:
				}
			}
		})
	}
	return m
}

func (m *meters) source(k int) string {
	return `tcp: {address: "` + m.listeners[k].Addr().String() + `"}`
}

// count is how many readings a database holds of a site.
func count(t testing.TB, db *stores.Store, site string) int {
	t.Helper()
	var answer struct {
		Results []struct {
			Series []struct{ Values [][]any }
		}
	}
	q := fmt.Sprintf("SELECT count(voltage) FROM charge_sample WHERE site='%s'", site)
	require.NoError(t, json.Unmarshal(db.Ask("garage", q), &answer))
	if len(answer.Results[0].Series) == 0 {
		return 0
	}
	return int(answer.Results[0].Series[0].Values[0][1].(float64))
}

// victoriaCount is the same for a VictoriaMetrics.
func victoriaCount(t testing.TB, db *stores.Store, site string) (n int) {
	t.Helper()
	db.Get("/internal/force_flush", nil)
	text := db.Get("/api/v1/export", url.Values{"match[]": {fmt.Sprintf(`charge_sample_voltage{site=%q}`, site)}, "start": {"0"}, "end": {"4000000000"}})
	for line := range strings.Lines(string(text)) {
		var s struct{ Values []float64 }
		require.NoError(t, json.Unmarshal([]byte(line), &s))
		n += len(s.Values)
	}
	return n
}

// Four programs of fifty channels each push everything to two stores, one of which is
// away for a third of the time. Every reading is in both afterwards. With AMPHORA_LONG
// it is what the figures in DEVELOPERS.md are from.
func TestManyDaemonsOneStore(t *testing.T) {
	daemons, channels, lasts := 2, 10, 9*time.Second
	if long {
		daemons, channels, lasts = 4, 50, 3*time.Minute
	}
	influx, victoria := stores.Influx(t), stores.Victoria(t)
	influx.Ask("", "CREATE DATABASE garage")
	m := newMeters(t, daemons*channels)
	var programs []*program
	var places []*place
	for d := range daemons {
		at := newPlace(t)
		at.settings = fmt.Sprintf("push:\n  - influx: {url: %q, database: garage, tags: {site: s%d}}\n  - influx: {url: %q, org: house, bucket: garage, tags: {site: s%d}}\n", influx.URL, d, victoria.URL, d)
		for c := range channels {
			at.channels = append(at.channels, fmt.Sprintf("  - name: c%02d\n    source: {%s}\n", c, m.source(d*channels+c)))
		}
		at.write(t)
		places, programs = append(places, at), append(programs, serve(t, at.config))
	}
	began := time.Now()
	started := spentBy(t, programs)
	time.Sleep(lasts / 3)
	before, stored := spentBy(t, programs), stores.Spent(t, influx.PID)
	victoriaBefore := stores.Spent(t, victoria.PID)
	measured := time.Now()
	time.Sleep(lasts / 3)
	over := time.Since(measured).Seconds()
	t.Logf("well, %.0f s: %d daemons %.1f %% of a core and %.0f MiB each, influxd %.1f %% and %.0f MiB, victoria-metrics %.1f %% and %.0f MiB", over, daemons,
		100*(spentBy(t, programs)-before).Seconds()/over/float64(daemons), residentOf(t, programs)/float64(daemons),
		100*(stores.Spent(t, influx.PID)-stored).Seconds()/over, stores.Resident(t, influx.PID), 100*(stores.Spent(t, victoria.PID)-victoriaBefore).Seconds()/over, stores.Resident(t, victoria.PID))

	influx.Stop()
	away := time.Now()
	time.Sleep(lasts / 3)
	close(m.stop)
	m.talking.Wait()
	influx.Start()
	waiting, back := 0, time.Now()
	for _, p := range programs {
		waiting += p.view("c00").Push[0].Pending
	}
	testhelp.Until(t, "all delivered", func() bool {
		for _, p := range programs {
			for _, target := range p.view("c00").Push {
				if target.Pending > 0 {
					return false
				}
			}
		}
		return true
	})
	t.Logf("away for %.0f s: %d points waited, delivered %.1f s after it was back; daemons %.0f MiB each, %.1f %% of a core since the start",
		back.Sub(away).Seconds(), waiting, time.Since(back).Seconds(), residentOf(t, programs)/float64(daemons),
		100*(spentBy(t, programs)-started).Seconds()/time.Since(began).Seconds()/float64(daemons))
	for d, p := range programs {
		p.stop()
		rows := 0
		for c := range channels {
			rows += len(rowsOf(t, whole(recorded(t, places[d].data, fmt.Sprintf("c%02d", c)))))
		}
		require.Greater(t, rows, channels*int(lasts.Seconds()-2))
		site := fmt.Sprintf("s%d", d)
		assert.Equal(t, rows, count(t, influx, site), site)
		assert.Equal(t, rows, victoriaCount(t, victoria, site), site)
	}
}

func spentBy(t testing.TB, programs []*program) (sum time.Duration) {
	for _, p := range programs {
		sum += stores.Spent(t, p.cmd.Process.Pid)
	}
	return sum
}

func residentOf(t testing.TB, programs []*program) (sum float64) {
	for _, p := range programs {
		sum += stores.Resident(t, p.cmd.Process.Pid)
	}
	return sum
}
