package main

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"amphora/capture"
	"amphora/decoders"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestIdentifyLog(t *testing.T) {
	page := done(t, "identify", mowerLog)
	id := doneJSON[identity](t, "identify", mowerLog)
	assert.Equal(t, "columns", id.Decoder)
	assert.Equal(t, new("comma"), id.Separator)
	assert.Nil(t, id.Baud)
	assert.Len(t, id.Fields, 3)
	layout, err := decoders.Parse(id.Setting)
	require.NoError(t, err)
	assert.Equal(t, id.Setting, layout.String())
	assert.Contains(t, page, "decoder: '"+id.Setting+"'\n")
}

func TestIdentifyPage(t *testing.T) {
	layout, err := decoders.Parse("columns separator=semicolon decimal=comma width=3 time=1:s voltage=2:V current=3:mA:negate")
	require.NoError(t, err)
	id := identity{Source: "/dev/ttyUSB0", Baud: new(4800), Tried: []attempt{{Baud: 9600, Bytes: 80, Heard: "bytes that are no lines of text"}, {Baud: 4800, Lines: 20}}}
	id.fill(&decoders.Fitted{
		Layout: layout, Setting: layout.String(), Columns: layout.Describe(), Confidence: 0.93, Share: 0.995,
		Evidence:   []string{"column 1 rises by one and counts seconds", "column 2 stays between 12.1 and 14.4, as the voltage of a battery does", "column 3 falls while column 2 is held: a current"},
		RunnerUp:   "columns separator=semicolon decimal=comma width=3 time=1:s voltage=2:V current=3:mA",
		Difference: "the current would count into the battery",
	})
	var page bytes.Buffer
	require.NoError(t, id.page(&page))
	golden(t, "identify", take(&page))
}

func TestIdentifyNothing(t *testing.T) {
	for _, args := range [][]string{{"identify", "../../LICENSE"}, {"identify", "-"}} {
		code, out, errOut := amphora(t, args...)
		assert.Equal(t, exitUndecodable, code)
		assert.Empty(t, out)
		assert.Contains(t, errOut, "cannot be decoded")
	}
}

// at is a made-up port: what it sends at each line rate.
type at map[int]heard

func (p at) listen(_ context.Context, baud int, _ time.Duration, most int) (heard, error) {
	h := p[baud]
	h.lines = h.lines[:min(most, len(h.lines))]
	return h, nil
}

func said(lines ...string) (h heard) {
	for _, line := range lines {
		h.take(capture.Frame{Text: []byte(line)})
	}
	return h
}

func charging(rows int) (lines []string) {
	for n := range rows {
		lines = append(lines, fmt.Sprintf("V=%.3f A=%.3f", 12+float64(n)/100, 3-float64(n%2)/1000))
	}
	return lines
}

func TestHuntFindsTheRate(t *testing.T) {
	port := at{9600: said("\x8f\xf1", "\xe0\x00"), 4800: said(charging(30)...)}
	f, tried, err := hunt(t.Context(), lineRates, time.Second, port.listen)
	require.NoError(t, err)
	assert.Equal(t, "labelled", f.Layout.Kind)
	assert.Equal(t, []attempt{
		{9600, 4, 2, "bytes that are no lines of text"},
		{115200, 0, 0, "nothing"},
		{4800, port[4800].bytes, plenty, "lines that can be decoded"},
	}, tried)
}

// Some meters send noise as their port is opened, and signs that are no ASCII in each line.
func TestHuntHearsLinesBehindNoise(t *testing.T) {
	noise := strings.Repeat("\x8f\xf1\x00\xe0", 20)
	for name, lines := range map[string][]string{
		"a line of it":           append([]string{noise + "V=12.000 A=3.000"}, charging(30)...),
		"several":                append([]string{noise, noise, noise}, charging(30)...),
		"signs of other letters": strings.Split(strings.ReplaceAll(strings.Join(charging(30), "\n"), " A=", "V 20\xb0C A="), "\n"),
	} {
		_, tried, err := hunt(t.Context(), []int{9600}, time.Second, at{9600: said(lines...)}.listen)
		require.NoError(t, err, name)
		assert.Equal(t, "lines that can be decoded", tried[0].Heard, name)
	}
}

func TestHuntSaysWhatItTried(t *testing.T) {
	_, tried, err := hunt(t.Context(), lineRates, time.Second, at{}.listen)
	require.ErrorIs(t, err, decoders.ErrUndecodable)
	assert.Len(t, tried, len(lineRates))
	assert.ErrorContains(t, err, "nothing at 1200 baud; look at the cable")

	_, _, err = hunt(t.Context(), []int{9600}, time.Second, at{9600: said("\xff\xfe")}.listen)
	assert.ErrorContains(t, err, "another rate or parity")

	_, _, err = hunt(t.Context(), []int{9600}, time.Second, at{9600: said("ready", "steady")}.listen)
	var unfit *decoders.Unfit
	assert.ErrorAs(t, err, &unfit, "text that is no reading is told as such")
}

// TestHuntIsPatientWithSlowMeters lets a meter send few lines in the usual wait.
func TestHuntIsPatientWithSlowMeters(t *testing.T) {
	lines := charging(15)
	var waits []time.Duration
	_, _, err := hunt(t.Context(), []int{0}, time.Second, func(_ context.Context, _ int, wait time.Duration, most int) (heard, error) {
		waits = append(waits, wait)
		if len(waits) == 1 {
			return said(lines[:2]...), nil
		}
		assert.Equal(t, plenty-2, most)
		return said(lines[2:]...), nil
	})
	require.NoError(t, err)
	assert.Equal(t, []time.Duration{time.Second, patience * time.Second}, waits)
}

func TestRatesAndSpecs(t *testing.T) {
	assert.Equal(t, lineRates, ratesFor("/dev/ttyUSB0"))
	assert.Equal(t, lineRates, ratesFor("serial:/dev/ttyUSB0?parity=even"))
	assert.Equal(t, []int{0}, ratesFor("/dev/ttyUSB0?baud=2400"))
	assert.Equal(t, []int{0}, ratesFor("tcp:bridge:4001"))
	assert.Equal(t, "/dev/ttyUSB0?baud=1200", withBaud("/dev/ttyUSB0", 1200))
	assert.Equal(t, "serial:p?bits=7&baud=1200", withBaud("serial:p?bits=7", 1200))
	assert.False(t, isSource("night.csv"))
	assert.False(t, isSource("-"))
	assert.True(t, isSource("exec:meter --once"))
	assert.False(t, isSource(strings.TrimPrefix(mowerLog, "./")))
}
