package analyze

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	quadrature "gonum.org/v1/gonum/integrate"
)

// curve is a current sampled at some moments.
type curve struct{ t, amps []float64 }

func sampled(f func(t float64) float64, from, to float64, intervals int) curve {
	var c curve
	for k := range intervals + 1 {
		t := from + (to-from)*float64(k)/float64(intervals)
		c.t, c.amps = append(c.t, t), append(c.amps, f(t))
	}
	return c
}

// coulombs is what the integrator makes of a curve, row after row as the machine does.
func (c curve) coulombs(volts float64) (sum totals) {
	var w window
	var iv interval
	for k := range c.t {
		*w.next() = row{t: c.t[k], v: volts, i: c.amps[k]}
		if w.ready() {
			w.take(&iv)
			sum.integrate(&iv, 0, 0)
		}
	}
	for w.flush(&iv) {
		sum.integrate(&iv, 0, 0)
	}
	return sum
}

// integrated is one interval alone.
func integrated(iv *interval, band, noise float64) (t totals) {
	t.integrate(iv, band, noise)
	return t
}

// Trapezoid sums of exp(-x^2) on [0,1] and their bounds b^3 max|f”|/(12 n^2), with
// max|f”| = 2: the bound and the maximum from a published lecture (reference,
// section 11, M1), the sums derived by arithmetic.
func TestBellIsIntegratedAsPublished(t *testing.T) {
	const exact = 0.746824132812427
	for _, row := range []struct {
		n          int
		sum, bound float64
	}{
		{2, 0.7313702518, 4.167e-2},
		{4, 0.7429840978, 1.042e-2},
		{8, 0.7458656148, 2.604e-3},
		{16, 0.7465845968, 6.510e-4},
		{32, 0.7467642547, 1.628e-4},
	} {
		got := sampled(func(x float64) float64 { return math.Exp(-x * x) }, 0, 1, row.n).coulombs(1).in
		assert.InDelta(t, row.sum, got, 5e-11, "n = %d", row.n)
		assert.Less(t, math.Abs(got-exact), row.bound, "n = %d", row.n)
		assert.InDelta(t, 2/(12*float64(row.n*row.n)), row.bound, row.bound*1e-3, "the bound's own formula")
	}
}

// exp(x) on [0,1], exact e - 1 (reference, section 11, derived).
func TestExponentialIsIntegratedAsPublished(t *testing.T) {
	for n, sum := range map[int]float64{4: 1.7272219046, 8: 1.7205185922, 16: 1.7188411286} {
		c := sampled(math.Exp, 0, 1, n)
		assert.InDelta(t, sum, c.coulombs(1).in, 5e-11, "n = %d", n)
	}
}

// The charge-shaped table: 5 A exp(-t/1 h) over 4 h, exact 4.908421806 Ah. The
// trapezoid's relative error is h^2/(12 tau^2), positive (reference, section 11,
// derived).
func TestTailIsIntegratedAsTheTableSays(t *testing.T) {
	const exact = 4.908421806
	for _, row := range []struct{ step, ampHours, relative float64 }{
		{900, 4.933959912, 5.203e-3},
		{300, 4.911261999, 5.786e-4},
		{60, 4.908535426, 2.315e-5},
		{10, 4.908424962, 6.430e-7},
	} {
		tail := sampled(func(t float64) float64 { return 5 * math.Exp(-t/3600) }, 0, 4*3600, int(4*3600/row.step))
		sum := tail.coulombs(14.40)
		got := ampHours(sum.in)
		assert.InDelta(t, row.ampHours, got, 5e-10, "step of %.0f s", row.step)
		assert.InDelta(t, row.relative, got/exact-1, row.relative*2e-3, "step of %.0f s", row.step)
		assert.InDelta(t, 14.40*got, sum.energy/3600, 1e-9, "energy at 14.40 V")
	}
	whole := sampled(func(t float64) float64 { return 5 * math.Exp(-t/3600) }, 0, 4*3600, 1440)
	assert.InDelta(t, 34.90842, 6*5+ampHours(whole.coulombs(14.4).in), 5e-6, "with 6 h at 5 A before it")
	assert.InDelta(t, 70.68127, whole.coulombs(14.4).energy/3600, 1e-4, "Wh")
}

// Rows at 0, 60, 120, 180, 600, 660 s: 2922.0 A s = 0.811667 Ah (reference, section
// 11, by trapezoids). The seven minutes without a row from 180 to 600 s are so
// much longer than the usual interval that the falling current is taken along an
// exponential there: 2.9 A s less, 0.1 % of the sum.
func TestIrregularRowsAreIntegrated(t *testing.T) {
	c := curve{[]float64{0, 60, 120, 180, 600, 660}, []float64{5.0, 5.0, 4.8, 4.6, 4.0, 4.0}}
	require.InDelta(t, 2922.0, referee(c), 1e-9, "what the reference says")
	seldom := (4.6-4.0)/math.Log(4.6/4.0)*420 - (4.6+4.0)/2*420
	assert.InDelta(t, -2.93, seldom, 0.01)
	assert.InDelta(t, 2922.0+seldom, c.coulombs(14).in, 1e-9)

	usual := curve{[]float64{0, 60, 120, 180, 240, 300}, []float64{5.0, 5.0, 4.8, 4.6, 4.0, 4.0}}
	assert.InDelta(t, referee(usual), usual.coulombs(14).in, 1e-9)
	assert.InDelta(t, 0.811667, ampHours(2922.0), 5e-7)
}

func referee(c curve) float64 { return quadrature.Trapezoidal(c.t, c.amps) }

// A neutral referee for curves drawn by chance: the numerical library's own
// trapezoid over rows that come at an even but unsteady pace.
func TestSmoothCurvesAgreeWithTheNumericalLibrary(t *testing.T) {
	for seed := range uint64(50) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			r := rand.New(rand.NewPCG(seed, 1))
			var c curve
			at := 0.0
			for range 3 + r.IntN(400) {
				c.t = append(c.t, at)
				c.amps = append(c.amps, 5+2*math.Sin(at/300+float64(seed)))
				at += 5 + r.Float64()
			}
			assert.InEpsilon(t, referee(c), c.coulombs(12).in, 1e-12)
		})
	}
}

func TestChargeAndDischargeAreKeptApart(t *testing.T) {
	// Along a straight line from 9 A in to 3 A out the current crosses zero after
	// three quarters of the time. The band is so wide that this counts as noise
	// about a falling current, not as a step.
	var line totals
	iv := interval{a: &row{t: 0, v: 14, i: 9}, b: &row{t: 8, v: 12, i: -3}, dt: 8, usual: 8}
	line.split(&iv, 9, -3, 10)
	assert.Equal(t, 9*6/2.0, line.in)
	assert.Equal(t, 3*2/2.0, line.out)
	assert.Equal(t, 27*14.0, line.energy)

	step := interval{a: &row{t: 0, v: 14, i: 10}, b: &row{t: 8, v: 12, i: -4}, dt: 8, usual: 8}
	got := integrated(&step, 0.01, 0)
	assert.Equal(t, 10*4.0, got.in, "half of the time, since the moment of the step is not known")
	assert.Equal(t, 4*4.0, got.out)
	assert.Equal(t, 10*4.0*14, got.energy)

	back := interval{a: &row{t: 0, v: 12, i: -4}, b: &row{t: 8, v: 14, i: 10}, dt: 8, usual: 8}
	got = integrated(&back, 0.01, 0)
	assert.Equal(t, 10*4.0, got.in)
	assert.Equal(t, 4*4.0, got.out)
	assert.Equal(t, 10*4.0*14, got.energy)
}

// What is drawn at 3 A for an hour is 3 Ah out, and nothing in.
func TestDischargeCountsOutwards(t *testing.T) {
	sum := sampled(func(float64) float64 { return -3 }, 0, 3600, 60).coulombs(12)
	assert.Equal(t, 3.0, ampHours(sum.out))
	assert.Zero(t, sum.in)
	assert.Zero(t, sum.energy)
	assert.Zero(t, sum.onTime)
}

// Loggers that tick every minute and write one row more when something is
// switched: that row tells which side of it the current was on.
func TestRowWrittenBecauseOfAStepTellsWhenItFell(t *testing.T) {
	for _, c := range []struct {
		name string
		t    []float64
		amps []float64
		want float64 // C
	}{
		{"old current's last row at 200 s, off the beat: the new one flowed from then",
			[]float64{0, 60, 120, 180, 200, 260, 320, 380}, []float64{0, 0, 0, 0, 0, 5, 5, 5}, 5 * 180},
		{"new current's first row at 200 s, off the beat: the old one flowed until then",
			[]float64{0, 60, 120, 180, 200, 260, 320, 380}, []float64{5, 5, 5, 5, 0, 0, 0, 0}, 5 * 200},
		{"on the beat: anywhere between, so half",
			[]float64{0, 60, 120, 180, 240, 300, 360, 420}, []float64{0, 0, 0, 0, 5, 5, 5, 5}, 5 * (30 + 180)},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.InDelta(t, c.want, curve{c.t, c.amps}.coulombs(12).in, 1e-9)
		})
	}
}

func TestWhatIsPutInBetweenRowsIsUncertain(t *testing.T) {
	iv := interval{a: &row{t: 0, i: 0}, b: &row{t: 60, i: 3}, dt: 60, usual: 60}
	got := integrated(&iv, 0.01, 0)
	assert.InDelta(t, 3*60/math.Sqrt(12), math.Sqrt(got.variance), 1e-9, "a step somewhere in a minute: rectangular over 180 A s")
	iv = interval{a: &row{t: 0, i: 3}, b: &row{t: 60, i: 3}, dt: 60, usual: 60}
	got = integrated(&iv, 0.01, 0.02)
	assert.InDelta(t, 0.02*60, math.Sqrt(got.variance), 1e-9, "noise alone")
	assert.Equal(t, 60.0, got.onTime)
}

// A ramp of 6 A within a row, seen by two meters whose readings lie up to 2 s
// apart: the charge moves by 6 A * 2 s at most, a rectangular spread.
func TestTheSkewOfTwoMetersSpreadsWhatAChangeBrings(t *testing.T) {
	iv := &interval{a: &row{i: 10, v: 12}, b: &row{t: 10, i: 16, v: 12, skew: 2}, dt: 10, usual: 10}
	assert.InDelta(t, 6*2/math.Sqrt(3), math.Sqrt(integrated(iv, 0.1, 0).variance), 1e-9)
	iv.a.i = 16
	assert.Zero(t, integrated(iv, 0.1, 0).variance, "a steady current is the same a moment later")
}
