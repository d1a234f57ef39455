package daemon

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/capture"
	"amphora/capture/journal"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// The meter for the current cannot show alone which way it counts: only the voltage
// beside it does, when current begins to flow. Then all is told anew.
func TestSignThatOnlyTheOtherMeterShows(t *testing.T) {
	volts, amps := &pacer{}, &pacer{}
	for k := range 400 {
		v, i := 12.60+0.002*float64(k%2), -0.001*float64(k%2)
		if k > 60 {
			v, i = 13.10+0.004*float64(k-60), -3.5-0.002*float64(k%3)
		}
		volts.lines = append(volts.lines, fmt.Sprintf("%.3f V", v))
		amps.lines = append(amps.lines, fmt.Sprintf("I=%.3f", i))
	}
	source := func(p *pacer) capture.Source {
		return capture.Source{Name: "meter", Open: func(context.Context) (capture.Stream, error) { return p, nil }}
	}
	current := source(amps)
	d, stop := startedWith(t, t.TempDir(), Settings{
		Name: "bench", Source: source(volts), Current: &current, Decoder: TwoMeters("auto", "auto", 2*time.Second),
		Options: analyze.Options{Channel: "bench"},
	})
	testhelp.Until(t, "the meter is understood", func() bool {
		c, ok := d.Hub().Get("bench")
		return ok && c.LastReading != nil && c.LastReading.Amps > 3.4
	})
	c, _ := d.Hub().Get("bench")
	require.Equal(t, "voltage labelled voltage=#V:V; current labelled current=i:A:negate", string(c.Decoder))
	stop()
}

// A whole night with the meter the wrong way round, told from the journal in which
// the daemon has noted what it chose first and what it found to be right.
func TestJournalOfAMeterThatTurnedOutToCountTheOtherWay(t *testing.T) {
	frames, want := nightOfTwo(t, "mower-full", func(float64) bool { return false })
	for k := range frames {
		if text, ok := strings.CutPrefix(string(frames[k].Text), "current i="); ok {
			amps, err := strconv.ParseFloat(text, 64)
			require.NoError(t, err)
			frames[k].Text = fmt.Appendf(nil, "current i=%.3f", -amps)
		}
	}
	decoder := TwoMeters("auto", "auto", 20*time.Second)
	data := t.TempDir()
	j, err := journal.Open(data, journal.Options{})
	require.NoError(t, err)
	record, err := j.Channel("bench", 1)
	require.NoError(t, err)
	s := newStory(decoder, analyze.Options{Channel: "bench"})
	anew := 0
	for k := range frames {
		f := frames[k]
		seq := record.Append(f)
		s.frame(seq, &f, "boot", func(u turn) {
			if u.chose != "" {
				record.Append(capture.Frame{Wall: f.Wall, Boot: f.Boot, Text: []byte(decoderMark + u.chose), Flags: capture.Marked})
			}
			if u.anew {
				require.Equal(t, "current labelled current=i:A:negate", u.chose)
				anew++
			}
		})
	}
	require.Equal(t, 1, anew)
	require.NoError(t, j.Close(t.Context()))

	told := retold(t, data, decoder)
	require.Len(t, told, 1)
	got := told[0].Session
	require.Equal(t, want.Outcome, got.Outcome)
	require.InDelta(t, float64(want.ChargeInAh), float64(got.ChargeInAh), 0.002*float64(want.ChargeInAh))
	require.Less(t, float64(got.ChargeOutAh), 0.001)
}

// pacer says a line every few milliseconds, and then nothing more.
type pacer struct {
	lines []string
	said  bytes.Buffer
	once  sync.Once
	over  chan struct{}
}

func (p *pacer) open() { p.once.Do(func() { p.over = make(chan struct{}) }) }

func (p *pacer) Read(b []byte) (int, error) {
	p.open()
	var beat <-chan time.Time
	if len(p.lines) > 0 {
		beat = time.After(5 * time.Millisecond)
	}
	select {
	case <-p.over:
		return 0, io.EOF
	case <-beat:
	}
	p.said.WriteString(p.lines[0] + "\n")
	p.lines = p.lines[1:]
	return p.said.Read(b)
}

func (p *pacer) Close() error {
	p.open()
	close(p.over)
	return nil
}

func (*pacer) String() string { return "a meter" }
