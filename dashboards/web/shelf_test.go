package web

import (
	"context"
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
