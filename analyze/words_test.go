package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestElapsedTimeIsWrittenAsPeopleReadIt(t *testing.T) {
	for s, want := range map[float64]string{
		0: "0 s", 45: "45 s", 59.4: "59 s", 59.6: "1 min 00 s", 60: "1 min 00 s", 750: "12 min 30 s",
		3599.6: "1 h 00 min", 3600: "1 h 00 min", 8*3600 + 5*60: "8 h 05 min", 100 * 3600: "100 h 00 min",
		-90: "-1 min 30 s", math.Inf(1): "unknown",
	} {
		assert.Equal(t, want, clock(s), "%g s", s)
		assert.Equal(t, want, Clock(s))
	}
	assert.Equal(t, "unknown", clock(math.NaN()))
}
