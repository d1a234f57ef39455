//go:build linux

package e2e

import (
	"encoding/json"
	"fmt"
	"net/http"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whoever forgot that another battery hung on the charger says so later, while the daemon
// goes on: the charge is told again as that battery's, and stays so.
func TestAChargeIsGivenToAnotherBattery(t *testing.T) {
	t.Parallel()
	at, port := newPlace(t), newPort(t)
	at.channel(t, "bench", port.source(), "battery: outboard")
	for name, capacity := range map[string]string{"outboard": "50Ah", "caravan": "100Ah"} { // known before the charge begins
		status, _, said := amphora(t, "battery", "add", name, "--chemistry", "lifepo4", "--cells", "4", "--capacity", capacity, "--data", at.data)
		require.Zero(t, status, said)
	}
	p := serve(t, at.config)
	night := play(madeup.Named("outboard-two-charges"))
	port.sayAll(night.lines)
	p.untilRead("bench", night.end)
	testhelp.Until(t, "two charges", func() bool { s := p.sessions(); return len(s) == 2 && s[0].Rest != nil })
	newest, first := p.sessions()[0], p.sessions()[1]
	require.NotNil(t, first.Capacity)
	require.EqualValues(t, 50, first.Capacity.RatedAh)

	assign := func(id, battery string) (int, string) {
		status, _, said := amphora(t, "session", "assign", id, battery, "--data", at.data, "--config", at.config)
		return status, said
	}
	status, said := assign(newest.ID, "caravan")
	assert.NotZero(t, status)
	assert.Contains(t, said, "change `battery:` of channel bench in the configuration, and reload")
	status, said = assign(first.ID, "nobody")
	assert.NotZero(t, status)
	assert.Contains(t, said, `"nobody" is not in the logbook`)

	status, _, said = amphora(t, "session", "remove", first.ID, "--data", at.data)
	assert.NotZero(t, status)
	assert.Contains(t, said, "was recorded here and stays")

	byPage := func(id, battery string) (int, string) {
		return p.asked(http.MethodPatch, "/api/v1/sessions/"+id, fmt.Sprintf(`{"battery": %q}`, battery), func(r *http.Request) { r.Header.Set("Content-Type", "application/json") })
	}
	answer, text := byPage(newest.ID, "caravan")
	assert.Equal(t, http.StatusConflict, answer)
	assert.Contains(t, text, "change `battery:` of channel bench in the configuration, and reload")
	answer, text = byPage(first.ID, "caravan")
	require.Equal(t, http.StatusOK, answer, text)
	through := shownSession(t, at.data, first.ID)
	assert.EqualValues(t, "caravan", through.Battery)

	status, said = assign(first.ID, "caravan")
	require.Zero(t, status, said)
	given := shownSession(t, at.data, first.ID)
	assert.EqualValues(t, "caravan", given.Battery)
	assert.EqualValues(t, 100, given.Capacity.RatedAh)
	assert.Equal(t, first.ChargeInAh, given.ChargeInAh)
	assert.Equal(t, first.Outcome, given.Outcome)
	assert.Equal(t, toJSON(t, given), toJSON(t, p.sessions()[1]), "the daemon shows it too")
	assert.Equal(t, toJSON(t, given), toJSON(t, through), "whoever asks for it, it is told alike")
	p.stop()

	retold(t, at.data, "--config", at.config, "--rebuild")
	assert.Equal(t, toJSON(t, given), toJSON(t, shownSession(t, at.data, first.ID)), "it stays so when the logbook is built anew")
	assert.EqualValues(t, "outboard", shownSession(t, at.data, newest.ID).Battery)

	status, said = assign(first.ID, "outboard")
	require.Zero(t, status, said)
	assert.Equal(t, toJSON(t, first), toJSON(t, shownSession(t, at.data, first.ID)), "and nothing is lost on the way back")
}

// shownSession is a recorded charge as the program shows it.
func shownSession(t testing.TB, data, id string) (s analyze.Session) {
	t.Helper()
	status, out, said := amphora(t, "session", "show", id, "--data", data, "--json")
	require.Zero(t, status, said)
	require.NoError(t, json.Unmarshal([]byte(out), &s))
	return s
}
