package analyze_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/madeup"
)

// Row by row or all at once, whole or in pieces with the machine carried over, asked
// in between or not: the same rows give the same bytes and tell the same events.

// fed is what a machine says of a log: its last document, and all that it told.
type fed struct{ document, events string }

// feed gives rows to a machine and asks for a document after those rows for which ask
// says so.
func feed(t testing.TB, o analyze.Options, rows []analyze.Sample, ask func(k int) bool) fed {
	m := analyze.New(o)
	var told strings.Builder
	for k, s := range rows {
		for _, e := range m.Step(s) {
			fmt.Fprintf(&told, "%s at %g seen %d %s %s %s %s\n", e.Kind, e.At, k, e.Stage, e.Why, e.Finding.Message, asJSON(t, e.Session))
		}
		if ask(k) {
			m.Document()
		}
	}
	return fed{asJSON(t, m.Document()), told.String()}
}

func never(int) bool { return false }

func TestAskingInBetweenChangesNothing(t *testing.T) {
	for seed := range uint64(20) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(seed, 2))
			rows := troubled(r)
			o := analyze.Options{Channel: "bench"}
			if seed%2 == 1 {
				o.Capacity, o.Chemistry = 17*3600, analyze.LeadAGM
			}
			want := feed(t, o, rows, never)
			got := feed(t, o, rows, func(int) bool { return r.IntN(150) == 0 })
			assert.Equal(t, want.document, got.document)
			assert.Equal(t, want.events, got.events)
			require.Contains(t, want.events, analyze.SessionBegan, "a script with nothing in it proves nothing")
		})
	}
}

// After so many rows a machine says what it would say of a log that ends there.
func TestEveryBeginningOfALogIsALog(t *testing.T) {
	for seed := range uint64(10) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			r := rand.New(rand.NewPCG(seed, 3))
			rows := troubled(r)
			m := analyze.New(analyze.Options{})
			for k, s := range rows {
				m.Step(s)
				if r.IntN(200) == 0 {
					require.Equal(t, asJSON(t, run(analyze.Options{}, rows[:k+1])), asJSON(t, m.Document()), "after %d rows", k+1)
				}
			}
		})
	}
}

func TestOpenLogsAreTheSameInPieces(t *testing.T) {
	for name := range truth(t) {
		rows := readPlain(t, name)
		r := rand.New(rand.NewPCG(4, uint64(len(rows))))
		want := feed(t, analyze.Options{}, rows, never)
		got := feed(t, analyze.Options{}, rows, func(int) bool { return r.IntN(300) == 0 })
		assert.Equal(t, want, got, name)
	}
}

func TestNightsAreTheSameInPieces(t *testing.T) {
	for _, n := range madeup.Nights() {
		t.Run(n.Name, func(t *testing.T) {
			t.Parallel()
			rows, _ := n.Collect()
			r := rand.New(rand.NewPCG(5, n.Seed))
			assert.Equal(t, feed(t, analyze.Options{}, rows, never), feed(t, analyze.Options{}, rows, func(int) bool { return r.IntN(300) == 0 }))
		})
	}
}

// Charges that are fetched when they are closed are those of the whole log's document.
func TestDrainedSessionsAreTheDocuments(t *testing.T) {
	for seed := range uint64(10) {
		r := rand.New(rand.NewPCG(seed, 6))
		rows := troubled(r)
		whole := run(analyze.Options{}, rows)
		var pieces []analyze.Session
		m := analyze.New(analyze.Options{})
		for _, s := range rows {
			m.Step(s)
			pieces = append(pieces, m.Drain()...)
		}
		pieces = append(pieces, m.Document().Sessions...)
		assert.Equal(t, asJSON(t, whole.Sessions), asJSON(t, pieces))
	}
}

// troubled is a log of one to three charges of any kind, with a noisy meter, and with
// everything in it that loggers do wrong.
func troubled(r *rand.Rand) []analyze.Sample {
	between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	var parts []part
	for range 1 + r.IntN(3) {
		amps := between(1, 8)
		parts = append(parts, idle(between(0, 1200), 12.5), ramp(between(0.3, 2)*anHour, 12.6, 14.4, amps, amps))
		if r.IntN(3) > 0 {
			parts = append(parts, fade(between(1, 3)*anHour, 14.4, amps, 0.5*anHour))
		}
		if r.IntN(3) == 0 {
			parts = append(parts, steady(anHour, 13.6, 0.05))
		}
		parts = append(parts, settle(between(0.1, 2)*anHour, 13.5, 12.9, 1200))
		if r.IntN(2) == 0 {
			parts = append(parts, ramp(anHour, 12.6, 12.2, -3, -3))
		}
	}
	var rows []analyze.Sample
	shift := 0.0
	for _, s := range script(between(2, 20), parts...) {
		s.Volts += 0.003 * r.NormFloat64()
		s.Amps += 0.005 * r.NormFloat64()
		s.At += shift
		s.Celsius = 20 + r.Float64()
		switch r.IntN(400) {
		case 0:
			s.Volts = analyze.Unknown()
		case 1:
			s.Amps = 3.4e38
		case 2:
			s.Amps = 0
		case 3:
			rows = append(rows, s)
		case 4:
			shift += between(-4000, 4000)
		case 5:
			s.At -= 500
		case 6:
			continue
		}
		rows = append(rows, s)
	}
	return rows
}

// endless is a log of any length, made on the fly: a row a second. A cycle is a charge
// of 3 h at 5 A and 4 h of fading current, a rest, a discharge and a rest; without
// cycles, one charge floats for ever.
func endless(k int, cycles bool) analyze.Sample {
	t := float64(k)
	s := analyze.Sample{At: t, Volts: 12.5, Celsius: 20, Counter: analyze.Unknown(), Line: k + 1}
	if cycles {
		t = math.Mod(t, 14*anHour)
	}
	noise := float64((k*7919)%13-6) / 6
	switch {
	case t < 600:
	case t < 3*anHour:
		s.Volts, s.Amps = 12.6+1.8*(t-600)/(3*anHour-600), 5
	case !cycles || t < 7*anHour:
		s.Volts, s.Amps = 14.4, 0.2+4.8*math.Exp(-(t-3*anHour)/anHour)
	case t < 9*anHour:
		s.Volts = 12.8 + 0.8*math.Exp(-(t-7*anHour)/1200)
	case t < 12*anHour:
		s.Volts, s.Amps = 12.4, -5
	}
	s.Volts = rounded(s.Volts+0.002*noise, 0.001)
	s.Amps = rounded(s.Amps+0.002*noise, 0.001)
	return s
}

// held is the memory that a machine holds after so many rows, bytes; closed charges are
// fetched as they come, as the daemon does.
func held(rows int, cycles bool) (bytes int64, m *analyze.Machine) {
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	m = analyze.New(analyze.Options{Capacity: 20 * 3600})
	for k := range rows {
		m.Step(endless(k, cycles))
		m.Drain()
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	return int64(after.HeapAlloc) - int64(before.HeapAlloc), m
}

const (
	mostHeld = 1 << 20 // bytes: about 2048 bins, and as much again for what stands beside
	shortLog = 100_000
	longLog  = 1_000_000
)

func TestMemoryDoesNotGrowWithTheLog(t *testing.T) {
	for _, cycles := range []bool{false, true} {
		short, m := held(shortLog, cycles)
		runtime.KeepAlive(m)
		long, m := held(longLog, cycles)
		runtime.KeepAlive(m)
		assert.Less(t, short, int64(mostHeld))
		assert.Less(t, long, int64(mostHeld))
	}
}

// A row in the midst of constant current costs no memory at all; nor does one without
// current.
func TestRowsOfASteadyStateAllocateNothing(t *testing.T) {
	for _, c := range []struct {
		name  string
		start int
	}{{"constant current", 8000}, {"idle", 60}} {
		t.Run(c.name, func(t *testing.T) {
			m := analyze.New(analyze.Options{Capacity: 20 * 3600})
			k := 0
			for ; k < c.start; k++ {
				m.Step(endless(k, false))
			}
			assert.Zero(t, testing.AllocsPerRun(400, func() {
				m.Step(endless(k, false))
				k++
			}))
		})
	}
}

// BenchmarkMemory shows that memory does not grow from 10^5 to 10^7 rows. Nothing is
// read from a file: the rows are made on the fly.
func BenchmarkMemory(b *testing.B) {
	for _, rows := range []int{100_000, 10_000_000} {
		for _, kind := range []struct {
			name   string
			cycles bool
		}{{"one charge", false}, {"many charges", true}} {
			b.Run(fmt.Sprintf("%s, %d rows", kind.name, rows), func(b *testing.B) {
				for b.Loop() {
					bytes, m := held(rows, kind.cycles)
					runtime.KeepAlive(m)
					b.ReportMetric(float64(bytes), "bytes-held")
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(rows), "ns/row")
			})
		}
	}
}
