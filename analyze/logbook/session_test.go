package logbook

import (
	"cmp"
	"database/sql"
	"encoding/json"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// document is what people see of a session; NaN is not equal to itself, so
// sessions are compared in this form.
func document(t testing.TB, s Session) string {
	text, err := json.Marshal(s.Summary)
	require.NoError(t, err)
	return string(text)
}

func ids(sessions []Session) []string {
	var all []string
	for _, s := range sessions {
		all = append(all, s.Summary.ID)
	}
	return all
}

func TestSessionIsRevisedAndNotesStay(t *testing.T) {
	book := newBook(t)
	running := charge(3)
	running.Summary.Outcome, running.Settled = analyze.Running, false
	require.NoError(t, book.PutSession(t.Context(), running))
	note, err := book.Annotate(t.Context(), "bench-00003", evening, "fan was off")
	require.NoError(t, err)

	first, err := book.Session(t.Context(), "bench-00003")
	require.NoError(t, err)
	assert.False(t, first.Settled)
	assert.Equal(t, "segment-3:17", first.JournalFrom)

	require.NoError(t, book.PutSession(t.Context(), charge(3)))
	got, err := book.Session(t.Context(), "bench-00003")
	require.NoError(t, err)
	assert.Equal(t, document(t, charge(3)), document(t, got))
	assert.Equal(t, []Note{note}, got.Notes)
	assert.True(t, got.Settled)
}

func TestNotesOutlastTheirSession(t *testing.T) {
	book := newBook(t)
	require.NoError(t, book.PutSession(t.Context(), charge(1)))
	first, err := book.Annotate(t.Context(), "bench-00001", evening, "first")
	require.NoError(t, err)
	second, err := book.Annotate(t.Context(), "bench-00001", evening, "second")
	require.NoError(t, err)

	require.NoError(t, book.DropSession(t.Context(), "bench-00001"))
	_, err = book.Session(t.Context(), "bench-00001")
	assert.ErrorIs(t, err, ErrNotFound)
	_, err = book.Annotate(t.Context(), "bench-00001", evening, "third")
	assert.ErrorIs(t, err, ErrNotFound)
	assert.ErrorIs(t, book.DropSession(t.Context(), "bench-00001"), ErrNotFound)

	require.NoError(t, book.PutSession(t.Context(), charge(1)))
	got, err := book.Session(t.Context(), "bench-00001")
	require.NoError(t, err)
	assert.Equal(t, []Note{first, second}, got.Notes)
	_, err = book.Annotate(t.Context(), "bench-00001", evening, " \n")
	assert.EqualError(t, err, "text is empty")
	_, err = book.Annotate(t.Context(), "bench-00001", time.Time{}, "x")
	assert.EqualError(t, err, "at is missing; say when it was written")
}

func TestSessionColumnsRepeatTheDocument(t *testing.T) {
	book := newBook(t)
	s := charge(7)
	s.Summary.EnergyInWh = analyze.Number(analyze.Unknown())
	require.NoError(t, book.PutSession(t.Context(), s))
	var started int64
	var outcome string
	var charge, energy sql.NullFloat64
	require.NoError(t, book.read.QueryRow("SELECT started_ms, outcome, charge_in_ah, energy_in_wh FROM session").
		Scan(&started, &outcome, &charge, &energy))
	assert.Equal(t, evening.AddDate(0, 0, 7).UnixMilli(), started)
	assert.Equal(t, "cut-short", outcome)
	assert.Equal(t, sql.NullFloat64{Float64: 1, Valid: true}, charge)
	assert.False(t, energy.Valid, "unknown is not zero")

	assert.EqualError(t, book.PutSession(t.Context(), Session{}), "id is missing")
}

// manySessions are charges of three batteries on two channels, some at the same
// instant and some without a date.
func manySessions(t testing.TB, book *Book, n int) []Session {
	all := make([]Session, n)
	require.NoError(t, book.change(t.Context(), "fill", func(tx *sql.Tx) error {
		for i := range all {
			s := charge(i)
			s.Summary.Battery = analyze.Name(fmt.Sprintf("battery-%d", i%3))
			s.Summary.Channel = fmt.Sprintf("channel-%d", i%2)
			s.Summary.Started = new(evening.Add(time.Duration(i/4) * time.Hour))
			if i%100 == 0 {
				s.Summary.Started = nil
			}
			record, err := recordOf(s)
			if err != nil {
				return err
			}
			if err := putSession(t.Context(), tx, record); err != nil {
				return err
			}
			all[i] = s
		}
		return nil
	}))
	slices.SortFunc(all, func(a, b Session) int { // newest first, those without a date last
		return cmp.Or(cmp.Compare(startedMs(b.Summary.Started), startedMs(a.Summary.Started)), cmp.Compare(b.Summary.ID, a.Summary.ID))
	})
	return all
}

func TestPagesCoverEverySessionOnce(t *testing.T) {
	book := newBook(t)
	all := manySessions(t, book, 1000)
	for _, filter := range []Filter{
		{Limit: 250},
		{Limit: 33, Battery: "battery-1"},
		{Limit: 100, Channel: "channel-0"},
		{Limit: 166, Battery: "battery-2", Channel: "channel-1"},
	} {
		var want []Session
		for _, s := range all {
			if (filter.Battery == "" || string(s.Summary.Battery) == filter.Battery) && (filter.Channel == "" || s.Summary.Channel == filter.Channel) {
				want = append(want, s)
			}
		}
		var got []Session
		for {
			page, err := book.Sessions(t.Context(), filter)
			require.NoError(t, err)
			if len(page) == 0 {
				break
			}
			got = append(got, page...)
			filter.Before, err = ParseCursor(page[len(page)-1].Cursor().String())
			require.NoError(t, err)
		}
		assert.Equal(t, ids(want), ids(got))
	}
}

// A page must be there in 10 ms; the query plan says so on any machine, where a
// clock would say how busy this one is. BenchmarkPage measures.
func TestPagesAreReadFromAnIndex(t *testing.T) {
	book := newBook(t)
	filters := []Filter{{}, {Before: Cursor{started: 5, id: "x"}}, {Battery: "x"}, {Channel: "x"}}
	for by := range orders {
		filters = append(filters, Filter{Order: Order{by, true}}, Filter{Order: Order{by, false}})
	}
	for _, filter := range filters {
		filter, err := filter.checked()
		require.NoError(t, err)
		which, args := filter.page()
		rows, err := book.read.Query("EXPLAIN QUERY PLAN SELECT document FROM session "+which, args...)
		require.NoError(t, err)
		plan := ""
		for rows.Next() {
			var id, parent, unused int
			var detail string
			require.NoError(t, rows.Scan(&id, &parent, &unused, &detail))
			plan += detail + "\n"
		}
		require.NoError(t, rows.Close())
		assert.Regexp(t, `USING COVERING INDEX session_by_`, plan, "%+v", filter)
		assert.NotContains(t, plan, "SCAN session\n", "%+v", filter)
	}
}

func BenchmarkPage(b *testing.B) {
	book := newBook(b)
	all := manySessions(b, book, 10_000)
	middle := all[len(all)/2].Cursor()
	for _, filter := range []Filter{{Before: middle}, {Before: middle, Battery: "battery-1"}, {Before: middle, Battery: "battery-1", Channel: "channel-1"}} {
		b.Run(filter.Battery+filter.Channel, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				page, err := book.Sessions(b.Context(), filter)
				if err != nil || len(page) != DefaultPage {
					b.Fatal(len(page), err)
				}
			}
		})
	}
}

func BenchmarkPutSession(b *testing.B) {
	book := newBook(b)
	for b.Loop() {
		if err := book.PutSession(b.Context(), charge(1)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkOpenLongBook(b *testing.B) {
	book := newBook(b)
	manySessions(b, book, 10_000)
	for b.Loop() {
		again, err := Open(b.Context(), book.path)
		if err != nil {
			b.Fatal(err)
		}
		again.Close()
	}
}

func TestPageThatCannotBe(t *testing.T) {
	for _, limit := range []int{-1, LongestPage + 1} {
		_, err := newBook(t).Sessions(t.Context(), Filter{Limit: limit})
		assert.EqualError(t, err, fmt.Sprintf("limit is %d, want 1 to 1000", limit))
	}
	for _, text := range []string{"x", "12", "12.", ".id", "9e3.id"} {
		_, err := ParseCursor(text)
		assert.EqualError(t, err, fmt.Sprintf("before is %q, want the place that an earlier page ended with or, where the newest come first, the ID of a charge or a time like 2026-03-14T21:40:00Z", text))
	}
	first, err := ParseCursor("")
	require.NoError(t, err)
	assert.Empty(t, first.String())
}

// What a person said of a session stands against what is found of it again.
func TestAnAssignedSessionStays(t *testing.T) {
	book := newBook(t)
	found, said := charge(1), charge(1)
	require.NoError(t, book.PutSession(t.Context(), found))
	said.Summary.Battery, said.Assigned = "car", true
	require.NoError(t, book.PutSession(t.Context(), said))
	require.NoError(t, book.PutSession(t.Context(), found))
	got, err := book.Session(t.Context(), said.Summary.ID)
	require.NoError(t, err)
	assert.EqualValues(t, "car", got.Summary.Battery)
	assert.True(t, got.Assigned)

	said.Summary.Battery = "boat"
	require.NoError(t, book.PutSession(t.Context(), said))
	list, err := book.Sessions(t.Context(), Filter{Battery: "boat"})
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.True(t, list[0].Assigned)
}
