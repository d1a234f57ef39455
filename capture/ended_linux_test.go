package capture

import (
	"context"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestCommandThatLeavesItsOutputOpen: what it started may be what reads the meter, and is
// listened to; silent for long, it is taken for the end, and goes.
func TestCommandThatLeavesItsOutputOpen(t *testing.T) {
	t.Parallel()
	stream, err := Command{Args: []string{"sh", "-c", "(sleep 1; echo 13.8; exec sleep 600) & echo $!"}}.open(context.Background())
	require.NoError(t, err)
	r := stream.(*running)
	r.patience = 3 * time.Second
	var text, remarks string
	block := make([]byte, 100)
	for began := time.Now(); ; {
		n, err := r.Read(block)
		text += string(block[:n])
		if remark, ok := err.(Remark); ok {
			remarks += remark.Text
		} else if err != nil {
			assert.ErrorContains(t, err, "what it started has been silent for 3 s")
			break
		}
		require.Less(t, time.Since(began), time.Minute)
	}
	assert.Contains(t, remarks, "keeps its output open")
	words := strings.Fields(text)
	require.Len(t, words, 2)
	assert.Equal(t, "13.8", words[1])
	orphan, err := strconv.Atoi(words[0])
	require.NoError(t, err)
	require.NoError(t, syscall.Kill(orphan, 0), "it is still there")
	require.NoError(t, r.Close())
	assert.Eventually(t, func() bool { return syscall.Kill(orphan, 0) != nil }, 10*time.Second, time.Millisecond)
}
