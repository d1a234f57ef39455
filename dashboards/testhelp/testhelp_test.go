package testhelp

import (
	"io"
	"log/slog"
	"net"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestALogIsReadWhileItIsWritten(t *testing.T) {
	l := new(Log)
	done := make(chan bool)
	go func() {
		defer close(done)
		log := l.Logger(slog.LevelWarn)
		log.Info("of no interest")
		log.Warn("gone")
		log.Warn("back")
	}()
	for l.Count("back") == 0 {
		<-done
	}
	assert.Len(t, l.Lines(), 2)
	assert.Equal(t, 1, l.Count("gone"))
	assert.NotContains(t, l.String(), "interest")
}

// A connection that its talk leaves open, and one whose talk waits for ever, end with
// the test.
func TestServersEndWithTheirTest(t *testing.T) {
	var address string
	t.Run("serves", func(t *testing.T) {
		address = Serve(t, func(c net.Conn) {
			_, _ = io.WriteString(c, "hello")
			_, _ = io.Copy(io.Discard, c)
		})
		c, err := net.Dial("tcp", address)
		require.NoError(t, err)
		t.Cleanup(func() { c.Close() })
		hello := make([]byte, 5)
		_, err = io.ReadFull(c, hello)
		require.NoError(t, err)
		assert.Equal(t, "hello", string(hello))
	})
	_, err := net.Dial("tcp", address)
	assert.Error(t, err)
}

func TestWhatIsThereIsFound(t *testing.T) {
	assert.NotEmpty(t, Needed(t, "go", "golang"))
}
