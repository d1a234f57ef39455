package web

import (
	"context"
	"fmt"
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/analyze/logbook"
	"amphora/dashboards/curve"
)

func TestSamplesKeepEveryPeak(t *testing.T) {
	b := newBench(t, func(o *Options) {
		o.Samples = func(_ context.Context, id string) ([]curve.Point, error) {
			if id != "bench-1" {
				return nil, fmt.Errorf("session %q %w", id, logbook.ErrNotFound)
			}
			points := make([]curve.Point, 50_000)
			for i := range points {
				points[i] = curve.Point{At: float64(i), Volts: 13.6, Amps: 3, Celsius: float64(unknown)}
			}
			points[31_234].Volts = 17.2
			return points, nil
		}
	})
	for query, most := range map[string]int{"": 2000, "?points=300": 300, "?points=12": 12} {
		got := b.get(t, "/api/v1/sessions/bench-1/samples"+query)
		volts := got["volts"].([]any)
		assert.LessOrEqual(t, len(volts), most)
		assert.Contains(t, volts, 17.2)
		for _, column := range []string{"at_s", "amps", "celsius"} {
			assert.Len(t, got[column], len(volts))
		}
		assert.Nil(t, got["celsius"].([]any)[0], "what was not measured is null")
	}
	assert.Equal(t, http.StatusNotFound, b.ask("GET", "/api/v1/sessions/bench-2/samples", "").Code)
}

// A stretch is shown at full detail, with a row beyond each of its ends.
func TestSamplesOfAStretch(t *testing.T) {
	b := newBench(t, func(o *Options) {
		o.Samples = func(context.Context, string) ([]curve.Point, error) {
			points := make([]curve.Point, 1000)
			for i := range points {
				points[i] = curve.Point{At: float64(10 * i), Volts: 13, Amps: 3, Celsius: float64(unknown)}
			}
			return points, nil
		}
	})
	at := func(query string) []any { return b.get(t, "/api/v1/sessions/x/samples?"+query)["at_s"].([]any) }
	assert.Equal(t, []any{30.0, 40.0, 50.0, 60.0, 70.0}, at("from=35&to=65"))
	assert.Equal(t, []any{0.0, 10.0, 20.0}, at("to=15"))
	assert.Equal(t, []any{9980.0, 9990.0}, at("from=9985&to=1e300"))
	assert.Equal(t, []any{9990.0}, at("from=99999"))
	assert.Empty(t, at("from=500&to=100"))
	for _, query := range []string{"from=x", "to=NaN", "from=1e999"} {
		assert.Equal(t, http.StatusBadRequest, b.ask("GET", "/api/v1/sessions/x/samples?"+query, "").Code, query)
	}
}
