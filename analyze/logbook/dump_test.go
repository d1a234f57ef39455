package logbook

import (
	"bytes"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func export(t *testing.T, book *Book) string {
	var out bytes.Buffer
	require.NoError(t, book.Export(t.Context(), &out))
	return out.String()
}

// richBook holds every kind of entry, with text and numbers that are hard to
// carry: all 53 bits, markup, a NUL, a note without its session.
func richBook(t *testing.T) *Book {
	book := newBook(t)
	require.NoError(t, book.AddBattery(t.Context(), mower()))
	require.NoError(t, book.AddBattery(t.Context(), Battery{Name: "Ünïcode 2", Retired: &evening, CapacityAh: new(1.0 / 3)}))
	random := rand.New(rand.NewPCG(3, 4))
	for range 100 {
		_, err := book.AddReading(t.Context(), Reading{Battery: "mower", At: evening.Add(time.Duration(random.IntN(50)) * time.Millisecond),
			Volts: new(random.NormFloat64()), Celsius: new(random.Float64() / 1e9), Remark: "a<b>&\u2028\"\\\x00\r\n"})
		require.NoError(t, err)
	}
	for n := range 20 {
		s := charge(n)
		if n == 7 {
			s.Summary.Started, s.Settled = nil, false
		}
		s.Assigned = n == 8
		require.NoError(t, book.PutSession(t.Context(), s))
		_, err := book.Annotate(t.Context(), s.Summary.ID, evening, "=1+1 <script>")
		require.NoError(t, err)
	}
	require.NoError(t, book.DropSession(t.Context(), charge(3).Summary.ID))
	return book
}

func TestDumpRestoresBitForBit(t *testing.T) {
	book := richBook(t)
	dumped := export(t, book)
	restored := newBook(t)
	require.NoError(t, restored.Import(t.Context(), strings.NewReader(dumped)))
	assert.Equal(t, dumped, export(t, restored))

	for _, table := range tables { // and the tables too, to the last bit
		query := "SELECT * FROM " + table + " ORDER BY 1"
		assert.Equal(t, content(t, book, query), content(t, restored, query))
	}
	require.NoError(t, restored.Import(t.Context(), strings.NewReader(dumped)), "a second time changes nothing")
	assert.Equal(t, dumped, export(t, restored))
}

func content(t *testing.T, book *Book, query string) [][]any {
	rows, err := book.read.Query(query)
	require.NoError(t, err)
	defer rows.Close()
	columns, err := rows.Columns()
	require.NoError(t, err)
	var all [][]any
	for rows.Next() {
		values, into := make([]any, len(columns)), make([]any, len(columns))
		for i := range values {
			into[i] = &values[i]
		}
		require.NoError(t, rows.Scan(into...))
		all = append(all, values)
	}
	require.NotEmpty(t, all)
	return all
}

func TestEmptyBookHasADumpToo(t *testing.T) {
	dumped := export(t, newBook(t))
	assert.Equal(t, `{
 "format": "amphora logbook",
 "version": 1,
 "batteries": [],
 "readings": [],
 "notes": [],
 "sessions": []
}
`, dumped)
	require.NoError(t, newBook(t).Import(t.Context(), strings.NewReader(dumped)))
}

// A session of a later form has fields that this program does not know.
func TestDumpKeepsUnknownFieldsOfASummary(t *testing.T) {
	head, tail := `{"format":"amphora logbook","version":1,"batteries":[],"readings":[],"notes":[],"sessions":[
		{"journal_from":null,"settled":true,"document":{"id":"x","started":"2026-03-14T21:40:00Z","charge_in_ah":1.50,"mood":"`, `"}}]}`
	book := newBook(t)
	require.NoError(t, book.Import(t.Context(), strings.NewReader(head+`fine`+tail)))
	assert.Contains(t, export(t, book), `"charge_in_ah": 1.50,
    "mood": "fine"`)
}

func TestImportNeverWritesOverWhatAPersonTyped(t *testing.T) {
	dumped := export(t, richBook(t))
	book := newBook(t)
	edited := mower()
	edited.Note = "my own"
	require.NoError(t, book.AddBattery(t.Context(), edited))
	before := export(t, book)

	err := book.Import(t.Context(), strings.NewReader(dumped))
	assert.ErrorIs(t, err, ErrExists)
	assert.EqualError(t, err, `import: battery 1: "mower" is in the logbook already, and differs`)
	assert.Equal(t, before, export(t, book), "all or nothing")
}

func TestImportKeepsTheBooksOwnSession(t *testing.T) {
	dumped := export(t, richBook(t))
	book := newBook(t)
	own := charge(5)
	own.Summary.PeakV = 99
	require.NoError(t, book.PutSession(t.Context(), own))
	require.NoError(t, book.Import(t.Context(), strings.NewReader(dumped)))
	got, err := book.Session(t.Context(), own.Summary.ID)
	require.NoError(t, err)
	assert.EqualValues(t, 99, got.Summary.PeakV)
	assert.Len(t, got.Notes, 1)
}

func TestImportSaysWhatItCannotRead(t *testing.T) {
	good := export(t, richBook(t))
	for name, c := range map[string]struct{ old, new, want string }{
		"another document": {good, `{"log":{}}`, `json: unknown field "log"; want a document that was exported from a logbook`},
		"another format":   {"amphora logbook", "shopping list", `import: format is "shopping list", want "amphora logbook"`},
		"later version":    {`"version": 1`, `"version": 2`, "import: version is 2 and this program reads 1; use a newer amphora"},
		"unknown field":    {`"cells": 6`, `"sells": 6`, `unknown field "sells"`},
		"wrong value":      {`"cells": 6`, `"cells": -6`, "import: battery 1: cells is -6, want 1 to 1000"},
		"wrong identity":   {`Z-0001"`, `Z-1"`, `import: reading 1: id is "20260314T214000.000Z-1", want one like 20260314T214000.000Z-0001`},
		"cut short":        {"\n}\n", "\n", "unexpected EOF"},
		"glued together":   {"\n}\n", "\n}\n{}", "more text after the document"},
	} {
		t.Run(name, func(t *testing.T) {
			book := newBook(t)
			empty := export(t, book)
			err := book.Import(t.Context(), strings.NewReader(strings.Replace(good, c.old, c.new, 1)))
			assert.ErrorContains(t, err, c.want)
			assert.Equal(t, empty, export(t, book))
		})
	}
}

func TestBackupWhileWriting(t *testing.T) {
	path := filepath.Join(t.TempDir(), "logbook.db")
	book := openBook(t, path)
	require.NoError(t, book.AddBattery(t.Context(), mower()))
	writer := start(t, "writer", path)
	writer.do(t, 1000)
	for n := range 5 {
		var last string
		for range 10 {
			last = <-writer.lines
		}
		backup := filepath.Join(t.TempDir(), "backup.db")
		require.NoError(t, book.Backup(t.Context(), backup), n)
		copied := openBook(t, backup)
		require.NoError(t, soundness(t.Context(), copied.read, "PRAGMA integrity_check"))
		assertKept(t, copied, []string{last})
	}
	writer.kill(t)

	before := export(t, book)
	quiet := filepath.Join(t.TempDir(), "quiet.db")
	require.NoError(t, book.Backup(t.Context(), quiet))
	assert.Equal(t, before, export(t, openBook(t, quiet)))
}

func TestBackupOverwritesNothing(t *testing.T) {
	book := richBook(t)
	err := book.Backup(t.Context(), book.path)
	assert.EqualError(t, err, "backup "+book.path+": file already exists; name a new file")
	lost := filepath.Join(t.TempDir(), "none", "backup.db")
	assert.ErrorContains(t, book.Backup(t.Context(), lost), "backup "+lost+": ")
}
