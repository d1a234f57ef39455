package daemon

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/capture/journal"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// nightOfTwo is a made-up night as two meters would tell it: the voltage at each
// row, the current at every third, 0.4 s later, with the voltage meter unplugged
// for a while.
func nightOfTwo(t *testing.T, name string, unplugged func(at float64) bool) (frames []capture.Frame, want analyze.Session) {
	n := madeup.Named(name)
	m := analyze.New(analyze.Options{Channel: "bench"})
	put := func(at float64, flags capture.Flags, text string) {
		boot := time.Minute + time.Duration(at*1e9)
		frames = append(frames, capture.Frame{Wall: evening.Add(boot), Boot: boot, Text: []byte(text), Flags: flags})
	}
	put(0, capture.Opened, "voltage opened a")
	put(0, capture.Opened, "current opened b")
	k, away := 0, false
	for s := range n.Samples() {
		if !analyze.Known(s.Volts) || !analyze.Known(s.Amps) {
			continue
		}
		m.Step(s)
		switch {
		case unplugged(s.At) && !away:
			away = true
			put(s.At, capture.Lost, "voltage unplugged")
		case !unplugged(s.At) && away:
			away = false
			put(s.At, capture.Opened, "voltage opened a")
		case !away:
			put(s.At, 0, fmt.Sprintf("voltage %.3f V", s.Volts))
		}
		if k++; k%3 == 0 {
			put(s.At+0.4, 0, fmt.Sprintf("current i=%.3f", s.Amps))
		}
	}
	d := m.Document()
	return frames, d.Sessions[len(d.Sessions)-1]
}

// tellAll tells frames, as they came or from a journal that remembers what was chosen.
func tellAll(frames []capture.Frame, decoder string, replaying bool) (*story, []capture.Frame) {
	s := newStory(decoder, analyze.Options{Channel: "bench"})
	s.replaying = replaying
	var written []capture.Frame
	for k := range frames {
		f := frames[k]
		written = append(written, f)
		s.frame(uint64(k+1), &f, "boot", func(u turn) {
			if u.chose != "" {
				f.Text, f.Flags = []byte(decoderMark+u.chose), capture.Marked
				written = append(written, f)
			}
		})
	}
	return s, written
}

func last(s *story) analyze.Session {
	d := s.machine.Document()
	return d.Sessions[len(d.Sessions)-1]
}

func TestTwoMetersTellTheNightOfOne(t *testing.T) {
	frames, want := nightOfTwo(t, "mower-full", func(float64) bool { return false })
	for name, decoder := range map[string]string{
		"auto":       TwoMeters("auto", "auto", 20*time.Second),
		"configured": TwoMeters("labelled voltage=#V:V", "labelled current=i:A", 20*time.Second),
	} {
		t.Run(name, func(t *testing.T) {
			s, written := tellAll(frames, decoder, false)
			got := last(s)
			assert.Equal(t, want.Outcome, got.Outcome)
			assert.InDelta(t, float64(want.ChargeInAh), float64(got.ChargeInAh), 0.002*float64(want.ChargeInAh))
			assert.GreaterOrEqual(t, float64(got.ChargeInAhU95), float64(want.ChargeInAhU95)*0.99)
			assert.Greater(t, s.rows, uint64(len(frames)/6))
			assert.Contains(t, s.decoder(), "voltage labelled voltage=#V:V; current labelled current=i:A")

			again, _ := tellAll(written, decoder, true)
			require.Equal(t, toJSON(t, got), toJSON(t, last(again)))
		})
	}
}

// TestTwoMetersAreNotBridged: an hour without the voltage is an hour without
// samples, and is said so.
func TestTwoMetersAreNotBridged(t *testing.T) {
	away := func(at float64) bool { return at > 7200 && at < 10800 }
	frames, _ := nightOfTwo(t, "mower-full", away)
	s, _ := tellAll(frames, TwoMeters("auto", "auto", 20*time.Second), false)
	assert.Greater(t, s.refused["no reading of the other meter within the limit"], 50)
	gaps := last(s).Gaps
	require.Len(t, gaps, 1)
	assert.InDelta(t, 3600, float64(gaps[0].EndS-gaps[0].StartS), 60)
}

func TestTwoMetersAreUpTogether(t *testing.T) {
	s := status{two: true}
	say := func(flags capture.Flags, text string) { s.frame(&capture.Frame{Flags: flags, Text: []byte(text)}) }
	say(capture.Opened, "voltage opened a")
	say(capture.Lost, "current unplugged")
	assert.False(t, s.up)
	say(capture.Lost, "voltage away")
	say(capture.Opened, "voltage opened a")
	assert.False(t, s.up)
	assert.Equal(t, "current unplugged", s.state)
	say(capture.Opened, "current opened b")
	assert.True(t, s.up)
}

func TestSettingOfTwoMeters(t *testing.T) {
	p := parseTwo(TwoMeters("auto", "json current=i:A", 2500*time.Millisecond))
	require.NotNil(t, p)
	assert.Equal(t, 2.5, p.skew)
	assert.Empty(t, p.ears[0].setting)
	assert.Equal(t, "json current=i:A", p.ears[1].setting)
	assert.Nil(t, parseTwo("auto"))
	assert.Nil(t, parseTwo("json current=i:A"))

	set := Settings{Source: capture.Source{Name: "a", Warning: "w"}}
	assert.Equal(t, []string{"a", "w"}, []string{set.source(), set.warning()})
	set.Current = &capture.Source{Name: "b", Warning: "x"}
	assert.Equal(t, []string{"voltage a, current b", "w; x"}, []string{set.source(), set.warning()})
}

// TestOneJournalHoldsTwoMeters hears two commands at once, and retells it.
func TestOneJournalHoldsTwoMeters(t *testing.T) {
	source := func(script string) capture.Source {
		s, err := capture.Command{Args: []string{"sh", "-c", script}}.Source()
		require.NoError(t, err)
		return s
	}
	current := source("for k in $(seq 60); do echo I=3.500; sleep 0.02; done; sleep 60")
	decoder := TwoMeters("auto", "auto", 2*time.Second)
	data := t.TempDir()
	d, stop := startedWith(t, data, Settings{
		Name: "bench", Source: source("for k in $(seq 100); do echo 12.65 V; sleep 0.01; done; sleep 60"), Current: &current,
		Decoder: decoder, Options: analyze.Options{Channel: "bench"},
	})
	testhelp.Until(t, "rows of both", func() bool {
		c, ok := d.Hub().Get("bench")
		return ok && c.Used > 20 && c.LastReading != nil
	})
	c, _ := d.Hub().Get("bench")
	assert.InDelta(t, 12.65, float64(c.LastReading.Volts), 1e-9)
	assert.InDelta(t, 3.5, float64(c.LastReading.Amps), 1e-9)
	stop()

	r, err := journal.NewReader(data, "bench", 1)
	require.NoError(t, err)
	defer r.Close()
	kinds := map[string]int{}
	before := time.Duration(0)
	for r.Next() {
		f := r.Record().Frame
		assert.GreaterOrEqual(t, f.Boot, before, "one order")
		before = f.Boot
		if f.Flags&^capture.Burst == 0 {
			kinds[string(f.Text)]++
		}
	}
	assert.Positive(t, kinds["voltage 12.65 V"])
	assert.Positive(t, kinds["current I=3.500"])
	assert.Len(t, kinds, 2)
}

// TestTwoSlowMeters: a row every half a minute from each, and none is left out; where they lie
// too far apart for that, the hint says what to do.
func TestTwoSlowMeters(t *testing.T) {
	for _, apart := range []float64{0.1, 4, 15} {
		var frames []capture.Frame
		for k := range 60 {
			for m, text := range []string{"voltage 12.65 V", "current 1.000 A"} {
				boot := time.Duration((float64(30*k) + float64(m)*apart) * 1e9)
				frames = append(frames, capture.Frame{Wall: evening.Add(boot), Boot: boot, Text: []byte(text)})
			}
		}
		s, _ := tellAll(frames, TwoMeters("auto", "auto", 5*time.Second), false)
		hint := (&channel{story: s}).hint()
		if apart > 5 {
			assert.Contains(t, hint, "farther apart than skew", apart)
			continue
		}
		assert.Empty(t, hint, apart)
		assert.GreaterOrEqual(t, s.rows, uint64(57), apart)
	}
}

// Of two meters one is another than expected: which of them, is told, while the other is heard.
func TestOneOfTwoIsAnotherThanExpected(t *testing.T) {
	s := newStory(TwoMeters("labelled voltage=V:V", "labelled current=I:A", 5*time.Second), analyze.Options{Channel: "bench"})
	var st status
	st.two = true
	boot, seq := time.Minute, uint64(0)
	put := func(flags capture.Flags, text string) {
		seq++
		boot += 500 * time.Millisecond
		f := capture.Frame{Wall: evening.Add(boot), Boot: boot, Text: []byte(text), Flags: flags}
		st.frame(&f)
		s.frame(seq, &f, "boot", func(turn) {})
	}
	put(capture.Opened, "voltage opened a")
	put(capture.Opened, "current opened b")
	assert.Zero(t, st.reconnects, "each is there for the first time")
	hint := func() string { return (&channel{story: s}).hint() }
	for k := range mostDoubted {
		assert.NotContains(t, hint(), "another device", k)
		put(capture.Doubted, "voltage V=12.6")
		put(0, "current I=3.5")
	}
	assert.Contains(t, hint(), "another device than expected is on this port of the voltage meter")
	assert.Zero(t, s.rows)
	put(capture.Lost, "voltage unplugged")
	put(capture.Opened, "voltage opened a")
	assert.NotContains(t, hint(), "another device")
	assert.Equal(t, 1, st.reconnects)
	for range 10 {
		put(0, "voltage V=12.6")
		put(0, "current I=3.5")
	}
	assert.NotZero(t, s.rows)
	assert.NotContains(t, hint(), "another device")
}

// The host, or this program, stands still for a minute or longer, again and again, and then all
// lines of both meters come in one moment, those of one meter first. They are put in order by
// when they were measured, and the charge is the same. So it is where a meter's lines never come
// but many at once.
func TestTwoMetersAfterAFreeze(t *testing.T) {
	frames, _ := nightOfTwo(t, "mower-full", func(float64) bool { return false })
	decoder := TwoMeters("labelled voltage=#V:V", "labelled current=i:A", 20*time.Second)
	steady, _ := tellAll(frames, decoder, false)
	want := last(steady)

	rng := rand.New(rand.NewPCG(17, 2))
	var frozen []capture.Frame
	for k := 0; k < len(frames); {
		many := 1
		if k > 100 && rng.IntN(200) == 0 {
			many = 40 + rng.IntN(200)
		}
		lot := slices.Clone(frames[k:min(k+many, len(frames))])
		k += len(lot)
		if len(lot) > 1 {
			end := lot[len(lot)-1]
			slices.SortStableFunc(lot, func(a, b capture.Frame) int { return cmp.Compare(b.Text[0], a.Text[0]) })
			for n := range lot {
				lot[n].Boot, lot[n].Wall, lot[n].Flags = end.Boot, end.Wall, capture.Burst
			}
		}
		frozen = append(frozen, lot...)
	}
	s, written := tellAll(frozen, decoder, false)
	got := last(s)
	assert.Empty(t, got.Gaps)
	assert.Zero(t, s.refused["no reading of the other meter within the limit"])
	assert.InEpsilon(t, float64(want.ChargeInAh), float64(got.ChargeInAh), 0.002)
	assert.InDelta(t, float64(steady.rows), float64(s.rows), 50)
	again, _ := tellAll(written, decoder, true)
	require.Equal(t, toJSON(t, got), toJSON(t, last(again)))

	for k := range frames {
		if frames[k].Flags == 0 {
			frames[k].Flags = capture.Burst
		}
	}
	s, _ = tellAll(frames, decoder, false)
	assert.InDelta(t, float64(steady.rows), float64(s.rows), 50, "that all are late holds none up")
}
