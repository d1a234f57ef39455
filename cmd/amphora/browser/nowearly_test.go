//go:build linux

package browser

import (
	"fmt"
	"testing"

	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
)

// saying is a meter that says these volts and amperes, ten seconds apart.
func saying(t testing.TB, rows int, of func(k int) (volts, amps float64)) *meter {
	t.Helper()
	m := newMeter(t, madeup.Named("mower-float"))
	m.rows = []row{{0, "time_s,voltage_V,current_A"}}
	for k := range rows {
		v, a := of(k)
		m.rows = append(m.rows, row{float64(10 * k), fmt.Sprintf("%d,%.3f,%.3f", 10*k, v, a)})
	}
	return m
}

// Crossed leads are an alarm before any current has flowed.
func TestNowShowsAnAlarmWithoutACharge(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), saying(t, 120, func(k int) (float64, float64) { return -12.3 + 0.003*float64(k%3), 0 })
	at.channel("bench", m, "limits: {silence: 10h}")
	p := at.serve(t)
	b := openTab(t, p.page, 1280, "light")
	m.sayUntil(600)
	b.waitText(".channel[data-kind=alarm] .sentence", "The voltage is negative: the leads are crossed")
	b.waitText(".channel[data-kind=alarm] header .mark", "Alarm")
	b.waitText(".findings", "the leads are reversed")
	b.waitText("#urgent", "Alarm, bench: The voltage is negative")
	m.sayUntil(m.end())
	b.wait("document.querySelector('.curve canvas')")
	assert.Equal(t, "none", eval[string](b, "getComputedStyle([...document.querySelectorAll('.channel a')].find(a => a.textContent === 'This night in full')).display"), "there is no night")
	for _, width := range []int{1280, 390} {
		b.size(width, 844)
		b.wide()
	}
	b.judgeBoth("now, an alarm without a charge")
}

// In its first two minutes a charge is no charge yet; but current flows, and too high a voltage is too high.
func TestNowShowsHowAChargeBegins(t *testing.T) {
	t.Parallel()
	at, m := newPlace(t), saying(t, 120, func(k int) (float64, float64) {
		switch {
		case k < 60:
			return 12.3, 0
		case k < 64:
			return 12.9, 5
		}
		return 16.5, 5
	})
	at.channel("bench", m, "limits: {silence: 10h, volts: 15.9}")
	p := at.serve(t)
	b := openTab(t, p.page, 1280, "light")
	m.sayUntil(590)
	b.waitText(".sentence", "Not charging. The battery stands at 12.30")
	m.sayUntil(600)
	b.waitText(".sentence", "Current flows, 5.00\u00a0A at 12.90\u00a0V. Too early to say which stage it is.")
	b.waitText(".channel[data-kind=running] header .mark", "Starting")
	b.waitText(".why", "current has flowed since")
	m.sayUntil(690)
	b.waitText(".channel[data-kind=alarm] .sentence", "The voltage is above what this battery takes.")
	m.sayUntil(m.end())
	b.waitText(".band .past[data-stage=constant-current]", "Constant current")
	b.waitText(".channel[data-kind=alarm] .sentence", "The voltage is above what this battery takes.")
	b.wide()
}
