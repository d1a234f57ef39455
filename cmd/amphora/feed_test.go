package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/capture"
	"amphora/decoders"
)

// hurtLog is a charge over several batches of rows, some of which are damaged.
func hurtLog() []byte {
	random := rand.New(rand.NewPCG(1, 2))
	var b strings.Builder
	b.WriteString("time_s,voltage_V,current_A,temperature_C\n")
	for k := range 3*batchRows + 100 {
		amps := 5 * min(1, math.Exp(-float64(k-batchRows)/2000))
		line := fmt.Sprintf("%d,%.3f,%.3f,%.1f\n", k*10, min(12.4+float64(k)/1000, 14.4), amps+0.002*random.NormFloat64(), 18+amps)
		if at := strings.IndexByte(line, ','); random.IntN(50) == 0 {
			line = line[:at] + [...]string{",", ",x", "\n", "\r\n", ",OL,", "\"", strings.Repeat("7", 5000)}[random.IntN(7)] + line[at+1:]
		}
		b.WriteString(line)
	}
	return []byte(b.String())
}

// oneByOne judges a log line by line.
func oneByOne(p *pipeline, text []byte) {
	var s capture.Splitter
	line := func(text []byte, _ capture.Flags) {
		sample, err := p.stream.Line(text, unstamped, 0)
		if err == nil {
			p.machine.Step(sample)
		} else if why := err.(*decoders.Refusal); why.Row() {
			p.machine.Refuse(sample, why.Error())
		}
	}
	s.Feed(text, line)
	s.Flush(line)
}

func inJSON(t *testing.T, p *pipeline) string {
	var b strings.Builder
	require.NoError(t, writeJSON(&b, p.machine.Document()))
	return b.String()
}

func TestDecodingInBatchesChangesNothing(t *testing.T) {
	text := hurtLog()
	fresh := func() *pipeline {
		p, _, err := fitPipeline(text[:min(len(text), blockSize)], logOptions{})
		require.NoError(t, err)
		return p
	}
	p := fresh()
	oneByOne(p, text)
	want := inJSON(t, p)
	log := p.machine.Document().Log
	require.Greater(t, log.Rows, 2*batchRows)
	require.NotZero(t, log.RejectedCount)
	for name, cut := range map[string]func(io.Reader) io.Reader{
		"whole": func(r io.Reader) io.Reader { return r }, "bytes": iotest.OneByteReader,
		"halves": iotest.HalfReader, "end with data": iotest.DataErrReader,
	} {
		p := fresh()
		require.NoError(t, feed(p, bytes.Clone(text[:100]), cut(bytes.NewReader(text[100:]))), name)
		assert.Equal(t, want, inJSON(t, p), name)
	}
}

func TestReadingErrorIsToldAfterWhatCameBefore(t *testing.T) {
	text := hurtLog()
	p, _, err := fitPipeline(text[:min(len(text), blockSize)], logOptions{analyze: analyze.Options{}})
	require.NoError(t, err)
	broken := errors.New("the disk is gone")
	assert.ErrorIs(t, feed(p, text, iotest.ErrReader(broken)), broken)
	assert.Greater(t, p.machine.Document().Log.Rows, batchRows)
}
