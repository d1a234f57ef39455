//go:build linux

package browser

import (
	"bytes"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/madeup"
	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// pastNights are charges of an invented household, one every few days before a date,
// the newest first. Their numbers are those of made-up nights; their lines nobody
// has.
func pastNights(t testing.TB, n int, before time.Time) []logbook.Session {
	t.Helper()
	var models []analyze.Session
	for _, name := range []string{"mower-float", "car-partial", "drill-three-cells", "mower-two-hour-timer", "outboard-plateau"} {
		models = append(models, summaries(t, madeup.Named(name))...)
	}
	batteries := map[analyze.Name]analyze.Name{"mower-float": "mower", "mower-two-hour-timer": "mower", "car-partial": "car", "drill-three-cells": "drill", "outboard-plateau": "outboard"}
	all := make([]logbook.Session, n)
	for i := range all {
		s := models[i%len(models)]
		started := before.Add(-time.Duration(i*53+9) * time.Hour)
		s.Started, s.Battery = &started, batteries[s.Battery]
		s.ID = fmt.Sprintf("bench-%s", started.UTC().Format("20060102T150405Z"))
		s.ChargeInAh *= analyze.Number(1 - 0.01*float64(i%9))
		all[i] = logbook.Session{Summary: s, Settled: true}
	}
	return all
}

// remember writes charges into the book, all at once.
func remember(t testing.TB, book *logbook.Book, all []logbook.Session) {
	t.Helper()
	type record struct {
		JournalFrom string          `json:"journal_from"`
		Settled     bool            `json:"settled"`
		Document    analyze.Session `json:"document"`
	}
	records := make([]record, len(all))
	for i, s := range all {
		records[i] = record{s.JournalFrom, s.Settled, s.Summary}
	}
	dump, err := json.Marshal(map[string]any{"format": "amphora logbook", "version": 1, "sessions": records})
	require.NoError(t, err)
	require.NoError(t, book.Import(t.Context(), bytes.NewReader(dump)))
}

// summaries are the charges that the analysis finds in a night. Their battery is the
// night's name.
func summaries(t testing.TB, n madeup.Night) []analyze.Session {
	t.Helper()
	m := analyze.New(analyze.Options{Channel: "bench", Battery: n.Name, Chemistry: n.Battery.Chemistry, Cells: n.Battery.Cells, Capacity: 3600 * n.Battery.CapacityAh})
	for s := range n.Samples() {
		m.Step(s)
	}
	found := m.Document().Sessions
	require.NotEmpty(t, found)
	return found
}

// monday is some day.
var monday = time.Date(2026, 11, 23, 20, 0, 0, 0, time.UTC)

// household is a house full of batteries at one moment of a night, all invented.
func household(t testing.TB) *program {
	t.Helper()
	at := newPlace(t)
	at.fill(t, func(book *logbook.Book) {
		for _, b := range []logbook.Battery{
			{Name: "mower", Chemistry: new(analyze.LeadAGM), Cells: new(6), CapacityAh: new(18.0), Bought: "2024-05", Where: "shed"},
			{Name: "car", Chemistry: new(analyze.LeadFlooded), Cells: new(6), CapacityAh: new(60.0), Bought: "2022"},
			{Name: "outboard", Chemistry: new(analyze.LiFePO4), Cells: new(4), CapacityAh: new(50.0)},
			{Name: "drill", Chemistry: new(analyze.LiIon), Cells: new(3), CapacityAh: new(4.0)},
		} {
			require.NoError(t, book.AddBattery(t.Context(), b))
		}
		remember(t, book, pastNights(t, 140, time.Now()))
	})
	meters := map[string]*meter{}
	for _, c := range []struct{ channel, battery, night string }{
		{"bench", "mower", "mower-float"}, {"garage", "car", "car-flat"}, {"boathouse", "outboard", "outboard-two-charges"},
	} {
		meters[c.channel] = newMeter(t, madeup.Named(c.night))
		at.channel(c.channel, meters[c.channel], "battery: "+c.battery, "limits: {silence: 10h}")
	}
	p := at.serve(t)
	for channel, until := range map[string]float64{"bench": 27_000, "garage": 14_000, "boathouse": 1e9} {
		meters[channel].sayUntil(until)
	}
	for channel, m := range meters {
		p.untilHeard(channel, m)
	}
	return p
}

// troubled is a house in which much goes wrong: an alarm, warnings, a meter that
// says nothing, names that are too long or look like markup.
func troubled(t testing.TB) *program {
	t.Helper()
	at := newPlace(t)
	const long = "the old caravan's second battery, the one beside the water tank"
	at.fill(t, func(book *logbook.Book) {
		require.NoError(t, book.AddBattery(t.Context(), logbook.Battery{Name: long, Chemistry: new(analyze.LeadGel), Cells: new(6), CapacityAh: new(80.0)}))
	})
	runaway, beside, silent := newMeter(t, madeup.Named("runaway")), newMeter(t, madeup.Named("load-beside")), newMeter(t, madeup.Named("car-flat"))
	at.channel("shed", runaway, "limits: {silence: 10h}")
	at.channel("a <b>channel whose name goes on and on, as far as names may go", beside, "battery: "+fmt.Sprintf("%q", long), "limits: {silence: 10h, hours: 6, charge: 40Ah, celsius: 18}")
	at.channel("attic", silent)
	p := at.serve(t)
	for m, until := range map[*meter]float64{runaway: 20_500, beside: 70_000} {
		m.sayUntil(until)
	}
	p.untilHeard("shed", runaway)
	testhelp.Until(t, "the other charge", func() bool {
		var all struct{ Channels []live.Channel }
		p.fetch("api/v1/channels", &all)
		return len(all.Channels) == 3 && all.Channels[1].Session != nil && float64(all.Channels[1].Session.EndS) > 69_000
	})
	return p
}
