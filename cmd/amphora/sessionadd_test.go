package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// madeUpLog writes a made-up night as a log, without what comes after so many seconds.
func madeUpLog(t *testing.T, file, night string, layout madeup.Layout, until float64) string {
	t.Helper()
	n := madeup.Named(night)
	n.Layout = layout
	var text strings.Builder
	for at, line := range n.Lines() {
		if at <= until {
			text.WriteString(line + "\n")
		}
	}
	require.NoError(t, os.WriteFile(file, []byte(text.String()), 0o600))
	return file
}

// Charges that another program recorded count as if they had been recorded here, once.
func TestChargesOfOtherLogsAreAdded(t *testing.T) {
	data, logs := t.TempDir(), t.TempDir()
	const battery = "outboard"
	done(t, "battery", "add", battery, "--chemistry", "lifepo4", "--cells", "4", "--capacity", "50Ah", "--data", data)
	add := func(args ...string) (code int, out, complaint string) {
		return amphora(t, append([]string{"session", "add", "--data", data, "--battery", battery}, args...)...)
	}

	dated := madeUpLog(t, filepath.Join(logs, "two.log"), "outboard-two-charges", madeup.DateTime, 1e9)
	code, out, complaint := add(dated)
	require.Zero(t, code, complaint)
	assert.Equal(t, 2, strings.Count(out, ", added as two-20"), out)
	assert.Contains(t, out, "25.2 Ah")
	code, out, _ = add(dated)
	assert.Zero(t, code)
	assert.Equal(t, 2, strings.Count(out, "left out, as the logbook has it as two-20"), out)

	// Under the wrong battery they are put right by naming the right one.
	done(t, "battery", "add", "spare", "--chemistry", "lifepo4", "--cells", "4", "--capacity", "50Ah", "--data", data)
	assert.Equal(t, 2, strings.Count(done(t, "session", "add", "--data", data, "--battery", "spare", dated), ", moved here from outboard as two-20"))
	assert.Contains(t, done(t, "session", "list", "--data", data, "--battery", battery), "no charges")
	assert.Equal(t, 2, strings.Count(done(t, "session", "add", "--data", data, "--battery", battery, dated), ", moved here from spare as two-20"))

	// The same night under another name is the same night.
	code, out, _ = add(madeUpLog(t, filepath.Join(logs, "copy.log"), "outboard-two-charges", madeup.DateTime, 1e9))
	assert.Zero(t, code)
	assert.NotContains(t, out, "added")

	undated := madeUpLog(t, filepath.Join(logs, "plain.log"), "outboard-plateau", madeup.Commas, 1e9)
	code, _, complaint = add(undated)
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, complaint, "plain.log tells no date: say when its first row was with --started")
	added := doneJSON[[]analyze.Session](t, "session", "add", "--data", data, "--battery", battery, "--started", "2024-03-14T21:40:00Z", undated)
	require.Len(t, added, 1)
	assert.Regexp(t, `^plain-20240314T2[12]\d{4}Z$`, added[0].ID)
	assert.EqualValues(t, 50, added[0].Capacity.RatedAh, "it is judged by the label")

	all := doneJSON[[]analyze.Session](t, "session", "list", "--data", data, "--battery", battery)
	require.Len(t, all, 3)
	for _, s := range all {
		assert.Equal(t, analyze.Complete, s.Outcome)
		page := done(t, "report", s.ID, "--data", data, "--out", "-")
		assert.Contains(t, page, "data:image/", "its curve was kept")
		assert.NotContains(t, page, "no longer kept")
	}
	code, _, complaint = amphora(t, "session", "assign", all[0].ID, battery, "--data", data)
	assert.NotZero(t, code)
	assert.Contains(t, complaint, "if you have its log, `amphora session add --battery outboard` puts it under that one")
	code, _, complaint = amphora(t, "report", all[0].ID, "--csv", "--out", "-", "--data", data)
	assert.NotZero(t, code)
	assert.Contains(t, complaint, "cannot be exported: the raw record of this charge is no longer kept")
}

// What was added by mistake is taken out again; what was recorded here is not.
func TestAddedChargesAreTakenOutAgain(t *testing.T) {
	data := t.TempDir()
	done(t, "battery", "add", "boat", "--data", data)
	log := madeUpLog(t, filepath.Join(t.TempDir(), "two.log"), "outboard-two-charges", madeup.DateTime, 1e9)
	added := doneJSON[[]analyze.Session](t, "session", "add", "--battery", "boat", "--data", data, log)
	require.Len(t, added, 2)
	curves := func() int {
		kept, err := os.ReadDir(filepath.Join(data, "shapes"))
		require.NoError(t, err)
		return len(kept)
	}
	require.Equal(t, 2, curves())
	assert.Contains(t, done(t, "session", "remove", added[0].ID, "--data", data), added[0].ID+" is out of the logbook")
	left := doneJSON[[]analyze.Session](t, "session", "list", "--data", data)
	require.Len(t, left, 1)
	assert.Equal(t, added[1].ID, left[0].ID)
	assert.Equal(t, 1, curves())
	code, _, complaint := amphora(t, "session", "remove", added[0].ID, "--data", data)
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, complaint, "is not in the logbook")
	again := doneJSON[[]analyze.Session](t, "session", "add", "--battery", "boat", "--data", data, log)
	assert.Len(t, again, 1, "its log brings it back")
	gone := doneJSON[[]analyze.Session](t, "session", "remove", again[0].ID, left[0].ID, "--data", data)
	assert.Len(t, gone, 2)
	assert.Zero(t, curves())
}

func TestChargesThatAreNotAdded(t *testing.T) {
	data, logs := t.TempDir(), t.TempDir()
	done(t, "battery", "add", "outboard", "--data", data)
	whole := madeUpLog(t, filepath.Join(logs, "night.log"), "outboard-plateau", madeup.DateTime, 1e9)
	going := madeUpLog(t, filepath.Join(logs, "going.log"), "outboard-plateau", madeup.DateTime, 5000)
	for _, c := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{whole}, exitUsage, "Name a battery with --battery"},
		{[]string{"--battery", "attic", whole}, exitFailed, `"attic" is not in the logbook`},
		{[]string{"--battery", "outboard", "--started", "2024-03-14", whole, going}, exitUsage, "--started is when one log began; these are 2"},
		{[]string{"--battery", "outboard", "--interval", "soon", whole}, exitUsage, "--interval"},
		{[]string{"--battery", "outboard", filepath.Join(logs, "none.log")}, exitFailed, "none.log"},
	} {
		code, out, complaint := amphora(t, append([]string{"session", "add", "--data", data}, c.args...)...)
		assert.Equal(t, c.code, code, c.want)
		assert.Empty(t, out, c.want)
		assert.Contains(t, complaint, c.want)
	}
	assert.Contains(t, done(t, "session", "add", "--data", data, "--battery", "outboard", going), "left out, as the log ends while it goes on")
	assert.Empty(t, doneJSON[[]analyze.Session](t, "session", "list", "--data", data))
}
