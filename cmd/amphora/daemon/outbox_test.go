package daemon

import (
	"context"
	"fmt"
	"maps"
	"math"
	"sync"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/dashboards/push"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// basket is a place that keeps what it is given. What it had safe outlives it.
type basket struct {
	mu      sync.Mutex
	records []push.Record
	last    map[string]uint64
	safe    map[string]uint64
	refuses bool // the disk
}

func newBasket() *basket { return &basket{last: map[string]uint64{}, safe: map[string]uint64{}} }

func (b *basket) Open(push.Host) (push.Sink, error) { return b, nil }
func (b *basket) Folder() string                    { return "" }
func (b *basket) Name() string                      { return "basket" }

func (b *basket) After(channel string) uint64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.safe[channel]
}

func (b *basket) Take(r push.Record) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.records = append(b.records, r)
	b.last[r.Channel] = r.Seq
}

func (b *basket) Sync(context.Context) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.refuses {
		return assert.AnError
	}
	b.safe = maps.Clone(b.last)
	return nil
}

func (b *basket) Status() push.Status { return push.Status{Name: "basket", Why: "none"} }
func (b *basket) Close()              {}

// pushingTo makes a basket what a daemon pushes to.
func pushingTo(b *basket) func(*Config) { return func(c *Config) { c.Push = []push.Target{b} } }

// samples are those of all records, in the order in which they came.
func (b *basket) samples() (all []push.Sample) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, r := range b.records {
		all = append(all, r.Samples...)
	}
	return all
}

// handed runs a daemon that pushes on the meter to its end. Without an orderly end
// it is as if it had been killed.
func handed(t *testing.T, data string, m *meter, b *basket, orderly bool) {
	t.Helper()
	d := recorded(t, data, m.clock, m, ofTheMower, pushingTo(b))
	if orderly {
		require.NoError(t, b.Sync(t.Context()))
	}
	c, ok := d.Hub().Get("bench")
	require.True(t, ok)
	require.Len(t, c.Push, 1)
	assert.Equal(t, "basket", c.Push[0].Target)
	require.NoError(t, d.Close())
}

// Each line is handed over once, with its own time, the first ones too, which had to
// wait for a decoder.
func TestEveryReadingIsHandedOverOnce(t *testing.T) {
	b := newBasket()
	handed(t, t.TempDir(), &meter{clock: testhelp.NewClock(evening), lines: 3600}, b, true)
	got := b.samples()
	require.Len(t, got, 3600)
	for k, s := range got {
		assert.Equal(t, got[0].At.Add(time.Duration(k)*time.Second), s.At)
	}
	last := got[3599]
	assert.Equal(t, analyze.ConstantCurrent, last.Stage)
	assert.Equal(t, 2.0, last.Amps)
	assert.InDelta(t, 3538*2/3600.0, last.ChargeAh, 0.003, "it lags two readings")
	assert.False(t, analyze.Known(got[10].ChargeAh), "no charge was under way")
	assert.False(t, analyze.Known(last.Celsius))
	assert.Equal(t, "mower", b.records[0].Battery)
}

// What a sink had not safe when the program was killed is told again from the
// journal, and nothing else is.
func TestAKillHandsOverAgainWhatWasNotSafe(t *testing.T) {
	data, b := t.TempDir(), newBasket()
	clock := testhelp.NewClock(evening)
	handed(t, data, &meter{clock: clock, lines: 1000, at: map[int]func(){
		700: func() {
			require.NoError(t, b.Sync(t.Context()))
			b.refuses = true
		},
	}}, b, false)
	safe := 0
	for _, r := range b.records {
		if r.Seq <= b.safe["bench"] {
			safe += len(r.Samples)
		}
	}
	first := b.samples()
	require.Less(t, safe, 701)
	require.Greater(t, safe, 600)

	b.records, b.refuses = nil, false
	handed(t, data, &meter{clock: clock, lines: 1, said: 1}, b, true)
	again := b.samples()
	require.Len(t, again, len(first)-safe)
	for k := range again {
		require.Equal(t, fmt.Sprint(first[safe+k]), fmt.Sprint(again[k]), "unknown is unequal to unknown, but not as text")
	}
}

// A place in the journal is written down only once all before it is safe, since a
// replay begins there.
func TestNoPlaceBeforeItIsSafe(t *testing.T) {
	for _, refuses := range []bool{false, true} {
		data, b := t.TempDir(), newBasket()
		b.refuses = refuses
		// A charge, a day of nothing after which it is closed, and another.
		m := &meter{clock: testhelp.NewClock(evening), lines: 6000, pause: [2]int{500, 5500}, every: 20 * time.Second}
		handed(t, data, m, b, false)
		placed := from(t, (&channel{data: data, set: Settings{Name: "bench"}}).placeFile())
		if refuses {
			assert.EqualValues(t, 1, placed)
			continue
		}
		assert.Greater(t, placed, uint64(1000))
		assert.GreaterOrEqual(t, b.safe["bench"]+1, placed)
	}
}

// A reading from before the clock was set is worth nothing to a store, and one that
// is dated right, later, is.
func TestReadingsWaitForTheClock(t *testing.T) {
	b := newBasket()
	m := &meter{clock: testhelp.NewClock(time.Unix(0, 0).UTC()), lines: 3600}
	jumped := time.Time{}
	m.at = map[int]func(){600: func() {
		assert.Empty(t, b.samples())
		m.clock.Step(56 * 365 * 24 * time.Hour)
		jumped = m.clock.Wall()
	}}
	handed(t, t.TempDir(), m, b, true)
	got := b.samples()
	require.Len(t, got, 3600)
	for k, s := range got {
		assert.WithinDuration(t, jumped.Add(time.Duration(k-600)*time.Second), s.At, time.Second)
	}
}

// The clock is set back by five minutes, and forth, and the program is killed and begun
// anew: a store never gets two readings of one time, of which it would keep one.
func TestNoTwoReadingsHaveOneTime(t *testing.T) {
	data, b, clock := t.TempDir(), newBasket(), testhelp.NewClock(evening)
	set := map[int]func(){
		900:  func() { clock.Step(-5 * time.Minute) },
		1300: func() { clock.Step(-2 * time.Hour) },
		1700: func() { clock.Step(3 * time.Hour) },
		2500: func() { clock.Step(-5 * time.Minute) },
	}
	for said := 0; said < 3000; said += 1000 {
		handed(t, data, &meter{clock: clock, lines: said + 1000, said: said, at: set}, b, true)
	}
	got := b.samples()
	require.GreaterOrEqual(t, len(got), 2990)
	for k := range got[1:] {
		require.True(t, got[k+1].At.After(got[k].At), "%v after %v", got[k+1].At, got[k].At)
	}
}

// A meter that counts the other way is seen through when current begins to flow. What
// was handed over by then comes once more, as it should have been.
func TestReadingsThatWereTakenWronglyComeAgain(t *testing.T) {
	rows, _ := madeup.Named("drill-three-cells").Collect()
	s, b := &speaker{}, newBasket()
	for _, r := range rows {
		s.lines = append(s.lines, fmt.Sprintf("%.0f;%.3f;%.3f", r.At, r.Volts, -r.Amps))
	}
	require.NoError(t, recorded(t, t.TempDir(), testhelp.NewClock(evening), s, pushingTo(b)).Close())
	got := b.samples()
	require.Greater(t, len(got), len(rows), "some came twice")
	newest := map[time.Time]push.Sample{}
	for _, one := range got {
		newest[one.At] = one
	}
	require.Len(t, newest, len(rows))
	for _, r := range rows {
		at := got[0].At.Add(time.Duration(math.Round(r.At-rows[0].At)) * time.Second)
		assert.InDelta(t, r.Amps, newest[at].Amps, 0.001, at)
	}
	assert.Equal(t, b.last["bench"], b.records[len(b.records)-1].Seq, "the last is the last again")
}
