package web

import (
	"context"
	"errors"
	"net/http"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze/logbook"
	"amphora/dashboards/curve"
)

func TestCurvesStayAtHandForAWhile(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var read []string
		var fault error
		s := newShelf(func(_ context.Context, session string) ([]curve.Point, error) {
			time.Sleep(time.Second)
			read = append(read, session)
			return make([]curve.Point, 3), fault
		})
		get := func(sessions ...string) {
			for _, session := range sessions {
				points, err := s.get(t.Context(), session, time.Minute)
				require.NoError(t, err)
				require.Len(t, points, 3)
			}
		}
		get("a", "a", "b", "a", "b")
		assert.Equal(t, []string{"a", "b"}, read)
		get("c", "b") // a has made room
		get("a")
		assert.Equal(t, []string{"a", "b", "c", "a"}, read)
		time.Sleep(2 * time.Minute)
		synctest.Wait()
		assert.Empty(t, s.held, "nothing stays for ever")

		read = nil
		for range 5 { // many at once cost one reading
			go get("a")
		}
		synctest.Wait()
		gone, cancel := context.WithCancel(t.Context())
		cancel()
		_, err := s.get(gone, "b", time.Minute)
		assert.ErrorIs(t, err, context.Canceled, "who has gone does not wait for his turn")
		time.Sleep(10 * time.Second)
		synctest.Wait()
		assert.Equal(t, []string{"a"}, read)

		fault = errors.New("no disk")
		_, err = s.get(t.Context(), "d", time.Minute)
		assert.ErrorIs(t, err, fault)
		fault = nil
		get("d")
		assert.Equal(t, []string{"a", "d", "d"}, read, "a failure is not kept")
		time.Sleep(2 * time.Minute)
	})
}

// Who looks at a whole charge is shown its shape where there is one; who looks into
// it, or wants more, is shown the rows.
func TestShapeOrRows(t *testing.T) {
	row := func(volts float64) []curve.Point { return []curve.Point{{Volts: volts}} }
	shape, fault := row(12), error(nil)
	b := newBench(t, func(o *Options) {
		o.Shape = func(context.Context, string) ([]curve.Point, error) { return shape, fault }
		o.Samples = func(context.Context, string) ([]curve.Point, error) { return row(13), nil }
	})
	volts := func(query string) any {
		return b.get(t, "/api/v1/sessions/a/samples"+query)["volts"].([]any)[0]
	}
	assert.Equal(t, 12.0, volts(""))
	assert.Equal(t, 12.0, volts("?points=2000"))
	for _, query := range []string{"?points=2001", "?from=0", "?to=100", "?from=-5&to=5"} {
		assert.Equal(t, 13.0, volts(query), query)
	}
	shape = nil
	assert.Equal(t, 13.0, volts(""), "nobody has it ready")
	fault = logbook.ErrNotFound
	assert.Equal(t, http.StatusNotFound, b.ask("GET", "/api/v1/sessions/a/samples", "").Code)
}
