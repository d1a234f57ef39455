//go:build linux

package browser

import (
	"fmt"
	"testing"

	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
)

// odd is what a meter says in a bad hour: readings, and lines that are none.
func odd() (rows []row) {
	say := func(text string) { rows = append(rows, row{float64(len(rows)), text}) }
	say("half a line") // of which nobody knows how it began
	say("time_s,voltage_V,current_A")
	for n := range 40 {
		say(fmt.Sprintf("%d,%.3f,%.2f", n, 12.4+0.002*float64(n), 2.0))
	}
	say("40,OL,2.00")
	say(hostile)
	say("\x1b[31mred\x00")
	return rows
}

func TestSetupShowsWhatComesIn(t *testing.T) {
	t.Parallel()
	at, m, other := newPlace(t), newMeter(t, madeup.Named("mower-float")), newMeter(t, madeup.Named("mower-float"))
	m.rows = odd()
	at.channel("bench", m, "limits: {hours: 20, celsius: 45}")
	at.channel("shed", other)
	p := at.serve(t)
	m.sayUntil(1e9)
	b := openTab(t, p.page+"#/setup", 1280, "light")
	b.waitText(".view .lead", "bench listens to tcp:")
	b.waitText(".view .lead", "40 readings of 45 lines")
	b.waitText("tr[data-became=reading]", "12.48 V, 2.00 A")
	b.waitText("tr[data-became=refused]", "refused: overload reading")
	b.waitText(".raw tbody", "passed over: not a reading")
	b.waitText(".raw tbody", hostile)
	b.waitText(".raw tbody", `\x1b[31mred\x00`)
	assert.Zero(t, b.count("main img, main script, main tbody svg"), "text of a device stays text")
	b.waitText("[aria-label='Lines of bench that were refused']", "overload reading")
	b.waitText(".view", "It warns after 20 h and above 45 \u00b0C")
	b.wait("document.querySelector('[aria-labelledby=ports]').textContent.match(/There is no serial port|Name to use/)")

	b.pushButton("How are these lines laid out?")
	b.waitText("[aria-labelledby=layout]", "time_s, voltage_V, current_A")
	b.waitText("[aria-labelledby=layout]", "column 2")
	setting := b.text("[aria-labelledby=layout] .snippet")
	assert.Contains(t, setting, "decoder: 'columns separator=comma")
	eval[bool](b, "(navigator.clipboard.writeText = async (text) => { window.copied = text }, true)")
	b.pushButton("Copy the setting")
	b.waitText("#polite", "Copied.")
	assert.Equal(t, setting, eval[string](b, "window.copied"))
	b.judge("the setup of a channel")

	b.pushButton("Hold")
	m.rows = append(m.rows, row{100, "44,12.49,2.00"})
	m.sayUntil(1e9)
	b.waitText(".view .lead", "41 readings")
	assert.NotContains(t, b.text(".raw tbody"), "44,12.49", "it is held")
	b.pushButton("Go on")
	b.waitText(".raw tbody", "44,12.49")

	b.look("dark")
	b.size(390, 844)
	b.wide()
	b.judge("setup on a phone, dark")
	b.pushButton("shed")
	b.waitText(".view .lead", "shed listens to tcp:")
	b.waitText(".raw", "Nothing has come yet.")
	b.pushButton("How are these lines laid out?")
	b.waitText("[aria-labelledby=layout]", "No line has come yet.")
}

// The lines of a channel are asked for only while somebody looks at them.
func TestSetupAsksForLinesOnlyWhileItIsOpen(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), newMeter(t, madeup.Named("mower-float"))
	at.channel("bench", m)
	b := openTab(t, at.serve(t).page+"#/setup/bench", 1280, "light")
	asked := "performance.getEntriesByType('resource').filter(e => e.name.includes('/lines')).length"
	b.wait(asked + " >= 2")
	b.goTo("#/now")
	b.wait("document.querySelector('.view-now .channel')")
	before := eval[int](b, "new Promise(done => setTimeout(() => done("+asked+"), 1500))")
	after := eval[int](b, "new Promise(done => setTimeout(() => done("+asked+"), 2500))")
	assert.Equal(t, before, after)
}
