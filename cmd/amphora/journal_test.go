package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestJournalExport(t *testing.T) {
	dir := newJournal(t, "bench", "V=12.50 A=3.00", "=1+1")
	assert.Equal(t, "V=12.50 A=3.00\n=1+1\n", done(t, "journal", "export", dir))
	assert.Equal(t, "V=12.50 A=3.00\n=1+1\n", done(t, "journal", "export", "--data", dir, "--channel", "bench"))
	rows := strings.Split(done(t, "journal", "export", "--csv", dir), "\n")
	assert.Equal(t, "record,wall,boot_s,flags,text", strings.TrimSpace(rows[0]))
	assert.Contains(t, rows[2], "V=12.50 A=3.00")
	assert.Contains(t, rows[3], "'=1+1")
}

func TestJournalExportOfSeveralChannels(t *testing.T) {
	dir := newJournal(t, "bench", "b")
	addChannel(t, dir, "shed", "s")
	assert.Equal(t, "s\n", done(t, "journal", "export", dir, "--channel", "shed"))
	code, out, errOut := amphora(t, "journal", "export", dir)
	assert.Equal(t, exitUsage, code)
	assert.Empty(t, out)
	assert.Contains(t, errOut, "give --channel with one of bench, shed")
	code, out, errOut = amphora(t, "journal", "export", dir, "--channel", "attic")
	assert.Equal(t, exitFailed, code)
	assert.Empty(t, out)
	assert.Contains(t, errOut, "it has bench, shed")
}

func TestJournalVerify(t *testing.T) {
	dir := newJournal(t, "bench", "V=12.50 A=3.00", "V=12.51 A=3.00", "V=12.52 A=3.00")
	assert.Contains(t, done(t, "journal", "verify", dir), "in order")
	views := doneJSON[[]segmentView](t, "journal", "verify", dir)
	require.Len(t, views, 1)
	assert.Equal(t, uint64(4), views[0].Records, "three lines and the remark that the source was opened")
	assert.Empty(t, views[0].Damage)
}

func TestJournalVerifyNamesDamage(t *testing.T) {
	dir := newJournal(t, "bench", "V=12.50 A=3.00", "V=12.51 A=3.00", "V=12.52 A=3.00")
	file := doneJSON[[]segmentView](t, "journal", "verify", dir)[0].File
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(file, []byte(strings.Replace(string(text), "12.51", "13.51", 1)), 0o600))

	code, out, errOut := amphora(t, "journal", "verify", dir)
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, out, "damaged, 1 time")
	assert.Contains(t, out, "record 3 is lost")
	assert.Contains(t, errOut, "damaged in 1 place")

	code, out, _ = amphora(t, "journal", "verify", dir, "--json")
	assert.Equal(t, exitFailed, code)
	var views []segmentView
	require.NoError(t, json.Unmarshal([]byte(out), &views))
	assert.Equal(t, uint64(3), views[0].Damage[0].First)

	code, out, errOut = amphora(t, "journal", "export", dir)
	assert.Equal(t, exitDone, code)
	assert.Equal(t, "V=12.50 A=3.00\nV=12.52 A=3.00\n", out)
	assert.Contains(t, errOut, "record 3 is lost")
}

func TestJournalOfAnIdleFolder(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "journal"), 0o750))
	assert.Equal(t, dir+": nothing recorded\n", done(t, "journal", "verify", dir))
	assert.Equal(t, "[]\n", done(t, "journal", "verify", "--json", dir))
}
