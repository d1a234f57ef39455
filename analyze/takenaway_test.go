package analyze_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// A charge ends, by itself or by hand, and later somebody takes the battery away: nothing has come loose, and
// what is to be said of the end stands. Where the battery is gone at once, or hardly later, a lead may be off.
func TestABatteryTakenAwayAfterItRestedIsNotLoose(t *testing.T) {
	half, away := ramp(3*anHour, 12.6, 13.6, 5, 5), idle(600, 0.01)
	loose, dropped := analyze.CodeOpenCircuit, analyze.CodeCurrentDropped
	for _, c := range []struct {
		name  string
		parts []part
		found []string
	}{
		{"after its charger ended it", []part{ramp(3*anHour, 12.6, 14.4, 5, 5), fade(0.8*anHour, 14.4, 5, 0.6*anHour), settle(anHour, 14, 12.9, 600), away}, nil},
		{"that early", []part{ramp(3*anHour, 12.6, 14.4, 5, 5), fade(0.8*anHour, 14.4, 5, 0.6*anHour), settle(60, 14, 12.9, 600), away}, []string{loose}},
		{"in mid-charge, after six hours", []part{half, settle(6*anHour, 13.3, 12.8, 600), away}, []string{dropped}},
		{"in mid-charge, after five minutes", []part{half, settle(300, 13.3, 12.8, 600), away}, []string{dropped}},
		{"with a hum on the leads", []part{half, settle(anHour, 13.3, 12.8, 600), idle(600, 3.4)}, []string{dropped}},
		{"in mid-charge, at once", []part{half, away}, []string{loose}},
		{"in mid-charge, after a minute", []part{half, settle(60, 13.3, 12.8, 600), away}, []string{loose}},
	} {
		doc := run(analyze.Options{}, script(10, c.parts...))
		require.Len(t, doc.Sessions, 1, c.name)
		assert.Equal(t, c.found, codesOf(&doc.Sessions[0]), c.name)
	}
}

// Once the battery is taken off, its charger may still be on, and look for one on bare leads: that is told.
func TestAChargerThatTriesAfterTheBatteryWasTakenAway(t *testing.T) {
	parts := []part{ramp(3*anHour, 12.6, 13.6, 5, 5), settle(300, 13.3, 12.8, 600), idle(60, 0.01)}
	for range 30 {
		parts = append(parts, steady(30, 13.8, 0.1), idle(90, 0.01))
	}
	doc := run(analyze.Options{}, script(10, parts...))
	f := findingIn(doc, analyze.CodeOpenCircuit)
	require.NotNil(t, f, listed(doc))
	assert.Contains(t, f.Message, "charger")
}

// A drain of some milliamperes, or the meter's zero, may be taken for a load: then the rest after that ends as well.
func TestARestAfterALoadEndsWhenTheBatteryIsTakenOff(t *testing.T) {
	agm := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 17 * 3600}
	for _, before := range [][]part{nil, {ramp(3*anHour, 12.6, 14.4, 5, 5), fade(2*anHour, 14.4, 5, 0.4*anHour), settle(600, 14, 13.2, 900)}} {
		r := run(agm, script(10, append(before, idle(600, 12.9), steady(600, 12.7, -1), settle(2*anHour, 12.8, 12.75, 900), idle(anHour, 0.01))...)).Sessions[0].Rest
		require.NotNil(t, r)
		assert.InDelta(t, 12.75, float64(r.SettledV), 0.03)
		assert.InDelta(t, 2*anHour, float64(r.DurationS), 20)
	}
}

// The rest ends where the battery is taken off. A row of nothing alone is a spoilt line, and no part of it either.
func TestARestEndsWhenTheBatteryIsTakenOff(t *testing.T) {
	agm := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 17 * 3600}
	charged := []part{ramp(3*anHour, 12.6, 14.4, 5, 5), fade(2*anHour, 14.4, 5, 0.4*anHour), settle(2*anHour, 14, 12.9, 900)}
	want := run(agm, script(10, charged...)).Sessions[0].Rest
	require.NotNil(t, want)
	for name, after := range map[string]part{"bare leads": idle(anHour, 0.01), "a hum on them": idle(anHour, 4), "for a minute": idle(60, 0.01)} {
		rows := script(10, append(charged[:3:3], after)...)
		rows[len(rows)-int(after.seconds)/10-200].Volts = 0
		d := run(agm, rows)
		got := d.Sessions[0].Rest
		require.NotNil(t, got, name)
		assert.InDelta(t, float64(want.DurationS), float64(got.DurationS), 10, name)
		assert.InDelta(t, float64(want.LastV), float64(got.LastV), 0.001, name)
		assert.InDelta(t, float64(want.SettledV), float64(got.SettledV), 0.002, name)
		rest := stageOf(&d.Sessions[0], analyze.Rest)
		require.NotNil(t, rest, name)
		assert.InDelta(t, 7*anHour, float64(rest.EndS), 20, name)
	}
}
