package daemon

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/capture"
	"amphora/dashboards/live"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// readingLines are rows that a decoder can be fitted to.
func readingLines(n int) (lines []string) {
	for k := range n {
		lines = append(lines, fmt.Sprintf("%d;%.2f;%.2f", 10*k, 12.6+0.001*float64(k), 3.0))
	}
	return lines
}

func TestTheLastLinesSayWhatBecameOfThem(t *testing.T) {
	lines := append([]string{"time_s;voltage_V;current_A"}, readingLines(40)...)
	lines = append(lines, "400;OL;3.00", "hello \x1b[31m\xff", "410;12.70;3.00")
	d := bench(t, t.TempDir(), analyze.Limits{}, lines...)
	defer func() { require.NoError(t, d.Close()) }()
	kept, ok := d.Lines("bench", 0)
	require.True(t, ok)
	byText := map[string]live.Line{}
	numbers := []uint64{}
	for _, l := range kept {
		byText[l.Text] = l
		numbers = append(numbers, l.Number)
	}
	assert.IsIncreasing(t, numbers)
	assert.Equal(t, live.BecamePassedOver, byText["time_s;voltage_V;current_A"].Became)
	one := byText["100;12.61;3.00"]
	assert.Equal(t, live.BecameReading, one.Became, "also of lines that had to wait for the decoder")
	assert.EqualValues(t, 12.61, one.Volts)
	assert.EqualValues(t, 3, one.Amps)
	assert.False(t, analyze.Known(one.Celsius))
	assert.Equal(t, live.BecameReading, byText["410;12.70;3.00"].Became)
	over := byText["400;OL;3.00"]
	assert.Equal(t, live.BecameRefused, over.Became)
	assert.Equal(t, "overload reading", string(over.Why))
	odd := byText[`hello \x1b[31m\xff`]
	assert.Equal(t, 12, odd.Bytes)
	assert.NotEqual(t, live.BecameReading, odd.Became)
	assert.Equal(t, live.BecameMark, kept[0].Became)
	assert.EqualValues(t, "opened", kept[0].Why)

	later, _ := d.Lines("bench", byText["410;12.70;3.00"].Number)
	for _, l := range later {
		assert.Equal(t, live.BecameMark, l.Became, "nothing but the end of the source")
	}
	_, ok = d.Lines("attic", 0)
	assert.False(t, ok)
}

func TestLinesThatAreKeptAreBounded(t *testing.T) {
	lines := readingLines(3 * recentLines)
	long := strings.Repeat("x", 3000)
	d := bench(t, t.TempDir(), analyze.Limits{}, append(lines, long)...)
	defer func() { require.NoError(t, d.Close()) }()
	kept, _ := d.Lines("bench", 0)
	assert.Len(t, kept, recentLines)
	found := false
	for _, l := range kept {
		assert.LessOrEqual(t, len(l.Text), recentBytes)
		found = found || l.Bytes == 3000
	}
	assert.True(t, found, "the whole length is told")
	heard, ok := d.Heard("bench")
	require.True(t, ok)
	assert.Less(t, len(heard[""].Lines), recentLines, "without the one that was cut, and the marks")
	assert.Greater(t, len(heard[""].Lines), recentLines-5)
}

func TestTheLastLinesOfTwoMetersNameTheMeter(t *testing.T) {
	volts, amps := &speaker{}, &speaker{}
	for k := range 20 {
		volts.lines = append(volts.lines, fmt.Sprintf("%.2f V", 12.6+0.01*float64(k)))
		amps.lines = append(amps.lines, fmt.Sprintf("+%.3f A", 3.0))
	}
	current := scripted(amps)
	d := recorded(t, t.TempDir(), capture.SystemClock{}, volts, func(c *Config) {
		c.Channels[0].Decoder, c.Channels[0].Current = TwoMeters("auto", "auto", 5*time.Second), &current
	})
	defer func() { require.NoError(t, d.Close()) }()
	kept, _ := d.Lines("bench", 0)
	of := map[string]int{}
	for _, l := range kept {
		if l.Became == live.BecameReading {
			of[string(l.Meter)]++
			assert.Equal(t, l.Meter == "voltage", analyze.Known(l.Volts), "%+v", l)
			assert.False(t, strings.HasPrefix(l.Text, "voltage") || strings.HasPrefix(l.Text, "current"))
			assert.Equal(t, len(l.Text), l.Bytes)
		}
	}
	assert.Greater(t, of["voltage"], 10)
	assert.Greater(t, of["current"], 10)
	heard, _ := d.Heard("bench")
	assert.Len(t, heard["voltage"].Lines, 20)
	assert.Len(t, heard["current"].Lines, 20)
}

func BenchmarkKeepingLines(b *testing.B) {
	var k recent
	f := capture.Frame{Text: []byte("12345.0;13.741;3.359;18.0")}
	s := analyze.Sample{Volts: 13.741, Amps: 3.359, Celsius: 18}
	b.ReportAllocs()
	seq := uint64(0)
	for b.Loop() {
		seq++
		k.put(seq, &f)
		k.read(seq, &s)
	}
}
