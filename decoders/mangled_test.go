package decoders

import (
	"os"
	"testing"

	"amphora/analyze/madeup/mangle"
	"amphora/dashboards/testhelp"
)

// Damaged lines and logs in numbers that a fuzzer does not reach.

func TestMangledLines(t *testing.T) {
	check := anyLine(t)
	m := mangle.New(1, sound()...)
	for range mangle.Rounds(t, os.Getenv(mangle.Wanted), 20_000) {
		check(t, m.Next())
	}
}

func TestMangledLogs(t *testing.T) {
	m := mangle.New(2, soundLogs()...)
	for range mangle.Rounds(t, os.Getenv(mangle.Wanted), 300) {
		anyLog(t, m.Next())
	}
}

func TestMangledSettings(t *testing.T) {
	m := mangle.New(5, soundSettings()...)
	for range mangle.Rounds(t, os.Getenv(mangle.Wanted), 5000) {
		anySetting(t, string(m.Next()))
	}
}

func TestMangledBlocks(t *testing.T) {
	var texts []*mangle.Maker
	var settings []string
	add := func(setting string, format func(r row) string) {
		lines := nightLines(format)
		dry, full := joined(lines[:6], "\n"), joined(lines[1000:1006], "\r\n")
		texts = append(texts, mangle.New(uint64(4+len(texts)), dry, full, joined(lines[2000:2006], "\r")))
		settings = append(settings, setting)
	}
	for _, e := range envelopes {
		add(e.setting, e.line)
	}
	for _, e := range rarer {
		add(e.setting, e.line)
	}
	for n := range mangle.Rounds(t, os.Getenv(mangle.Wanted), 5000) {
		k := n % len(texts)
		anyBlock(t, settings[k], texts[k].Next())
	}
}

// joined is a text of lines, each with an end.
func joined(lines [][]byte, end string) (text []byte) {
	for _, line := range lines {
		text = append(append(text, line...), end...)
	}
	return text
}

func TestMangledNumbers(t *testing.T) {
	m := mangle.New(3, []byte("13.741"), []byte("+1.26500000E+01"), []byte("-0.004"), []byte("9007199254740993"), []byte("2.2250738585072011e-308"))
	for range mangle.Rounds(t, os.Getenv(mangle.Wanted), 100_000) {
		checkNumber(t, string(m.Next()))
	}
}

// BenchmarkWorst shows what the worst 4 KiB cost: no 10 ms and no MiB.
func BenchmarkWorst(b *testing.B) {
	b.Run("line by every decoder", func(b *testing.B) {
		check := anyLine(b)
		testhelp.Worst(b, mangle.New(1, mangle.Full(sound()...)...).Next, func(text []byte) { check(b, text) })
	})
	b.Run("block", func(b *testing.B) {
		e := envelopes[0]
		text := joined(nightLines(e.line)[1000:1030], "\n")
		testhelp.Worst(b, mangle.New(2, mangle.Full(text)...).Next, func(text []byte) {
			byBlock(streamOf(b, e.setting), append(text, make([]byte, reach)...), 100)
		})
	})
	b.Run("fit", func(b *testing.B) {
		testhelp.Worst(b, mangle.New(3, mangle.Full(soundLogs()...)...).Next, func(text []byte) { anyLog(b, text) })
	})
}
