package notify

import (
	"testing"
	"time"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// In the night in which summer time ends it is said which half past two is meant.
func TestTheHourThatComesTwiceIsToldApart(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	for utc, want := range map[int]string{0: "02:30 +02:00", 1: "02:30 +01:00", 2: "03:30"} {
		at := time.Date(2026, 10, 25, utc, 30, 0, 0, time.UTC)
		e := Event{Kind: Raised, Channel: "bench", Code: analyze.CodeStalled, Severity: analyze.Warning, At: at}
		now := at.Add(time.Hour).In(zone)
		assert.Contains(t, e.line(now), want+" Warning")
		c := condition{Event: e, Changed: at}
		assert.Contains(t, c.settled(now).Message, "over since "+want+";")
	}
}

// A clock that nobody has set tells no time of day.
func TestNoTimeOfDayBeforeTheClockIsSet(t *testing.T) {
	at := time.Unix(70, 0)
	e := Event{Kind: Raised, Channel: "bench", Code: analyze.CodeStalled, Severity: analyze.Warning, At: at}
	assert.Equal(t, "Warning: bench, stalled", e.line(at.Add(time.Hour)))
	c := condition{Event: e, Changed: at}
	assert.Equal(t, "over; it was: ", c.settled(at.Add(time.Hour)).Message)
}
