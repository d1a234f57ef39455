package mqtt

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/capture"
	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

var none = analyze.Number(math.NaN())

// bench is a channel in mid-charge, with a reading that was taken at a moment. It is
// invented.
func bench(at time.Time) live.Channel {
	return live.Channel{
		Name: "bench", Battery: "mower", SilenceS: 30,
		Reading: &live.Reading{At: at, AtS: 7200, Volts: 13.74, Amps: 3.36, Celsius: none},
		Stage:   "constant-current", StageWhy: "current of 3.36 A from 60 s", StageSinceS: 60,
		Source:  live.Source{Up: true, State: "open: /dev/ttyUSB0", Name: "/dev/ttyUSB0"},
		Session: running(),
	}
}

func running() *analyze.Session {
	return &analyze.Session{
		ID: "bench-20261125T200100Z", Channel: "bench", Battery: "mower", Outcome: analyze.Running, StartS: 60, EndS: 7200, FinishS: none,
		Started: new(time.Date(2026, 11, 25, 20, 1, 0, 0, time.UTC)), ChargeInAh: 6.66, ChargeInAhU95: 0.08, ChargeOutAh: none, EnergyInWh: 90.1,
		Forecast: &analyze.Forecast{FinishS: 30000, FinishSU95: 900},
		Findings: []analyze.Finding{
			{Code: "power-limited", Severity: analyze.Note, AtS: 100, EndS: none, Message: "constant power"},
			{Code: "data-gap", Severity: analyze.Note, AtS: 200, EndS: 260, Message: "rows missing"},
		},
	}
}

// over is the same charge after its end.
func over() *analyze.Session {
	s := running()
	s.Outcome, s.EndedBy, s.FinishS, s.Forecast = analyze.Complete, analyze.EndTailCurrent, 7100, nil
	return s
}

// aim is a target of a test, with what it tells of.
type aim struct {
	*Target
	hub *live.Hub
}

// quickly is for tests that need not wait so long.
var quickly = waits{10 * time.Millisecond, 50 * time.Millisecond, 100 * time.Millisecond, 0}

// newAim opens a target on a broker and closes it at the end of the test.
func newAim(t testing.TB, broker string, change ...func(*Options)) *aim {
	t.Helper()
	return newPatientAim(t, quickly, broker, change...)
}

// newPatientAim is newAim with other waits.
func newPatientAim(t testing.TB, w waits, broker string, change ...func(*Options)) *aim {
	t.Helper()
	hub := live.NewHub(capture.SystemClock{})
	o := Options{Settings: Settings{Broker: broker, Topic: "amphora"}, Hub: hub, Channels: []string{"bench"}, Instance: t.Name(), Program: "1.2"}
	for _, c := range change {
		c(&o)
	}
	target, err := newTarget(o)
	require.NoError(t, err)
	target.waits = w
	target.start()
	t.Cleanup(target.Close)
	return &aim{target, hub}
}

// told tells whether the broker has acknowledged a payload with something in it.
func (a *aim) told(topic, part string) bool {
	a.out.mu.Lock()
	defer a.out.mu.Unlock()
	m := a.out.states[topic]
	return m != nil && !slices.Contains(a.out.order, topic) && strings.Contains(string(m.payload), part)
}

// untilTold waits for that.
func (a *aim) untilTold(t testing.TB, topic, part string) {
	t.Helper()
	testhelp.Until(t, topic+" with "+part, func() bool { return a.told(topic, part) })
}

// idle tells whether the broker is there and has everything.
func (a *aim) idle() bool { s := a.Status(); return s.Why == "" && s.Pending == 0 }

// object reads a payload.
func object(t testing.TB, payload string) map[string]any {
	t.Helper()
	require.NotEmpty(t, payload)
	var o map[string]any
	require.NoError(t, json.Unmarshal([]byte(payload), &o), payload)
	return o
}
