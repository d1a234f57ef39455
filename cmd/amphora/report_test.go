package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"amphora/analyze"
	"amphora/analyze/condition"
	"amphora/analyze/logbook"
	"amphora/capture"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fromHere makes paths of the tests hold in another folder, and goes there.
func fromHere(t *testing.T) (log string) {
	log, err := filepath.Abs(mowerLog)
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	return log
}

func TestReportOfALogIsOneFile(t *testing.T) {
	log := fromHere(t)
	name := strings.TrimSpace(done(t, "report", log, "--capacity", "18Ah"))
	assert.Equal(t, "report-"+channelOf(log)+".html", name)
	page, err := os.ReadFile(name)
	require.NoError(t, err)
	assert.Contains(t, string(page), "Ah went in")
	assert.Contains(t, string(page), "data:image/svg")
	assert.NotContains(t, string(page), filepath.Dir(log), "where the log lies is not told")
	all, err := os.ReadDir(".")
	require.NoError(t, err)
	assert.Len(t, all, 1, "nothing but the page is left")
	assert.Equal(t, string(page), done(t, "report", log, "--capacity", "18Ah", "--out", "-"))
}

func TestReportExports(t *testing.T) {
	log := fromHere(t)
	rows, err := csv.NewReader(strings.NewReader(done(t, "report", log, "--csv", "--out", "-"))).ReadAll()
	require.NoError(t, err)
	assert.Greater(t, len(rows), 1000)
	assert.Equal(t, "elapsed_s", rows[0][0])

	lines := done(t, "report", log, "--line-protocol", "--out", "-", "--started", "2026-03-14T21:40:00Z", "--battery", "my mower")
	assert.Contains(t, lines, `charge_sample,battery=my\ mower,channel=`+channelOf(log)+",stage=constant-current voltage=")
	assert.Contains(t, lines, "charge_session,battery=my\\ mower,channel=")
}

func TestReportNeverWritesOverTheLog(t *testing.T) {
	log := fromHere(t)
	b, err := os.ReadFile(log)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile("night.csv", b, 0o644))
	code, _, said := amphora(t, "report", "night.csv", "--csv", "--out", "./night.csv")
	assert.Equal(t, exitUsage, code)
	assert.Contains(t, said, "over the log itself")
	after, err := os.ReadFile("night.csv")
	require.NoError(t, err)
	assert.Equal(t, b, after)
}

func TestReportOfABatteryAndOfACharge(t *testing.T) {
	dir, id := newData(t), recorded(t).ID
	t.Chdir(t.TempDir())
	page := done(t, "report", "mower", "--data", dir, "--out", "-")
	assert.Contains(t, page, "the shed")
	assert.Contains(t, page, "Not enough data")
	assert.Contains(t, done(t, "report", "mower", "--data", dir, "--csv", "--out", "-"), id)
	assert.Contains(t, done(t, "report", "mower", "--data", dir, "--line-protocol", "--out", "-"), "charge_session,battery=mower,channel=bench,outcome=complete charge_ah=")

	// This one's lines were never in a journal.
	page = done(t, "report", id, "--data", dir, "--out", "-")
	assert.Contains(t, page, "the raw record of this charge is no longer kept")
	assert.Contains(t, page, "the fan ran")
	code, _, said := amphora(t, "report", id, "--data", dir, "--csv", "--out", "-")
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, said, "no longer kept")
}

// A charge that the daemon recorded has its curve from the journal, with no daemon there.
func TestReportOfARecordedCharge(t *testing.T) {
	const night = "../../testdata/drill-three-cells.log"
	alone, _, err := readLog(night, nil, logOptions{})
	require.NoError(t, err)
	wanted := alone.Sessions[0]
	log, err := os.ReadFile(night)
	require.NoError(t, err)
	dir := t.TempDir()
	file := filepath.Join(dir, "night.log")
	require.NoError(t, os.WriteFile(file, log, 0o644))
	source, err := capture.File{Path: file}.Source()
	require.NoError(t, err)

	ctx, cancel := context.WithCancel(t.Context())
	d, err := daemon.Open(ctx, daemon.Config{Data: dir, Clock: capture.SystemClock{}, Log: slog.New(slog.DiscardHandler), Channels: []daemon.Settings{
		{Name: "bench", Source: source, Decoder: "auto", Options: analyze.Options{Channel: "bench"}}}})
	require.NoError(t, err)
	ran := make(chan error, 1)
	go func() { ran <- d.Run(ctx) }()
	testhelp.Until(t, "the last row", func() bool {
		c, ok := d.Hub().Get("bench")
		return ok && c.LastReading != nil && c.LastReading.AtS >= wanted.EndS+1000+1000
	})
	cancel()
	require.NoError(t, <-ran)
	require.NoError(t, d.Close())

	sessions := doneJSON[[]analyze.Session](t, "session", "list", "--data", dir, "--json")
	require.Len(t, sessions, 1)
	page := done(t, "report", sessions[0].ID, "--data", dir, "--out", "-")
	assert.Contains(t, page, "data:image/svg")
	assert.Contains(t, page, fmt.Sprintf("%.3g", float64(wanted.ChargeInAh)))
	rows, err := csv.NewReader(strings.NewReader(done(t, "report", sessions[0].ID, "--data", dir, "--csv", "--out", "-"))).ReadAll()
	require.NoError(t, err)
	assert.Greater(t, len(rows), 1000)
	last, err := strconv.ParseFloat(rows[len(rows)-1][6], 64)
	require.NoError(t, err)
	assert.InDelta(t, float64(wanted.ChargeInAh), last, 0.01)
}

func TestReportOfNobody(t *testing.T) {
	dir := newData(t)
	code, _, said := amphora(t, "report", "boat", "--data", dir)
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, said, `"boat" is no file here, and no charge or battery in the logbook`)
	code, _, _ = amphora(t, "report", "boat", "--data", filepath.Join(dir, "nowhere"))
	assert.Equal(t, exitFailed, code)
	code, _, _ = amphora(t, "report", mowerLog, "--csv", "--line-protocol")
	assert.Equal(t, exitUsage, code)
}

func TestFileNames(t *testing.T) {
	for name, want := range map[string]string{"mower": "report-mower", "../../etc": "report-_.._etc", `a\b:c|d`: "report-a_b_c_d", "x.": "report-x", "a\nb": "report-a_b"} {
		assert.Equal(t, want, fileName(name))
	}
}

func TestBatteryShowTellsTheCondition(t *testing.T) {
	dir := newData(t)
	for _, month := range []string{"01", "03", "05", "07", "09", "11"} {
		done(t, "reading", "add", "mower", "--data", dir, "--ohm", "2"+month[1:]+"mohm", "--celsius", "25C", "--at", "2025-"+month+"-01T12:00:00Z")
	}
	text := done(t, "battery", "show", "mower", "--data", dir)
	assert.Contains(t, text, "Condition  ")
	assert.Contains(t, text, "resistance noted by hand")

	var got struct {
		logbook.Battery
		Condition condition.Condition `json:"condition"`
	}
	require.NoError(t, json.Unmarshal([]byte(done(t, "battery", "show", "mower", "--data", dir, "--json")), &got))
	assert.Equal(t, "mower", got.Name)
	assert.NotEmpty(t, got.Condition.Verdict.State)
	assert.NotEmpty(t, got.Condition.Trends)
}
