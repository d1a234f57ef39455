package web

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// Of which battery a charge was can be said afterwards; what cannot be done is told.
func TestAChargeIsSaidToBeAnotherBatterys(t *testing.T) {
	b := newBench(t, func(o *Options) {
		o.Assign = func(_ context.Context, id, battery string) (analyze.Session, error) {
			switch id {
			case "first":
				return charge("first", battery, evening, analyze.Complete), nil
			case "newest":
				return analyze.Session{}, fmt.Errorf("session %q %w", id, logbook.ErrUnsettled)
			}
			return analyze.Session{}, fmt.Errorf("session %q %w", id, logbook.ErrNotFound)
		}
	})
	require.NoError(t, b.book.AddBattery(t.Context(), logbook.Battery{Name: "caravan"}))
	for _, c := range []struct {
		id, body string
		status   int
		want     string
	}{
		{"first", `{"battery":"caravan"}`, 200, `"battery":"caravan"`},
		{"newest", `{"battery":"caravan"}`, 409, "may still be revised"},
		{"x", `{"battery":"caravan"}`, 404, "is not in the logbook"},
		{"first", `{"battery":"attic"}`, 422, `which is not in the logbook; add it first`},
		{"first", `{"battery":""}`, 422, "battery is missing"},
		{"first", `{"battery":null}`, 422, "battery is missing"},
		{"first", `{}`, 422, "battery is missing"},
		{"first", `{"battery":"caravan","outcome":"complete"}`, 422, "outcome is not to be changed"},
	} {
		w := b.ask("PATCH", "/api/v1/sessions/"+c.id, c.body, "Content-Type", mergeKind)
		assert.Equal(t, c.status, w.Code, c.body)
		assert.Contains(t, w.Body.String(), c.want)
	}
}
