package daemon

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A card that the journal spares is written to fewer than 120 times in an hour, by the journal, the
// logbook and the place in a log that is followed, which takes a sync of the lines before it, of
// its file and of its folder. What the whole program costs is measured in
// TestCardOfAWholeProgram.
func TestStoringSparesTheCardThatTheJournalSpares(t *testing.T) {
	syncs := func(every time.Duration) int { return int(time.Hour/every + 4*time.Hour/storing(every)) }
	assert.Less(t, syncs(time.Minute), 120)
	assert.Equal(t, 10*time.Second, storing(time.Second), "as it is set up, the logbook is 10 s old at most")
}
