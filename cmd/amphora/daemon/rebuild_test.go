package daemon

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/require"
)

// threeNights are a journal of three charges over midnight, a file for each day, and the
// logbook with what it tells; the charges in their order.
func threeNights(t *testing.T) (data string, book *logbook.Book, days []string, ids []string) {
	data = written(t, sayOf(madeup.Named("drill-three-cells"), 3))
	book, err := logbook.Open(t.Context(), BookFile(data))
	require.NoError(t, err)
	t.Cleanup(func() { book.Close() })
	r, done := rebuilt(t, data, book)
	require.Equal(t, Rebuilt{Put: 3}, done)
	require.Empty(t, r.Notes())
	for _, told := range r.Told {
		ids = append(ids, told.Session.ID)
	}
	days, err = filepath.Glob(filepath.Join(data, "journal", "bench", "*.log"))
	require.NoError(t, err)
	slices.Sort(days)
	require.Len(t, days, 6)
	return data, book, days, ids
}

func rebuilt(t *testing.T, data string, book *logbook.Book) (*Retold, Rebuilt) {
	t.Helper()
	r, err := Retell(t.Context(), data, "bench", "auto", analyze.Options{})
	require.NoError(t, err)
	done, err := Rebuild(t.Context(), book, data, "bench", "auto", analyze.Options{}, r)
	require.NoError(t, err)
	return r, done
}

// stale writes another number into the logbook, as an earlier analysis might have found it.
func stale(t *testing.T, book *logbook.Book, id string) {
	s, err := book.Session(t.Context(), id)
	require.NoError(t, err)
	s.Summary.ChargeInAh = 99
	require.NoError(t, book.PutSession(t.Context(), s))
}

func remove(t *testing.T, files ...string) {
	for _, f := range files {
		require.NoError(t, os.Remove(f))
	}
}

// flip changes the last digit of a line in the middle of a file.
func flip(t *testing.T, file string) {
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	ends := regexp.MustCompile(`\d\n`).FindAllIndex(text, -1)
	text[ends[len(ends)/2][0]] ^= 1
	require.NoError(t, os.WriteFile(file, text, 0o600))
}

// A charge of which the journal does not hold every line stays as it was told of all of them,
// and no piece of it comes beside it; those that it holds are told anew.
func TestRebuildOfAJournalThatIsNotWhole(t *testing.T) {
	for _, c := range []struct {
		name string
		harm func(t *testing.T, days []string)
		kept []int // charges
		left []int // charges older than the journal
		why  string
	}{
		{name: "whole", harm: func(*testing.T, []string) {}},
		{name: "without the first day", harm: func(t *testing.T, days []string) { remove(t, days[0]) }, kept: []int{0}, why: "may have begun before record"},
		{name: "without the first night", harm: func(t *testing.T, days []string) { remove(t, days[:2]...) }, left: []int{0}},
		{name: "from the second midnight on", harm: func(t *testing.T, days []string) { remove(t, days[:3]...) }, kept: []int{1}, left: []int{0}, why: "may have begun before record"},
		{name: "without a day within", harm: func(t *testing.T, days []string) { remove(t, days[3]) }, kept: []int{1}, why: "records of it are lost"},
		{name: "without a whole night", harm: func(t *testing.T, days []string) { remove(t, days[2:4]...) }, kept: []int{1}, why: "records of it are lost"},
		{name: "one digit", harm: func(t *testing.T, days []string) { flip(t, days[2]) }, kept: []int{1}, why: "of it is lost from the journal"},
	} {
		t.Run(c.name, func(t *testing.T) {
			data, book, days, ids := threeNights(t)
			for _, id := range ids {
				stale(t, book, id)
			}
			c.harm(t, days)
			_, done := rebuilt(t, data, book)
			require.Equal(t, 3-len(c.kept)-len(c.left), done.Put)
			require.Zero(t, done.Dropped)
			require.Equal(t, len(c.kept), done.Kept)
			require.Len(t, done.Notes, len(c.kept))
			for k, n := range c.kept {
				require.Contains(t, done.Notes[k], ids[n]+" stays in the logbook as it is: ")
				require.Contains(t, done.Notes[k], c.why)
			}
			all, err := book.Sessions(t.Context(), logbook.Filter{})
			require.NoError(t, err)
			require.Len(t, all, 3)
			for n, id := range ids {
				s, err := book.Session(t.Context(), id)
				require.NoError(t, err)
				asItWas := slices.Contains(c.kept, n) || slices.Contains(c.left, n)
				require.Equal(t, asItWas, s.Summary.ChargeInAh == 99, id)
			}
		})
	}
}

// What nobody has better is written, and it is said that it may not be all.
func TestRebuildIntoAnEmptyLogbook(t *testing.T) {
	data, _, days, ids := threeNights(t)
	remove(t, days[0], days[3])
	book, err := logbook.Open(t.Context(), filepath.Join(t.TempDir(), "logbook.db"))
	require.NoError(t, err)
	defer book.Close()
	r, done := rebuilt(t, data, book)
	require.Equal(t, Rebuilt{Put: 3}, done)
	require.Len(t, r.Damage, 1)
	notes := r.Notes()
	require.Len(t, notes, 2)
	require.Contains(t, notes[0], "may have begun before record")
	require.Contains(t, notes[1], ids[1]+" is told of the lines that are left: ")
}

// What was no charge goes, but not what is older than the journal.
func TestRebuildTakesOutWhatTheJournalDoesNotTell(t *testing.T) {
	data, book, days, ids := threeNights(t)
	s, err := book.Session(t.Context(), ids[1])
	require.NoError(t, err)
	s.Summary.ID = "phantom"
	require.NoError(t, book.PutSession(t.Context(), s))
	remove(t, days[:2]...)
	_, done := rebuilt(t, data, book)
	require.Equal(t, Rebuilt{Put: 2, Dropped: 1}, done)
	_, err = book.Session(t.Context(), "phantom")
	require.ErrorIs(t, err, logbook.ErrNotFound)
	_, err = book.Session(t.Context(), ids[0])
	require.NoError(t, err)
}
