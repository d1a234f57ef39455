//go:build linux

package e2e

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// answer is what a command says in JSON.
func answer[T any](t *testing.T, args ...string) (v T) {
	t.Helper()
	status, out, said := amphora(t, append(args, "--json")...)
	require.Zero(t, status, said)
	require.NoError(t, json.Unmarshal([]byte(out), &v), out)
	return v
}

// What the first program wrote (testdata/early says how) today's finds again: totals, batteries, readings, notes, and every
// line. A charge that was under way goes on.
func TestDataOfTheFirstProgram(t *testing.T) {
	t.Parallel()
	at := newPlace(t)
	require.NoError(t, os.CopyFS(at.data, os.DirFS("testdata/early/data")))

	const finished, unfinished = "bench-20261125T223632Z", "shed-20261125T223632Z"
	total := func(id string) analyze.Session {
		return answer[analyze.Session](t, "session", "show", id, "--data", at.data)
	}
	assert.InDelta(t, 73.3215222, float64(total(finished).ChargeInAh), 1e-9)
	assert.InDelta(t, 970.884067, float64(total(finished).EnergyInWh), 1e-9)
	assert.EqualValues(t, "complete", total(finished).Outcome)
	assert.InDelta(t, 38.441275, float64(total(unfinished).ChargeInAh), 1e-9)
	_, page, _ := amphora(t, "session", "show", finished, "--data", at.data)
	assert.Contains(t, page, "invented: the fan ran")
	readings := answer[[]logbook.Reading](t, "reading", "list", "caravan", "--data", at.data)
	require.Len(t, readings, 1)
	assert.InDelta(t, 12.61, *readings[0].Volts, 0)
	assert.Len(t, answer[[]logbook.Battery](t, "battery", "list", "--data", at.data), 2)
	status, out, said := amphora(t, "journal", "verify", at.data)
	assert.Zero(t, status, "%s%s", out, said)

	// The journal, judged as today, gives the same as the log that its lines came from.
	const whole = "../../../testdata/caravan-minute-rows.log"
	want := analysed(t, whole)[0]
	for _, s := range answer[analyze.Document](t, "journal", "replay", at.data).Sessions {
		if s.ID == finished {
			assert.InDelta(t, float64(want.ChargeInAh), float64(s.ChargeInAh), 0.001)
			assert.Equal(t, want.Outcome, s.Outcome)
		}
	}

	port := newPort(t)
	at.channel(t, "bench", "stdin: {}", "decoder: auto", "battery: caravan")
	at.channel(t, "shed", port.source(), "decoder: auto", "battery: boat")
	p := serve(t, at.config)
	text, err := os.ReadFile(whole)
	require.NoError(t, err)
	port.sayAll(strings.Split(strings.TrimSuffix(string(text), "\n"), "\n")[300:])
	testhelp.Until(t, "the end of the charge that was under way, with all that went in before and after", func() bool {
		for _, s := range p.sessions() {
			if s.ID == unfinished {
				return s.Outcome == want.Outcome && math.Abs(float64(s.ChargeInAh-want.ChargeInAh)) < 0.01
			}
		}
		return false
	})
	p.stop()
	assert.InDelta(t, 73.3215222, float64(total(finished).ChargeInAh), 1e-4, "judged anew")
}
