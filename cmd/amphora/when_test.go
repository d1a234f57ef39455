package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of the two hours in which summer time ends nobody could say which one is meant.
func TestTheHourThatComesTwiceIsTwoHours(t *testing.T) {
	for zone, want := range map[string][]string{
		"Europe/Berlin": {
			"2026-10-25 01:30", "2026-10-25 02:30 +02:00", "2026-10-25 02:30 +01:00", "2026-10-25 03:30", "2026-10-25 04:30",
		},
		"UTC": {"2026-10-24 23:30", "2026-10-25 00:30", "2026-10-25 01:30", "2026-10-25 02:30", "2026-10-25 03:30"},
	} {
		there, err := time.LoadLocation(zone)
		require.NoError(t, err)
		for k, text := range want {
			at := time.Date(2026, 10, 24, 23, 30, 0, 0, time.UTC).Add(time.Duration(k) * time.Hour)
			assert.Equal(t, text, dated(at, time.Now().In(there)))
		}
	}
	island, err := time.LoadLocation("Australia/Lord_Howe") // which sets its clocks by half an hour
	require.NoError(t, err)
	assert.Equal(t, "2026-04-05 01:45 +11:00", dated(time.Date(2026, 4, 4, 14, 45, 0, 0, time.UTC), time.Now().In(island)))
	assert.Equal(t, "2026-04-05 01:45 +10:30", dated(time.Date(2026, 4, 4, 15, 15, 0, 0, time.UTC), time.Now().In(island)))

	spring, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	assert.Equal(t, "2026-03-29 03:30", dated(time.Date(2026, 3, 29, 1, 30, 0, 0, time.UTC), time.Now().In(spring)), "an hour that is left out is not there twice")
}
