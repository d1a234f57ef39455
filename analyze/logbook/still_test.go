package logbook

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A book on a disk that takes no writes can be read, nothing is made beside it, and whoever
// wants to change it is told that he cannot. That the daemon begins so is seen on a real one
// (TestStartOnAReadOnlyDisk).
func TestBookIsOpenedAsItIs(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	book := openBook(t, path)
	require.NoError(t, book.AddBattery(t.Context(), mower()))
	require.NoError(t, book.PutSession(t.Context(), charge(1)))
	require.NoError(t, book.Close())

	still, err := openAsItIs(t.Context(), path)
	require.NoError(t, err)
	_, err = still.Battery(t.Context(), "mower")
	assert.NoError(t, err)
	sessions, err := still.Sessions(t.Context(), Filter{})
	require.NoError(t, err)
	assert.Len(t, sessions, 1)
	assert.ErrorContains(t, still.AddBattery(t.Context(), Battery{Name: "late"}), "readonly")
	files, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, files, 1)
	require.NoError(t, still.Close())

	file, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, file[:len(file)/2], 0o640))
	_, err = openAsItIs(t.Context(), path)
	assert.Error(t, err, "what is damaged is mended or refused")
}

func TestUnwritableSaysWhy(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	assert.ErrorIs(t, unwritable(path), os.ErrNotExist)
	require.NoError(t, os.WriteFile(path, nil, 0o640))
	assert.NoError(t, unwritable(path))
	files, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, files, 1, "the trial is gone")
	assert.Error(t, unwritable(t.TempDir()), "a folder is no file")
}

// A book that nothing can be done with keeps no night from being recorded: an empty one stands
// in for it, and what is there is left as it is.
func TestAnEmptyBookStandsIn(t *testing.T) {
	newer := filepath.Join(t.TempDir(), "logbook.db")
	require.NoError(t, openBook(t, newer).Close())
	runSQL(t, newer, "PRAGMA user_version = 99")
	folder := filepath.Join(t.TempDir(), "logbook.db")
	require.NoError(t, os.Mkdir(folder, 0o750))
	lost := filepath.Join(t.TempDir(), "logbook.db") // and no room to save it
	require.NoError(t, os.WriteFile(lost, []byte(strings.Repeat("no database ", 100)), 0o640))
	require.NoError(t, os.MkdirAll(filepath.Join(lost+".saved", "taken"), 0o750))
	for path, why := range map[string]string{newer: "use a newer amphora", folder: "check that it is a file", lost: "clear the way"} {
		before, _ := os.ReadFile(path)
		book, damage, err := Recover(t.Context(), path)
		require.NoError(t, err, path)
		assert.Nil(t, damage)
		assert.ErrorContains(t, book.Unwritable(), why)
		assert.ErrorContains(t, book.PutSession(t.Context(), charge(1)), "readonly")
		assert.ErrorContains(t, book.AddBattery(t.Context(), mower()), "readonly")
		sessions, err := book.Sessions(t.Context(), Filter{})
		require.NoError(t, err)
		assert.Empty(t, sessions)
		require.NoError(t, book.Close())
		after, _ := os.ReadFile(path)
		assert.Equal(t, before, after)
	}
}
