package main

import (
	"testing"

	"amphora/analyze/logbook"

	"github.com/stretchr/testify/assert"
)

func TestReadingThatLooksMistypedIsTold(t *testing.T) {
	dir := newData(t)
	add := func(volts string) string { return done(t, "reading", "add", "mower", "--volts", volts, "--data", dir) }
	assert.Equal(t, "noted for mower; 127.3 V is more than the 15.9 V that 6 cells of lead-agm are ever charged to: `amphora reading remove` takes it out again\n", add("127.3"))
	assert.Equal(t, "noted for mower\n", add("12.73"))
	assert.Equal(t, "noted for car\n", done(t, "reading", "add", "car", "--volts", "12.6", "--at", "2026-03-14", "--data", dir))
	assert.Contains(t, done(t, "reading", "add", "car", "--volts", "12.6", "--at", "2226-03-14", "--data", dir), "still to come by this clock")
	odd := done(t, "reading", "add", "car", "--volts", "-12", "--gravity", "1.400", "--celsius", "95", "--data", dir)
	for _, want := range []string{"-12 V has the wrong sign", "a gravity of 1.4 is outside", "95 °F would be 35 °C", "takes it out again"} {
		assert.Contains(t, odd, want)
	}
	assert.Equal(t, "retired mower; 2999-01-01 00:00 is still to come by this clock: `amphora battery retire mower --undo` takes it back\n",
		done(t, "battery", "retire", "mower", "--at", "2999-01-01", "--data", dir))
	assert.Contains(t, done(t, "battery", "edit", "car", "--bought", "2999", "--data", dir), "`amphora battery edit car` mends it")
	noted := doneJSON[logbook.NotedReading](t, "reading", "add", "car", "--celsius", "95", "--data", dir)
	assert.Len(t, noted.Mistyped, 1, "programs are told as well")
}
