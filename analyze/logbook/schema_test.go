package logbook

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// testdata/form-1.sql is the text of a file of the first form. It must never be
// changed: it stands for the files that people have.
func TestFileOfTheFirstFormIsUpgraded(t *testing.T) {
	old, err := os.ReadFile("testdata/form-1.sql")
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "logbook.db")
	runSQL(t, path, string(old))
	for range 2 { // the second time there is nothing to do
		book := openBook(t, path)
		taken, err := stepsTaken(t.Context(), book.read)
		require.NoError(t, err)
		assert.Equal(t, len(steps), taken)

		battery, err := book.Battery(t.Context(), "mower")
		require.NoError(t, err)
		assert.Equal(t, mower().CapacityAh, battery.CapacityAh)
		readings, err := book.Readings(t.Context(), "mower")
		require.NoError(t, err)
		assert.Equal(t, []Reading{{ID: "20260314T214000.000Z-0001", Battery: "mower", At: evening, Ohm: new(0.029), Means: "bridge"}}, readings)
		session, err := book.Session(t.Context(), "bench-1")
		require.NoError(t, err)
		assert.EqualValues(t, 21.64, session.Summary.ChargeInAh)
		assert.True(t, session.Settled)
		assert.Equal(t, []Note{{ID: "20260314T214000.000Z-0001", Session: "bench-1", At: evening, Text: "first night"}}, session.Notes)
	}
}

// A damaged file of the first form is saved into the present one.
func TestDamagedFileOfTheFirstFormIsSaved(t *testing.T) {
	old, err := os.ReadFile("testdata/form-1.sql")
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "logbook.db")
	runSQL(t, path, string(old)+"PRAGMA writable_schema = 1; UPDATE sqlite_schema SET rootpage = 3 WHERE name = 'session_by_time';")
	book, damage, err := Recover(t.Context(), path)
	require.NoError(t, err)
	defer book.Close()
	require.NotNil(t, damage)
	assert.Equal(t, map[string]int{"battery": 1, "reading": 1, "note": 1, "session": 1}, damage.Saved)
	session, err := book.Session(t.Context(), "bench-1")
	require.NoError(t, err)
	assert.True(t, session.Settled)
}

func TestFailedStepChangesNothing(t *testing.T) {
	book := newBook(t)
	before := content(t, book, "SELECT name, sql FROM sqlite_schema ORDER BY name")
	bad := append(append([]string{}, steps...), "CREATE TABLE extra (x); CREATE TABLE extra (x)")
	err := migrate(t.Context(), book.write, bad)
	assert.ErrorContains(t, err, fmt.Sprintf("bring the tables from form %d to %d", len(steps), len(steps)+1))
	assert.Equal(t, before, content(t, book, "SELECT name, sql FROM sqlite_schema ORDER BY name"))
	taken, err := stepsTaken(t.Context(), book.read)
	require.NoError(t, err)
	assert.Equal(t, len(steps), taken)
}
