package daemon

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/capture/journal"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// spoken are the lines of a night, 20 s apart, as a meter with such a layout writes them.
func spoken(name string, layout func(analyze.Sample) string) (lines []string) {
	n := madeup.Named(name)
	n.Meter.Every = 20
	for row := range n.Samples() {
		lines = append(lines, layout(row))
	}
	return lines
}

func plain(s analyze.Sample) string { return fmt.Sprintf("%.0f,%.3f,%.3f", s.At, s.Volts, s.Amps) }
func dated(s analyze.Sample) string {
	return fmt.Sprintf("%s,%.3f,%.3f", evening.Add(time.Duration(s.At)*time.Second).UTC().Format(time.RFC3339), s.Volts, s.Amps)
}
func labelled(s analyze.Sample) string { return fmt.Sprintf("U=%.3fV I=%.0fmA", s.Volts, 1000*s.Amps) }

// spokenTo is a story that heard the lines, and the frames of its journal.
func spokenTo(t *testing.T, decoder string, lines []string) (s *story, all []capture.Frame, relaid int) {
	t.Helper()
	s = newStory(decoder, analyze.Options{})
	for k, text := range lines {
		at := 20 * time.Second * time.Duration(k)
		f := capture.Frame{Wall: evening.Add(at), Boot: at, Text: []byte(text)}
		all = append(all, f)
		s.frame(uint64(len(all)), &f, "boot", func(u turn) {
			mark := decoderMark
			if u.relaid {
				mark = relaidMark
				relaid++
			}
			if u.chose != "" {
				all = append(all, capture.Frame{Wall: f.Wall, Boot: f.Boot, Text: []byte(mark + u.chose), Flags: capture.Marked})
			}
		})
	}
	return s, all, relaid
}

// Another meter takes the place of the first one, with a layout of its own and no heading, between
// two nights and in the middle of one. No row is lost, and a replay tells the same.
func TestAnotherLayoutOnTheSameChannelIsTakenUp(t *testing.T) {
	heading := []string{"time_s,voltage_V,current_A"}
	for name, then := range map[string]func(analyze.Sample) string{"dated": dated, "labelled": labelled} {
		for when, rows := range map[string][2][]string{
			"between": {spoken("car-flat", plain), spoken("mower-float", then)},
			"within":  {spoken("car-flat", plain)[:900], spoken("car-flat", then)[900:]},
		} {
			t.Run(name+" "+when, func(t *testing.T) {
				lines := append(append(heading, rows[0]...), rows[1]...)
				s, frames, relaid := spokenTo(t, "auto", lines)
				assert.Equal(t, 1, relaid)
				assert.EqualValues(t, len(lines)-1, s.rows)
				want := s.machine.Document()
				if when == "between" {
					assert.Len(t, want.Sessions, 2)
				} else {
					assert.Len(t, want.Sessions, 1)
				}
				again := toldFrom(t, frames)
				assert.Equal(t, s.rows, again.rows)
				assert.Equal(t, s.refused, again.refused)
				assert.Equal(t, s.chosen, again.chosen)
				assert.JSONEq(t, toJSON(t, want), toJSON(t, again.machine.Document()))
			})
		}
	}
}

// toldFrom is the story that a journal with these frames tells.
func toldFrom(t *testing.T, frames []capture.Frame) *story {
	t.Helper()
	data := journalOf(t, frames)
	s := newStory("auto", analyze.Options{})
	require.NoError(t, replay(t.Context(), data, "bench", 1, s, func(turn) {}, func(uint64) {}))
	return s
}

// journalOf is the data folder of a channel, bench, with these frames in its journal.
func journalOf(t *testing.T, frames []capture.Frame) (data string) {
	t.Helper()
	data = t.TempDir()
	j, err := journal.Open(data, journal.Options{})
	require.NoError(t, err)
	record, err := j.Channel("bench", 0)
	require.NoError(t, err)
	for k := range frames {
		record.Append(frames[k])
	}
	require.NoError(t, j.Close(t.Context()))
	return data
}

// A second meter is no reason to doubt: what is no reading for long but no other layout either brings none.
func TestNothingElseBringsAnotherLayout(t *testing.T) {
	night := spoken("car-flat", plain)
	odd := map[string]func(k int) string{
		"a menu":        func(k int) string { return fmt.Sprintf("%d) option %d: %d V", k%9, k, k%3) },
		"more numbers":  func(k int) string { return fmt.Sprintf("%d,%d,%d,%.1f", k%9, k*7%13, k%3, float64(k%7)) },
		"an error":      func(int) string { return "E02 SENSOR" },
		"what is set":   func(int) string { return "SET V=14.40 A=3.00" },
		"torn rows":     func(k int) string { return night[900+k][k%9:] },
		"halves":        func(k int) string { return night[900+k][:len(night[900+k])-9] },
		"joined":        func(k int) string { return night[900+k] + night[901+k] },
		"no text":       func(k int) string { return strings.Repeat("\xff\x00\x81", 4+k%3) },
		"overload":      func(k int) string { return fmt.Sprintf("%d,OL,OL", 18000+20*k) },
		"a short trial": func(k int) string { return labelled(analyze.Sample{Volts: 12 + 0.01*float64(k), Amps: 1}) },
	}
	for name, line := range odd {
		t.Run(name, func(t *testing.T) {
			lines := append([]string{"time_s,voltage_V,current_A"}, night[:900]...)
			many := 300
			if name == "a short trial" {
				many = 5
			}
			for k := range many {
				lines = append(lines, line(k))
			}
			s, _, relaid := spokenTo(t, "auto", append(lines, night[1200:1300]...))
			assert.Zero(t, relaid, s.chosen)
			if name != "torn rows" { // of which some are whole
				assert.EqualValues(t, 1000, s.rows)
			}
		})
	}
}

// An explicit decoder stays what it is, and the hint names the layout that would fit; with auto the hint says what is
// waited for.
func TestALineThatFitsAnotherLayoutHasAHint(t *testing.T) {
	rows, other := spoken("car-flat", plain), spoken("car-flat", labelled)
	set := "columns separator=comma width=3 time=1:s voltage=2:V current=3:A"
	hint := func(decoder string, lines []string) string {
		s, _, relaid := spokenTo(t, decoder, lines)
		assert.Zero(t, relaid)
		return (&channel{story: s, latest: capture.Frame{Boot: 20 * time.Second * time.Duration(len(lines))}}).hint()
	}
	assert.Regexp(t, "set it to auto, or to labelled voltage=u:V current=i:A", hint(set, append(rows[:100:100], other[100:200]...)))
	assert.Regexp(t, "set it to auto, or to labelled voltage=u:V current=i:A", hint(set, other[:100]))
	still := make([]string, 100)
	for k := range still {
		still[k] = "U=12.100V I=100mA"
	}
	assert.Regexp(t, "If another meter speaks now", hint("auto", append(rows[:100:100], still...)))
}

// What a heading changed holds on, after a day without a charge and after a restart: nobody will hear it again.
func TestAHeadingHoldsOnWhereItIsHeardNoMore(t *testing.T) {
	lines := []string{"time_s,voltage_V,current_A"}
	for k := range 100 {
		lines = append(lines, fmt.Sprintf("%d,12.61%d,0.00%d", 20*k, k%3, k%2))
	}
	lines = append(lines, "time_s,current_mA,voltage_V")
	for k := 100; k < 5000; k++ {
		lines = append(lines, fmt.Sprintf("%d,%d,12.61%d", 20*k, k%2, k%3))
	}
	s, frames, _ := spokenTo(t, "auto", lines)
	require.Greater(t, s.account.origin, uint64(200), "a new account has begun")
	assert.EqualValues(t, len(lines)-2, s.rows)
	assert.InDelta(t, 12.61, s.last.volts, 0.01)
	assert.InDelta(t, 0.001, s.last.amps, 1e-3)

	told := toldFrom(t, frames)
	assert.Equal(t, s.rows, told.rows)
	assert.Equal(t, s.chosen, told.chosen)
	assert.JSONEq(t, toJSON(t, s.machine.Document()), toJSON(t, told.machine.Document()))

	p := s.place(s.account)
	again := p.story("auto", analyze.Options{})
	f := frames[len(frames)-1]
	again.frame(uint64(len(frames)), &f, "boot", func(turn) {})
	assert.InDelta(t, 12.61, again.last.volts, 0.01)
	assert.InDelta(t, 0.001, again.last.amps, 1e-3)
}
