//go:build linux

package browser

import (
	"testing"

	"amphora/analyze/madeup"

	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
)

func TestAPlanFromTheLabelToTheChannel(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), newMeter(t, madeup.Named("mower-float"))
	at.channel("bench", m, "battery: mower", "limits: {hours: 20}")
	p := at.serve(t)
	b := openTab(t, p.page+"#/plan", 1280, "light")
	b.mayLack() // a refusal stands in the browser's own log
	b.judge("the empty form")
	b.write("[name=capacity]", "60 V")
	b.write("[name=depth]", "120%")
	b.press(kb.Enter)
	b.waitText(".field:has([name=capacity]) .wrong", `"60 V" is a voltage, want a charge like 35Ah`)
	b.waitText(".field:has([name=depth]) .wrong", "120%")
	b.waitText("#polite", "2 fields cannot be taken.")
	assert.Equal(t, "input Capacity in ampere-hours", b.focused())
	b.judge("the form with errors")

	b.write("[name=capacity]", "17,0")
	b.write("[name=depth]", "100%")
	b.write("[name=timer]", "2h")
	b.write("[name=rate]", "10")
	b.choose("[name=chemistry]", "lead-agm")
	b.press(kb.Enter)
	b.waitText(".plan-result h2", "Do not set 10\u00a0A: this battery should get 5.1\u00a0A at most, and 1.7\u00a0A is gentle on it.")
	b.write("[name=rate]", "1.7")
	b.press(kb.Enter)
	b.waitText(".plan-result h2", "Set 1.7\u00a0A and 14.40\u00a0V; allow 11 to 16 h.")
	b.waitText(".settings", "11 to 16 h") // and nothing else further down
	b.waitText(".plan-result .note[data-kind=warning]", "the charger's own timer of 2 h ends before the charge")
	b.waitText(".cautions", "Charge in a well-ventilated place.")
	b.waitText(".settings", "Safety timer")
	b.waitText(".settings", "Ventilation")
	assert.Equal(t, "limits: {hours: 16, celsius: 50, charge: 20Ah}", b.text(".plan-result .snippet"))
	assert.Contains(t, eval[string](b, "location.hash"), "capacity=17.0", "a plan can be kept as a bookmark")
	eval[bool](b, "(navigator.clipboard.writeText = async (text) => { window.copied = text }, true)")
	b.pushButton("Copy")
	b.waitText("#polite", "Copied.")
	assert.Equal(t, "limits: {hours: 16, celsius: 50, charge: 20Ah}", eval[string](b, "window.copied"))
	b.judge("a plan")

	b.pushButton("Warn by this plan")
	b.waitText(".done", "It warns after 16 h, beyond 20 Ah and above 50 \u00b0C")
	assert.EqualValues(t, 16, p.view("bench").Limits.Hours)
	assert.EqualValues(t, 20, p.view("bench").Limits.ChargeAh)
	p.stop()
	p = at.serve(t)
	assert.EqualValues(t, 16, p.view("bench").Limits.Hours, "it outlasts a restart")
	b.pushButton("Take back, as configured")
	b.waitText(".done", "It warns after 20 h, besides")
	assert.EqualValues(t, 20, p.view("bench").Limits.Hours)
	assert.Nil(t, p.view("bench").Limits.SetAt)

	b.size(390, 844)
	b.wide()
	b.look("dark")
	b.judge("a plan on a phone")
}

func TestAFrozenBatteryIsNotToBeCharged(t *testing.T) {
	t.Parallel()
	at := newPlace(t)
	at.channel("bench", newMeter(t, madeup.Named("mower-float")))
	b := openTab(t, at.serve(t).page+"#/plan?capacity=100Ah&chemistry=lifepo4&cells=4&celsius=-3", 390, "light")
	b.waitText(".plan-result h2", "It must not be charged as it is.")
	b.waitText(".plan-result .note[data-kind=alarm]", "-3 °C is below 0 °C, where lithium plates out")
	assert.NotContains(t, b.text(".settings"), "Cautious\n", "no current is named")
	b.judge("a plan that forbids")
	b.wide()
}
