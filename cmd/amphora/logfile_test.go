package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A decoder that reads no time needs to be told how far apart the rows are.
func TestIntervalBesideADecoder(t *testing.T) {
	rows := strings.Repeat("12.60 3.60\n", 101)
	const decoder = "columns separator=blanks width=2 voltage=1:V current=2:A"
	for name, c := range map[string]struct {
		log  string
		args []string
		ah   float64
	}{
		"flag":             {rows, []string{"--interval", "10s", "--decoder", decoder}, 1},
		"decoder's own":    {rows, []string{"--interval", "10s", "--decoder", decoder + " interval=20s"}, 2},
		"the log's remark": {"# every 5 s: volts, amperes\n" + rows, []string{"--decoder", decoder}, 0.5},
	} {
		d := doneJSON[analyze.Document](t, append([]string{"analyze", logNamed(t, c.log)}, c.args...)...)
		require.Len(t, d.Sessions, 1, name)
		assert.InDelta(t, c.ah, float64(d.Sessions[0].ChargeInAh), 0.001, name)
	}
	code, _, complaint := amphora(t, "analyze", "--decoder", decoder, logNamed(t, rows))
	assert.Equal(t, exitUndecodable, code)
	assert.Contains(t, complaint, "--interval 10s")
}

// All rows of a log may be JSON in one line, far longer than a line of a meter.
func TestAllRowsInOneLine(t *testing.T) {
	row := `{"volts":12.60,"amps":3.60}`
	log := `{"meter":"bench","rows":[` + strings.Repeat(row+", ", 1000) + row + `]}`
	d := doneJSON[analyze.Document](t, "analyze", "--interval", "10s", logNamed(t, log))
	require.Len(t, d.Sessions, 1)
	assert.Equal(t, 1001, d.Log.Used)
	assert.InDelta(t, 10, float64(d.Sessions[0].ChargeInAh), 0.001)
}

// NULs may fill up each line, or the end of a log that a power failure cut.
func TestNULsThatFillUp(t *testing.T) {
	log := "time_s,voltage_V,current_A\n"
	for k := range 1001 {
		log += fmt.Sprintf("%d,12.60,3.60\n", 10*k)
	}
	for name, padded := range map[string]string{
		"behind each row": strings.ReplaceAll(log, "\n", "\x00\x00\n"),
		"before each row": strings.ReplaceAll(log, "\n", "\n\x00\x00"),
		"behind the last": log + strings.Repeat("\x00", 8192),
	} {
		d := doneJSON[analyze.Document](t, "analyze", "--interval", "10s", logNamed(t, padded))
		require.Len(t, d.Sessions, 1, name)
		assert.InDelta(t, 10, float64(d.Sessions[0].ChargeInAh), 0.001, name)
	}
	picture := strings.Repeat("P6\x00\x00\x08\x00\x00\x10", 1000) + "\n"
	code, _, complaint := amphora(t, "analyze", logNamed(t, picture))
	assert.Equal(t, exitUndecodable, code)
	assert.Contains(t, complaint, "no text")
	assert.False(t, isText(make([]byte, 300)))
}

func logNamed(t *testing.T, text string) string {
	name := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(name, []byte(text), 0o644))
	return name
}
