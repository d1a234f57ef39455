package daemon

import (
	"bytes"
	"log/slog"
	"strings"
	"testing"
	"time"

	"amphora/capture"

	"github.com/stretchr/testify/assert"
)

func TestLogTellsOfTheSource(t *testing.T) {
	var said bytes.Buffer
	l := sourceLog{log: slog.New(slog.NewTextHandler(&said, nil)).With("channel", "bench")}
	at := 500 * time.Hour // the machine has been up for a while
	mark := func(kind capture.Flags, text string) {
		l.frame(&capture.Frame{Boot: at, Flags: kind, Text: []byte(text)})
	}
	mark(capture.Lost, "open /dev/ttyUSB0: permission denied; add the user to the group")
	mark(capture.Opened, "opened serial:/dev/ttyUSB0")
	mark(capture.Lost, "stopped")
	mark(capture.Lost, "ended")
	mark(capture.Lost, "the host slept")
	mark(0, "13.2 V 1.00 A")
	mark(capture.Marked, "decoder auto")
	mark(capture.Marked, "hint: lost three times within 10 s of opening; another program takes it")
	assert.Contains(t, said.String(), `level=WARN msg="source lost" channel=bench why="open /dev/ttyUSB0: permission denied; add the user to the group"`)
	assert.Contains(t, said.String(), `level=INFO msg="source opened serial:/dev/ttyUSB0" channel=bench`)
	assert.Contains(t, said.String(), `msg="source keeps being lost" channel=bench why="hint: lost three times within 10 s of opening; another program takes it"`)
	mark(capture.Marked, "hint: bytes come, but no lines")
	assert.Contains(t, said.String(), `msg="source cannot be read" channel=bench why="hint: bytes come, but no lines"`)
	mark(capture.Marked, "voltage wrong device: none of its first 20 lines matches")
	assert.Contains(t, said.String(), `msg="source is another device than expected" channel=bench why="voltage wrong device: none`)
	assert.Equal(t, 5, strings.Count(said.String(), "\n"), "lines and other marks are not for the log")

	said.Reset()
	for range 3600 { // a plug that wobbles for an hour
		at += time.Second
		mark(capture.Lost, "unplugged")
		mark(capture.Opened, "opened serial:/dev/ttyUSB0")
	}
	assert.InDelta(t, 60+logBurst-3, strings.Count(said.String(), "\n"), 1)

	at += time.Hour
	said.Reset()
	mark(capture.Lost, "unplugged")
	mark(capture.Opened, "opened serial:/dev/ttyUSB1")
	assert.Equal(t, 2, strings.Count(said.String(), "\n"))
	assert.Contains(t, said.String(), "ttyUSB1", "after it has been calm all is told again")
}
