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

// A meter on a battery that waits for its charge shows the noise of its zero. A
// sign read out of that would turn the whole night around.
func TestNoiseAboutZeroTellsNoSign(t *testing.T) {
	for _, rows := range []int{8, 13, 40, 200} {
		wrong := 0
		const seeds = 200
		for seed := range uint64(seeds) {
			chance := rand.New(rand.NewPCG(seed, 3))
			lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
			for k := range rows {
				lines = append(lines, fmt.Appendf(nil, "%d,%.3f,%.3f", 10*k, 12.6+0.001*chance.NormFloat64(), 0.002*chance.NormFloat64()))
			}
			fitted, err := Fit(lines, Options{Live: true})
			require.NoError(t, err)
			if strings.Contains(fitted.Setting, "negate") {
				wrong++
			}
		}
		assert.LessOrEqual(t, wrong, seeds/50, "of %d logs of %d rows", seeds, rows)
	}
}

// A steady discharge whose current flickers by one digit: the flicker is no step of the
// current, and cuts the voltage's noise into pieces that add up to anything.
func TestAFlickerOfTheCurrentTellsNoSign(t *testing.T) {
	for seed := range uint64(100) {
		chance := rand.New(rand.NewPCG(seed, 6))
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		for k := range 400 {
			lines = append(lines, fmt.Appendf(nil, "%d,%.2f,%.3f", k, 13.08-0.03*float64(k)/400+0.006*chance.NormFloat64(), -3.083+0.0005*chance.NormFloat64()))
		}
		fitted, err := Fit(lines, Options{})
		require.NoError(t, err)
		assert.NotContains(t, fitted.Setting, "negate", "seed %d", seed)
	}
}

// A battery that waits, and a meter whose zero is off by one digit, now and then by none.
func TestAZeroThatIsOffTellsNoSign(t *testing.T) {
	for seed := range uint64(100) {
		chance := rand.New(rand.NewPCG(seed, 7))
		zero, noise := 0.0105, 0.005
		if seed%2 == 1 {
			zero, noise = 0, 0.002 // of which one row in a hundred shows a digit
		}
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		for k := range 600 {
			lines = append(lines, fmt.Appendf(nil, "%d,%.3f,%.2f", 2*k, 26.33+0.006*chance.NormFloat64(), zero+noise*chance.NormFloat64()))
		}
		fitted, err := Fit(lines, Options{})
		require.NoError(t, err)
		assert.NotContains(t, fitted.Setting, "negate", "seed %d", seed)
	}
}

// A voltage whose last digit hardly ever moves takes a whole digit when it does.
func TestASeldomFlickerOfTheVoltageTellsNoSign(t *testing.T) {
	for seed := range uint64(200) {
		chance := rand.New(rand.NewPCG(seed, 8))
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		for k := range 600 {
			lines = append(lines, fmt.Appendf(nil, "%d,%.3f,%.2f", k, 8.7411+0.0003*chance.NormFloat64(), 0.0043*chance.NormFloat64()))
		}
		fitted, err := Fit(lines, Options{})
		require.NoError(t, err)
		assert.NotContains(t, fitted.Setting, "negate", "seed %d", seed)
	}
}

// A sulphated battery: the charger's limit at once, and a current that fades within
// minutes at the held voltage. One step tells the sign; the many that follow are noise.
func TestFadingCurrentAtAHeldVoltageTellsNoSign(t *testing.T) {
	for seed := range uint64(50) {
		chance := rand.New(rand.NewPCG(seed, 4))
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		volts, amps := 11.4, 0.0
		for k := range 600 {
			if k == 60 {
				volts, amps = 14.4, 5.5
			}
			lines = append(lines, fmt.Appendf(nil, "%d,%.3f,%.3f", 10*k, volts+0.002*chance.NormFloat64(), amps+0.002*chance.NormFloat64()))
			if k >= 60 {
				amps = max(0.12, amps*0.85)
			}
		}
		fitted, err := Fit(lines, Options{})
		require.NoError(t, err)
		assert.NotContains(t, fitted.Setting, "negate", "seed %d", seed)
	}
}

// A lead comes off in mid-charge and is put on again: without current the charger drives
// the voltage up, as a battery's own would go only when it had been discharged. The rise
// while current flows tells which it was; in a real discharge both say the same.
func TestALooseLeadTurnsNoSign(t *testing.T) {
	log := func(before, rise, off float64) [][]byte {
		chance := rand.New(rand.NewPCG(1, 5))
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		for k := range 600 {
			volts, amps := before, 5.0
			switch {
			case k < 30:
				amps = 0
			case k >= 330 && k < 360:
				volts, amps = off, 0
			default:
				volts += rise * (0.3 + float64(k-30)/600)
			}
			lines = append(lines, fmt.Appendf(nil, "%d,%.3f,%.3f", 10*k, volts+0.002*chance.NormFloat64(), amps+0.002*chance.NormFloat64()))
		}
		return lines
	}
	charge, err := Fit(log(12.1, 0.6, 15.3), Options{})
	require.NoError(t, err)
	assert.NotContains(t, charge.Setting, "negate")
	discharge, err := Fit(log(12.7, -0.6, 12.4), Options{})
	require.NoError(t, err)
	assert.Contains(t, discharge.Setting, "negate")
}

// A lead that works loose for half an hour, on and off: of all steps of the current only its
// first and last are a charge's. What the voltage did between them still tells the sign.
func TestALeadThatWorksLooseTurnsNoSign(t *testing.T) {
	log := func(before, rise, off, way float64) [][]byte {
		chance := rand.New(rand.NewPCG(2, 5))
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		for k := range 900 {
			volts, amps := before, 5*way
			switch {
			case k < 30:
				amps = 0
			case k >= 300 && k < 500 && k%10 > 4:
				volts, amps = off, 0
			default:
				volts += rise * (0.3 + float64(k-30)/900)
			}
			lines = append(lines, fmt.Appendf(nil, "%d,%.3f,%.3f", 10*k, volts+0.002*chance.NormFloat64(), amps+0.002*chance.NormFloat64()))
		}
		return lines
	}
	for _, c := range []struct {
		name              string
		rise, off, counts float64
		negate            bool
	}{
		{"a charge", 0.9, 15.3, 1, false},
		{"a charge that counts as negative", 0.9, 15.3, -1, true},
		{"a discharge whose load comes and goes", -0.9, 12.1, 1, true},
	} {
		fitted, err := Fit(log(12.1, c.rise, c.off, c.counts), Options{})
		require.NoError(t, err)
		assert.Equal(t, c.negate, strings.Contains(fitted.Setting, "negate"), c.name)
	}
}

// Power, current and voltage without headings, and while nobody looked the charge ended: at
// that step the voltage went up as the current went, and the power down. What is the product
// of the current and of what could be a voltage is not taken for the voltage all the same.
func TestPowerIsNotTakenForTheVoltage(t *testing.T) {
	for order, volts := range map[string]string{
		"%[1]d,%[2]s,%[3]s,%[4]s": "voltage=4:V",
		"%[1]d,%[4]s,%[3]s,%[2]s": "voltage=2:V",
		"%[1]d,%[3]s,%[4]s,%[2]s": "voltage=3:V",
	} {
		var lines [][]byte
		say := func(at int, volts, amps float64) {
			number := func(x float64) string { return fmt.Sprintf("%.3f", x) }
			lines = append(lines, fmt.Appendf(nil, order, at, number(volts*amps), number(amps), number(volts)))
		}
		for k := range 60 {
			say(10*k, 12.059, 0)
		}
		for k := range 600 {
			say(600+10*k, 12.5+0.0015*float64(k), 3.5)
		}
		for k := range 40 {
			say(12600+10*k, 14.08-0.001*float64(k), 0)
		}
		fitted, err := Fit(lines, Options{})
		require.NoError(t, err)
		assert.Contains(t, fitted.Setting, volts)
	}
}

// A charge at one current, by a meter without noise: but for its first rows the voltage is
// nearly a constant times the current, as at a resistor.
func TestAConstantCurrentIsNoResistor(t *testing.T) {
	var lines [][]byte
	for k := range 2000 {
		amps := 0.486
		if k < 12 {
			amps = 0
		}
		lines = append(lines, fmt.Appendf(nil, "%d %.3f %.3f", 10*k, 12.2+0.0003*float64(k), amps))
	}
	fitted, err := Fit(lines, Options{})
	require.NoError(t, err)
	assert.Contains(t, fitted.Setting, "voltage=2:V current=3:A")
}

// Columns without headings: what stands about zero and leaps up, while the other one hardly
// moves, is the current, though there are batteries of 2.73 V.
func TestWhatBeginsAtZeroIsTheCurrent(t *testing.T) {
	for order, want := range map[string]string{"%d %[2]s %[3]s": "voltage=2:V current=3:A", "%d %[3]s %[2]s": "current=2:A voltage=3:V"} {
		var lines [][]byte
		for k := range 3000 {
			volts, amps := 12.061, "0.00"
			if k >= 60 {
				volts, amps = 12.22+0.27*float64(k)/3000, "2.73"
			}
			if k%9 == 4 {
				amps = amps[:len(amps)-1] + "2"
			}
			lines = append(lines, fmt.Appendf(nil, order, 2*k, fmt.Sprintf("%.3f", volts), amps))
		}
		fitted, err := Fit(lines, Options{})
		require.NoError(t, err)
		assert.Contains(t, fitted.Setting, want)
	}
}

// Current that comes in short bursts: within each the voltage may even sink, but it steps up with
// the current, which no lead that works loose feigns.
func TestBurstsTurnNoSign(t *testing.T) {
	var lines [][]byte
	for k := range 130 {
		volts, amps := 24.3, 0.0
		if j := k % 6; k >= 10 && j < 2 {
			volts, amps = 25.2-0.02*float64(j), 22
		}
		if k%11 == 0 {
			amps += 0.1 // a digit that flickers
		}
		lines = append(lines, fmt.Appendf(nil, "%d,%.2f,%.1f", 30*k, volts+0.12*float64(k)/130, amps))
	}
	fitted, err := Fit(append([][]byte{[]byte("time_s,voltage_V,current_A")}, lines...), Options{})
	require.NoError(t, err)
	assert.NotContains(t, fitted.Setting, "negate")
}

// A charger that holds a large current to a few milliamperes: the meter's noise on it is no
// step, and the voltage tells the sign by where it goes.
func TestNoiseOnASteadyCurrentHidesNoSign(t *testing.T) {
	chance := rand.New(rand.NewPCG(4, 4))
	flicker := []int{0, 0, 0, -2, 0, 0, 0, 0, 0, 2, 0, 0, 0, 1}
	lines := [][]byte{[]byte("time_s,voltage_V,current_mA")}
	for k := range 3000 {
		lines = append(lines, fmt.Appendf(nil, "%d,%.2f,%d", k, 54.3+0.25*float64(k)/3000+0.006*chance.NormFloat64(), -35720+flicker[k%len(flicker)]))
	}
	fitted, err := Fit(lines, Options{})
	require.NoError(t, err)
	assert.Contains(t, fitted.Setting, "negate")
}

// A cell whose voltage a step of the current moves by no more than twice the meter's noise, and that
// is charged on its plateau: the means on both sides of the step tell the sign. Noise alone
// tells none.
func TestMeansBesideAStepTellTheSign(t *testing.T) {
	log := func(seed uint64, step float64) (v, i column) {
		chance := rand.New(rand.NewPCG(seed, 8))
		for k := range 400 {
			volts, amps := 3.31, 0.0
			if k >= 200 {
				volts, amps = volts+step, -12.59
			}
			v.x = append(v.x, math.Round(100*volts+chance.NormFloat64())/100)
			i.x = append(i.x, math.Round(100*amps+0.5*chance.NormFloat64())/100)
		}
		v.measure(v.x)
		i.measure(i.x)
		return v, i
	}
	told := 0
	const seeds = 100
	for seed := range uint64(seeds) {
		v, i := log(seed, 0)
		assert.Less(t, math.Abs(levelsAtSteps(&v, &i)), float64(levelClear), "seed %d", seed)
		v, i = log(seed, 0.02)
		if yes, strength, _ := signOf(&v, &i); yes && strength >= 1 {
			told++
		}
	}
	assert.GreaterOrEqual(t, told, seeds*9/10)

	v, i := log(0, 0)
	for k := range v.x {
		v.x[k] = 3.25 + 0.25*float64(k/200)
	}
	v.measure(v.x)
	assert.Zero(t, levelsAtSteps(&v, &i), "a digit is what any voltage may go by")
	for k := range v.x {
		v.x[k] += 0.25 * float64(k/200)
	}
	v.x[0] += 0.25 // the digit is what it was
	v.measure(v.x)
	assert.NotZero(t, levelsAtSteps(&v, &i))
}

// A charger that goes on with less current while the voltage rises on: its mean is higher behind
// that step, and tells nothing.
func TestARisingVoltageIsNoStep(t *testing.T) {
	var v, i column
	for k := range 200 {
		v.x = append(v.x, math.Round(100*(13+0.001*float64(k)))/100)
		i.x = append(i.x, 8-4*float64(k/100))
	}
	v.measure(v.x)
	i.measure(i.x)
	assert.Zero(t, levelsAtSteps(&v, &i))
}

// A battery that was used minutes ago rises by itself, while the meter shows its own zero, a digit
// below nought: nothing flows that could tell the sign.
func TestABatteryThatRecoversTellsNoSign(t *testing.T) {
	log := func(amps float64) [][]byte {
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		for k := range 600 {
			lines = append(lines, fmt.Appendf(nil, "%d,%.3f,%.3f", k, 12.22-0.07*math.Exp(-float64(k)/300), amps))
		}
		return lines
	}
	fitted, err := Fit(log(-0.005), Options{})
	require.NoError(t, err)
	assert.NotContains(t, fitted.Setting, "negate")
	assert.False(t, fitted.Told, "what comes behind may tell it")
	fitted, err = Fit(log(-0.5), Options{})
	require.NoError(t, err)
	assert.Contains(t, fitted.Setting, "negate", "this does flow")
}

// A load takes half of the charger's current, which is held to the digit: the voltage steps down with it and
// sinks for a while, and yet the battery is charged.
func TestALoadThatTakesCurrentTurnsNoSign(t *testing.T) {
	lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
	for k := range 900 {
		volts, amps := 6.68, 3.35
		if k >= 150 {
			volts, amps = 6.50+0.06*math.Exp(-float64(k-150)/60), 1.8
		}
		lines = append(lines, fmt.Appendf(nil, "%d,%.2f,%.2f", k, volts, amps))
	}
	fitted, err := Fit(lines, Options{})
	require.NoError(t, err)
	assert.NotContains(t, fitted.Setting, "negate")
	assert.True(t, fitted.Told)
}

// The current does not move a coarse voltmeter as it comes, and when it goes the voltage leaps up by more than
// any battery's resistance could make it: the charger's own, with a lead off.
func TestALeadOffBehindAPlateauTurnsNoSign(t *testing.T) {
	log := func(on, off float64) [][]byte {
		chance := rand.New(rand.NewPCG(3, 5))
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		for k := range 700 {
			volts, amps := 13.25, 0.0
			switch {
			case k >= 400:
				volts = off
			case k >= 200:
				volts, amps = on, 10.3
			}
			lines = append(lines, fmt.Appendf(nil, "%d,%.1f,%.1f", 2*k, volts+0.04*chance.NormFloat64(), amps))
		}
		return lines
	}
	fitted, err := Fit(log(13.3, 15.6), Options{})
	require.NoError(t, err)
	assert.NotContains(t, fitted.Setting, "negate")
	fitted, err = Fit(log(12.6, 13.2), Options{})
	require.NoError(t, err)
	assert.Contains(t, fitted.Setting, "negate", "a load that came and went")
}

// A current that is averaged over seconds lags behind the voltage, by two rows: each step of a charger that
// pulses seems to come after the voltage has answered it.
func TestACurrentThatLagsTellsTheSign(t *testing.T) {
	for _, way := range []float64{1, -1} {
		lines := [][]byte{[]byte("time_s,voltage_V,current_A")}
		for k := range 900 {
			volts, amps := 6.0, 0.0
			if k%100 >= 20 {
				volts = 6.2
			}
			if (k+98)%100 >= 20 {
				amps = 1.95 * way
			}
			lines = append(lines, fmt.Appendf(nil, "%d,%.2f,%.3f", 2*k, volts+0.1*float64(k)/900, amps+0.005*float64(k%3)))
		}
		fitted, err := Fit(lines, Options{})
		require.NoError(t, err)
		assert.Equal(t, way < 0, strings.Contains(fitted.Setting, "negate"), "%g A", way)
		assert.True(t, fitted.Told)
	}
}
