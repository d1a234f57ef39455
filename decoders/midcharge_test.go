package decoders

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// In a charge that is recorded from its middle nothing begins or ends; but a power is the product of
// two, and what counts charge goes as no time does.
func TestACurrentThatFlowsFromTheFirstRow(t *testing.T) {
	for _, c := range []struct {
		name  string
		rows  int
		row   func(m *charged) string
		want  string
		timed bool
	}{
		{"a power between voltage and current, all of them steady", 60,
			func(m *charged) string {
				volts := 14.2 + 0.01*math.Mod(m.at/2, 2)
				return fmt.Sprintf("%.0f,%.3f,%.2f,%.2f", 1600000+1000*m.at, volts, volts*m.amps, m.amps)
			},
			"voltage=2:V current=4:A", true},
		{"a count of charge is no time, whose lines come more slowly", 900,
			func(m *charged) string {
				return fmt.Sprintf("%.2f,%.2f,%.3f", m.volts, m.amps+0.01*math.Mod(m.at/2, 2), m.ah)
			},
			"voltage=1:V current=2:A", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			lines := nameless(0, 1, c.rows+1, 2, 2.6, c.row)[1:]
			fitted, err := Fit(lines, Options{Live: true, Span: 2 * float64(c.rows-1)})
			require.NoError(t, err)
			assert.Equal(t, c.want, measured(fitted.Setting), "%s", fitted.Setting)
			assert.Equal(t, c.timed, strings.Contains(fitted.Setting, "time="), "%s", fitted.Setting)
		})
	}
}

// A current that is held has the voltage climb, and a voltage that is held has the current fall.
func TestWhatAChargerHolds(t *testing.T) {
	digit := func(m *charged) float64 { return 0.01 * math.Mod(m.at/10, 2) }
	amps := func(m *charged) string { return fmt.Sprintf("%.2f", m.amps+digit(m)) }
	volts := func(m *charged) string { return fmt.Sprintf("%.2f", m.volts) }
	limit := func(m *charged) string { return fmt.Sprintf("%.2f", 14.4+digit(m)) }
	taper := func(m *charged) string { return fmt.Sprintf("%.2f", 2*math.Exp(-m.at/2000)+digit(m)) }
	ramp := func(m *charged) string { return fmt.Sprintf("%.2f", m.at/1000+digit(m)) }
	steep := func(m *charged) string { return fmt.Sprintf("%.2f", 1+m.at/100) }
	for name, c := range map[string]struct {
		rows        int
		volts, amps func(m *charged) string
		against     float64
	}{
		"constant current":                      {300, volts, amps, 0},
		"the other way round":                   {300, amps, volts, 2},
		"constant voltage":                      {300, limit, taper, 0},
		"the other way round, half gone":        {300, taper, limit, 2},
		"the other way round, little gone":      {60, taper, limit, 0},
		"so few rows may be of a soft start":    {20, limit, steep, 0},
		"a current that begins tells otherwise": {300, limit, ramp, 0},
	} {
		v, i := read(0, 1, c.rows, 2, c.volts), read(0, 1, c.rows, 2, c.amps)
		p := pairing{t: &table{cols: []*column{v, i}}, products: map[[2]int]int{}}
		moves, _ := together(v, i)
		assert.InDelta(t, c.against, asVolts(v)+asAmps(i)+moves-p.weigh(0, 1, asVolts(v)).score, 1e-9, name)
	}
}

// A number that stands below nought all the while is a current sooner than one that stands at nought, and
// that sooner than one above: settings and flags are hardly ever negative.
func TestANumberThatStands(t *testing.T) {
	at := func(x float64) float64 {
		return asAmps(read(0, 1, 60, 2, func(*charged) string { return fmt.Sprintf("%.3f", x) }))
	}
	assert.Greater(t, at(-5.4), at(0))
	assert.Greater(t, at(0), at(5.4))
}

// A number that climbs by ones to a hundred is a share.
func TestAShareIsNoVoltage(t *testing.T) {
	percent := read(0, 1, 900, 2, func(m *charged) string { return fmt.Sprintf("%.0f", 40+math.Floor(4*m.ah)) })
	flickers := read(0, 1, 900, 2, func(m *charged) string { return fmt.Sprintf("%.0f", 40+math.Floor(4*m.ah+0.5*math.Mod(m.at/10, 2))) })
	assert.Less(t, asVolts(percent), asVolts(flickers)-1)
}

// A count is what has flowed, also where noise at nought has it fall for a digit.
func TestWhatHasFlowed(t *testing.T) {
	volts := read(40, 20, 900, 2, func(m *charged) string { return fmt.Sprintf("%.2f", m.volts) })
	amps := read(40, 20, 900, 2, func(m *charged) string { return fmt.Sprintf("%.2f", m.amps) })
	wh := read(40, 20, 900, 2, func(m *charged) string { return fmt.Sprintf("%.3f", m.wh-0.001*math.Mod(m.at/10, 2)) })
	celsius := read(40, 20, 900, 2, func(m *charged) string { return fmt.Sprintf("%.1f", m.celsius) })
	assert.Positive(t, wh.falling)
	assert.True(t, flowed(wh, volts.x, amps.x))
	assert.False(t, flowed(celsius, volts.x, amps.x))
}

// The product of two steady numbers is known by its digits; but one of them that is 1 proves nothing.
func TestAProductOfSteadyNumbers(t *testing.T) {
	of := func(form string, f func(m *charged) float64) *column {
		return read(0, 1, 60, 2, func(m *charged) string { return fmt.Sprintf(form, f(m)) })
	}
	digit := func(m *charged) float64 { return 0.01 * math.Mod(m.at/10, 2) }
	volts := of("%.2f", func(m *charged) float64 { return 14.2 + digit(m) })
	amps := of("%.2f", func(*charged) float64 { return 2.6 })
	one := of("%.2f", func(*charged) float64 { return 1 })
	watts := of("%.2f", func(m *charged) float64 { return 2.6 * (14.2 + digit(m)) })
	near := of("%.2f", func(m *charged) float64 { return 2.63 * (14.2 + digit(m)) })
	setting := of("%.2f", func(*charged) float64 { return 2.6 * 14.205 })
	for name, c := range map[string]struct {
		a, b, c *column
		want    int
	}{
		"a power": {volts, amps, watts, 2}, "a per cent off": {volts, amps, near, -1},
		"a setting": {volts, amps, setting, -1}, "the same again": {volts, one, volts, -1},
	} {
		of := table{cols: []*column{c.a, c.b, c.c}}
		assert.Equal(t, c.want, of.product(0, 1), name)
	}
}

// A charger's current that is counted out of the battery goes up to nought at held voltage, as nothing that
// counts does but what is still missing. What is warm beside it is no current, nor is the number of the row.
func TestACurrentBelowNoughtThatWanes(t *testing.T) {
	for _, rows := range []int{25, 50, 80} {
		var plain, numbered, missing []string
		ah := -0.9
		for k := range rows {
			amps := -1.08 * math.Exp(-float64(k)/40)
			volts := 4.2 + 0.001*float64(k*k%3-1)
			plain = append(plain, fmt.Sprintf("2026-02-27 23:%02d:%02d;%.3f;%.3f;%.1f", k/2, 30*(k%2), volts, amps, 20.5+0.2*math.Sin(float64(k)/9)))
			numbered = append(numbered, fmt.Sprintf("%d;", 68+k)+plain[k])
			missing = append(missing, fmt.Sprintf("2026-02-27 23:%02d:%02d;%.3f;%.4f;%.3f", k/2, 30*(k%2), volts, ah, -amps))
			ah -= amps * 30 / 3600
		}
		for want, lines := range map[string][]string{"voltage=2:V current=3:A:negate": plain, "voltage=3:V current=4:A:negate": numbered, "voltage=2:V current=4:A": missing} {
			fitted, err := Fit(bytesOf(lines), Options{Live: true, Span: 0.15 * float64(rows)})
			require.NoError(t, err)
			assert.Contains(t, measured(fitted.Setting), want, "%d rows: %s", rows, fitted.Setting)
		}
	}
}
