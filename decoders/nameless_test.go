package decoders

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// charged is a row of a made-up charge, all of whose numbers are invented: a battery at rest, a
// charger that leads the current up and holds it, and what else a recorder may write beside.
type charged struct {
	at, volts, amps, ah, wh float64
	celsius, mains          float64
}

// nameless is the charge as rows without a heading, every so many seconds.
func nameless(rest, soft, rows int, every, most float64, row func(m *charged) string) (lines [][]byte) {
	chance := rand.New(rand.NewPCG(5, uint64(rows)))
	m := charged{celsius: 18}
	for k := range rows {
		m.at = every * float64(k)
		m.amps = most * max(0, min(1, float64(k-rest)/float64(soft)))
		m.volts = 12.2 + 0.05*m.amps + 0.1*m.ah + 0.002*chance.NormFloat64()
		m.celsius = 18 + min(6, 4*m.ah) + 0.1*chance.NormFloat64()
		m.mains = 230 + chance.NormFloat64()
		lines = append(lines, []byte(row(&m)))
		m.ah += m.amps * every / 3600
		m.wh += m.amps * m.volts * every / 3600
	}
	return lines
}

// Where no name tells what the values are, the battery does: its voltage goes with the current that
// begins, and nothing else beside it does.
func TestNamelessValuesAreToldByTheBattery(t *testing.T) {
	for _, c := range []struct {
		name       string
		rest, soft int // rows before the current sets in, and over which it does
		rows       int
		most       float64
		row        func(m *charged) string
		want       string // voltage, current and temperature
	}{
		{"a current that sets in softly, beside a temperature that rises", 60, 50, 1500, 6,
			func(m *charged) string { return fmt.Sprintf("%.0f;%.1f;%.2f;%.2f", m.at, m.celsius, -m.amps, m.volts) },
			"temperature=2:C current=3:A:negate voltage=4:V"},
		{"a current that is held to the digit, beside the mains", 40, 1, 3000, 1.82,
			func(m *charged) string { return fmt.Sprintf("%.0f;%.2f;%.1f;%.2f", m.at, m.volts, m.mains, -m.amps) },
			"voltage=2:V current=4:A:negate"},
		{"a power is no temperature", 60, 1, 1500, 2,
			func(m *charged) string {
				return fmt.Sprintf("%.0f;%.2f;%.2f;%.2f", m.at, m.amps*m.volts, m.volts, m.amps)
			},
			"voltage=3:V current=4:A"},
		{"a share is no temperature", 60, 1, 1500, 2,
			func(m *charged) string {
				return fmt.Sprintf("%.0f;%.2f;%.2f;%.0f", m.at, m.volts, m.amps, 40+4*m.ah)
			},
			"voltage=2:V current=3:A"},
		{"a count of energy at 3.6 V does not make amperes milliamperes", 60, 1, 1500, 0.6,
			func(m *charged) string {
				return fmt.Sprintf("%.0f;%.4f;%.2f;%.4f", m.at, 3.6*m.ah, m.amps, 3.6+0.02*m.amps)
			},
			"current=3:A voltage=4:V"},
		{"a count of charge is no current", 47, 14, 67, 12.9,
			func(m *charged) string {
				return fmt.Sprintf("%.0f,%.0f,0,%.3f,%.0f", 10*m.at, 100*math.Round(10*m.amps), m.ah, 10*math.Round(100*m.volts))
			},
			"current=2:mA voltage=5:mV"},
	} {
		t.Run(c.name, func(t *testing.T) {
			fitted, err := Fit(nameless(c.rest, c.soft, c.rows, 5, c.most, c.row), Options{})
			require.NoError(t, err)
			assert.Equal(t, c.want, measured(fitted.Setting), "%s", fitted.Setting)
			assert.False(t, fitted.Named)
		})
	}
}

// measured is what a setting says of voltage, current and temperature.
func measured(setting string) string {
	var fields []string
	for _, f := range strings.Fields(setting) {
		if of, _, _ := strings.Cut(f, "="); of == "voltage" || of == "current" || of == "temperature" {
			fields = append(fields, f)
		}
	}
	return strings.Join(fields, " ")
}

// Lines that come as fast as they tell are proof of the unit of their time, whatever the charge
// looks like; and a count of charge that is no time is not taken for one.
func TestTheTimeKeepsStepWithTheLines(t *testing.T) {
	lines := nameless(40, 50, 100, 2, 2, func(m *charged) string {
		return fmt.Sprintf("%.0f;%.3f;%.2f;%.2f", m.at*1000, m.ah, m.volts, m.amps)
	})
	fitted, err := Fit(lines, Options{Live: true, Span: 198})
	require.NoError(t, err)
	assert.Contains(t, fitted.Setting, "time=1:ms")

	lines = nameless(40, 1, 400, 1, 1.6, func(m *charged) string {
		return fmt.Sprintf("%.0f;%.2f;%.3f;%.2f", m.at, m.amps, m.ah, m.volts)
	})
	fitted, err = Fit(lines, Options{Live: true, Span: 399})
	require.NoError(t, err)
	assert.Contains(t, fitted.Setting, "time=1:s")
}

// The first minutes of a live source, of whose rows two came before the current: the voltage, which goes up at each
// row as a count would, is neither a time beside the clock nor in proportion to the current, and what is warm beside
// it is no voltage.
func TestAVoltageThatRisesBesideAClock(t *testing.T) {
	for _, rows := range []int{8, 12, 24, 40, 60} {
		var lines [][]byte
		for k := range rows {
			amps, lift := 0.0, 0.0
			if k > 1 {
				amps, lift = 0.71+0.001*float64(k%2), 0.08
			}
			lines = append(lines, fmt.Appendf(nil, "DEV01;2026-10-04 20:%02d:46;%.3f;%.3f;%.1f", k, 10.96+lift+0.02*float64(k), amps, 17.2+0.1*float64(k*3/4)))
		}
		fitted, err := Fit(lines, Options{Live: true, Span: 0.15 * float64(rows)})
		require.NoError(t, err)
		assert.Contains(t, measured(fitted.Setting), "voltage=3:V current=4:A", "%d rows: %s", rows, fitted.Setting)
	}
}

// Millivolts that go up by one at each row are no number of it: that stands before the time.
func TestMillivoltsThatGoUpByOne(t *testing.T) {
	var lines [][]byte
	for k := range 30 {
		lines = append(lines, fmt.Appendf(nil, "2026-10-04 20:%02d:46;%d;%d", k, 12345+k, 2500+k%2))
	}
	fitted, err := Fit(lines, Options{Live: true, Span: 5})
	require.NoError(t, err)
	assert.Equal(t, "voltage=2:mV current=3:mA", measured(fitted.Setting), fitted.Setting)
}

// Of two numbers that stand all the while the one below nought is the current: leads are seldom reversed.
func TestWhatIsBelowNoughtIsTheCurrent(t *testing.T) {
	for _, form := range []string{"%[1]d;%[2]s;%[3]s", "%[1]d;%[3]s;%[2]s"} {
		var lines [][]byte
		for k := range 30 {
			lines = append(lines, fmt.Appendf(nil, form, 10*k, fmt.Sprintf("%.2f", -15.68+0.01*float64(k%3)), fmt.Sprintf("%.2f", 12.66+0.01*float64(k/16))))
		}
		fitted, err := Fit(lines, Options{Live: true, Span: 290})
		require.NoError(t, err)
		volts := strings.Index(form, "%[3]")/len("%[1]d;") + 1
		assert.Contains(t, fitted.Setting, fmt.Sprintf("voltage=%d:V", volts), "%s", lines[0])
	}
}

// Names in a heading tell what the values are; what stands for the current may be the power.
func TestNamesAreSaid(t *testing.T) {
	for heading, want := range map[string]bool{"t;U;I": true, "t;volts;watts": true, "t;volts;b": false} {
		lines := nameless(20, 1, 100, 1, 2, func(m *charged) string {
			last := m.amps
			if strings.HasSuffix(heading, "watts") {
				last *= m.volts
			}
			return fmt.Sprintf("%.0f;%.3f;%.3f", m.at, m.volts, last)
		})
		fitted, err := Fit(append([][]byte{[]byte(heading)}, lines...), Options{})
		require.NoError(t, err)
		assert.Equal(t, want, fitted.Named, "%s: %s", heading, fitted.Setting)
	}
}

// read is one column of the charge.
func read(rest, soft, rows int, most float64, of func(m *charged) string) *column {
	c := &column{cells: nameless(rest, soft, rows, 10, most, of)}
	c.study('.')
	return c
}

// A current that is led up and held is none that counts, however few digits it has.
func TestACurrentThatIsHeldDoesNotCount(t *testing.T) {
	amps := read(40, 14, 70, 13, func(m *charged) string { return fmt.Sprintf("%.1f", m.amps) })
	ah := read(40, 14, 70, 13, func(m *charged) string { return fmt.Sprintf("%.3f", m.ah) })
	assert.True(t, amps.climbs() && amps.arrives())
	assert.True(t, ah.climbs() && !ah.arrives())
	assert.Greater(t, asAmps(amps), asAmps(ah)+1)
}

// What a meter shows of a current that is held to the digit is two numbers, and no more than two at
// a nought that flickers. Only the latter says how finely it shows.
func TestACurrentThatIsHeldToTheDigit(t *testing.T) {
	held := read(40, 1, 3000, -1.82, func(m *charged) string { return fmt.Sprintf("%.2f", m.amps) })
	volts := read(40, 1, 3000, 1.82, func(m *charged) string { return fmt.Sprintf("%.2f", m.volts) })
	digit := read(40, 1, 3000, -1.82, func(m *charged) string { return fmt.Sprintf("%.2f", m.amps+0.01*math.Mod(m.at/10, 2)) })
	flickers := read(0, 1, 3000, 1, func(m *charged) string { return fmt.Sprintf("%.2f", 0.05*math.Mod(math.Floor(m.at/30), 2)) })
	late := read(2999, 1, 3000, 1, func(m *charged) string { return fmt.Sprintf("%.2f", m.amps) })
	assert.True(t, held.setsIn())
	assert.False(t, flickers.setsIn())
	assert.False(t, late.setsIn(), "one row may be a slip")
	assert.GreaterOrEqual(t, asAmps(held), 1.5)
	assert.Less(t, asAmps(flickers), 1.0)
	for name, c := range map[string]*column{"held": held, "held within a digit": digit} {
		r := relate(volts, c)
		assert.Equal(t, 1, r.steps, name)
		assert.Less(t, r.slope, 0.0, name)
		assert.Greater(t, r.leap, 10.0, name)
	}
	assert.Zero(t, relate(volts, flickers).steps)
}

// The first few rows of a current that is led up do not show that it will not rise for ever.
func TestTheFirstRowsOfASoftStart(t *testing.T) {
	for _, from := range []float64{0.22, 0.9, 1.8} {
		var lines [][]byte
		for k := range 8 {
			lines = append(lines, fmt.Appendf(nil, "%d,%.3f,%.3f", 186+2*k, 11.977+0.001*float64(k%3), from+0.006*float64(k)))
		}
		fitted, err := Fit(lines, Options{Live: true, Span: 14})
		require.NoError(t, err, "%s", lines[0])
		assert.Equal(t, "columns separator=comma width=3 time=1:s voltage=2:V current=3:A", fitted.Setting)
	}
}

// Milliamperes are no more like a current than amperes.
func TestTheUnitOfACurrentDoesNotMatter(t *testing.T) {
	in := func(form string, parts float64) float64 {
		return asAmps(read(0, 1, 300, 2, func(m *charged) string { return fmt.Sprintf(form, parts*(m.amps+0.002*math.Mod(m.at, 7))) }))
	}
	assert.InDelta(t, in("%.3f", 1), in("%.0f", 1000), 1e-9)
}
