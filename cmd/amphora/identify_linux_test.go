package main

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestIdentifyPort listens to a pseudo-terminal, on which every rate is right.
func TestIdentifyPort(t *testing.T) {
	meter, port, err := pty.Open()
	require.NoError(t, err)
	stop, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		beat := time.NewTicker(5 * time.Millisecond)
		defer beat.Stop()
		for _, line := range charging(10_000) {
			select {
			case <-stop:
				return
			case <-beat.C:
				fmt.Fprintf(meter, "%s\r\n", line)
			}
		}
	}()
	t.Cleanup(func() { close(stop); <-stopped; meter.Close(); port.Close() })

	var out, progress bytes.Buffer
	code := run(t.Context(), []string{"identify", port.Name()}, strings.NewReader(""), &out, &progress)
	require.Equal(t, exitDone, code, progress.String())
	assert.Contains(t, out.String(), "9600 baud")
	assert.Contains(t, out.String(), "decoder: 'labelled voltage=v:V current=a:A'")
	assert.Contains(t, progress.String(), "listening to serial:"+port.Name()+" at 9600 baud")
}
