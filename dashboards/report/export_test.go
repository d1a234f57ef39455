package report

import (
	"bytes"
	"encoding/csv"
	"io"
	"strconv"
	"testing"

	"amphora/analyze"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func rowsOf(t testing.TB, track *Track, sessions []analyze.Session) [][]string {
	var b bytes.Buffer
	require.NoError(t, Rows(&b, track, sessions))
	all, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	return all
}

// The charge in the last row of each charge is that of its summary.
func TestRowsEndWithTheChargeOfTheSummary(t *testing.T) {
	track, sessions := night("outboard-two-charges")
	all := rowsOf(t, track, sessions)
	require.Len(t, all, len(track.rows)+1)
	last := map[string]string{}
	for _, r := range all[1:] {
		last[r[7]] = r[6]
		require.Regexp(t, `^2026-`, r[1])
	}
	for _, s := range sessions {
		assert.InDelta(t, float64(s.ChargeInAh), parsed(t, last[s.ID]), 0.0015*float64(s.ChargeInAh)+0.001, s.ID)
	}
}

// S9: text that a spreadsheet would take for a formula is defused, numbers are not.
func TestS9FormulasAreDefused(t *testing.T) {
	for text, want := range map[string]string{"=1+1": "'=1+1", "+x": "'+x", "-x": "'-x", "@x": "'@x", "\tx": "'\tx", "\rx": "'\rx", "plain": "plain", "": ""} {
		assert.Equal(t, want, harmless(text))
	}
	assert.Equal(t, "-0.25", cell(-0.25, 4))
	assert.Equal(t, "", cell(analyze.Unknown(), 4))
	assert.Equal(t, "0", cell(-0.00001, 3))
	assert.Equal(t, "100", cell(100, 0))

	_, sessions := night("mower-full")
	sessions[0].Battery, sessions[0].ID = "=HYPERLINK(1)", "@x"
	var b bytes.Buffer
	require.NoError(t, Charges(&b, sessions))
	all, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, "'=HYPERLINK(1)", all[1][2])
	assert.Equal(t, "'@x", all[1][0])
}

func TestEveryNumberOfAChargeStandsUnderItsName(t *testing.T) {
	full := analyze.Session{
		ID: "bench-1", Channel: "bench", Battery: "mower", Started: &evening, StartS: 100, EndS: 3700, Outcome: analyze.Complete, EndedBy: analyze.EndTailCurrent,
		ChargeInAh: 1, ChargeInAhU95: 2, ChargeOutAh: 3, EnergyInWh: 4, SetA: 5, HeldV: 6, PeakV: 7, TailA: 8, MaxCelsius: 9,
		Rest: &analyze.RestFit{SettledV: 10}, Resistance: []analyze.Resistance{{Ohm: 11, OhmU95: 1}},
		Capacity: &analyze.Capacity{ChargeFactor: 12, DepthOfDischarge: 13}, Findings: []analyze.Finding{{Code: "a"}, {Code: "b"}},
	}
	bare := full
	bare.Rest, bare.Resistance, bare.Capacity, bare.Findings, bare.SetA = nil, nil, nil, nil, unknown
	var b bytes.Buffer
	require.NoError(t, Charges(&b, []analyze.Session{full, bare}))
	all, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	for k, name := range all[0] {
		want, isThere := map[string]string{
			"session": "bench-1", "channel": "bench", "battery": "mower", "outcome": "complete", "ended_by": "tail-current", "duration_s": "3600",
			"charge_in_ah": "1", "charge_in_ah_u95": "2", "charge_out_ah": "3", "energy_in_wh": "4", "set_a": "5", "held_v": "6", "peak_v": "7",
			"tail_a": "8", "max_celsius": "9", "settled_v": "10", "resistance_ohm": "11", "charge_factor": "12", "depth_of_discharge": "13",
			"findings": "a b", "started": date(&evening),
		}[name]
		require.True(t, isThere, name)
		assert.Equal(t, want, all[1][k], name)
		switch name {
		case "settled_v", "resistance_ohm", "charge_factor", "depth_of_discharge", "findings", "set_a":
			want = ""
		}
		assert.Equal(t, want, all[2][k], name)
	}
}

func TestS11LineProtocolIsReadBack(t *testing.T) {
	track, sessions := night("drill-three-cells")
	sessions[0].Battery = "old one, =\\"
	var b bytes.Buffer
	require.NoError(t, LineProtocol(&b, track, sessions))
	all := testhelp.Points(t, b.Bytes())
	require.Len(t, all, len(track.rows)+len(sessions))
	stages := map[string]int{}
	for k, r := range track.rows {
		p := all[k]
		assert.Equal(t, "charge_sample", p.Name)
		require.Equal(t, "bench", p.Tags["channel"])
		require.Equal(t, "old one, =\u29F5", p.Tags["battery"], "a backslash at the end would swallow what follows")
		require.InDelta(t, r.Volts, p.Fields["voltage"], 1e-9)
		require.InDelta(t, r.Amps, p.Fields["current"], 1e-9)
		require.Contains(t, p.Fields, "temperature")
		require.InDelta(t, r.At-track.rows[0].At, p.At.Sub(all[0].At).Seconds(), 0.0011)
		stages[p.Tags["stage"]]++
	}
	assert.Greater(t, stages["constant-current"], 100)
	assert.Greater(t, stages["constant-voltage"], 50)
	end := all[len(all)-1]
	assert.Equal(t, "charge_session", end.Name)
	assert.Equal(t, "complete", end.Tags["outcome"])
	assert.InDelta(t, float64(sessions[0].ChargeInAh), end.Fields["charge_ah"], 1e-6)
	assert.InDelta(t, float64(sessions[0].EndS-sessions[0].StartS), end.Fields["duration_s"], 1e-6)
}

func TestLineProtocolLeavesOutWhatIsUnknown(t *testing.T) {
	at := evening
	s := analyze.Session{Started: &at, ChargeInAh: 3, EnergyInWh: unknown, HeldV: unknown, SetA: unknown, EndS: 10, Outcome: analyze.CutShort, Channel: "a\nb"}
	var b bytes.Buffer
	require.NoError(t, LineProtocol(&b, nil, []analyze.Session{s}))
	assert.Equal(t, "charge_session,channel=a?b,outcome=cut-short charge_ah=3,duration_s=10 1773524410000000000\n", b.String())
	s.Started = nil
	assert.ErrorIs(t, LineProtocol(io.Discard, nil, []analyze.Session{s}), ErrNoDate)
}

func parsed(t testing.TB, text string) float64 {
	x, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return x
}
