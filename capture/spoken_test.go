package capture_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"amphora/analyze"
	"amphora/capture"
)

// Two parts that may not know each other write times alike.
func TestSpokenAsTheAnalysisSpeaks(t *testing.T) {
	for d, want := range map[time.Duration]string{
		0: "0 s", 45 * time.Second: "45 s", 59600 * time.Millisecond: "1 min 00 s", 123 * time.Second: "2 min 03 s",
		3599600 * time.Millisecond: "1 h 00 min", 8*time.Hour + 5*time.Minute + 29*time.Second: "8 h 05 min",
		8*time.Hour + 5*time.Minute + 31*time.Second: "8 h 06 min", 30 * time.Hour: "30 h 00 min",
	} {
		assert.Equal(t, want, capture.Spoken(d))
		assert.Equal(t, want, analyze.Clock(d.Seconds()))
	}
}
