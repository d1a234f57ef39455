package influx

import (
	"fmt"
	"net/http"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"amphora/analyze"
	"amphora/dashboards/push"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPointsArriveWithinTheirAge(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newStore(t)
		h := newHouse(t, s, "a", "b")
		defer h.sink.Close()
		h.measure(60)
		synctest.Wait()
		assert.GreaterOrEqual(t, len(s.times(series("a"))), 50)
		assert.LessOrEqual(t, s.requests, 6)
		time.Sleep(DefaultAge)
		synctest.Wait()
		s.requireInOrder(series("a"), 60)
		s.requireInOrder(series("b"), 60)
		assert.Equal(t, "voltage=12.06", s.points[point{series("a"), time.Now().Add(-DefaultAge).UnixNano()}])
		assert.Equal(t, push.Status{Name: "influx store.example:8086 garage"}, h.sink.Status())
		assert.Zero(t, s.twice)
		assert.Empty(t, h.log.Lines())
		found, err := filepath.Glob(filepath.Join(h.dir, "*", "*.batch"))
		require.NoError(t, err)
		assert.Empty(t, found, "the disk is not needed")
	})
}

// Eight hours without a server, in all the ways there are, and then with one again.
func TestEightHoursAway(t *testing.T) {
	for name, fault := range map[string]func(*http.Request, string) (int, string){
		"refuses connections": always(-1, ""),
		"hangs":               always(-2, ""),
		"500":                 always(500, `{"error":"engine: timeout"}`),
		"503":                 always(503, "busy"),
		"429":                 always(429, "slow down"),
		"401":                 always(401, `{"error":"authorization failed"}`),
		"403":                 always(403, "forbidden"),
		"404":                 always(404, `{"error":"database not found: \"garage\""}`),
		"307 elsewhere":       always(307, ""),
		"400 from a stranger": always(400, "Client sent an HTTP request to an HTTPS server."),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				s := newStore(t)
				h := newHouse(t, s, "a", "b", "c")
				if name != "refuses connections" {
					h.every = 6 * time.Second
				}
				began := time.Now()
				if name != "400 from a stranger" {
					h.measure(600)
				}
				s.setFault(fault)
				h.measure(8 * 3600)
				synctest.Wait()
				asked := s.requests
				st := h.sink.Status()
				assert.GreaterOrEqual(t, st.Pending, 3*(8*3600-int(tryLimit.Seconds()))/int(h.every.Seconds()))
				assert.WithinRange(t, st.Since, began, began.Add(11*time.Minute))
				assert.NotEmpty(t, st.Why)
				assert.Positive(t, st.Failures)
				assert.LessOrEqual(t, asked, (1+trials)*8*60*3/2, "a try a minute at least, and a refusal is looked into")
				assert.GreaterOrEqual(t, asked, 8*60*2/3)
				found, err := filepath.Glob(filepath.Join(h.dir, "*", "*.batch"))
				require.NoError(t, err)
				assert.LessOrEqual(t, len(found), 8*13, "the disk is spared")

				s.setFault(nil)
				h.measure(96) // a try that hangs, and the longest pause
				synctest.Wait()
				assert.LessOrEqual(t, h.sink.Status().Pending, 3*13, "soon all is there")
				assert.Empty(t, h.sink.Status().Why)
				h.sink.Close()
				for _, c := range h.channels {
					s.requireInOrder(series(c), len(h.journal[c]))
				}
				assert.Zero(t, h.sink.Status().Pending)
				assert.Zero(t, h.sink.Status().Dropped)
				assert.Zero(t, h.sink.Status().Refused)
				h.quietly(began)
			})
		})
	}
}

// The program is killed again and again while the server is away, and while it comes
// back. Each point arrives, in order.
func TestKillsInAnOutage(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newStore(t)
		h := newHouse(t, s, "a", "b")
		h.measure(700)
		h.kill()
		h.open()
		s.setFault(always(503, ""))
		for n := range 12 {
			h.measure(97 * (n + 1))
			h.kill()
			h.open()
		}
		s.setFault(nil)
		for range 5 {
			h.measure(23)
			h.kill()
			h.open()
		}
		h.measure(120)
		h.sink.Close()
		for _, c := range h.channels {
			s.requireInOrder(series(c), len(h.journal[c]))
			for _, r := range h.journal[c] {
				p := point{series(c), r.Samples[0].At.UnixNano()}
				require.Equal(t, fmt.Sprintf("voltage=%v", r.Samples[0].Volts), s.points[p])
			}
		}
		assert.Positive(t, s.twice, "what was on its way came again, and overwrote itself")
	})
}

// What is given up beyond the limit is the oldest, and counted to the point.
func TestTheLimitIsCountedToThePoint(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newStore(t)
		h := newHouse(t, s, "a", "b")
		h.sink.Close()
		h.server.Limit, h.server.Points = 60<<10, 1000
		h.open()
		began := time.Now()
		s.setFault(always(-1, ""))
		h.measure(12_000)
		synctest.Wait()
		dropped := h.sink.Status().Dropped
		assert.Positive(t, dropped)
		s.setFault(nil)
		h.measure(120)
		h.sink.Close()
		st := h.sink.Status()
		assert.Equal(t, dropped, st.Dropped)
		assert.Len(t, s.points, 2*12_120-int(dropped))
		for _, c := range h.channels {
			at := s.times(series(c))
			first := h.journal[c][len(h.journal[c])-len(at)]
			assert.Equal(t, first.Samples[0].At.UnixNano(), at[0], "those that are missing are the oldest")
		}
		h.quietly(began)
	})
}

// A server that is slow in taking what has gathered holds up what else is due: what
// comes meanwhile goes to disk and is not dropped, and the log and the note go on.
func TestASlowReturn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newStore(t)
		h := newHouse(t, s, "a", "b", "c", "d")
		h.sink.Close()
		h.server.Points, h.server.memory = 100, 100<<10
		h.open()
		began := time.Now()
		s.setFault(always(-1, ""))
		h.measure(6000)
		s.setSlow(30 * time.Second)
		s.setFault(nil)
		h.measure(3000)
		synctest.Wait()
		assert.Greater(t, h.sink.Status().Pending, 5_000, "far behind")
		assert.Contains(t, strings.Join(h.log.Lines(), ""), "taken again")
		assert.Greater(t, h.sink.(*sink).queue.Level().Stored, int64(100<<10))
		s.setSlow(0)
		h.measure(120)
		h.sink.Close()
		assert.Zero(t, h.sink.Status().Dropped)
		for _, c := range h.channels {
			s.requireInOrder(series(c), 9120)
		}
		assert.LessOrEqual(t, s.twice, 100)
		h.quietly(began)
	})
}

// A stop waits for nobody, delivers what it can and loses nothing.
func TestAStopWaitsForNobody(t *testing.T) {
	for name, fault := range map[string]func(*http.Request, string) (int, string){"well": nil, "hangs": always(-2, ""), "refuses": always(-1, "")} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				s := newStore(t)
				h := newHouse(t, s, "a")
				h.measure(100)
				s.setFault(fault)
				h.measure(45)
				asked := time.Now()
				h.sink.Close()
				h.sink.Close()
				assert.LessOrEqual(t, time.Since(asked), 2*time.Second)
				h.sink.Take(push.Record{Channel: "a", Seq: 1 << 40}) // is void
				if fault == nil {
					s.requireInOrder(series("a"), 145)
				}
				h.open()
				assert.EqualValues(t, 145, h.sink.After("a"))
				s.setFault(nil)
				h.measure(70)
				h.sink.Close()
				s.requireInOrder(series("a"), 215)
				assert.LessOrEqual(t, s.twice, 11, "what was on its way when it was stopped")
			})
		})
	}
}

// Sync makes everything safe that was taken, whether the server is there or not.
func TestSyncMakesSafe(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newStore(t)
		h := newHouse(t, s, "a")
		for _, fault := range []func(*http.Request, string) (int, string){nil, always(-2, "")} {
			s.setFault(fault)
			h.measure(33)
			require.NoError(t, h.sink.Sync(t.Context()))
			h.kill()
			h.open()
			assert.EqualValues(t, len(h.journal["a"]), h.sink.After("a"))
		}
		h.kill()
	})
}

// The pauses between tries grow from a second to a minute, by chance a little
// shorter, or as the server asks.
func TestPauses(t *testing.T) {
	p := pace{}
	for _, most := range []time.Duration{1, 2, 4, 8, 16, 32, 60, 60, 60} {
		got := p.next(0)
		assert.LessOrEqual(t, got, most*time.Second)
		assert.GreaterOrEqual(t, got, max(time.Second, most*time.Second/2))
	}
	for range 1000 { // a night, say
		assert.GreaterOrEqual(t, p.next(0), 30*time.Second)
	}
	p.reset()
	assert.Equal(t, time.Second, p.next(0))
	assert.Equal(t, 20*time.Second, p.next(20*time.Second))
	assert.Equal(t, time.Minute, p.next(time.Hour))
}

// A charge is a point of its own.
func TestACharge(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newStore(t)
		h := newHouse(t, s)
		started := time.Now()
		one := &analyze.Session{
			ID: "x", Channel: "a", Battery: "mower", Started: &started, EndS: 3600, Outcome: analyze.Complete,
			ChargeInAh: 3.1, EnergyInWh: 40, HeldV: 14.5, SetA: 3,
		}
		h.sink.Take(push.Record{Channel: "a", Battery: "mower", Seq: 1, Sessions: []*analyze.Session{one}})
		one.ChargeInAh = 3.2
		h.sink.Take(push.Record{Channel: "a", Battery: "mower", Seq: 9, Sessions: []*analyze.Session{one}})
		h.sink.Close()
		p := point{"charge_session,battery=mower,channel=a,outcome=complete", started.Add(time.Hour).UnixNano()}
		assert.Equal(t, map[point]string{p: "charge_ah=3.2,duration_s=3600,energy_wh=40,held_v=14.5,set_a=3"}, s.points)
	})
}

// One record costs the channel that hands it over next to nothing.
func BenchmarkTake(b *testing.B) {
	s := &Server{URL: "http://127.0.0.1:9", Database: "x"}
	k, err := s.Open(push.Host{Dir: b.TempDir()})
	require.NoError(b, err)
	defer k.Close()
	r := push.Record{Channel: "bench", Battery: "mower", Samples: []push.Sample{{At: time.Now(), Stage: analyze.ConstantCurrent, Volts: 13.7, Amps: 3, Celsius: 20, ChargeAh: 1}}}
	b.ReportAllocs()
	for b.Loop() {
		r.Seq++
		r.Samples[0].At = r.Samples[0].At.Add(time.Second)
		k.Take(r)
	}
}
