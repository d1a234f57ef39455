package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// climbing is a charge of so many hours at one current whose voltage is given.
func climbing(hours, amps float64, volts func(h float64) float64) []analyze.Sample {
	var rows []analyze.Sample
	for k := 0; float64(k)*30 < hours*hour; k++ {
		s := float64(k) * 30
		v, i := volts(s/hour)+0.002*math.Sin(float64(k)*1.7), amps
		if s < 300 {
			v, i = volts(0)-0.3, 0
		}
		rows = append(rows, reading(s, math.Round(v*1000)/1000, i))
	}
	return rows
}

// A large flat battery at a fiftieth of its capacity rises by a hundredth of a
// volt an hour; a shorted cell, a leak or a plain load by nothing.
func TestStalledAgainstSlow(t *testing.T) {
	lead := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 100 * hour}
	for _, c := range []struct {
		name string
		o    analyze.Options
		rows []analyze.Sample
		want bool
		by   float64 // h, at the latest
	}{
		{"flat at full current, capacity known", lead, climbing(16, 5, func(float64) float64 { return 12.3 }), true, 7},
		{"slow", lead, climbing(16, 5, func(h float64) float64 { return 12.2 + 0.035*h }), false, 0},
		{"slow at a fiftieth", lead, climbing(24, 2, func(h float64) float64 { return 12.2 + 0.014*h }), false, 0},
		{"flat, nothing known", analyze.Options{}, climbing(20, 2, func(h float64) float64 { return 12.28 + 0.002*h }), true, 10},
		{"slow, nothing known", analyze.Options{}, climbing(20, 2, func(h float64) float64 { return 12.28 + 0.012*h }), false, 0},
		{"plateau of iron phosphate", analyze.Options{Chemistry: analyze.LiFePO4, Cells: 4, Capacity: 100 * hour},
			climbing(16, 5, func(h float64) float64 { return 13.2 + 0.009*h }), false, 0},
		{"plateau, nothing known", analyze.Options{}, climbing(14, 5, func(h float64) float64 { return 13.2 + 0.003*h }), false, 0},
		{"gassing without end", lead, climbing(16, 5, func(h float64) float64 { return min(12.6+0.6*h, 15.3) }), true, 11},
		{"at its menu", lead, climbing(5, 0.06, func(float64) float64 { return 12.4 }), true, 4},
		{"float", lead, climbing(14, 0.06, func(float64) float64 { return 13.6 }), false, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			e, ok := live(c.o, c.rows).raised[analyze.CodeStalled]
			require.Equal(t, c.want, ok, e.Finding.Message)
			if ok {
				assert.Less(t, e.Seen, c.by*hour)
			}
		})
	}
}

func TestStalledByItsCharger(t *testing.T) {
	n := trouble(t, "stalled")
	rows, _ := n.Collect()
	w := live(analyze.Options{}, rows)
	require.Contains(t, w.raised, analyze.CodeStalled)
	e := w.raised[analyze.CodeStalled]
	assert.InDelta(t, 2*hour, e.At, 60)
	assert.Less(t, e.Seen, 3.1*hour)
	assert.Equal(t, []string{analyze.CodeStalled}, codes(w.document))

	n.Faults = madeup.Faults{}
	n.Charger.ThrottleAfter, n.Charger.ThrottleTo = 2*hour, 0.5 // hot, but it goes on
	n.Plan = nil
	rows, _ = n.Collect()
	assert.Empty(t, codes(live(known(n), rows).document))
}

// The trickle ends: the charger has cooled down.
func TestStalledClears(t *testing.T) {
	rows := climbing(8, 5, func(h float64) float64 { return 12.2 + 0.1*h })
	for k := range rows {
		if s := rows[k].At; s > 2*hour && s < 4*hour {
			rows[k].Amps, rows[k].Volts = 0.5, 12.1+0.001*float64(k%5)
		}
	}
	w := live(analyze.Options{}, rows)
	require.Contains(t, w.raised, analyze.CodeStalled)
	require.Contains(t, w.cleared, analyze.CodeStalled)
	assert.InDelta(t, 4*hour, w.cleared[analyze.CodeStalled].At, 600)
}

func TestVoltageNotReached(t *testing.T) {
	n := trouble(t, "shorted-cell")
	rows, _ := n.Collect()
	w := live(known(n), rows)
	require.Contains(t, w.raised, analyze.CodeVoltageNotReached)
	assert.InDelta(t, 11*hour, w.raised[analyze.CodeVoltageNotReached].At, 600, "66 Ah at 6 A")
	assert.LessOrEqual(t, len(codes(w.document)), 3)

	n = night(t, "car-flat") // the neighbour: from empty, slow, and all right
	rows, _ = n.Collect()
	assert.Empty(t, codes(live(known(n), rows).document))
}

func TestNoTaper(t *testing.T) {
	n := trouble(t, "load-beside")
	rows, _ := n.Collect()
	for name, o := range map[string]analyze.Options{"unknown": {}, "known": known(n)} {
		w := live(o, rows)
		require.Contains(t, w.raised, analyze.CodeNoTaper, name)
		assert.Less(t, w.raised[analyze.CodeNoTaper].Seen, 17.0*hour, name)
		assert.LessOrEqual(t, len(codes(w.document)), 2, name)
	}
	// The slowest of honest tapers is a power law of time.
	rows = rise(14.4)
	for s := 0.0; s < 12*hour; s += 10 {
		rows = append(rows, reading(3*hour+s, 14.4, 4.5/math.Sqrt(1+s/1200)))
	}
	assert.NotContains(t, live(analyze.Options{}, rows).raised, analyze.CodeNoTaper)
}

func TestOverCapacity(t *testing.T) {
	rows := climbing(24, 5, func(h float64) float64 { return 12 + 0.1*h })
	for _, c := range []struct {
		name string
		o    analyze.Options
		want float64 // Ah that must have gone in; 0 is never
	}{
		{"lithium, capacity known", analyze.Options{Chemistry: analyze.LiIon, Capacity: 60 * hour}, 75},
		{"lead-acid takes more", analyze.Options{Chemistry: analyze.LeadFlooded, Capacity: 75 * hour}, 117},
		{"within", analyze.Options{Chemistry: analyze.LeadFlooded, Capacity: 80 * hour}, 0},
		{"nothing known", analyze.Options{}, 0},
		{"as set", analyze.Options{Limits: analyze.Limits{Charge: 50 * hour}}, 50},
		{"a multiple, as set", analyze.Options{Capacity: 80 * hour, Limits: analyze.Limits{ChargeFactor: 1.2}}, 96},
		{"by earlier nights", analyze.Options{Earlier: []analyze.Earlier{{ChargeIn: 60 * hour, Seconds: 15 * hour, SetAmps: 5}}}, 90},
	} {
		t.Run(c.name, func(t *testing.T) {
			e, ok := live(c.o, rows).raised[analyze.CodeOverCapacity]
			require.Equal(t, c.want > 0, ok)
			if ok {
				assert.InDelta(t, 300+c.want/5*hour, e.At, 200)
				assert.Less(t, e.Seen-e.At, 300.0)
			}
		})
	}
}

func TestRunningLong(t *testing.T) {
	slow := func(h float64) float64 { return 12 + 0.1*h }
	o := analyze.Options{Limits: analyze.Limits{Seconds: 8 * hour}}
	w := live(o, climbing(9, 5, slow))
	require.Contains(t, w.raised, analyze.CodeRunningLong)
	assert.InDelta(t, 8*hour+300, w.raised[analyze.CodeRunningLong].At, 60)
	assert.NotContains(t, live(o, climbing(8, 5, slow)).raised, analyze.CodeRunningLong)

	// 40 Ah at 4.5 A, 1.35 times at the most: 12 h, and 12 h of taper.
	long := rise(14.4)
	for s := 0.0; s < 24*hour; s += 20 {
		long = append(long, reading(3*hour+s, 14.4, 0.9+3.6*math.Exp(-s/(4*hour))))
	}
	w = live(analyze.Options{Chemistry: analyze.LeadAGM, Capacity: 40 * hour}, long)
	require.Contains(t, w.raised, analyze.CodeRunningLong)
	assert.Greater(t, w.raised[analyze.CodeRunningLong].At, 23.5*hour)
	assert.NotContains(t, live(analyze.Options{}, long).raised, analyze.CodeRunningLong, "nothing to go by")
}

func TestAcceptsLittle(t *testing.T) {
	rows, _ := trouble(t, "sulphated").Collect()
	w := live(known(trouble(t, "sulphated")), rows)
	require.Contains(t, w.raised, analyze.CodeAcceptsLittle)
	assert.Equal(t, analyze.Warning, w.raised[analyze.CodeAcceptsLittle].Finding.Severity)

	n := night(t, "mower-full")
	rows, _ = n.Collect()
	w = live(known(n), rows)
	require.Contains(t, w.raised, analyze.CodeAcceptsLittle)
	assert.Equal(t, analyze.Note, w.raised[analyze.CodeAcceptsLittle].Finding.Severity)
	assert.Empty(t, codes(w.document))

	// The current falls at once and for good: less than a charge in ampere-hours.
	o := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 60 * hour}
	w = live(o, script(10, idle(600, 11.4), fade(240, 14.4, 6, 60), steady(3*hour, 14.4, 0.12)))
	require.Contains(t, w.raised, analyze.CodeAcceptsLittle)
	assert.Less(t, w.raised[analyze.CodeAcceptsLittle].Seen, 1800.0)
	assert.Equal(t, []string{analyze.CodeAcceptsLittle}, codes(w.document))
}

func TestCurrentDropped(t *testing.T) {
	n := night(t, "mower-two-hour-timer")
	rows, _ := n.Collect()
	assert.Equal(t, []string{analyze.CodeCurrentDropped}, codes(live(known(n), rows).document))
	n.Charger.Timer = 0
	rows, _ = n.Collect()
	assert.Empty(t, codes(live(known(n), rows).document))
}

// LiFePO4 comes to its limit full, and its current falls within a row or two.
func TestShortTaperIsNoDrop(t *testing.T) {
	up := []part{idle(300, 13.2), ramp(2*hour, 13.3, 13.45, 5, 5), ramp(600, 13.45, 14.4, 5, 5)}
	full := script(60, append(up, steady(60, 14.4, 2.9), settle(hour, 14.3, 13.6, 600))...)
	for name, o := range map[string]analyze.Options{"unknown": {}, "known": {Chemistry: analyze.LiFePO4, Cells: 4, Capacity: 12 * hour}} {
		assert.Empty(t, codes(live(o, full).document), name)
	}
	// Its neighbour: a source that gives way takes the voltage down with it.
	gone := script(60, append(up[:2:2], steady(60, 13.35, 2.9), settle(hour, 13.3, 13.25, 600))...)
	assert.Equal(t, []string{analyze.CodeCurrentDropped}, codes(live(analyze.Options{}, gone).document))
}
