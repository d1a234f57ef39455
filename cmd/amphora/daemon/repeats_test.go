package daemon

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/capture"

	"github.com/stretchr/testify/assert"
)

// visits are a story that heard a source say some lines, then some others at the next connection, and so on: 20 s a line
// while they are new, at once while they are not.
func visits(t *testing.T, decoder string, all ...[]string) *story {
	t.Helper()
	s, seq, boot, seen := newStory(decoder, analyze.Options{}), uint64(0), time.Duration(0), map[string]bool{}
	frame := func(text string, flags capture.Flags) {
		seq++
		s.frame(seq, &capture.Frame{Wall: evening.Add(boot), Boot: boot, Text: []byte(text), Flags: flags}, "boot", func(turn) {})
	}
	for _, lines := range all {
		frame("a port", capture.Opened)
		for _, l := range lines {
			if !seen[l] {
				boot += 20 * time.Second
			}
			seen[l] = true
			frame(l, 0)
		}
		frame("unplugged", capture.Lost)
	}
	return s
}

const elapsedRows = "columns separator=comma width=3 time=1:s voltage=2:V current=3:A"

// A device says its whole memory at each connection. However much that is, and whatever single lines are torn then, were
// torn before, or are put in between: each row counts once.
func TestAMemoryThatIsSaidAgainCountsOnce(t *testing.T) {
	for form, setting := range map[string]string{"elapsed": elapsedRows, "dated": "columns separator=comma width=3 stamp=1:y-m-d voltage=2:V current=3:A"} {
		n := spoken("car-flat", map[string]func(analyze.Sample) string{"elapsed": plain, "dated": dated}[form])
		torn := func(lines []string, at int, as string) []string {
			lines = slices.Clone(lines)
			lines[at] = as
			return lines
		}
		cut, far := n[960][:len(n[960])-1], "990000,12.9,0.01"
		if form == "dated" {
			far = "2099-03-14T20:40:05Z,12.9,0.01"
		}
		want := visits(t, setting, n)
		for name, all := range map[string][][]string{
			"all of it":              {n, n},
			"more each time":         {n[:1000], n[:1100], n},
			"torn the first time":    {torn(n[:1000], 960, "19\xff,9"), n},
			"torn, and still a row":  {torn(n[:1000], 960, cut), n},
			"torn the second time":   {n[:1000], torn(n, 960, cut)},
			"torn into a later time": {n[:1000], torn(n, 960, far)},
			"many torn":              {torn(torn(torn(n[:1000], 960, "x"), 961, "x"), 962, "x"), n},
			"the first one missing":  {n[1:1000], append([]string{"hello, meter here"}, n...)},
			"the last ones":          {n[:1000], n[900:]},
			"once again":             {n[:1000], n[900:1000], n[800:1000], n[700:]},
		} {
			t.Run(form+" "+name, func(t *testing.T) {
				s := visits(t, setting, all...)
				d, w := s.machine.Document(), want.machine.Document()
				assert.Len(t, d.Sessions, len(w.Sessions))
				assert.InEpsilon(t, float64(w.Sessions[0].ChargeInAh), float64(d.Sessions[0].ChargeInAh), 1e-3)
				assert.InDelta(t, len(n), s.rows, 3)
			})
		}
	}
}

// After a restart the story begins behind the first of two charges, and the device says both of them again.
func TestAMemoryOfEarlierChargesCountsOnceAfterARestart(t *testing.T) {
	later := func(s analyze.Sample) string { s.At += 200_000; return plain(s) }
	for when, again := range map[string][]string{"both": append(spoken("car-flat", plain), spoken("mower-float", later)...), "the first": spoken("car-flat", plain)} {
		lines := append(spoken("car-flat", plain), spoken("mower-float", later)...)
		first, frames, _ := spokenTo(t, elapsedRows, lines)
		from := uint64(len(spoken("car-flat", plain)) + 1)
		data := journalOf(t, frames)
		s := place{From: from}.story(elapsedRows, analyze.Options{})
		assert.NoError(t, replay(t.Context(), data, "bench", from, s, func(turn) {}, func(uint64) {}))
		rows := s.rows
		assert.Less(t, rows, first.rows)
		boot := 20 * time.Second * time.Duration(len(lines))
		s.frame(uint64(len(frames)+1), &capture.Frame{Boot: boot, Flags: capture.Opened, Text: []byte("a port")}, "boot", func(turn) {})
		for k, l := range again {
			s.frame(uint64(len(frames)+2+k), &capture.Frame{Boot: boot, Text: []byte(l)}, "boot", func(turn) {})
		}
		assert.Equal(t, rows, s.rows, when)
	}
}

// A device whose clock began anew at the connection says the old times of new readings: each of them
// counts, though some of a coarse meter are what was said at that time before.
func TestAClockThatBeginsAnewIsNoRepetition(t *testing.T) {
	coarse := func(s analyze.Sample) string { return fmt.Sprintf("%.0f,%.2f,%.1f", s.At, s.Volts, s.Amps) }
	n := spoken("car-flat", coarse)
	for name, other := range map[string][]string{
		"another night":        spoken("mower-float", coarse),
		"later by some rows":   spoken("car-flat", func(s analyze.Sample) string { s.Volts += 0.03; return coarse(s) }),
		"other times":          spoken("mower-float", func(s analyze.Sample) string { s.At += 7; return coarse(s) }),
		"equal but for a part": append(slices.Clone(n[:3]), spoken("mower-float", coarse)[3:]...),
	} {
		t.Run(name, func(t *testing.T) {
			s := visits(t, elapsedRows, n, other)
			assert.InDelta(t, len(n)+len(other), s.rows, 3, s.refused)
		})
	}
}
