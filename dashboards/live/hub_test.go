package live

import (
	"encoding/json"
	"math"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/dashboards/testhelp"
)

var evening = time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)

func newHub() (*Hub, *testhelp.Clock) {
	c := testhelp.NewClock(evening)
	return NewHub(c), c
}

func reading(at time.Time, s float64) *Reading {
	none := analyze.Number(math.NaN())
	return &Reading{At: at, AtS: analyze.Number(s), Volts: 13.7, Amps: 3, Celsius: none, AgeS: 0}
}

func TestReadingLeavesAfterTheSilenceLimit(t *testing.T) {
	h, clock := newHub()
	h.Publish(Channel{Name: "bench", SilenceS: 45, Reading: reading(evening, 10)})

	clock.Advance(45 * time.Second)
	c, ok := h.Get("bench")
	require.True(t, ok)
	require.NotNil(t, c.Reading, "at the limit it still holds")
	assert.Equal(t, analyze.Number(45), c.Reading.AgeS)

	clock.Advance(time.Millisecond)
	c, _ = h.Get("bench")
	assert.Nil(t, c.Reading)
	require.NotNil(t, c.LastReading)
	assert.Equal(t, analyze.Number(13.7), c.LastReading.Volts)
}

func TestReadingPublishedAgainGoesOnAgeing(t *testing.T) {
	h, clock := newHub()
	c := Channel{Name: "bench", Reading: reading(evening, 10)}
	h.Publish(c)
	clock.Advance(DefaultSilence*time.Second + 1)
	h.Publish(c)
	c, _ = h.Get("bench")
	assert.Nil(t, c.Reading)

	h.Publish(Channel{Name: "bench", Reading: reading(evening.Add(time.Minute), 70)})
	c, _ = h.Get("bench")
	assert.NotNil(t, c.Reading, "another one is fresh")

	for _, at := range []time.Time{evening, evening.Add(time.Minute)} {
		clock.Advance(DefaultSilence*time.Second + 1)
		h.Publish(Channel{Name: "bench", Reading: reading(at, analyze.Unknown())})
	}
	c, _ = h.Get("bench")
	assert.NotNil(t, c.Reading, "so is one of which only the time of day is known")
}

func TestStepOfTheWallClockAgesNothing(t *testing.T) {
	h, clock := newHub()
	h.Publish(Channel{Name: "bench", Reading: reading(evening, 10)})
	clock.Step(56 * 365 * 24 * time.Hour)
	c, _ := h.Get("bench")
	require.NotNil(t, c.Reading)
	assert.Equal(t, analyze.Number(0), c.Reading.AgeS)
}

func TestReadingMayBeOldWhenItIsPublished(t *testing.T) {
	h, _ := newHub()
	r := reading(evening, 10)
	r.AgeS = 3600
	h.Publish(Channel{Name: "bench", Reading: r})
	c, _ := h.Get("bench")
	assert.Nil(t, c.Reading)
	assert.NotNil(t, c.LastReading)
}

func TestLastReadingStaysWithoutANewOne(t *testing.T) {
	h, _ := newHub()
	h.Publish(Channel{Name: "bench", Reading: reading(evening, 10)})
	h.Publish(Channel{Name: "bench", Source: Source{State: "lost"}})
	c, _ := h.Get("bench")
	assert.NotNil(t, c.LastReading)
	assert.Equal(t, "lost", c.Source.State)
}

func TestWhatIsLookedAtIsACopy(t *testing.T) {
	h, _ := newHub()
	reasons := map[string]int{"blank current": 1}
	h.Publish(Channel{Name: "bench", Reading: reading(evening, 10), RejectedByReason: reasons})
	reasons["blank current"] = 99
	c, _ := h.Get("bench")
	assert.Equal(t, 1, c.RejectedByReason["blank current"])
	c.Reading.Volts = 99
	c, _ = h.Get("bench")
	assert.Equal(t, analyze.Number(13.7), c.Reading.Volts)
}

func TestChannelsKeepTheOrderOfTheirFirstPublication(t *testing.T) {
	h, _ := newHub()
	for _, name := range []string{"shed", "bench", "shed"} {
		h.Publish(Channel{Name: name})
	}
	all := h.Snapshot()
	require.Len(t, all, 2)
	assert.Equal(t, "shed", all[0].Name)
	assert.Equal(t, "bench", all[1].Name)
	_, ok := h.Get("attic")
	assert.False(t, ok)
}

func TestRemainingTimeCountsFromNow(t *testing.T) {
	h, clock := newHub()
	s := &analyze.Session{ID: "a", Outcome: analyze.Running, Forecast: &analyze.Forecast{FinishS: 3610}}
	h.Publish(Channel{Name: "bench", Reading: reading(evening, 10), Session: s})
	clock.Advance(20 * time.Second)
	c, _ := h.Get("bench")
	assert.InDelta(t, 3580, float64(c.RemainingS), 1e-9)
	clock.Advance(2 * time.Hour)
	c, _ = h.Get("bench")
	assert.Zero(t, c.RemainingS)

	h.Publish(Channel{Name: "bench", Reading: reading(evening, 10)})
	c, _ = h.Get("bench")
	assert.True(t, math.IsNaN(float64(c.RemainingS)), "no charge, no forecast")
}

func TestTotalsNeverFall(t *testing.T) {
	h, _ := newHub()
	var last analyze.Number
	total := func(id string, in float64) float64 {
		h.Publish(Channel{Name: "bench", Session: &analyze.Session{
			ID: id, ChargeInAh: analyze.Number(in), ChargeOutAh: analyze.Number(math.NaN()), EnergyInWh: 1,
		}})
		c, _ := h.Get("bench")
		require.GreaterOrEqual(t, c.Totals.ChargeInAh, last)
		last = c.Totals.ChargeInAh
		return float64(last)
	}
	assert.Equal(t, 2.0, total("a", 2))
	assert.Equal(t, 2.0, total("a", 1.5), "revised downwards")
	assert.Equal(t, 3.0, total("a", 3))
	assert.Equal(t, 3.0, total("a", math.NaN()))
	assert.Equal(t, 3.25, total("b", 0.25), "the next charge comes on top")
	assert.Equal(t, 4.0, total("b", 1))
	c, _ := h.Get("bench")
	assert.True(t, math.IsNaN(float64(c.Totals.ChargeOutAh)), "never known")
	assert.Equal(t, analyze.Number(2), c.Totals.EnergyInWh)
}

func TestTotalsOfWhatWentOut(t *testing.T) {
	h, _ := newHub()
	for _, id := range []string{"a", "b"} {
		h.Publish(Channel{Name: "bench", Session: &analyze.Session{ID: id, ChargeOutAh: 0.5, EnergyOutWh: 6}})
	}
	c, _ := h.Get("bench")
	assert.Equal(t, analyze.Number(1), c.Totals.ChargeOutAh)
	assert.Equal(t, analyze.Number(12), c.Totals.EnergyOutWh)
}

func TestTotalsOutliveTheSettingOfTheClock(t *testing.T) {
	h, _ := newHub()
	none := analyze.Number(math.NaN())
	for _, s := range []analyze.Session{
		{ID: "bench-1970", Started: new(time.Unix(120, 0)), StartS: 120, ChargeInAh: 2, ChargeOutAh: none, EnergyInWh: 24},
		{ID: "bench-2026", Started: new(evening), StartS: 120, ChargeInAh: 2.5, ChargeOutAh: none, EnergyInWh: 30},
	} {
		h.Publish(Channel{Name: "bench", Session: &s})
	}
	c, _ := h.Get("bench")
	assert.Equal(t, analyze.Number(2.5), c.Totals.ChargeInAh, "it is the same charge by its right date")
}

func TestChangedTellsOnlyWhatChanged(t *testing.T) {
	h, clock := newHub()
	h.Publish(Channel{Name: "bench", Reading: reading(evening, 10)})
	h.Publish(Channel{Name: "shed"})
	marks := make(map[string]Mark)
	assert.Len(t, h.Changed(marks), 2)
	assert.Empty(t, h.Changed(marks))
	h.Publish(Channel{Name: "shed"})
	changed := h.Changed(marks)
	require.Len(t, changed, 1)
	assert.Equal(t, "shed", changed[0].Name)
	clock.Advance(time.Hour)
	changed = h.Changed(marks)
	require.Len(t, changed, 1, "a reading that grew too old is a change")
	assert.Equal(t, "bench", changed[0].Name)
	assert.Empty(t, h.Changed(marks))
}

func TestWhatIsUnknownIsNull(t *testing.T) {
	h, _ := newHub()
	unknown := analyze.Number(math.NaN())
	h.Publish(Channel{Name: "bench", StageSinceS: unknown})
	c, _ := h.Get("bench")
	text, err := json.Marshal(c)
	require.NoError(t, err)
	var seen map[string]any
	require.NoError(t, json.Unmarshal(text, &seen))
	for _, field := range []string{"battery", "reading", "last_reading", "stage", "stage_why", "stage_since_s", "session", "remaining_s", "decoder"} {
		value, there := seen[field]
		assert.True(t, there, field)
		assert.Nil(t, value, field)
	}
	assert.Equal(t, map[string]any{"charge_in_ah": nil, "charge_out_ah": nil, "energy_in_wh": nil, "energy_out_wh": nil}, seen["totals"])
}

func TestHubIsSafeForManyAtOnce(t *testing.T) {
	h, _ := newHub()
	var all sync.WaitGroup
	for n := range 4 {
		all.Go(func() {
			for k := range 200 {
				h.Publish(Channel{Name: strconv.Itoa(n), Reading: reading(evening, float64(k)), RejectedByReason: map[string]int{"a": k}})
			}
		})
		all.Go(func() {
			marks := make(map[string]Mark)
			for range 100 {
				_, _ = json.Marshal(h.Snapshot())
				_, _ = json.Marshal(h.Changed(marks))
			}
		})
	}
	all.Wait()
	assert.Len(t, h.Snapshot(), 4)
}

func BenchmarkPublish(b *testing.B) {
	h, _ := newHub()
	r := reading(evening, 0)
	for b.Loop() {
		r.AtS++
		h.Publish(Channel{Name: "bench", Reading: r})
	}
}

// Of a session without a charge nothing is added up: what flowed in it is told with the charge that follows.
func TestASessionWithoutAChargeIsNotAddedUp(t *testing.T) {
	h, _ := newHub()
	none := analyze.Session{ID: "bench-0s", Outcome: analyze.NoCharge, ChargeInAh: 0.02}
	h.Publish(Channel{Name: "bench", Session: &none})
	c, _ := h.Get("bench")
	assert.NotNil(t, c.Session)
	assert.Nil(t, c.Charge())
	assert.False(t, analyze.Known(c.Totals.ChargeInAh))
	h.Publish(Channel{Name: "bench", Session: &analyze.Session{ID: "bench-60s", Outcome: analyze.Running, ChargeInAh: 0.05}})
	c, _ = h.Get("bench")
	assert.NotNil(t, c.Charge())
	assert.Equal(t, analyze.Number(0.05), c.Totals.ChargeInAh)
}
