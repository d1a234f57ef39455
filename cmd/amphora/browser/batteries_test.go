//go:build linux

package browser

import (
	"fmt"
	"math"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/madeup"

	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// years fills a logbook with three batteries, one of which was used for long. All of
// it is invented.
func years(t testing.TB) func(*logbook.Book) {
	return func(book *logbook.Book) {
		for _, f := range []logbook.Fields{
			{"name": "mower", "chemistry": "lead-agm", "cells": 6, "capacity_ah": 17, "capacity_hours": 20, "bought": "2024-04", "where": "the shed"},
			{"name": "caravan", "chemistry": "lead-gel", "cells": 6, "capacity_ah": 80, "capacity_hours": 20},
			{"name": "old tractor", "retired": "2025-10-01T10:00:00Z", "note": hostile},
		} {
			b, err := logbook.NewBattery(f)
			require.NoError(t, err)
			require.NoError(t, book.AddBattery(t.Context(), b))
		}
		for n := range 22 {
			require.NoError(t, book.PutSession(t.Context(), logbook.Session{Summary: aged(n, 22), Settled: true}))
		}
		for n := range 7 {
			r, err := logbook.NewReading("mower", logbook.Fields{
				"at": time.Date(2024, 6, 20+n*75, 9, 0, 0, 0, time.UTC), "ohm": 0.021 + 0.001*float64(n), "volts": 12.82 - 0.015*float64(n), "remark": "20 h after a charge",
			})
			require.NoError(t, err)
			_, err = book.AddReading(t.Context(), r)
			require.NoError(t, err)
		}
	}
}

// hostile is text that would do harm as part of a page.
const hostile = `<img src=x onerror=alert(1)></script><script>alert(2)</script>"><svg onload=alert(3)>`

// aged is the nth of so many charges of a battery that wears out: it takes less, its
// resistance rises, its voltage settles lower.
func aged(n, of int) analyze.Session {
	age, wobble := float64(n)/float64(of), math.Sin(7*float64(n))
	at := time.Date(2024, 6, 3+24*n, 19, 40, 0, 0, time.UTC)
	return analyze.Session{
		ID: fmt.Sprintf("bench-%02d", n), Channel: "bench", Battery: "mower", Started: &at, StartS: 60, EndS: 40_000, FinishS: 36_000,
		Outcome: analyze.Complete, EndedBy: "tail-current", Chemistry: analyze.LeadAGM, Cells: 6,
		ChargeInAh: analyze.Number(14.6 - 3*age + 0.4*wobble), ChargeInAhU95: 0.18, EnergyInWh: 196, SetA: 2, HeldV: 14.5, PeakV: 14.5,
		TailA: analyze.Number(0.3 + 0.1*age), MaxCelsius: 20,
		Stages:   []analyze.Stage{{Stage: analyze.ConstantCurrent, StartS: 60, EndS: 26_000}, {Stage: analyze.ConstantVoltage, StartS: 26_000, EndS: 36_000}},
		Findings: []analyze.Finding{}, Gaps: []analyze.Gap{},
		Resistance: []analyze.Resistance{{AtS: 40_000, Ohm: analyze.Number(0.021 * (1 + 0.5*age) * (1 + 0.03*wobble)), OhmU95: 0.0015, FromA: 0.3, Method: "step"}},
		Rest:       &analyze.RestFit{DurationS: 7000, LastV: 13.1, SettledV: analyze.Number(12.95 - 0.12*age + 0.01*wobble), SettledVU95: 0.05, StateOfCharge: analyze.Number(analyze.Unknown())},
	}
}

// pushButton pushes the button, or follows the link, of these words. It is found and
// pushed at once, for a page that hears news may make its buttons anew in between.
func (b *tab) pushButton(words string) {
	b.t.Helper()
	find := fmt.Sprintf("[...document.querySelectorAll('button, a, summary')].find(e => e.textContent.trim() === %s && e.getClientRects().length > 0)", quoted(words))
	b.wait("(e => e && (e.click(), true))(" + find + ")")
}

func TestBatteriesAreShownWithTheirVerdict(t *testing.T) {
	t.Parallel()
	at := newPlace(t)
	at.channel("bench", newMeter(t, madeup.Named("mower-float")))
	at.fill(t, years(t))
	b := openTab(t, at.serve(t).page+"#/batteries", 1280, "light")
	b.waitText(".lead", "2 batteries are in use; mower shows its age.")
	b.waitText(".batteries", "Last charged on ")
	b.waitText(".batteries", ": complete.")
	b.judge("the list of batteries")
	b.pushButton("One that was retired")
	b.pushButton("mower")
	b.waitText("h1", "mower")
	b.waitText(".verdict", "Near replacement")
	b.waitText(".evidence", "Resistance at the end of a full charge up")
	b.wait("document.querySelectorAll('.trend-chart svg').length >= 3")
	assert.Contains(t, eval[string](b, "document.querySelector('.trend-chart svg').getAttribute('aria-label')"), "charge taken until full over time.")
	assert.Equal(t, 22, b.count(".trend:first-child circle"), "every charge is a dot")
	assert.Equal(t, 22, b.count(".trend:first-child .doubt"), "with its own uncertainty")
	assert.Equal(t, 1, b.count(".trend:first-child .fan"))
	b.pushButton("How to read it, and the numbers")
	b.pushButton("More that is followed")
	b.judge("one battery")
	b.wait("document.querySelector('.trend table')")
	assert.Equal(t, "#/nights/bench-21", eval[string](b, "document.querySelector('.trend table a').getAttribute('href')"))
	b.mayLack() // the nights are invented, and have no rows
	eval[bool](b, "(document.querySelector('.trend .to-night:last-child').dispatchEvent(new MouseEvent('click', { bubbles: true })), true)")
	b.wait("location.hash === '#/nights/bench-21'")
	b.waitText(".night", "No curve: ")
	eval[bool](b, "(history.back(), true)")
	b.waitText(".evidence", "Settles at")
	b.pushButton("More that is followed")
	b.look("dark")
	b.size(390, 844)
	b.wide()
	b.judge("one battery on a phone, dark")
	b.media("print")
	assert.Zero(t, eval[int](b, "[...document.querySelectorAll('button')].filter(e => e.getClientRects().length).length"), "nothing to press on paper")
}

func TestABatteryIsAddedMeasuredAndRetired(t *testing.T) {
	t.Parallel()
	at := newPlace(t)
	at.channel("bench", newMeter(t, madeup.Named("mower-float")))
	p := at.serve(t)
	b := openTab(t, p.page+"#/batteries", 390, "dark")
	b.waitText(".lead", "The logbook knows no battery yet.")
	b.mayLack() // a refusal stands in the browser's own log
	b.pushButton("Add a battery")
	assert.Equal(t, "input Name", b.focused())
	b.write("[name=cells]", "six")
	b.write("[name=capacity_ah]", "17,5")
	b.write("[name=bought]", "soon")
	b.judge("the form of a battery")
	b.pushButton("Add it")
	b.waitText(".field:has([name=cells]) .wrong", `Cells in series is "six", want a whole number.`)
	assert.Equal(t, "input Cells in series", b.focused(), "where something is to be done")
	assert.Equal(t, "true", eval[string](b, "document.activeElement.getAttribute('aria-invalid')"))
	b.waitText("#polite", "One field cannot be taken.")
	b.judge("the form with an error")
	b.write("[name=cells]", "1e999")
	b.press(kb.Enter)
	b.waitText(".field:has([name=cells]) .wrong", `Cells in series is "1e999"`)
	b.write("[name=cells]", "6")
	b.press(kb.Enter)
	b.waitText(".field:has([name=name]) .wrong", "Name is missing.")
	b.waitText(".field:has([name=bought]) .wrong", `Bought is "soon", want a date like 2026-03-14, 2026-03 or 2026.`)
	assert.False(t, eval[bool](b, "document.querySelector('[name=cells]').hasAttribute('aria-invalid')"), "what is right again is not blamed")
	b.wide()
	b.write("[name=bought]", "2026-03")
	b.write("[name=name]", "mower & son")
	b.press(kb.Enter)
	b.waitText("h1", "mower & son")
	b.waitText("#polite", "mower & son was added.")
	b.waitText(".pairs", "17.5 Ah")
	var kept logbook.Battery
	p.fetch("api/v1/batteries/mower%20&%20son", &kept)
	assert.Equal(t, 17.5, *kept.CapacityAh, "a decimal comma is one too")

	b.pushButton("Add a reading")
	b.pushButton("Add it")
	b.waitText("dialog [role=alert]", "The reading says nothing")
	b.write("[name=ohm]", "29")
	b.write("[name=gravity]", "1265")
	b.pushButton("Add it")
	b.waitText(".field:has([name=gravity]) .wrong", "(1.265, not 1265)")
	b.write("[name=gravity]", "1.265")
	b.write("[name=remark]", hostile)
	b.pushButton("Add it")
	b.waitText("table", "29.0")
	b.waitText("table", hostile)
	b.waitText("table", "1.265")
	assert.Zero(t, b.count("main img, main script, dialog"), "text stays text")
	var readings struct{ Readings []logbook.Reading }
	p.fetch("api/v1/batteries/mower%20&%20son/readings", &readings)
	require.Len(t, readings.Readings, 1)
	assert.InDelta(t, 0.029, *readings.Readings[0].Ohm, 1e-12)

	b.pushButton("Add a reading")
	b.write("[name=celsius]", "95")
	b.pushButton("Add it")
	b.waitText("main .note[data-kind=warning]", "95 °C is outside of the -40 to 60 °C")
	b.waitText("#polite", "95 °F would be 35 °C")
	b.judge("a reading that looks mistyped")

	b.pushButton("Edit")
	b.write("[name=where]", "the shed")
	b.choose("[name=chemistry]", "lead-agm")
	b.write("[name=bought]", "2999")
	b.pushButton("Keep it")
	b.waitText(".pairs", "lead-acid, AGM, 6 cells")
	b.waitText("main .note[data-kind=warning]", "Bought 2999 is still to come by this clock.")
	b.pushButton("Retire")
	b.press(kb.Escape)
	b.wait("!document.querySelector('dialog')")
	assert.Empty(t, b.text(".verdict .note"), "thought better of it")
	b.pushButton("Retire")
	b.pushButton("Retire it")
	b.waitText(".verdict .note", "Retired on")
	b.pushButton("Back in use")
	b.wait("!document.querySelector('.verdict .note')")
}

func TestABatteryThatIsNotThere(t *testing.T) {
	t.Parallel()
	at := newPlace(t)
	at.channel("bench", newMeter(t, madeup.Named("mower-float")))
	b := openTab(t, at.serve(t).page, 1280, "light")
	b.mayLack()
	b.goTo("#/batteries/attic")
	b.waitText("h1", "There is no battery called attic.")
	b.pushButton("All batteries")
	b.waitText("h1", "Batteries")
}
