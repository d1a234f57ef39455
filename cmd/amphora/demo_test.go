package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"testing"
	"testing/synctest"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/capture"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/live"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Sums are worked out every few seconds, which are hours in a demo. What stands in one line belongs together.
func TestDemoTellsOfSumsThatFitTheReading(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		hub := live.NewHub(capture.SystemClock{})
		show := func(read, summed float64) {
			s := analyze.Session{Outcome: analyze.Running, ChargeInAh: analyze.Number(summed / 1800)} // of 2 A
			s.Stages = []analyze.Stage{{Stage: analyze.ConstantCurrent, EndS: analyze.Number(summed)}}
			hub.Publish(live.Channel{Name: "demo", Stage: "constant-current", Session: &s,
				Reading: &live.Reading{AtS: analyze.Number(read), Volts: 12.6, Amps: 2}})
			time.Sleep(time.Second)
		}
		var out bytes.Buffer
		played, over := make(chan error), make(chan error)
		go func() { over <- (&demo{}).watch(t.Context(), &out, hub, 7200, played) }()
		show(1800, 1800)
		for at := 2000.0; at < 5000; at += 500 {
			show(at, 1800)
		}
		show(5400, 5400)
		gone := errors.New("the port is gone")
		played <- gone
		assert.ErrorIs(t, <-over, gone)
		assert.Equal(t, "  30 min 00 s   12.60 V    2.00 A  constant-current, 1.00 Ah in\n"+
			"   1 h 30 min   12.60 V    2.00 A  constant-current, 3.00 Ah in\n", out.String())
	})
}

// The battery of a night is the one that its story tells of, with what its label says.
func TestDemoKnowsItsBattery(t *testing.T) {
	for night, want := range map[string]string{
		"mower-float": "mower lead-agm 6 18", "car-flat": "car lead-flooded 6 60", "shorted-cell": "car lead-flooded 6 60",
		"load-beside": "caravan lead-gel 6 80", "mower-two-hour-timer": "mower lead-agm 6 18", "open-lead": "demo li-ion 1 2.6",
	} {
		n, err := (&demo{night: night}).find()
		require.NoError(t, err)
		data, err := demoFolder(t.Context(), demoBattery(n))
		require.NoError(t, err)
		defer os.RemoveAll(data)
		book, err := logbook.Open(t.Context(), daemon.BookFile(data))
		require.NoError(t, err)
		defer book.Close()
		all, err := book.Batteries(t.Context())
		require.NoError(t, err)
		require.Len(t, all, 1)
		b := all[0]
		assert.Equal(t, want, fmt.Sprint(b.Name, " ", *b.Chemistry, " ", *b.Cells, " ", *b.CapacityAh), night)
	}
}
