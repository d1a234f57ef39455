package daemon

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/capture/journal"

	"github.com/stretchr/testify/require"
)

// sayOf are so many nights, two days from one to the next, of a meter with a clock of its own
// that counts what flows out of the battery.
func sayOf(n madeup.Night, nights int) (lines []string) {
	all, _ := n.Collect()
	for k := range nights {
		for _, s := range all {
			lines = append(lines, fmt.Sprintf("%.0f;%.3f;%.3f", s.At+float64(k)*172800, s.Volts, -s.Amps))
		}
	}
	return lines
}

// written is a data folder whose journal holds nothing but lines, stamped by their own clock.
func written(t testing.TB, lines []string) (data string) {
	t.Helper()
	data = t.TempDir()
	j, err := journal.Open(data, journal.Options{})
	require.NoError(t, err)
	c, err := j.Channel("bench", 1)
	require.NoError(t, err)
	for _, text := range lines {
		stamp, _, _ := strings.Cut(text, ";")
		at, err := time.ParseDuration(stamp + "s")
		require.NoError(t, err)
		c.Append(capture.Frame{Wall: evening.Add(at), Boot: at, Text: []byte(text)})
	}
	require.NoError(t, j.Close(t.Context()))
	return data
}

func retold(t testing.TB, data, decoder string) []Told {
	t.Helper()
	r, err := Retell(t.Context(), data, "bench", decoder, analyze.Options{})
	require.NoError(t, err)
	return r.Told
}

// Where retention has removed the remark of the decoder, or a configuration named it, the lines
// are read as a file of them would be: all of them, and the right way round.
func TestRetellingAJournalThatNamesNoDecoder(t *testing.T) {
	lines := sayOf(madeup.Named("mower-full"), 3)
	require.Greater(t, len(lines), 2*fitMost)
	want := alone(t, []byte(strings.Join(lines, "\n")+"\n"), analyze.Options{Channel: "bench"})
	told := retold(t, written(t, lines), "auto")
	require.Len(t, told, 3)
	for _, one := range told {
		require.Equal(t, analyze.Complete, one.Session.Outcome)
		require.InEpsilon(t, float64(want.ChargeInAh), float64(one.Session.ChargeInAh), 1e-3)
	}
	require.Len(t, retold(t, written(t, lines[:len(lines)/3]), "auto"), 1)
}

// What the channel had in use says what no line tells: which of two currents counts.
func TestRetellingTakesTheDecoderOfThePlace(t *testing.T) {
	var lines []string
	for _, l := range sayOf(madeup.Named("drill-three-cells"), 1) {
		at, rest, _ := strings.Cut(l, ";")
		volts, amps, _ := strings.Cut(rest, ";")
		lines = append(lines, at+";"+volts+";0.000;"+amps)
	}
	const none = "columns separator=semicolon width=4 time=1:s voltage=2:V current=3:A"
	data := written(t, lines)
	require.Len(t, retold(t, data, "auto"), 1)
	require.NoError(t, (&places{}).write(1, place{From: 1, Decoder: none}, placeFile(data, "bench")))
	require.Empty(t, retold(t, data, "auto"), "by the column in which nothing flows")
}

// Two meters whose decoders nobody remarked are read from the first lines on, too.
func TestRetellingTwoMetersWithoutARemark(t *testing.T) {
	frames, want := nightOfTwo(t, "mower-full", func(float64) bool { return false })
	data := t.TempDir()
	j, err := journal.Open(data, journal.Options{})
	require.NoError(t, err)
	c, err := j.Channel("bench", 1)
	require.NoError(t, err)
	nights := 2 + heldMost/len(frames) // more than would be held until both are understood
	for night := range nights {
		for _, f := range frames {
			later := time.Duration(night) * 48 * time.Hour
			f.Wall, f.Boot = f.Wall.Add(later), f.Boot+later
			c.Append(f)
		}
	}
	require.NoError(t, j.Close(t.Context()))
	told := retold(t, data, TwoMeters("auto", "auto", 20*time.Second))
	require.Len(t, told, nights)
	for _, one := range told {
		require.Equal(t, want.Outcome, one.Session.Outcome)
		require.InDelta(t, float64(want.ChargeInAh), float64(one.Session.ChargeInAh), 0.002*float64(want.ChargeInAh))
	}
}

// remarks are what a journal holds besides lines, which begins so.
func remarks(t testing.TB, data, begins string) (at []uint64) {
	t.Helper()
	r, err := journal.NewReader(data, "bench", 1)
	require.NoError(t, err)
	defer r.Close()
	for r.Next() {
		if rec := r.Record(); rec.Flags&capture.Marked != 0 && bytes.HasPrefix(rec.Text, []byte(begins)) {
			at = append(at, rec.Seq)
		}
	}
	require.NoError(t, r.Err())
	return at
}

// The decoder is noted at each charge: what is left of a journal says what to read it with.
func TestDecoderIsNotedAtEachCharge(t *testing.T) {
	lines := sayOf(madeup.Named("drill-three-cells"), 3)
	data := t.TempDir()
	require.NoError(t, recorded(t, data, capture.SystemClock{}, &speaker{lines: lines}).Close())
	require.Len(t, retold(t, data, "auto"), 3)
	at := remarks(t, data, decoderMark)
	require.Greater(t, at[len(at)-1], uint64(2*len(lines)/3), "in the last night")
}

// A decoder of the configuration reads the journal when the configuration is gone, but a daemon
// that is to choose for itself does.
func TestDecoderOfTheConfigurationIsNoted(t *testing.T) {
	var lines []string
	for _, l := range sayOf(madeup.Named("drill-three-cells"), 1) {
		lines = append(lines, l+";0.000")
	}
	const set = "columns separator=semicolon width=4 time=1:s voltage=2:V current=3:A:negate"
	data := t.TempDir()
	stated := func(c *Config) { c.Channels[0].Decoder = set }
	require.NoError(t, recorded(t, data, capture.SystemClock{}, &speaker{lines: lines}, stated).Close())
	require.Empty(t, remarks(t, data, decoderMark))
	require.NotEmpty(t, remarks(t, data, statedMark+set))
	for _, decoder := range []string{"auto", set} {
		told := retold(t, data, decoder)
		require.Len(t, told, 1, decoder)
		require.Equal(t, analyze.Complete, told[0].Session.Outcome)
	}
	book, err := logbook.Open(t.Context(), BookFile(data))
	require.NoError(t, err)
	defer book.Close()
	all, err := book.Sessions(t.Context(), logbook.Filter{})
	require.NoError(t, err)
	require.Len(t, all, 1)
	rows := 0
	_, err = Retrace(t.Context(), data, all[0], "auto", analyze.Options{}, func(*analyze.Machine) { rows++ })
	require.NoError(t, err, "its rows, too")
	require.Equal(t, len(lines), rows)
	all[0].Settled = true
	again, err := Assign(t.Context(), book, data, all[0], "drill", "auto", analyze.Options{})
	require.NoError(t, err)
	require.InEpsilon(t, float64(all[0].Summary.ChargeInAh), float64(again.ChargeInAh), 1e-6)
	require.NoError(t, book.Close())

	d := recorded(t, data, capture.SystemClock{}, &speaker{})
	require.Empty(t, d.channel("bench").story.setting)
	require.Empty(t, d.channel("bench").story.chosen)
	require.NoError(t, d.Close())
}
