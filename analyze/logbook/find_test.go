package logbook

import (
	"cmp"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

func TestSessionsAreFoundByWhatIsSaidOfThem(t *testing.T) {
	book := newBook(t)
	put := func(n int, change func(*analyze.Session)) {
		s := charge(n)
		s.Summary.Findings = nil
		change(&s.Summary)
		require.NoError(t, book.PutSession(t.Context(), s))
	}
	put(0, func(s *analyze.Session) { s.Battery = "100% spare" })
	put(1, func(s *analyze.Session) { s.Outcome = analyze.Complete })
	put(2, func(s *analyze.Session) {
		s.Findings = []analyze.Finding{{Code: "no-taper", Severity: analyze.Warning, Message: "The current levels off at 3.1 A"}}
	})
	put(3, func(s *analyze.Session) { s.Channel = "attic" })
	_, err := book.Annotate(t.Context(), "bench-00003", evening, "new clamps, left side")
	require.NoError(t, err)

	day := func(n int) time.Time { return evening.AddDate(0, 0, n) }
	for _, c := range []struct {
		filter Filter
		want   []string
	}{
		{Filter{Text: "SPARE"}, []string{"bench-00000"}},
		{Filter{Text: "0% spa"}, []string{"bench-00000"}},
		{Filter{Text: "%"}, []string{"bench-00000"}},
		{Filter{Text: "_"}, nil},
		{Filter{Text: "no-taper"}, []string{"bench-00002"}},
		{Filter{Text: "levels mower"}, []string{"bench-00002"}},
		{Filter{Text: "levels attic"}, nil},
		{Filter{Text: "clamps left"}, []string{"bench-00003"}},
		{Filter{Text: "attic"}, []string{"bench-00003"}},
		{Filter{Text: "bench-00001"}, []string{"bench-00001"}},
		{Filter{Text: "'; DROP TABLE session"}, nil},
		{Filter{Outcome: analyze.Complete}, []string{"bench-00001"}},
		{Filter{Since: day(2)}, []string{"bench-00003", "bench-00002"}},
		{Filter{Until: day(2)}, []string{"bench-00001", "bench-00000"}},
		{Filter{Since: day(1), Until: day(3), Battery: "mower", Text: "complete"}, []string{"bench-00001"}},
	} {
		page, err := book.Sessions(t.Context(), c.filter)
		require.NoError(t, err)
		assert.Equal(t, c.want, ids(page), "%+v", c.filter)
		n, err := book.CountSessions(t.Context(), c.filter)
		require.NoError(t, err)
		assert.Len(t, c.want, n, "%+v", c.filter)
	}
}

// In every order, however long the pages, every session comes once.
func TestSessionsInAnyOrder(t *testing.T) {
	book := newBook(t)
	all := manySessions(t, book, 60)
	length := func(s Session) float64 { return float64(s.Summary.EndS - s.Summary.StartS) }
	byNumber := func(value func(Session) float64) func(a, b Session) int {
		return func(a, b Session) int { return cmp.Compare(value(a), value(b)) }
	}
	for by, compare := range map[OrderBy]func(a, b Session) int{
		ByStart:   byNumber(func(s Session) float64 { return float64(startedMs(s.Summary.Started)) }),
		ByCharge:  byNumber(func(s Session) float64 { return float64(s.Summary.ChargeInAh) }),
		ByLength:  byNumber(length),
		ByBattery: func(a, b Session) int { return cmp.Compare(a.Summary.Battery, b.Summary.Battery) },
		ByOutcome: func(a, b Session) int { return cmp.Compare(a.Summary.Outcome, b.Summary.Outcome) },
	} {
		for _, rising := range []bool{true, false} {
			want := slices.Clone(all)
			slices.SortStableFunc(want, func(a, b Session) int { // equal ones stay the newest first
				if rising {
					return compare(a, b)
				}
				return compare(b, a)
			})
			for _, limit := range []int{7, 60, 1000} {
				f := Filter{Order: Order{by, rising}, Limit: limit}
				var got []string
				for {
					page, err := book.Sessions(t.Context(), f)
					require.NoError(t, err)
					if len(page) == 0 {
						break
					}
					got = append(got, ids(page)...)
					f.Before, err = ParseCursor(f.Next(page).String())
					require.NoError(t, err)
				}
				assert.Equal(t, ids(want), got, "by %q, rising %v, limit %d", by, rising, limit)
			}
		}
	}
}

func TestWhatIsNotKnownComesLast(t *testing.T) {
	book := newBook(t)
	for n, ah := range []float64{3, analyze.Unknown(), 1} {
		s := charge(n)
		s.Summary.ChargeInAh = analyze.Number(ah)
		require.NoError(t, book.PutSession(t.Context(), s))
	}
	for rising, want := range map[bool][]string{
		true:  {"bench-00002", "bench-00000", "bench-00001"},
		false: {"bench-00000", "bench-00002", "bench-00001"},
	} {
		page, err := book.Sessions(t.Context(), Filter{Order: Order{ByCharge, rising}})
		require.NoError(t, err)
		assert.Equal(t, want, ids(page))
	}
}

func TestSearchesThatCannotBe(t *testing.T) {
	book := newBook(t)
	_, err := book.Sessions(t.Context(), Filter{Order: Order{By: "colour"}})
	assert.EqualError(t, err, `sort is "colour", want battery, outcome, charge or length`)
	_, err = book.CountSessions(t.Context(), Filter{Text: "a b c d e f g h i j k"})
	assert.EqualError(t, err, "text has more than 10 words")
	for _, text := range []string{"after-", "after-0", "after--1", "after-9999999999", "after-x"} {
		_, err := ParseCursor(text)
		assert.EqualError(t, err, fmt.Sprintf("before is %q, want the place that an earlier page ended with or, where the newest come first, the ID of a charge or a time like 2026-03-14T21:40:00Z", text))
	}
}

func BenchmarkSearch(b *testing.B) {
	book := newBook(b)
	manySessions(b, book, 10_000)
	for name, f := range map[string]Filter{"text": {Text: "nowhere steady"}, "length": {Order: Order{By: ByLength}}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := book.Sessions(b.Context(), f); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
