package daemon

import (
	"testing"
	"time"

	"amphora/analyze/logbook"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A replay that dates the beginning of a charge otherwise than it was dated live
// makes no second charge of it; nor if that was done with, but how far the journal had been
// told could not be noted.
func TestAChargeKeepsItsNameOverARestart(t *testing.T) {
	for name, settled := range map[string]bool{"under way": false, "done with": true} {
		t.Run(name, func(t *testing.T) { keepsItsName(t, settled) })
	}
}

func keepsItsName(t *testing.T, settled bool) {
	data := t.TempDir()
	clock := testhelp.NewClock(evening)
	require.NoError(t, recorded(t, data, clock, &meter{clock: clock, lines: 900}).Close())

	book, err := logbook.Open(t.Context(), BookFile(data))
	require.NoError(t, err)
	page, err := book.Sessions(t.Context(), logbook.Filter{})
	require.NoError(t, err)
	require.Len(t, page, 1)
	live := page[0]
	require.NoError(t, book.DropSession(t.Context(), live.Summary.ID))
	started := live.Summary.Started.Add(-20 * time.Second)
	live.Summary.ID, live.Summary.Started, live.Settled = "bench-as-it-was-seen", &started, settled
	require.NoError(t, book.PutSession(t.Context(), live))
	require.NoError(t, book.Close())

	d := recorded(t, data, clock, &meter{clock: clock, lines: 1800, said: 900})
	defer func() { require.NoError(t, d.Close()) }()
	page, err = d.Book().Sessions(t.Context(), logbook.Filter{})
	require.NoError(t, err)
	require.Len(t, page, 1, "one charge")
	assert.Equal(t, "bench-as-it-was-seen", page[0].Summary.ID)
	assert.True(t, started.Equal(*page[0].Summary.Started))
	assert.Greater(t, page[0].Summary.EndS, live.Summary.EndS, "it went on")
	c, _ := d.Hub().Get("bench")
	require.NotNil(t, c.Session)
	assert.Equal(t, "bench-as-it-was-seen", c.Session.ID)
}
