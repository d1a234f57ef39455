package analyze_test

import (
	"slices"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// One torn line whose time is that of another day ends no charge, begins none, and
// costs what its row held at most.
func TestOneRowOfAnotherDayChangesNothing(t *testing.T) {
	rows := chargeAndRest(3600, func(float64) float64 { return 12.8 })
	want := run(analyze.Options{}, rows)
	for k := 5; k < len(rows)-5; k += 37 {
		torn := slices.Clone(rows)
		torn[k].At += 97_560
		got := run(analyze.Options{}, torn)
		require.Len(t, got.Sessions, 1, "row %d", k)
		w, g := want.Sessions[0], got.Sessions[0]
		require.InDelta(t, float64(w.ChargeInAh), float64(g.ChargeInAh), 0.01, "row %d", k)
		require.InDelta(t, float64(w.EndS), float64(g.EndS), 20, "row %d", k)
		assert.Equal(t, w.Outcome, g.Outcome)
		assert.Equal(t, codesOf(&w), codesOf(&g))
		assert.Empty(t, g.Gaps)
		assert.Equal(t, 1, got.Log.RejectedCount)
		assert.Equal(t, "clock leapt ahead for one row", got.Log.Rejected[0].Reason)
		assert.Equal(t, torn[k].Line, got.Log.Rejected[0].Line)
	}
}

// Nor does one beside a gap, whose end is then where it is.
func TestOneRowOfAnotherDayBesideAGapChangesNothing(t *testing.T) {
	whole := chargeAndRest(3600, func(float64) float64 { return 12.8 })
	rows := slices.Concat(whole[:120], whole[240:])
	want := run(analyze.Options{}, rows)
	for _, k := range []int{118, 119, 121, 122} {
		for _, ahead := range []float64{2000, 97_560} {
			torn := slices.Clone(rows)
			torn[k].At += ahead
			got := run(analyze.Options{}, torn)
			require.Len(t, got.Sessions, 1, "row %d", k)
			w, g := want.Sessions[0], got.Sessions[0]
			assert.InDelta(t, float64(w.EndS), float64(g.EndS), 1, "row %d", k)
			assert.InDelta(t, float64(w.ChargeInAh), float64(g.ChargeInAh), 0.02, "row %d", k)
			assert.Equal(t, "clock leapt ahead for one row", got.Log.Rejected[0].Reason, "row %d", k)
			assert.Len(t, got.Log.Rejected, 1)
		}
	}
}

// A row of many times the current that the charger ever gave, while the voltage stands, is no
// charge either where hardly any current flows, nor one of many times the voltage a peak where
// current has just begun.
func TestOneRowBeyondAllOthersIsNotCounted(t *testing.T) {
	rows := chargeAndRest(600, func(float64) float64 { return 12.8 })
	for t := 4330.0; t < 8000; t += 10 {
		rows = append(rows, analyze.Sample{At: t, Volts: 13.6, Amps: 0.088, Celsius: 25, Counter: analyze.Unknown(), Line: len(rows) + 1})
	}
	want := run(analyze.Options{}, rows).Sessions[0]
	for _, c := range []struct {
		k           int
		volts, amps float64
	}{{len(rows) - 100, 13.6, 89}, {12, 72.9, 3}, {372, 137, 3}, {5, 82.3, 0}, {len(rows) - 390, 92.8, 0}} {
		odd := slices.Clone(rows)
		odd[c.k].Volts, odd[c.k].Amps = c.volts, c.amps
		got := run(analyze.Options{}, odd)
		require.Equal(t, []analyze.Rejection{{Line: odd[c.k].Line, Reason: "far beyond the rows around it"}}, got.Log.Rejected)
		g := got.Sessions[0]
		assert.InDelta(t, float64(want.ChargeInAh), float64(g.ChargeInAh), 0.01)
		assert.Equal(t, codesOf(&want), codesOf(&g))
		assert.Less(t, float64(g.PeakV), 14.0)
	}
}

// A row that lost its point tells a thousand times the current, in or out; it is not
// counted, and is told of.
func TestOneRowOfAThousandTimesTheCurrentIsNotCounted(t *testing.T) {
	for _, amps := range []float64{2, -2} {
		var rows []analyze.Sample
		for k := range 400 {
			rows = append(rows, analyze.Sample{At: float64(10 * k), Volts: 12.5 + amps*float64(k)/2000, Amps: amps, Line: k + 1})
		}
		rows[150].Amps *= 999
		got := run(analyze.Options{}, rows)
		in, out := 0.0, 0.0
		for _, s := range got.Sessions {
			in, out = in+float64(s.ChargeInAh), out+float64(s.ChargeOutAh)
		}
		assert.InDelta(t, amps*3990/3600, in-out, 0.001)
		assert.Equal(t, []analyze.Rejection{{Line: 151, Reason: "far beyond the rows around it"}}, got.Log.Rejected)
	}
}

// A changed digit makes 3.7 V 7 V for one row, or a point that was lost makes it 37: no
// battery does that while its current stays, so it is neither the peak nor a cell more.
func TestOneRowOfAnotherVoltageChangesNothing(t *testing.T) {
	rows := chargeAndRest(3600, func(float64) float64 { return 12.8 })
	want := run(analyze.Options{}, rows)
	for _, times := range []float64{0.01, 0.5, 1.9, 10} {
		for k := 45; k < 300; k += 41 {
			odd := slices.Clone(rows)
			odd[k].Volts *= times
			got := run(analyze.Options{}, odd)
			require.Len(t, got.Sessions, 1, "row %d", k)
			w, g := want.Sessions[0], got.Sessions[0]
			assert.Equal(t, w.PeakV, g.PeakV, "row %d", k)
			assert.Equal(t, w.Outcome, g.Outcome, "row %d", k)
			assert.Equal(t, codesOf(&w), codesOf(&g), "row %d", k)
			assert.Equal(t, []analyze.Rejection{{Line: odd[k].Line, Reason: "far beyond the rows around it"}}, got.Log.Rejected, "row %d", k)
		}
	}
}

// A row of hundreds of amperes while the battery rests and its voltage stands is no charge,
// whichever way the rows are handed over; one that moves the voltage may be an engine that is started.
func TestOneRowOfHundredsOfAmperesAtRestIsNotCounted(t *testing.T) {
	rows := chargeAndRest(3600, func(float64) float64 { return 12.8 })
	want := run(analyze.Options{}, rows).Sessions[0]
	k := len(rows) - 60
	for _, amps := range []float64{566, -566} {
		odd := slices.Clone(rows)
		odd[k].Amps = amps
		whole := analyze.New(analyze.Options{})
		whole.StepBlock(odd)
		for _, got := range []analyze.Document{run(analyze.Options{}, odd), whole.Document()} {
			require.Len(t, got.Sessions, 1)
			g := got.Sessions[0]
			assert.Equal(t, want.ChargeInAh, g.ChargeInAh)
			assert.Equal(t, want.ChargeOutAh, g.ChargeOutAh)
			assert.Equal(t, codesOf(&want), codesOf(&g))
			assert.Equal(t, []analyze.Rejection{{Line: odd[k].Line, Reason: "far beyond the rows around it"}}, got.Log.Rejected)
		}
		odd[k].Volts += amps / 400
		assert.Empty(t, run(analyze.Options{}, odd).Log.Rejected)
	}
}

// Chargers pulse. What moves the voltage is one, however far it is beyond all before, and what
// comes among rows that differ from each other may be.
func TestAPulseThatMovesTheVoltageIsCounted(t *testing.T) {
	rows := chargeAndRest(600, func(float64) float64 { return 12.8 })
	for t := 4330.0; t < 8000; t += 10 {
		rows = append(rows, analyze.Sample{At: t, Volts: 13.6, Amps: 0.088, Celsius: 25, Counter: analyze.Unknown(), Line: len(rows) + 1})
	}
	float, steady := len(rows)-100, 200
	for name, change := range map[string]func(r []analyze.Sample){
		"up and down": func(r []analyze.Sample) { r[float].Volts, r[float].Amps = 14.4, 89 },
		"up":          func(r []analyze.Sample) { r[float].Volts, r[float].Amps, r[float+1].Volts = 14.4, 89, 14.4 },
		"late":        func(r []analyze.Sample) { r[float].Amps, r[float+1].Volts = 89, 14.4 },
		"among others": func(r []analyze.Sample) {
			r[steady-1].Amps, r[steady].Amps = 2*r[steady].Amps, 12*r[steady].Amps
			r[steady].Volts++
		},
	} {
		pulsed := slices.Clone(rows)
		change(pulsed)
		assert.Empty(t, run(analyze.Options{}, pulsed).Log.Rejected, name)
	}
}
