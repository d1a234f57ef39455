package logbook

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// evening is when the made-up entries of these tests begin.
var evening = time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)

func newBook(t testing.TB) *Book {
	return openBook(t, filepath.Join(t.TempDir(), "logbook.db"))
}

func openBook(t testing.TB, path string) *Book {
	book, err := Open(t.Context(), path)
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, book.Close()) })
	return book
}

// mower is a battery with every field known.
func mower() Battery {
	return Battery{
		Name: "mower", Chemistry: new(analyze.LeadAGM), Cells: new(6),
		CapacityAh: new(17.0), CapacityHours: new(20.0), ReserveMinutes: new(25.0),
		Bought: "2024-05", Where: "the shed <left>", Note: "swapped cells\n\"2025\" ☂\x00end",
	}
}

// charge is a finished charge, the n-th of a long series, one a day.
func charge(n int) Session {
	started := evening.AddDate(0, 0, n)
	unknown := analyze.Number(analyze.Unknown())
	return Session{
		Summary: analyze.Session{
			ID: fmt.Sprintf("bench-%05d", n), Channel: "bench", Battery: "mower", Started: &started,
			StartS: 0, EndS: 41000, FinishS: unknown, Outcome: analyze.CutShort, EndedBy: analyze.EndCurrentStopped,
			ChargeInAh: analyze.Number(float64(n) / 7), SetA: 3, HeldV: 14.5, PeakV: 14.57, MaxCelsius: unknown,
			Stages: []analyze.Stage{
				{Stage: analyze.ConstantCurrent, EndS: 24240, ChargeAh: 17.6, MeanV: 13.6, MeanA: 2.6, Why: "the voltage rises at a steady current"},
				{Stage: analyze.ConstantVoltage, StartS: 24240, EndS: 41000, ChargeAh: 4.0, MeanV: 14.5, MeanA: 0.9, Why: "the voltage is held at 14.5 V"},
			},
			Findings: []analyze.Finding{{Code: "power-limited", Severity: analyze.Note, EndS: unknown, Message: "P < 45 W & steady"}},
		},
		JournalFrom: fmt.Sprintf("segment-%d:17", n),
		Settled:     true,
	}
}

func TestBatteryComesBackAsItWasTyped(t *testing.T) {
	book := newBook(t)
	require.NoError(t, book.AddBattery(t.Context(), mower()))
	require.NoError(t, book.AddBattery(t.Context(), Battery{Name: "bare"}))

	got, err := book.Battery(t.Context(), "mower")
	require.NoError(t, err)
	assert.Equal(t, mower(), got)

	all, err := book.Batteries(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []Battery{{Name: "bare"}, mower()}, all)

	text, err := json.Marshal(all[0])
	require.NoError(t, err)
	assert.JSONEq(t, `{"name":"bare","chemistry":null,"cells":null,"capacity_ah":null,"capacity_hours":null,
		"reserve_minutes":null,"bought":null,"where":null,"note":null,"retired":null}`, string(text))
}

func TestBatteryNamesAreUnique(t *testing.T) {
	book := newBook(t)
	require.NoError(t, book.AddBattery(t.Context(), mower()))
	err := book.AddBattery(t.Context(), Battery{Name: "mower"})
	assert.ErrorIs(t, err, ErrExists)
	assert.EqualError(t, err, `battery "mower" is in the logbook already`)
	got, err := book.Battery(t.Context(), "mower")
	require.NoError(t, err)
	assert.Equal(t, mower(), got, "the first one must be untouched")
}

func TestABatteryThatWasMistypedIsTakenOut(t *testing.T) {
	book := newBook(t)
	for _, name := range []string{"mowre", "charged", "measured"} {
		require.NoError(t, book.AddBattery(t.Context(), Battery{Name: name}))
	}
	s := charge(1)
	s.Summary.Battery = "Charged"
	require.NoError(t, book.PutSession(t.Context(), s))
	_, err := book.AddReading(t.Context(), Reading{Battery: "measured", At: evening, Remark: "warm"})
	require.NoError(t, err)

	require.NoError(t, book.DropBattery(t.Context(), "mowre"))
	require.ErrorIs(t, book.DropBattery(t.Context(), "mowre"), ErrNotFound)
	require.ErrorContains(t, book.DropBattery(t.Context(), "charged"), `battery "charged" cannot be taken out: charges 1, readings 0; retire it instead`)
	require.ErrorIs(t, book.DropBattery(t.Context(), "measured"), ErrInUse)
	all, err := book.Batteries(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []Battery{{Name: "charged"}, {Name: "measured"}}, all)
}

func TestEditChangesTheGivenFieldsOnly(t *testing.T) {
	book := newBook(t)
	require.NoError(t, book.AddBattery(t.Context(), mower()))
	_, err := book.EditBattery(t.Context(), "mower", Fields{"capacity_ah": 18, "note": nil, "chemistry": "LEAD-GEL", "cells": nil})
	require.NoError(t, err)

	want := mower()
	want.CapacityAh, want.Note, want.Chemistry, want.Cells = new(18.0), "", new(analyze.LeadGel), nil
	got, err := book.Battery(t.Context(), "mower")
	require.NoError(t, err)
	assert.Equal(t, want, got)

	retired, err := book.RetireBattery(t.Context(), "mower", evening.Add(1500*time.Microsecond))
	require.NoError(t, err)
	assert.Equal(t, evening.Add(time.Millisecond), *retired.Retired)
	back, err := book.EditBattery(t.Context(), "mower", Fields{"retired": nil})
	require.NoError(t, err)
	assert.Equal(t, want, back)

	_, err = book.EditBattery(t.Context(), "nobody", Fields{})
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = book.Battery(t.Context(), "nobody")
	assert.EqualError(t, err, `battery "nobody" is not in the logbook`)
}

// Two people edit different fields at the same time: both must get their way.
func TestEditsFromTwoHandlesDoNotUndoEachOther(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	books := []*Book{openBook(t, path), openBook(t, path)}
	require.NoError(t, books[0].AddBattery(t.Context(), Battery{Name: "mower"}))
	var both sync.WaitGroup
	for i, field := range []string{"note", "where"} {
		both.Go(func() {
			for n := range 50 {
				_, err := books[i].EditBattery(t.Context(), "mower", Fields{field: fmt.Sprint(n)})
				assert.NoError(t, err)
			}
		})
	}
	both.Wait()
	got, err := books[0].Battery(t.Context(), "mower")
	require.NoError(t, err)
	assert.Equal(t, Battery{Name: "mower", Note: "49", Where: "49"}, got)
}

func TestReadingsSortByTheirTime(t *testing.T) {
	book := newBook(t)
	require.NoError(t, book.AddBattery(t.Context(), mower()))
	add := func(at time.Time, ohm float64) Reading {
		r, err := book.AddReading(t.Context(), Reading{Battery: "mower", At: at, Ohm: &ohm, Means: "bridge"})
		require.NoError(t, err)
		return r
	}
	berlin := time.FixedZone("", 3600)
	late := add(evening.Add(time.Hour), 0.031)
	early := add(evening.In(berlin), 0.029)
	second := add(evening.Add(900*time.Microsecond), 0.030)

	got, err := book.Readings(t.Context(), "mower")
	require.NoError(t, err)
	assert.Equal(t, []Reading{early, second, late}, got)
	assert.Equal(t, "20260314T214000.000Z-0001", early.ID)
	assert.Equal(t, "20260314T214000.000Z-0002", second.ID)

	text, err := json.Marshal(early)
	require.NoError(t, err)
	assert.JSONEq(t, `{"id":"20260314T214000.000Z-0001","battery":"mower","at":"2026-03-14T21:40:00Z","ohm":0.029,
		"volts":null,"gravity":null,"celsius":null,"remark":null,"means":"bridge"}`, string(text))

	_, err = book.AddReading(t.Context(), Reading{Battery: "nobody", At: evening, Remark: "warm"})
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = book.Readings(t.Context(), "nobody")
	assert.ErrorIs(t, err, ErrNotFound)

	require.NoError(t, book.DropReading(t.Context(), second.ID))
	assert.ErrorIs(t, book.DropReading(t.Context(), second.ID), ErrNotFound)
	got, err = book.Readings(t.Context(), "mower")
	require.NoError(t, err)
	assert.Equal(t, []Reading{early, late}, got)
}

// The driver passes over a setting that it does not know.
func TestMisspeltSettingIsNoticed(t *testing.T) {
	db, err := sql.Open("sqlite", dsn(filepath.Join(t.TempDir(), "x.db"), time.Second, "_txlock=immediate", "jurnal_mode(WAL)"))
	require.NoError(t, err)
	defer db.Close()
	err = readBack(t.Context(), db, map[string]string{"journal_mode": "wal"})
	assert.EqualError(t, err, "setting journal_mode is delete, want wal; is the file on a local disk?")
}

func TestReadingHandleCannotWrite(t *testing.T) {
	_, err := newBook(t).read.Exec("DELETE FROM battery")
	assert.ErrorContains(t, err, "readonly")
}

// A full disk must be told as such, and cost nothing that is in the book.
func TestFullDiskLosesNothing(t *testing.T) {
	book := newBook(t)
	require.NoError(t, book.AddBattery(t.Context(), mower()))
	_, err := book.write.Exec("PRAGMA max_page_count = 1") // as if no page could be had; SQLite takes the present size
	require.NoError(t, err)
	err = book.AddBattery(t.Context(), Battery{Name: "big", Note: Text(strings.Repeat("x", 100_000))})
	assert.ErrorContains(t, err, "; make room on the disk")
	_, err = book.write.Exec("PRAGMA max_page_count = 1000000")
	require.NoError(t, err)
	require.NoError(t, book.AddBattery(t.Context(), Battery{Name: "small"}))
	got, err := book.Batteries(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []Battery{mower(), {Name: "small"}}, got)
}

func TestPathMayHoldAnyCharacter(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "a b?mode=memory#c%41&ü")
	require.NoError(t, os.Mkdir(folder, 0o750))
	openBook(t, filepath.Join(folder, "log book.db"))
	assert.FileExists(t, filepath.Join(folder, "log book.db"))
}

// Others of this machine, who may enter the folder, read neither the book nor what lies beside it.
func TestBookIsNotForEverybody(t *testing.T) {
	book := newBook(t)
	require.NoError(t, book.AddBattery(t.Context(), mower()))
	require.NoError(t, book.Backup(t.Context(), book.path+".copy"))
	files, err := filepath.Glob(book.path + "*")
	require.NoError(t, err)
	require.Len(t, files, 4, "the book, what is new in it, who reads it, the copy: %s", files)
	for _, file := range files {
		info, err := os.Stat(file)
		require.NoError(t, err)
		assert.Zero(t, info.Mode().Perm()&0o007, "%s is %s", file, info.Mode())
	}
}

func TestOpenSaysWhatIsWrong(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "file")
	require.NoError(t, os.WriteFile(file, nil, 0o640))
	other := filepath.Join(folder, "other.db")
	runSQL(t, other, "CREATE TABLE recipes (name TEXT)")
	newer := filepath.Join(folder, "newer.db")
	require.NoError(t, openBook(t, newer).Close())
	runSQL(t, newer, "PRAGMA user_version = 99")

	for path, want := range map[string]string{
		filepath.Join(folder, "none", "logbook.db"): "its folder does not exist; create it or name another data folder",
		filepath.Join(file, "logbook.db"):           file,
		folder:                                      "; check that it is a file, and that this user may write it and its folder",
		other:                                       "it is another program's database; name another file",
		newer:                                       "its tables have form 99 and this program knows up to 4; use a newer amphora",
	} {
		_, err := Open(t.Context(), path)
		require.Error(t, err, path)
		assert.ErrorContains(t, err, want)
		_, isDamage := errors.AsType[*Damage](err)
		assert.False(t, isDamage, "%v", err)
	}
}

// A process that holds the write lock must not stop readers, and a writer must
// be told, not kept for ever.
func TestHeldLockStopsWritersOnly(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	holder := openBook(t, path)
	require.NoError(t, holder.AddBattery(t.Context(), mower()))
	impatient, err := open(t.Context(), path, 20*time.Millisecond)
	require.NoError(t, err)
	defer impatient.Close()

	tx, err := holder.write.BeginTx(t.Context(), nil)
	require.NoError(t, err)
	_, err = impatient.Battery(t.Context(), "mower")
	assert.NoError(t, err)
	assert.ErrorIs(t, impatient.AddBattery(t.Context(), Battery{Name: "late"}), ErrBusy)
	require.NoError(t, tx.Rollback())
	assert.NoError(t, impatient.AddBattery(t.Context(), Battery{Name: "late"}))
}

func TestManyOpenANewBookAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	var all sync.WaitGroup
	for n := range 8 {
		all.Go(func() {
			book, err := Open(context.Background(), path)
			if assert.NoError(t, err) {
				assert.NoError(t, book.AddBattery(context.Background(), Battery{Name: fmt.Sprint("b", n)}))
				assert.NoError(t, book.Close())
			}
		})
	}
	all.Wait()
	batteries, err := openBook(t, path).Batteries(t.Context())
	require.NoError(t, err)
	assert.Len(t, batteries, 8)
}

// runSQL changes a file behind the package's back.
func runSQL(t *testing.T, path, statements string) {
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	_, err = db.Exec(statements)
	require.NoError(t, err)
	require.NoError(t, db.Close())
}
