package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/dashboards/curve"
)

// longNight is a charge of 100,000 rows, with a meter's noise.
func longNight() []curve.Point {
	points := make([]curve.Point, 100_000)
	for k := range points {
		t := float64(k)
		noise := math.Round(3*math.Sin(t*12.9898)) / 1000
		points[k] = curve.Point{At: t, Volts: 12.5 + t/50_000 + noise, Amps: 3*math.Exp(-t/40_000) + noise, Celsius: math.NaN()}
	}
	return points
}

// A charge of 100,000 rows in 2,000 points, over the handler, once its rows are at
// hand. The limit it is held to is 20 ms.
func BenchmarkSamples(b *testing.B) {
	points := longNight()
	s := newBench(b, func(o *Options) {
		o.Samples = func(context.Context, string) ([]curve.Point, error) { return points, nil }
	})
	require.NoError(b, s.book.PutSession(b.Context(), logbook.Session{Summary: charge("a", "mower", evening, analyze.Complete), Settled: true}))
	b.ReportAllocs()
	for b.Loop() {
		if w := s.ask("GET", "/api/v1/sessions/a/samples?points=2000", ""); w.Code != http.StatusOK {
			b.Fatal(w.Body)
		}
	}
}

// Pages of a book of 10,000 charges, over the handler. The limit is 10 ms.
func BenchmarkSessions(b *testing.B) {
	s := newBench(b)
	const charges = 10_000
	s.fill(b, charges)
	middle := fmt.Sprintf("&before=%d.bench-%05d", evening.Add(charges/2*time.Hour).UnixMilli(), charges/2)
	for name, query := range map[string]string{
		"newest": "limit=50", "middle": "limit=50" + middle, "battery": "limit=50&battery=battery-3" + middle,
		"by charge": "limit=50&sort=-charge", "text": "limit=50&text=bench-07", "longest": "limit=1000",
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if w := s.ask("GET", "/api/v1/sessions?"+query, ""); w.Code != http.StatusOK {
					b.Fatal(w.Body)
				}
			}
		})
	}
}

// fill puts so many charges into the book, an hour apart. They come as a document that
// was exported, for that is one commit instead of thousands.
func (b *bench) fill(t testing.TB, charges int) {
	t.Helper()
	night := charge("first", "mower", evening, analyze.Complete)
	for range 5 {
		night.Stages = append(night.Stages, analyze.Stage{
			Stage: analyze.ConstantCurrent, EndS: 7000, ChargeAh: 6, EnergyWh: 80, MeanV: 13.2, MeanA: 3,
			Why: "current of 6 A from 2 min 00 s, above the meter's own zero, the voltage rising to its limit",
		})
	}
	require.NoError(t, b.book.PutSession(t.Context(), logbook.Session{Summary: night, Settled: true}))
	var exported bytes.Buffer
	require.NoError(t, b.book.Export(t.Context(), &exported))
	book := document(t, exported.Bytes())
	entry := book["sessions"].([]any)[0].(map[string]any)
	sessions := make([]any, charges)
	for k := range sessions {
		another, summary := maps.Clone(entry), maps.Clone(entry["document"].(map[string]any))
		summary["id"], summary["battery"] = fmt.Sprintf("bench-%05d", k), fmt.Sprintf("battery-%d", k%7)
		summary["started"] = evening.Add(time.Duration(k) * time.Hour).Format(time.RFC3339)
		another["document"] = summary
		sessions[k] = another
	}
	book["sessions"] = sessions
	text, err := json.Marshal(book)
	require.NoError(t, err)
	require.NoError(t, b.book.Import(t.Context(), bytes.NewReader(text)))
}
