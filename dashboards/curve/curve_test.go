package curve

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// rows invents a log with noise, peaks, absent readings and uneven steps.
func rows(seed uint64, n int) []Point {
	r := rand.New(rand.NewPCG(seed, 1))
	maybe := func(x float64) float64 {
		if r.IntN(10) == 0 {
			return math.NaN()
		}
		return x
	}
	var list []Point
	t := 0.0
	for range n {
		t += r.ExpFloat64()
		if r.IntN(5000) == 0 {
			t += 40_000 // a hole
		}
		p := Point{
			At:      t,
			Volts:   maybe(12 + 2*(1-math.Exp(-t/9000)) + 0.01*r.NormFloat64()),
			Amps:    maybe(5*math.Exp(-t/9000) + 0.02*r.NormFloat64()),
			Celsius: maybe(18 + t/5000),
		}
		if r.IntN(1000) == 0 {
			p.Volts += 3 * r.NormFloat64()
		}
		list = append(list, p)
	}
	return list
}

func collect(list []Point) *Curve {
	var c Curve
	for _, p := range list {
		c.Add(p.At, p.Volts, p.Amps, p.Celsius)
	}
	return &c
}

// span is the lowest and the highest known value; NaN when there is none.
func span(list []Point, q int) (low, high float64) {
	low, high = math.NaN(), math.NaN()
	for i := range list {
		x := list[i].value(q)
		if math.IsNaN(x) {
			continue
		}
		if math.IsNaN(low) {
			low, high = x, x
		}
		low, high = min(low, x), max(high, x)
	}
	return low, high
}

// checkShape holds a thinned curve against the rows it came from.
func checkShape(t *testing.T, from, got []Point) {
	t.Helper()
	require.NotEmpty(t, got)
	k := 0 // position in got of the first kept point at or after the row
	for _, p := range from {
		for k < len(got) && got[k].At < p.At {
			k++
		}
		// A row that went lies in one stretch with the twelve kept rows or fewer
		// around it, and may not stand out from them.
		near := got[max(0, k-most):min(len(got), k+most)]
		for q := range quantities {
			x := p.value(q)
			if math.IsNaN(x) {
				continue
			}
			low, high := span(near, q)
			require.True(t, low <= x && x <= high, "quantity %d at %g s: %g stands out from %g to %g", q, p.At, x, low, high)
		}
	}
	known := make(map[float64]Point, len(from))
	for _, p := range from {
		known[p.At] = p
	}
	for i, p := range got {
		require.True(t, i == 0 || got[i-1].At < p.At, "order of time at point %d", i)
		q, ok := known[p.At]
		require.True(t, ok, "invented a row at %g s", p.At)
		for k := range quantities {
			a, b := p.value(k), q.value(k)
			require.True(t, a == b || a != a && b != b, "changed a row at %g s", p.At)
		}
	}
}

func TestDownsampleKeepsTheShape(t *testing.T) {
	for seed := range uint64(6) {
		from := rows(seed, 3000+int(seed)*1777)
		for _, n := range []int{12, 40, 300, 2000} {
			got := Downsample(from, n)
			assert.LessOrEqual(t, len(got), n)
			assert.GreaterOrEqual(t, len(got), min(n/3, 12), "room is used")
			checkShape(t, from, got)
		}
	}
}

// A machine of 32 bits thins a long night too.
func TestDownsampleOfManyRows(t *testing.T) {
	from := make([]Point, 200_000)
	for k := range from {
		from[k] = Point{At: float64(k), Volts: float64(k % 7), Amps: 1, Celsius: math.NaN()}
	}
	got := Downsample(from, len(from)/2)
	assert.LessOrEqual(t, len(got), len(from)/2)
	checkShape(t, from, got)
}

func TestCurveKeepsTheShape(t *testing.T) {
	for seed := range uint64(3) {
		from := rows(seed, 30_000+int(seed)*20_000)
		c := collect(from)
		require.LessOrEqual(t, len(c.bins), mostBins)
		checkShape(t, from, c.Points(mostBins*most))
		got := c.Points(2000)
		assert.LessOrEqual(t, len(got), 2000)
		checkShape(t, from, got)
	}
}

// Every bin by itself keeps the lowest and highest, first and last of its rows.
func TestBinsKeepTheirEnds(t *testing.T) {
	from := rows(99, 30_000)
	c := collect(from)
	require.Greater(t, c.width, finest)
	for _, b := range c.bins {
		i, _ := slices.BinarySearchFunc(from, b.key*c.width, func(p Point, at float64) int { return int(math.Copysign(1, p.At-at)) })
		j := i
		for j < len(from) && math.Floor(from[j].At/c.width) == b.key {
			j++
		}
		require.LessOrEqual(t, len(b.rows), 2*most)
		for q := range quantities {
			low, high := span(from[i:j], q)
			a, z := span(b.rows, q)
			require.True(t, low == a && high == z || low != low && a != a, "bin at %g s, quantity %d", b.key*c.width, q)
			require.Equal(t, ends(from[i:j], q), ends(b.rows, q))
		}
	}
}

// ends are the times of the first and the last known value.
func ends(list []Point, q int) [2]float64 {
	e := [2]float64{-1, -1}
	for i := range list {
		if x := list[i].value(q); x == x {
			if e[0] < 0 {
				e[0] = list[i].At
			}
			e[1] = list[i].At
		}
	}
	return e
}

func TestShortLogIsKeptWhole(t *testing.T) {
	from := rows(7, 4000)
	from = slices.DeleteFunc(from, func(p Point) bool { return p.blank() })
	got := collect(from).Points(len(from))
	require.Len(t, got, len(from))
	checkShape(t, from, got)
}

func TestOneSpikeInAWeekStays(t *testing.T) {
	var c Curve
	const week = 7 * 86400
	for s := range week {
		v := 13.6
		if s == 234_567 {
			v = 17.2
		}
		c.Add(float64(s), v, 0.05, math.NaN())
	}
	rowsHeld := 0
	for _, b := range c.bins {
		rowsHeld += cap(b.rows)
	}
	assert.LessOrEqual(t, len(c.bins), mostBins)
	assert.Less(t, rowsHeld*int(unsafe.Sizeof(Point{})), 2<<20, "bytes for 604,800 rows")
	got := c.Points(100)
	_, high := span(got, 0)
	assert.Equal(t, 17.2, high)
	assert.Equal(t, 0.0, got[0].At)
	assert.Equal(t, float64(week-1), got[len(got)-1].At)
}

func TestOddRows(t *testing.T) {
	var c Curve
	nan, inf := math.NaN(), math.Inf(1)
	assert.Empty(t, c.Points(100))
	c.Add(nan, 12, 1, 20)   // no time
	c.Add(inf, 12, 1, 20)   // no time either
	c.Add(5, nan, nan, nan) // nothing measured
	assert.Empty(t, c.Points(100))
	c.Add(10, 12, inf, nan)
	c.Add(4, 15, 1, nan) // the clock ran backwards, the reading counts
	got := c.Points(0)
	require.Len(t, got, 2)
	assert.Equal(t, 12.0, got[0].Volts)
	assert.True(t, math.IsNaN(got[0].Amps), "an overload is no reading")
	assert.Equal(t, Point{At: 10, Volts: 15, Amps: 1}, Point{At: got[1].At, Volts: got[1].Volts, Amps: got[1].Amps})
}

// Times as wild as a broken clock can make them neither hang nor lose a peak.
func TestWildTimes(t *testing.T) {
	var c Curve
	r := rand.New(rand.NewPCG(3, 3))
	t0 := -1e9
	for i := range 20_000 {
		t0 += math.Exp(40 * r.Float64() * r.Float64())
		c.Add(t0, float64(i%977), 0, 0)
	}
	c.Add(math.MaxFloat64, 1000, 0, 0)
	assert.LessOrEqual(t, len(c.bins), mostBins)
	got := c.Points(500)
	low, high := span(got, 0)
	assert.Equal(t, 0.0, low)
	assert.Equal(t, 1000.0, high)
	assert.True(t, slices.IsSortedFunc(got, func(a, b Point) int { return int(math.Copysign(1, a.At-b.At)) }))
}

// Fewer bins hold less, and every peak all the same.
func TestASmallCurve(t *testing.T) {
	from := rows(7, 50_000)
	c := New(64)
	for _, p := range from {
		c.Add(p.At, p.Volts, p.Amps, p.Celsius)
	}
	assert.LessOrEqual(t, len(c.bins), 64)
	assert.Greater(t, len(c.bins), 16)
	checkShape(t, from, c.Points(64*most))
}

// All rows at one time are still one bin.
func TestNoTimePasses(t *testing.T) {
	var c Curve
	for i := range 10_000 {
		c.Add(3, float64(i), 0, math.NaN())
	}
	assert.Len(t, c.bins, 1)
	low, high := span(c.Points(12), 0)
	assert.Equal(t, [2]float64{0, 9999}, [2]float64{low, high})
}

func BenchmarkDownsample(b *testing.B) {
	from := rows(1, 100_000)
	b.ReportAllocs()
	for b.Loop() {
		Downsample(from, 2000)
	}
}

func BenchmarkAdd(b *testing.B) {
	var c Curve
	b.ReportAllocs()
	t := 0.0
	for b.Loop() {
		c.Add(t, 13+0.1*math.Sin(t), 3, 20)
		t++
	}
}

func BenchmarkPoints(b *testing.B) {
	c := collect(rows(1, 200_000))
	for b.Loop() {
		c.Points(2000)
	}
}
