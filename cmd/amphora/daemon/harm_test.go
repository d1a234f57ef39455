package daemon

import (
	"bytes"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"amphora/analyze/logbook"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// sessionsOf are those of the logbook.
func sessionsOf(t testing.TB, d *Daemon) []logbook.Session {
	page, err := d.Book().Sessions(t.Context(), logbook.Filter{Limit: 10})
	require.NoError(t, err)
	return page
}

// Somebody holds the logbook while a charge is recorded: every line is in the journal,
// the page shows the charge, and the book has it once it is let go.
func TestHeldLogbookHoldsNoLineUp(t *testing.T) {
	data := t.TempDir()
	m := &meter{clock: testhelp.NewClock(evening), lines: 3600}
	d := recording(t, data, m.clock, m)
	other, err := sql.Open("sqlite", BookFile(data))
	require.NoError(t, err)
	defer other.Close()
	held, err := other.Conn(t.Context())
	require.NoError(t, err)
	_, err = held.ExecContext(t.Context(), "BEGIN EXCLUSIVE")
	require.NoError(t, err)

	done := make(chan error, 1)
	go func() { done <- d.Run(t.Context()) }()
	testhelp.Until(t, "every line heard", func() bool {
		c, ok := d.Hub().Get("bench")
		return ok && c.Source.Lines == m.lines && c.Session != nil
	})
	_, err = held.ExecContext(t.Context(), "ROLLBACK")
	require.NoError(t, err)
	require.NoError(t, <-done)
	c, _ := d.Hub().Get("bench")
	require.NoError(t, d.Close())

	d = recorded(t, data, m.clock, &speaker{})
	defer func() { require.NoError(t, d.Close()) }()
	after, _ := d.Hub().Get("bench")
	require.NotNil(t, after.Session)
	assert.Equal(t, c.Session.ChargeInAh, after.Session.ChargeInAh)
	stored := sessionsOf(t, d)
	require.Len(t, stored, 1)
	assert.InDelta(t, float64(c.Session.ChargeInAh), float64(stored[0].Summary.ChargeInAh), 1e-6)
}

// Somebody holds the logbook while charges are recorded and settled, or it cannot even be opened,
// and the program ends before that is mended: the next start puts all of them there.
func TestChargesThatTheLogbookNeverGotAreToldAgain(t *testing.T) {
	twoCharges := func() *meter {
		return &meter{clock: testhelp.NewClock(evening), lines: 4000, pause: [2]int{600, 3000}}
	}
	m := twoCharges()
	d := recorded(t, t.TempDir(), m.clock, m)
	want := sessionsOf(t, d)
	require.NoError(t, d.Close())
	require.Len(t, want, 2)

	for name, during := range map[string]func(t *testing.T, data string, m *meter){
		"held": func(t *testing.T, data string, m *meter) {
			d := recording(t, data, m.clock, m)
			other, err := sql.Open("sqlite", BookFile(data))
			require.NoError(t, err)
			other.SetMaxOpenConns(1)
			_, err = other.ExecContext(t.Context(), "BEGIN EXCLUSIVE")
			require.NoError(t, err)
			assert.NoError(t, d.Degraded())
			require.NoError(t, d.Run(t.Context()))
			assert.ErrorContains(t, d.Degraded(), "write session")
			require.NoError(t, d.Close())
			require.NoError(t, other.Close())
		},
		"no file": func(t *testing.T, data string, m *meter) {
			require.NoError(t, os.Mkdir(BookFile(data), 0o750))
			d := recorded(t, data, m.clock, m)
			assert.ErrorContains(t, d.Degraded(), "check that it is a file")
			require.NoError(t, d.Close())
			require.NoError(t, os.Remove(BookFile(data)))
		},
	} {
		t.Run(name, func(t *testing.T) {
			data, m := t.TempDir(), twoCharges()
			during(t, data, m)
			d := recorded(t, data, m.clock, &speaker{})
			got := sessionsOf(t, d)
			require.NoError(t, d.Close())
			require.Len(t, got, len(want))
			for k := range want {
				assert.Equal(t, want[k].Summary.ID, got[k].Summary.ID)
				assert.Equal(t, want[k].Summary.ChargeInAh, got[k].Summary.ChargeInAh)
			}
		})
	}
}

// A power cut may leave the note of the place in the journal empty, full of zeros or
// cut. It costs a longer replay, and neither a charge nor one twice.
func TestDamagedPlaceCostsNothingButTime(t *testing.T) {
	data := t.TempDir()
	m := &meter{clock: testhelp.NewClock(evening), lines: 4000, pause: [2]int{600, 3000}}
	d := recorded(t, data, m.clock, m)
	want := sessionsOf(t, d)
	require.Len(t, want, 2)
	require.NoError(t, d.Close())
	file := filepath.Join(data, "state", "bench.json")
	sound, err := os.ReadFile(file)
	require.NoError(t, err)
	at, err := readPlace(file)
	require.NoError(t, err)
	require.Greater(t, at.From, uint64(1))
	digit := bytes.IndexByte(sound[bytes.Index(sound, []byte(`"from":`)):], ':') + bytes.Index(sound, []byte(`"from":`)) + 1
	changed := bytes.Clone(sound)
	changed[digit] ^= 2 // one bit, and it is still a number
	for name, text := range map[string][]byte{
		"empty": {}, "zeros": make([]byte, len(sound)), "cut": sound[:len(sound)-4], "foreign": []byte("{}\n"), "gone": nil,
		"another digit": changed, "as the first programs wrote it": fmt.Appendln(nil, at),
	} {
		t.Run(name, func(t *testing.T) {
			require.NoError(t, os.WriteFile(file, text, 0o600))
			if text == nil {
				require.NoError(t, os.Remove(file))
			}
			d := recorded(t, data, m.clock, &speaker{})
			got := sessionsOf(t, d)
			require.Len(t, got, len(want))
			for k := range want {
				assert.Equal(t, want[k].Summary.ID, got[k].Summary.ID)
				assert.Equal(t, want[k].Summary.ChargeInAh, got[k].Summary.ChargeInAh)
			}
			require.NoError(t, d.Close())
		})
	}
}

// A disk that is slow with one note does not put it over a later one.
func TestTheLatestPlaceStays(t *testing.T) {
	file := filepath.Join(t.TempDir(), "state", "bench.json")
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o700))
	var n places
	early, late := n.next(), n.next()
	require.NoError(t, n.write(late, place{From: 700}, file))
	require.NoError(t, n.write(early, place{From: 3}, file))
	assert.Equal(t, uint64(700), from(t, file))
	require.NoError(t, n.write(n.next(), place{From: 9}, file))
	assert.Equal(t, uint64(9), from(t, file), "a later one may lie before it")
}

// Nor does a disk that is slow with a note hold up who has the next: it has a line in hand, and
// the meter goes on talking.
func TestASlowDiskHoldsUpNoTurn(t *testing.T) {
	var n places
	n.disk.Lock() // as it is while a note is being written
	turns := make(chan int64)
	go func() { turns <- n.next() }()
	select {
	case turn := <-turns:
		assert.EqualValues(t, 1, turn)
	case <-time.After(time.Minute):
		t.Fatal("no turn")
	}
}

// from is the place that is written down in a file.
func from(t *testing.T, file string) uint64 {
	t.Helper()
	p, err := readPlace(file)
	require.NoError(t, err)
	return p.From
}
