package analyze_test

import (
	"fmt"
	"math"
	"os"
	"runtime"
	"slices"
	"sort"
	"strings"
	"sync"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shares of a charge's length at which its forecast is tried.
var shares = []float64{0.3, 0.5, 0.7, 0.9}

// tried is what a forecast was worth, as shares of the charge's length.
type tried struct {
	err, half float64 // NaN where there was none yet
}

func (t tried) inside() bool { return math.Abs(t.err) <= t.half }

func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	sort.Float64s(x)
	return x[len(x)/2]
}

// forecastNight is a night whose end is known, of one of two models of batteries.
type forecastNight struct {
	label         analyze.Options
	rows          []analyze.Sample
	start, finish float64 // s
}

// model makes nights by a seed, the battery so much fuller than the dice say.
type model struct {
	name string
	make func(seed uint64, shift float64) forecastNight
}

var models = []model{{"made-up nights", madeUpNight}, {"the second model", otherRandom}}

func madeUpNight(seed uint64, shift float64) forecastNight {
	n := madeup.Random(seed)
	label := known(n)
	if shift != 0 {
		n.Battery.StateOfCharge = max(n.Battery.StateOfCharge+shift, 0.02)
		n.Seed += uint64(10_000 * (1 + shift))
	}
	rows, truth := n.Collect()
	return forecastNight{label, rows, float64(truth.Charges[0].StartS), float64(truth.Charges[0].FinishS)}
}

// try asks for the forecast of a night at each of the shares.
func (n *forecastNight) try(earlier []analyze.Earlier) []tried {
	o := n.label
	o.Earlier = earlier
	length := n.finish - n.start
	var out []tried
	m, k := analyze.New(o), 0
	for _, share := range shares {
		for ; k < len(n.rows) && n.rows[k].At < n.start+share*length; k++ {
			m.Step(n.rows[k])
		}
		t := tried{math.NaN(), math.NaN()}
		d := m.Document()
		if s := d.Sessions[len(d.Sessions)-1]; s.Forecast != nil {
			t.err = (float64(s.Forecast.FinishS) - n.finish) / length
			t.half = float64(s.Forecast.FinishSU95) / length
		}
		out = append(out, t)
	}
	return out
}

// before lives through two nights of the same battery, once much emptier and once much
// fuller, and remembers them.
func (m *model) before(seed uint64) []analyze.Earlier {
	var nights []analyze.Earlier
	for _, shift := range []float64{-0.25, 0.25} {
		n := m.make(seed, shift)
		for _, s := range run(n.label, n.rows).Sessions {
			if b, ok := analyze.EarlierOf(&s, slices.Values(n.rows)); ok {
				nights = append(nights, b)
			}
		}
	}
	return nights
}

// nightsOf tries many nights, as many at a time as there are processors.
func (m *model) nightsOf(from, to uint64, earlier bool) map[string][][]tried {
	var guard sync.Mutex
	var all sync.WaitGroup
	nights, slots := map[string][][]tried{}, make(chan bool, runtime.GOMAXPROCS(0))
	for seed := from; seed <= to; seed++ {
		slots <- true
		all.Go(func() {
			defer func() { <-slots }()
			n := m.make(seed, 0)
			var before []analyze.Earlier
			if earlier {
				before = m.before(seed)
			}
			r, kind := n.try(before), family(n.label.Chemistry)
			guard.Lock()
			defer guard.Unlock()
			nights[kind], nights["all"] = append(nights[kind], r), append(nights["all"], r)
		})
	}
	all.Wait()
	return nights
}

// TestForecastTable prints how good forecasts are over many nights of two models of
// batteries, by chemistry and by how much of the charge is done, and holds them to
// what is asked:
//
//	go test ./analyze -run TestForecastTable -v
//
// FORECAST_SEEDS=from:to tries other nights.
func TestForecastTable(t *testing.T) {
	from, to := uint64(1), uint64(40)
	if s := os.Getenv("FORECAST_SEEDS"); s != "" {
		_, err := fmt.Sscanf(s, "%d:%d", &from, &to)
		require.NoError(t, err)
	}
	t.Log("| nights of | known | chemistry | nights | median error % | inside its interval % | median half-width % |")
	t.Log("|---|---|---|---|---|---|---|")
	var all [][]tried
	for _, what := range []string{"label", "label, two nights"} {
		for _, m := range models {
			nights := m.nightsOf(from, to, what != "label")
			for _, kind := range []string{"lead", "li-ion", "lifepo4", "nickel", "all"} {
				row(t, m.name, what, kind, nights[kind])
			}
			for k := range shares {
				asked[what][k].hold(t, worthOf(nights["all"], k), m.name, what)
			}
			all = append(all, nights["all"]...)
		}
	}
	row(t, "both models", "label; two nights in half of them", "all", all)
	for k := range shares {
		aims[k].hold(t, worthOf(all, k), "both models", "first nights and later ones")
	}
}

// aims are what many different nights are to be worth.
var aims = []worth{{err: 0.12, half: 0.36}, {err: 0.06, half: 0.27}, {err: 0.04, half: 0.20}, {err: 0.015, half: 0.08}}

// row prints what forecasts were worth at the four moments.
func row(t *testing.T, model, what, kind string, nights [][]tried) {
	var err, inside, half []string
	for k := range shares {
		w := worthOf(nights, k)
		err = append(err, fmt.Sprintf("%.1f", 100*w.err))
		inside = append(inside, fmt.Sprintf("%.0f", 100*w.inside))
		half = append(half, fmt.Sprintf("%.1f", 100*w.half))
	}
	t.Logf("| %s | %s | %s | %d | %s | %s | %s |", model, what, kind, len(nights), strings.Join(err, " / "), strings.Join(inside, " / "), strings.Join(half, " / "))
}

// asked is the least that forecasts must be worth, as shares of the length: forty
// nights scatter by a third about what many have.
var asked = map[string][]worth{
	"label":             {{err: 0.12, half: 0.36}, {err: 0.09, half: 0.28}, {err: 0.08, half: 0.20}, {err: 0.035, half: 0.085}},
	"label, two nights": {{err: 0.08, half: 0.20}, {err: 0.05, half: 0.16}, {err: 0.04, half: 0.13}, {err: 0.02, half: 0.08}},
}

func (a *worth) hold(t *testing.T, w worth, model, what string) {
	t.Helper()
	assert.Less(t, w.err, a.err, "median error, %s, %s", model, what)
	assert.Less(t, w.half, a.half, "median half-width, %s, %s", model, what)
	assert.GreaterOrEqual(t, w.inside, 0.85, "%s, %s", model, what)
	assert.Greater(t, w.given, 0.95, "%s, %s", model, what)
}

// worth is what forecasts at one moment were worth, over many nights.
type worth struct{ given, err, inside, half float64 }

func worthOf(nights [][]tried, k int) worth {
	var errs, halves []float64
	var w worth
	for _, n := range nights {
		x := n[k]
		if math.IsNaN(x.err) {
			continue
		}
		errs, halves = append(errs, math.Abs(x.err)), append(halves, x.half)
		if x.inside() {
			w.inside++
		}
	}
	w.given, w.inside = float64(len(errs))/float64(len(nights)), w.inside/float64(len(errs))
	w.err, w.half = median(errs), median(halves)
	return w
}

// forecastAt is the forecast of a script's rows up to a time, s.
func forecastAt(o analyze.Options, rows []analyze.Sample, until float64) *analyze.Forecast {
	m := analyze.New(o)
	for _, s := range rows {
		if s.At < until {
			m.Step(s)
		}
	}
	d := m.Document()
	return d.Sessions[len(d.Sessions)-1].Forecast
}

// Not yet is an answer: nothing to go by, nothing flowing, nothing to wait for.
func TestForecastNotYet(t *testing.T) {
	n := madeup.Named("mower-float")
	rows, truth := n.Collect()
	c := truth.Charges[0]
	assert.Nil(t, forecastAt(known(n), rows, float64(c.StartS)+60), "in the first minutes")
	assert.Nil(t, forecastAt(analyze.Options{}, rows, float64(c.StartS)+anHour), "capacity and chemistry unknown")
	assert.NotNil(t, forecastAt(known(n), rows, float64(c.StartS)+anHour))
	assert.NotNil(t, forecastAt(analyze.Options{}, rows, (float64(c.HoldS)+float64(c.FinishS))/2), "the taper speaks for itself")
	assert.Nil(t, forecastAt(known(n), rows, float64(c.FinishS)+600), "complete")

	n = madeup.Named("stalled")
	rows, _ = n.Collect()
	assert.NotNil(t, forecastAt(known(n), rows, 1.5*anHour))
	assert.Nil(t, forecastAt(known(n), rows, 5*anHour), "stalled")
}

// A charger without a regulator gives less as the voltage climbs. On the plateau of LiFePO4
// both go so slowly that it looks like the beginning of a taper, at a voltage that no charger
// holds: the battery still needs what it needs. Where a charger would hold it, it tapers.
func TestForecastOfASaggingCharger(t *testing.T) {
	o := analyze.Options{Chemistry: analyze.LiFePO4, Cells: 4, Capacity: 30 * anHour}
	night := func(up float64) []analyze.Sample {
		return script(10, idle(600, 13.0), ramp(1800, 13.1+up, 13.25+up, 8, 8), ramp(1.5*anHour, 13.25+up, 13.27+up, 8, 7))
	}
	for up, least := range map[float64]float64{0: 1.0, 0.95: 0} {
		now := 600 + 1.9*anHour
		f := forecastAt(o, night(up), now)
		require.NotNil(t, f, "%.2f V higher", up)
		assert.Greater(t, float64(f.FinishS)-now, least*anHour, "%.2f V higher", up)
		assert.Equal(t, up > 0, strings.Contains(f.Method, "taper"), "%.2f V higher: %s", up, f.Method)
	}
}

// A charger that throttles makes the night longer, and the forecast says why it moved.
func TestForecastSaysWhyItMoved(t *testing.T) {
	n := madeup.Named("car-flat")
	n.Charger.ThrottleAfter, n.Charger.ThrottleTo = 3*anHour, 0.4
	rows, _ := n.Collect()
	first, later := forecastAt(known(n), rows, 3*anHour), forecastAt(known(n), rows, 3.9*anHour)
	assert.Greater(t, later.FinishS, first.FinishS+3*anHour)
	assert.Contains(t, later.Method, "moved from")
	assert.Contains(t, later.Method, "current")
}

// However sure a forecast has become, one that then lies far outside of its interval says
// why: it is held to the surest before it, not only to the first.
func TestForecastNeverJumpsUntold(t *testing.T) {
	jumps := 0
	for _, m := range models {
		for seed := uint64(16); seed <= 30; seed++ {
			n := m.make(seed, 0)
			a := analyze.New(n.label)
			var before *analyze.Forecast
			asked := n.start
			for _, r := range n.rows {
				if a.Step(r); r.At < asked {
					continue
				}
				asked = r.At + 0.02*(n.finish-n.start)
				d := a.Document()
				f := d.Sessions[len(d.Sessions)-1].Forecast
				if f != nil && before != nil && math.Abs(float64(f.FinishS-before.FinishS)) > 1.5*float64(before.FinishSU95) {
					jumps++
					assert.Contains(t, f.Method, "moved from", "%s, %d, at %.0f s, after %+v", m.name, seed, r.At, before)
				}
				before = f
			}
		}
	}
	assert.NotZero(t, jumps, "none of these nights has a jump to tell of")
}

// What will have gone in is told too, and comes true.
func TestForecastCharge(t *testing.T) {
	n := madeup.Named("mower-float")
	rows, truth := n.Collect()
	c := truth.Charges[0]
	f := forecastAt(known(n), rows, (float64(c.HoldS)+float64(c.FinishS))/2)
	full := run(known(n), rows).Sessions[0]
	in := 0.0
	for _, s := range full.Stages {
		if s.Stage == analyze.ConstantCurrent || s.Stage == analyze.ConstantVoltage {
			in += float64(s.ChargeAh)
		}
	}
	assert.InEpsilon(t, in, float64(f.ChargeInAh), 0.03)
}
