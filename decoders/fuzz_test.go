package decoders

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// FuzzDecoders feeds any bytes to every decoder, alone and behind a checksum.
func FuzzDecoders(f *testing.F) {
	for _, line := range sound() {
		f.Add(line)
	}
	check := anyLine(f)
	f.Fuzz(func(t *testing.T, line []byte) { check(t, line[:min(len(line), 512)]) })
}

// sound are lines that some decoder reads.
func sound() (lines [][]byte) {
	for _, s := range specimens {
		for _, l := range s.lines {
			lines = append(lines, []byte(l), []byte(withXor(l)))
		}
	}
	for _, c := range layouts() {
		log := logOf(c.header, c.line)
		lines = append(lines, []byte(log[0]), []byte(log[200]))
	}
	return lines
}

// anyLine hands a line to every decoder, which reads it or says by name why not.
func anyLine(t require.TestingT) func(require.TestingT, []byte) {
	var streams []*Stream
	for _, s := range specimens {
		for _, extra := range []string{"", " checksum=xor", " pair=yes", " interval=1s", " thousands=comma"} {
			l, err := Parse(s.setting)
			require.NoError(t, err)
			switch extra {
			case " checksum=xor":
				l.Checksum = "xor"
			case " pair=yes":
				l.Pair = true
			case " interval=1s":
				l.Interval = 1
			case " thousands=comma":
				l.Grouping = "comma"
			}
			stream, err := NewStream(l)
			require.NoError(t, err)
			streams = append(streams, stream)
		}
	}
	return func(t require.TestingT, line []byte) {
		for i, s := range streams {
			got, err := s.Line(line, math.NaN(), 0)
			if err != nil {
				if _, ok := err.(*Refusal); !ok {
					require.Fail(t, "a refusal has a name", "%v from %q", err, line)
				}
				continue
			}
			if s.line != got.Line || overloaded(got.Volts) || overloaded(got.Amps) {
				require.Fail(t, "a sample that is none", "stream %d gives %+v from %q", i, got, line)
			}
		}
	}
}

// FuzzFit feeds any text, cut into lines, to Fit. Short ones, of a few lines each, since
// many short texts find more than a few long ones; TestMangledLogs has the long ones.
func FuzzFit(f *testing.F) {
	for _, text := range soundLogs() {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) { anyLog(t, text[:min(len(text), 256)]) })
}

// soundLogs are logs whose layout Fit finds.
func soundLogs() (logs [][]byte) {
	for _, c := range layouts() {
		var b bytes.Buffer
		for _, l := range logOf(c.header, c.line)[80:92] {
			fmt.Fprintln(&b, l)
		}
		logs = append(logs, b.Bytes())
	}
	return logs
}

// anyLog hands a log to Fit: what it finds can be set, or it says that it finds
// nothing.
func anyLog(t require.TestingT, text []byte) {
	fitted, err := Fit(bytes.Split(text[:min(len(text), 4096)], []byte("\n")), Options{Live: true})
	if err != nil {
		require.ErrorIs(t, err, ErrUndecodable)
		return
	}
	again, err := Parse(fitted.Setting)
	require.NoError(t, err)
	require.Equal(t, fitted.Setting, again.String())
}

// FuzzSetting reads any text as a decoder's setting.
func FuzzSetting(f *testing.F) {
	for _, setting := range soundSettings() {
		f.Add(string(setting))
	}
	f.Fuzz(func(t *testing.T, setting string) { anySetting(t, setting) })
}

func soundSettings() (settings [][]byte) {
	for _, s := range specimens {
		settings = append(settings, []byte(s.setting))
	}
	for _, e := range rarer {
		settings = append(settings, []byte(e.setting))
	}
	return settings
}

// anySetting takes a text for a setting: it is refused, or a layout that says of itself
// what gives the same layout again, and with which lines can be read.
func anySetting(t require.TestingT, setting string) {
	l, err := Parse(setting)
	if err != nil {
		return
	}
	again, err := Parse(l.String())
	require.NoError(t, err, "from %q", setting)
	require.Equal(t, l.String(), again.String(), "from %q", setting)
	s, err := NewStream(l)
	require.NoError(t, err, "from %q", setting)
	for _, specimen := range specimens {
		_, _ = s.Line([]byte(specimen.lines[0]), math.NaN(), 0)
	}
}
