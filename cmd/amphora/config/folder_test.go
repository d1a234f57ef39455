package config

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/dashboards/testhelp"
)

func TestADataFolderThatCannotBeIsTold(t *testing.T) {
	h := machine(t, nil)
	h.write(t, "/srv/file", "", 0o600)
	require.NoError(t, os.Mkdir(h.real("/srv/there"), 0o750))
	for data, want := range map[string][]string{
		"/srv/file":       {"/etc/amphora.yaml:2:7: data: /srv/file is a file, want a folder"},
		"/srv/file/below": {"/etc/amphora.yaml:2:7: data: /srv/file/below cannot be made: not a directory; name another folder"},
		"/srv/there":      nil,
		"/srv/new/folder": nil,
	} {
		_, problems := h.read(t, minimal+"data: "+data)
		assert.Equal(t, want, problems, data)
	}
	names, err := os.ReadDir(h.real("/srv"))
	require.NoError(t, err)
	assert.Len(t, names, 2, "trying leaves nothing behind")
}

// Where the system makes no folders at all, whoever asks.
func TestADataFolderThatNobodyCanMakeIsTold(t *testing.T) {
	if _, err := os.Stat("/proc/self"); err != nil {
		t.Skip("there is no /proc here")
	}
	_, problems := Load(testhelp.File(t, minimal+"data: /proc/amphora/data"))
	require.NotEmpty(t, problems)
	assert.Contains(t, problems[0].String(), ":2:7: ")
	assert.Contains(t, problems[0].Message, "/proc/amphora/data")
}
