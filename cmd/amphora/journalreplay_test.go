package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/capture"
	"amphora/capture/journal"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// nightOfTwoMeters writes a made-up night into a journal as two meters tell it, and
// returns what went in, Ah.
func nightOfTwoMeters(t *testing.T, data string) float64 {
	j, err := journal.Open(data, journal.Options{})
	require.NoError(t, err)
	c, err := j.Channel("bench", 0)
	require.NoError(t, err)
	began := time.Date(2026, 3, 1, 20, 0, 0, 0, time.UTC)
	put := func(at float64, flags capture.Flags, text string) {
		boot := time.Minute + time.Duration(at*1e9)
		c.Append(capture.Frame{Wall: began.Add(boot), Boot: boot, Text: []byte(text), Flags: flags})
	}
	put(0, capture.Opened, "voltage opened a")
	put(0, capture.Opened, "current opened b")
	m := analyze.New(analyze.Options{})
	night, err := (&demo{night: demoNight}).find()
	require.NoError(t, err)
	for s := range night.Samples() {
		m.Step(s)
		put(s.At, 0, fmt.Sprintf("voltage %.3f V", s.Volts))
		put(s.At+0.1, 0, fmt.Sprintf("current i=%.3f", s.Amps))
	}
	require.NoError(t, j.Close(t.Context()))
	return float64(m.Document().Sessions[0].ChargeInAh)
}

// TestReplayOfTwoMeters: which meter tells what stands in the configuration.
func TestReplayOfTwoMeters(t *testing.T) {
	data := t.TempDir()
	want := nightOfTwoMeters(t, data)
	file := filepath.Join(t.TempDir(), "amphora.yaml")
	require.NoError(t, os.WriteFile(file, []byte("channels: [{name: bench, source: {skew: 30s, "+
		"voltage: {exec: [cat], decoder: 'labelled voltage=#V:V'}, current: {exec: [cat], decoder: 'labelled current=i:A'}}}]"), 0o600))
	status, out, said := amphora(t, "journal", "replay", data, "--config", file, "--json")
	require.Equal(t, exitDone, status, said)
	var answer struct{ Sessions []analyze.Session }
	require.NoError(t, json.Unmarshal([]byte(out), &answer))
	require.Len(t, answer.Sessions, 1, said)
	_, same, _ := amphora(t, "journal", "replay", "--data", data, "--config", file, "--json")
	assert.Equal(t, out, same, "the folder by its flag")
	status, _, said = amphora(t, "journal", "replay", data, "--channel", "shed")
	assert.Equal(t, exitFailed, status)
	assert.Contains(t, said, `no channel "shed"; it has bench`)
	assert.Contains(t, done(t, "journal", "replay", data, "--config", file), "complete  float     14.7")
	assert.Equal(t, analyze.Complete, answer.Sessions[0].Outcome)
	assert.InEpsilon(t, want, float64(answer.Sessions[0].ChargeInAh), 0.01)
}

// TestReplayOfADamagedJournal: what is missing is said, by the records and beside the charge.
func TestReplayOfADamagedJournal(t *testing.T) {
	data := t.TempDir()
	j, err := journal.Open(data, journal.Options{})
	require.NoError(t, err)
	c, err := j.Channel("bench", 0)
	require.NoError(t, err)
	night, err := (&demo{night: demoNight}).find()
	require.NoError(t, err)
	began := time.Date(2026, 3, 1, 20, 0, 0, 0, time.UTC)
	for s := range night.Samples() {
		at := time.Duration(s.At * 1e9)
		c.Append(capture.Frame{Wall: began.Add(at), Boot: at, Text: fmt.Appendf(nil, "V=%.3f A=%.3f", s.Volts, s.Amps)})
	}
	require.NoError(t, j.Close(t.Context()))
	_, out, said := amphora(t, "journal", "replay", data)
	assert.Empty(t, said)
	assert.Regexp(t, `14\.7\d  \d+ h \d\d min  -\n`, out)

	files, err := filepath.Glob(filepath.Join(data, "journal", "bench", "*.log"))
	require.NoError(t, err)
	text, err := os.ReadFile(files[0])
	require.NoError(t, err)
	half := len(text) / 2
	copy(text[half:], make([]byte, len(text)/10))
	require.NoError(t, os.WriteFile(files[0], text, 0o600))
	status, out, said := amphora(t, "journal", "replay", "--rebuild", data)
	assert.Equal(t, exitDone, status)
	assert.Contains(t, said, files[0])
	assert.Contains(t, said, "are lost")
	assert.Contains(t, said, "is told of the lines that are left: ")
	assert.Contains(t, said, "1 sessions written to the logbook, 0 taken out that the journal does not tell of, 0 left as they are")
	assert.Regexp(t, `unseen\n.* (h|min)`, out)
	assert.NotRegexp(t, `-\n$`, out)

	_, _, said = amphora(t, "journal", "replay", "--rebuild", data)
	assert.Contains(t, said, "stays in the logbook as it is: ")
	assert.Contains(t, said, "0 sessions written to the logbook, 0 taken out that the journal does not tell of, 1 left as they are")
}

// What the configuration in the usual places is warned of is not the business of who asks
// about a night long past; what is wrong in it is.
func TestSettingsOfTheUsualPlaceWarnOfNothing(t *testing.T) {
	t.Chdir(t.TempDir())
	said := func(yaml string) string {
		require.NoError(t, os.WriteFile("amphora.yaml", []byte(yaml), 0o600))
		var out strings.Builder
		_, err := channelSettings("", &out)
		require.NoError(t, err)
		return out.String()
	}
	const absent = "data: data\nchannels: [{name: bench, source: {serial: {port: /dev/not-plugged-in}}, cells: 6}]\n"
	assert.Empty(t, said(absent))
	assert.Contains(t, said(absent+"colour: red\n"), "amphora.yaml:3:1: ")
}

// TestReplayWithAConfigurationThatIsNotSound: what was named to be used must be.
func TestReplayWithAConfigurationThatIsNotSound(t *testing.T) {
	data := t.TempDir()
	nightOfTwoMeters(t, data)
	file := filepath.Join(t.TempDir(), "amphora.yaml")
	require.NoError(t, os.WriteFile(file, []byte("channels: [{name: bench, sauce: {}}]"), 0o600))
	status, out, said := amphora(t, "journal", "replay", data, "--config", file, "--rebuild")
	assert.Equal(t, exitUsage, status)
	assert.Empty(t, out)
	assert.Contains(t, said, file+":1:")
}
