package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// checked runs the command and gives its exit status and both outputs.
func checked(args ...string) (status int, out, errOut string) {
	var o, e bytes.Buffer
	status = run(context.Background(), append([]string{"check"}, args...), nil, &o, &e)
	return status, o.String(), e.String()
}

func TestCheckTellsEachProblemAndItsPlace(t *testing.T) {
	path := filepath.Join(t.TempDir(), "amphora.yaml")
	require.NoError(t, os.WriteFile(path, []byte("channels: [{nam: a, source: {stdin: {}}}]\ndata: [x]\n"), 0o600))
	status, out, errOut := checked(path)
	assert.Equal(t, exitUsage, status)
	assert.Empty(t, out)
	assert.Contains(t, errOut, path+`:1:13: unknown key "nam" in channels[0]; did you mean "name"?`+"\n")
	assert.Contains(t, errOut, path+":2:7: data: got a list, want a folder\n")
	assert.Contains(t, errOut, "cannot be used: 3 errors, no warnings")
}

func TestCheckPassesAWarning(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "amphora.yaml")
	port := filepath.Join(dir, "not-plugged-in")
	require.NoError(t, os.WriteFile(path, []byte("channels: [{name: a, source: {serial: {port: "+port+"}}}]\n"), 0o600))
	status, out, errOut := checked(path)
	assert.Equal(t, exitDone, status)
	assert.Equal(t, path+" can be used: 1 channel, 1 warning\n", out)
	assert.Contains(t, errOut, path+":1:46: warning: port: "+port+" is not there now")
}

func TestCheckSaysThatAnAlarmIsOff(t *testing.T) {
	path := filepath.Join(t.TempDir(), "amphora.yaml")
	require.NoError(t, os.WriteFile(path, []byte("channels: [{name: a, source: {stdin: {}}, findings: {over-voltage: off, stalled: off}}]\n"), 0o600))
	status, out, errOut := checked(path)
	assert.Equal(t, exitDone, status)
	assert.Equal(t, path+" can be used: 1 channel, 1 warning\n", out)
	assert.Equal(t, path+":1:68: warning: over-voltage: this alarm is off: nobody is told of such a hazard on this channel\n", errOut)
}

func TestCheckFindsTheConfiguration(t *testing.T) {
	path := filepath.Join(t.TempDir(), "mine.yaml")
	t.Setenv("AMPHORA_CONFIG", path)
	status, _, errOut := checked()
	assert.Equal(t, exitUsage, status)
	assert.Contains(t, errOut, path+": cannot be read: no such file or directory")
}

func TestCheckPrintsAnExampleThatPasses(t *testing.T) {
	status, example, _ := checked("--example")
	require.Equal(t, exitDone, status)
	path := filepath.Join(t.TempDir(), "amphora.yaml")
	require.NoError(t, os.WriteFile(path, []byte(example), 0o600))
	status, out, _ := checked(path)
	assert.Equal(t, exitDone, status)
	assert.Contains(t, out, "can be used: 1 channel")
}
