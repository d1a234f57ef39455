package plan

import (
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

var temperatures = []float64{0, 10, 20, 25, 30, 40}

func TestAbsorptionVoltage(t *testing.T) {
	for c, volts := range map[analyze.Chemistry][]float64{
		analyze.LeadGel:     {15.15, 14.85, 14.55, 14.40, 14.25, 13.95}, // a gel maker's 2.40 V and -5 mV/K
		analyze.LeadAGM:     {15.00, 14.76, 14.52, 14.40, 14.28, 14.04}, // -4 mV/K
		analyze.LeadFlooded: {15.00, 14.76, 14.52, 14.40, 14.28, 14.04},
	} {
		for i, celsius := range temperatures {
			v, ok := absorptionPerCell(c, celsius)
			require.True(t, ok)
			assert.InDelta(t, volts[i], 6*v, 0.005, "%s %g C", c, celsius)
		}
	}
	v, ok := absorptionPerCell(analyze.LiFePO4, 25)
	require.True(t, ok)
	assert.InDelta(t, 14.60, 4*v, 1e-9, "a cell's data sheet, times four")
	v, _ = absorptionPerCell(analyze.LiIon, 40)
	assert.Equal(t, 4.20, v)
	_, ok = absorptionPerCell(analyze.NiMH, 25)
	assert.False(t, ok)
	cold, _ := absorptionPerCell(analyze.LeadGel, -30)
	assert.InDelta(t, 15.15, 6*cold, 1e-9, "no table goes below 0 C")
}

func TestFloatVoltage(t *testing.T) {
	for c, volts := range map[analyze.Chemistry][]float64{
		analyze.LeadGel:     {2.325, 2.295, 2.265, 2.250, 2.235, 2.205}, // a published formula from two vendors' data
		analyze.LeadAGM:     {2.345, 2.315, 2.285, 2.270, 2.255, 2.225},
		analyze.LeadFlooded: {13.95 / 6, 13.77 / 6, 13.59 / 6, 13.50 / 6, 13.41 / 6, 13.23 / 6},
	} {
		for i, celsius := range temperatures {
			v, ok := floatPerCell(c, celsius)
			require.True(t, ok)
			assert.InDelta(t, volts[i], v, 0.0005, "%s %g C", c, celsius)
		}
	}
	for _, c := range []analyze.Chemistry{analyze.LiIon, analyze.LiFePO4, analyze.NiMH, analyze.NiCd} {
		_, ok := floatPerCell(c, 25)
		assert.False(t, ok, c)
	}
}

func TestCellsFor(t *testing.T) {
	for _, c := range []struct {
		kind  analyze.Chemistry
		volts float64
		want  int
	}{
		{analyze.LeadAGM, 12, 6}, {analyze.LeadAGM, 6, 3}, {analyze.LeadFlooded, 24, 12}, {analyze.LiFePO4, 12.8, 4}, {analyze.LiFePO4, 12, 4}, {analyze.LiFePO4, 24, 8}, {analyze.LiFePO4, 25.6, 8}, {analyze.LiFePO4, 48, 15},
		{analyze.LiIon, 3.7, 1}, {analyze.LiIon, 11.1, 3}, {analyze.LiIon, 36, 10}, {analyze.NiMH, 7.2, 6}, {analyze.NiCd, 1.2, 1},
	} {
		n, err := cellsFor(c.kind, c.volts)
		require.NoError(t, err)
		assert.Equal(t, c.want, n, "%s %g V", c.kind, c.volts)
	}
	for _, c := range []struct {
		kind  analyze.Chemistry
		volts float64
	}{{analyze.LiFePO4, 23.9}, {analyze.LiIon, 12}, {analyze.LeadAGM, 13}, {analyze.NiMH, 0.3}} {
		_, err := cellsFor(c.kind, c.volts)
		assert.ErrorContains(t, err, "give the cells", "%s %g V", c.kind, c.volts)
	}
}

func TestCurrentShares(t *testing.T) {
	for _, c := range []struct {
		kind            analyze.Chemistry
		celsius         float64
		gentle, fastest float64
	}{
		{analyze.LeadFlooded, 25, 0.1, 0.3},
		{analyze.LeadAGM, 25, 0.1, 0.3},
		{analyze.LeadGel, 25, 0.1, 0.2}, // a data sheet: 20 % of C at most
		{analyze.LiIon, 25, 0.2, 1.0},   // a cell maker: at most 1 C
		{analyze.LiFePO4, 5, 0.2, 0.2},  // a guide: at most 0.2 C from 0 to 10 C
		{analyze.NiMH, 20, 0.1, 1.0},    // a racing body: 1 C at most
		{analyze.NiMH, 0, 0.1, 0.1},     // fast charge from 5 to 45 C only
		{analyze.NiCd, 46, 0.1, 0.1},
	} {
		gentle, fastest, reasons := currentShares(c.kind, c.celsius)
		assert.Equal(t, c.gentle, gentle, c)
		assert.Equal(t, c.fastest, fastest, c)
		for _, r := range reasons {
			assert.NotEmpty(t, r.Source, c)
		}
	}
	assert.InDelta(t, 4, 200*tailShare(analyze.LeadAGM), 1e-9, "4 A of 200 Ah, published")
	assert.InDelta(t, 15.2, 304*tailShare(analyze.LiFePO4), 1e-9, "a 304 Ah cell's sheet")
}

// "A flat lead-acid battery at a tenth takes 12 to 20 h": common practice.
func TestHoursOfAFlatLeadBattery(t *testing.T) {
	h := hoursFor(analyze.LeadFlooded, bounds{60 * ampereHour, 60 * ampereHour}, 1, 6)
	assert.InDelta(t, 11.5, h.Low/hour, 1e-9)
	assert.InDelta(t, 19.07, h.High/hour, 0.01) // 7 h + (0.6/0.08) h ln 5
	assert.Equal(t, "12 to 20 h", spokenHours(h))
	assert.Equal(t, 20*hour, timerFor(h))
	for _, c := range []analyze.Chemistry{analyze.LeadAGM, analyze.LeadGel} {
		sealed := hoursFor(c, bounds{60 * ampereHour, 60 * ampereHour}, 1, 6)
		assert.True(t, sealed.Low > 10*hour && sealed.High < 20*hour, c)
	}
	// Half flat at 10 A: a car handbook's rule 1.6 Ah x share / A gives 8.0 h for
	// 60 Ah and 6 A.
	half := hoursFor(analyze.LeadFlooded, bounds{60 * ampereHour, 60 * ampereHour}, 0.5, 6)
	assert.True(t, half.Low < 8*hour && 8*hour < half.High)
	// IEC 61951-2: 0.1 It for 16 h.
	nickel := hoursFor(analyze.NiMH, bounds{2 * ampereHour, 2 * ampereHour}, 1, 0.2)
	assert.InDelta(t, 16, nickel.High/hour, 1e-9)
}

func TestHoursAreOrderedEverywhere(t *testing.T) {
	for _, c := range analyze.Chemistries() {
		for _, depth := range []float64{0.01, 0.1, 0.3, 0.5, 1} {
			for _, share := range []float64{0.005, 0.019, 0.021, 0.05, 0.051, 0.1, 0.3, 1} {
				h := hoursFor(c, bounds{10 * ampereHour, 10 * ampereHour}, depth, share*10)
				assert.True(t, h.Low > 0 && h.Low <= h.High*(1+1e-9) && analyze.Known(h.High), "%s %g %g: %v", c, depth, share, h)
			}
		}
	}
}

func TestTimerWarning(t *testing.T) {
	long := bounds{12 * hour, 19.1 * hour}
	assert.Contains(t, timerWarning(long, analyze.Unknown()), "2 h by default")
	assert.Contains(t, timerWarning(long, 10*hour), "10 h ends before the charge, which may take 12 to 20 h: set it to 20 h")
	assert.Empty(t, timerWarning(long, 24*hour))
	assert.Empty(t, timerWarning(bounds{hour, 1.5 * hour}, analyze.Unknown()))
	assert.Equal(t, "1 to 1.5 h", spokenHours(bounds{hour, 1.5 * hour}))
	assert.Equal(t, "about 2 h", spokenHours(bounds{1.8 * hour, 2 * hour}))
	assert.Equal(t, 78*ampereHour, cutOffFor(bounds{69 * ampereHour, 60 * ampereHour * 1.3}))
}

// A cut-off is never lower than what is needed, nor a tenth above it, and has no more
// digits than it was rounded to.
func TestCutOffIsRoundedUpFinelyEnough(t *testing.T) {
	for needed, want := range map[float64]float64{3.15: 3.2, 1.344: 1.4, 0.48: 0.48, 0.481: 0.49, 0.064: 0.064, 10.01: 11, 1234.2: 1235} {
		assert.InDelta(t, want, cutOffFor(bounds{0, needed * ampereHour})/ampereHour, 1e-9, "%g Ah", needed)
	}
	for needed := 0.0105; needed < 300; needed *= 1.013 {
		told := float64(roundAmpereHours(cutOffFor(bounds{0, needed * ampereHour})))
		assert.GreaterOrEqual(t, told, needed)
		assert.LessOrEqual(t, told, 1.1*needed)
		assert.LessOrEqual(t, len(strconv.FormatFloat(told, 'f', -1, 64)), len("0.011"), "%g Ah", needed)
	}
}

// IEC 60228:2004 classes 5 and 6, plain; 2 x 1.5 m, 10 A.
func TestLeads(t *testing.T) {
	for area, want := range map[float64]float64{1.5: 39.90, 2.5: 23.94, 4: 14.85, 6: 9.90, 10: 5.73, 16: 3.63} {
		loop := leadLoop(1.5, area*1e-6, 20)
		assert.InDelta(t, want, loop*1e3, 0.01, "mohm at %g mm2", area)
		assert.InDelta(t, want*10, leadDrop(loop, 10)*1e3, 0.1, "mV at %g mm2", area)
	}
	for celsius, kt := range map[float64]float64{5: 1.0638, 10: 1.0417, 15: 1.0204, 25: .9804, 30: .9615, 40: .9259, 50: .8929, 70: .8333, 100: .7576} {
		assert.InDelta(t, kt, leadTemperatureFactor(celsius), 0.0001)
	}
	for celsius, kt := range map[float64]float64{5: 1.064, 10: 1.042, 15: 1.020, 25: 0.980, 30: 0.962, 40: 0.926, 50: 0.893, 70: 0.833, 100: 0.758} {
		assert.InDelta(t, kt, leadTemperatureFactor(celsius), 0.0006, "the standard's own table")
	}
	assert.InDelta(t, leadLoop(1, 2.5e-6, 20)*2.5/3, leadLoop(1, 3e-6, 20), 1e-12, "between sizes the smaller one scaled")
	pure := 2 * 17.241e-3 / 2.5
	assert.Greater(t, leadLoop(1, 2.5e-6, 20), pure, "the standard allows a little more than pure copper")
	assert.InEpsilon(t, pure, leadLoop(1, 2.5e-6, 20), 0.2)
}
