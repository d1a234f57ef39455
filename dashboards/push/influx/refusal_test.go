package influx

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A point that the server will never take costs itself, and nothing else.
func TestOnePoisonedPoint(t *testing.T) {
	for _, status := range []int{400, 413, 422} {
		synctest.Test(t, func(t *testing.T) {
			s := newStore(t)
			h := newHouse(t, s, "a")
			poison := []string{" voltage=12.017 ", " voltage=12.018 ", " voltage=12.333 "}
			s.setFault(func(_ *http.Request, text string) (int, string) {
				for _, p := range poison {
					if strings.Contains(text, p) {
						return status, `{"error":"partial write: field type conflict` + "\n" + `dropped=1"}`
					}
				}
				return 0, ""
			})
			h.measure(1000)
			time.Sleep(time.Minute)
			synctest.Wait()
			s.requireInOrder(series("a"), 997)
			assert.EqualValues(t, 3, h.sink.Status().Refused)
			assert.Zero(t, h.sink.Status().Pending)
			assert.Zero(t, h.sink.Status().Failures, "nothing was kept waiting")
			aside, err := os.ReadFile(filepath.Join(h.sink.(*sink).dir, asideName))
			require.NoError(t, err)
			var reasons, points []string
			for line := range strings.Lines(string(aside)) {
				if strings.HasPrefix(line, "#") {
					reasons = append(reasons, line)
				} else {
					points = append(points, line)
				}
			}
			require.Len(t, points, 3)
			for k, p := range points {
				assert.Contains(t, p, poison[k])
			}
			require.NotEmpty(t, reasons)
			assert.Contains(t, reasons[0], fmt.Sprint(status))
			assert.Contains(t, reasons[0], "partial write: field type conflict")
			decoded(t, []byte(strings.Join(points, "")))
			assert.Contains(t, strings.Join(h.log.Lines(), ""), "refused for good")
			h.sink.Close()
		})
	}
}

// A server for points that begins with a refusal is believed; anything else is not, and
// nothing is put aside for its sake.
func TestTheFirstWordIsARefusal(t *testing.T) {
	for why, refused := range map[string]uint64{`{"error":"partial write: field type conflict"}`: 10, "<h1>Bad Request</h1>": 0} {
		synctest.Test(t, func(t *testing.T) {
			s := newStore(t)
			h := newHouse(t, s, "a")
			s.setFault(always(400, why))
			h.measure(10)
			time.Sleep(15 * time.Second)
			synctest.Wait()
			s.setFault(nil)
			h.measure(60)
			h.sink.Close()
			assert.Equal(t, refused, h.sink.Status().Refused)
			assert.Len(t, s.points, 70-int(refused))
		})
	}
}

// An outage in the middle of looking for the poisoned point puts nothing aside twice.
func TestAnOutageWhileARefusalIsLookedInto(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := newStore(t)
		h := newHouse(t, s, "a")
		n := 0
		s.setFault(func(_ *http.Request, text string) (int, string) {
			n++
			switch {
			case n%5 == 0 && n < 40:
				return 503, ""
			case strings.Contains(text, " voltage=12.017 "):
				return 400, "no"
			}
			return 0, ""
		})
		h.measure(100)
		time.Sleep(10 * time.Minute)
		synctest.Wait()
		s.requireInOrder(series("a"), 99)
		aside, err := os.ReadFile(filepath.Join(h.sink.(*sink).dir, asideName))
		require.NoError(t, err)
		assert.Equal(t, 1, strings.Count(string(aside), "voltage=12.017"))
		assert.EqualValues(t, 1, h.sink.Status().Refused)
		h.sink.Close()
	})
}
