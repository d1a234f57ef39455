package main

import (
	"bytes"
	"context"
	"io"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/capture/journal"
	"amphora/cmd/amphora/config"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// answering is a meter on the network that answers each request, cut off by cut,
// by what answer makes of it.
func answering(t *testing.T, cut func([]byte) int, answer func(string) string) (address string) {
	return testhelp.Serve(t, func(conn net.Conn) {
		var came []byte
		block := make([]byte, 256)
		for {
			n, err := conn.Read(block)
			if err != nil {
				return
			}
			came = append(came, block[:n]...)
			for k := cut(came); k > 0; k = cut(came) {
				if _, err := io.WriteString(conn, answer(string(came[:k]))); err != nil {
					return
				}
				came = came[k:]
			}
		}
	})
}

// textMeter answers questions of text; registerMeter reads its registers 0 (12.65
// V in hundredths) and 2 (3.5 A in thousandths, its words swapped).
func textMeter(t *testing.T) string {
	answers := map[string]string{"*IDN?\n": "BENCH,1,0,0\n", "MEAS:VOLT?\n": "+1.26500000E+01\n", "MEAS:CURR?\n": "+3.500E+00\n"}
	return answering(t, func(b []byte) int { return bytes.IndexByte(b, '\n') + 1 }, func(q string) string { return answers[q] })
}

func registerMeter(t *testing.T) string {
	return answering(t, func(b []byte) int { return len(b) / 12 * 12 }, func(q string) string {
		switch q[6:] {
		case "\x07\x04\x00\x00\x00\x01":
			return q[:4] + "\x00\x05\x07\x04\x02\x04\xf1"
		case "\x07\x03\x00\x02\x00\x02":
			return q[:4] + "\x00\x07\x07\x03\x04\x0d\xac\x00\x00"
		}
		return ""
	})
}

// served runs the daemon of a configuration until its channel has brought rows.
func served(t *testing.T, text string, rows int) (data string, d *daemon.Daemon) {
	file := filepath.Join(t.TempDir(), "amphora.yaml")
	require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	cfg, problems := config.Load(file)
	require.NotNil(t, cfg, "%v", problems)
	cfg.Data = t.TempDir()
	dc, err := daemonConfig(cfg, nil, slog.New(slog.DiscardHandler))
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	d, err = daemon.Open(ctx, dc)
	require.NoError(t, err)
	done := make(chan error, 1)
	go func() { done <- d.Run(ctx) }()
	testhelp.Until(t, "every row", func() bool {
		c, ok := d.Hub().Get("bench")
		return ok && c.Used >= rows && c.LastReading != nil
	})
	cancel()
	require.NoError(t, <-done)
	require.NoError(t, d.Close())
	return cfg.Data, d
}

func journalLines(t *testing.T, data string) (lines []string) {
	r, err := journal.NewReader(data, "bench", 1)
	require.NoError(t, err)
	defer r.Close()
	for r.Next() {
		if f := r.Record().Frame; f.Flags == 0 {
			lines = append(lines, string(f.Text))
		}
	}
	return lines
}

func TestServeAsksMeters(t *testing.T) {
	for _, c := range []struct{ name, source, line string }{
		{
			"text", "scpi: {tcp: {address: \"" + textMeter(t) + "\"}, voltage: \"MEAS:VOLT?\", current: \"MEAS:CURR?\", every: 10ms}",
			`MEAS:VOLT?="+1.26500000E+01" MEAS:CURR?="+3.500E+00"`,
		},
		{
			"registers", "modbus: {tcp: {address: \"" + registerMeter(t) + "\"}, unit: 7, every: 10ms, voltage: {address: 0, scale: 0.01}, " +
				"current: {address: 2, table: holding, type: int32, order: word-swapped, scale: 0.001}}",
			"7/4/0=04F1 7/3/2=0DAC0000",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			data, d := served(t, "channels: [{name: bench, source: {"+c.source+"}}]", 5)
			view, _ := d.Hub().Get("bench")
			assert.InDelta(t, 12.65, float64(view.LastReading.Volts), 1e-9)
			assert.InDelta(t, 3.5, float64(view.LastReading.Amps), 1e-9)
			assert.Equal(t, c.line, journalLines(t, data)[0], "the journal keeps what came")
		})
	}
}

// TestServeMergesTwoMeters asks one meter for the voltage by text, and another for
// the current in its registers.
func TestServeMergesTwoMeters(t *testing.T) {
	data, d := served(t, "channels: [{name: bench, source: {skew: 3s, "+
		"voltage: {scpi: {tcp: {address: \""+textMeter(t)+"\"}, voltage: \"MEAS:VOLT?\", every: 10ms}}, "+
		"current: {modbus: {tcp: {address: \""+registerMeter(t)+"\"}, unit: 7, every: 25ms, current: {address: 2, table: holding, type: int32, order: word-swapped, scale: 0.001}}}}}]", 5)
	view, _ := d.Hub().Get("bench")
	assert.InDelta(t, 12.65, float64(view.LastReading.Volts), 1e-9)
	assert.InDelta(t, 3.5, float64(view.LastReading.Amps), 1e-9)
	lines := journalLines(t, data)
	assert.Contains(t, lines, `voltage MEAS:VOLT?="+1.26500000E+01"`)
	assert.Contains(t, lines, "current 7/3/2=0DAC0000")
	told, err := daemon.Retell(t.Context(), data, "bench", daemon.TwoMeters(
		`answers voltage="MEAS:VOLT?":V`, "registers current=7/3/2/int32/0.001/word-swapped:A", 3*time.Second), analyze.Options{})
	require.NoError(t, err)
	assert.Empty(t, told.Told, "no charge of a tenth of a second")
}
