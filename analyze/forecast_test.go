package analyze_test

import (
	"fmt"
	"math"
	"os"
	"sort"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
)

// shares of a charge's length at which its forecast is tried.
var shares = []float64{0.3, 0.5, 0.7, 0.9}

// tried is what a forecast was worth, as shares of the charge's length.
type tried struct {
	err, half float64 // NaN where there was none yet
}

func (t tried) inside() bool { return math.Abs(t.err) <= t.half }

// tryForecasts asks for the forecast of a night at each of the shares.
func tryForecasts(n madeup.Night, o analyze.Options) []tried {
	rows, truth := n.Collect()
	c := truth.Charges[0]
	length := float64(c.FinishS - c.StartS)
	var out []tried
	m, k := analyze.New(o), 0
	for _, share := range shares {
		for ; k < len(rows) && rows[k].At < float64(c.StartS)+share*length; k++ {
			m.Step(rows[k])
		}
		t := tried{math.NaN(), math.NaN()}
		d := m.Document()
		if s := d.Sessions[len(d.Sessions)-1]; s.Forecast != nil {
			t.err = (float64(s.Forecast.FinishS) - float64(c.FinishS)) / length
			t.half = float64(s.Forecast.FinishSU95) / length
		}
		out = append(out, t)
	}
	return out
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	sort.Float64s(x)
	return x[len(x)/2]
}

// nightsBefore lives through two nights of the same battery, once emptier and once
// fuller, and remembers them.
func nightsBefore(n madeup.Night, o analyze.Options) []analyze.Earlier {
	var nights []analyze.Earlier
	for k, shift := range []float64{-0.1, 0.1} {
		e := n
		e.Seed = n.Seed + uint64(k+1)*1000
		e.Battery.StateOfCharge = max(n.Battery.StateOfCharge+shift, 0.02)
		rows, _ := e.Collect()
		for _, s := range live(o, rows).document.Sessions {
			if b, ok := analyze.EarlierOf(&s); ok {
				nights = append(nights, b)
			}
		}
	}
	return nights
}

// TestForecastTable prints how good forecasts are over many made-up nights, by
// chemistry and by how much of the charge is done, and holds them to what is asked:
//
//	go test ./analyze -run TestForecastTable -v
//
// FORECAST_SEEDS=from:to tries other nights.
func TestForecastTable(t *testing.T) {
	from, to := uint64(1), uint64(40)
	if s := os.Getenv("FORECAST_SEEDS"); s != "" {
		_, err := fmt.Sscanf(s, "%d:%d", &from, &to)
		assert.NoError(t, err)
	}
	for _, what := range []string{"the label known", "the label and two earlier nights known"} {
		nights := map[string][][]tried{}
		for seed := from; seed <= to; seed++ {
			n := madeup.Random(seed)
			o := known(n)
			if what != "the label known" {
				o.Earlier = nightsBefore(n, o)
			}
			r := tryForecasts(n, o)
			kind := string(n.Battery.Chemistry)
			if n.Battery.Chemistry.Lead() {
				kind = "lead-acid"
			}
			nights[kind] = append(nights[kind], r)
			nights["all"] = append(nights["all"], r)
		}
		t.Log(what)
		t.Log("| chemistry | done % | nights | forecast given % | median error % | inside its interval % | median half-width % |")
		t.Log("|---|---|---|---|---|---|---|")
		for _, kind := range []string{"lead-acid", "li-ion", "lifepo4", "nimh", "all"} {
			for k, share := range shares {
				s := worthOf(nights[kind], k)
				t.Logf("| %s | %.0f | %d | %.0f | %.1f | %.0f | %.1f |", kind, 100*share, len(nights[kind]), 100*s.given, 100*s.err, 100*s.inside, 100*s.half)
				if kind == "all" {
					assert.Less(t, s.err, asked[k].err, "median error at %.0f %%, %s", 100*share, what)
					assert.Less(t, s.half, asked[k].half, "median half-width at %.0f %%, %s", 100*share, what)
					assert.GreaterOrEqual(t, s.inside, 0.85, "at %.0f %%, %s", 100*share, what)
					assert.Greater(t, s.given, 0.95, "at %.0f %%, %s", 100*share, what)
				}
			}
		}
	}
}

// asked is the least that forecasts must be worth, as shares of the length. Forty
// nights scatter by a fifth about what many have.
var asked = []worth{{err: 0.12, half: 0.36}, {err: 0.07, half: 0.29}, {err: 0.065, half: 0.23}, {err: 0.035, half: 0.10}}

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
	n := night(t, "mower-float")
	rows, truth := n.Collect()
	c := truth.Charges[0]
	assert.Nil(t, forecastAt(known(n), rows, float64(c.StartS)+60), "in the first minutes")
	assert.Nil(t, forecastAt(analyze.Options{}, rows, float64(c.StartS)+hour), "capacity and chemistry unknown")
	assert.NotNil(t, forecastAt(known(n), rows, float64(c.StartS)+hour))
	assert.NotNil(t, forecastAt(analyze.Options{}, rows, (float64(c.HoldS)+float64(c.FinishS))/2), "the taper speaks for itself")
	assert.Nil(t, forecastAt(known(n), rows, float64(c.FinishS)+600), "complete")

	n = trouble(t, "stalled")
	rows, _ = n.Collect()
	assert.NotNil(t, forecastAt(known(n), rows, 1.5*hour))
	assert.Nil(t, forecastAt(known(n), rows, 5*hour), "stalled")
}

// A charger that throttles makes the night longer, and the forecast says why it moved.
func TestForecastSaysWhyItMoved(t *testing.T) {
	n := night(t, "car-flat")
	n.Charger.ThrottleAfter, n.Charger.ThrottleTo = 3*hour, 0.4
	rows, _ := n.Collect()
	first, later := forecastAt(known(n), rows, 3*hour), forecastAt(known(n), rows, 3.9*hour)
	assert.Greater(t, later.FinishS, first.FinishS+3*hour)
	assert.Contains(t, later.Method, "moved from")
	assert.Contains(t, later.Method, "current")
}

// What will have gone in is told too, and comes true.
func TestForecastCharge(t *testing.T) {
	n := night(t, "mower-float")
	rows, truth := n.Collect()
	c := truth.Charges[0]
	f := forecastAt(known(n), rows, (float64(c.HoldS)+float64(c.FinishS))/2)
	full := live(known(n), rows).document.Sessions[0]
	in := 0.0
	for _, s := range full.Stages {
		if s.Stage == analyze.ConstantCurrent || s.Stage == analyze.ConstantVoltage {
			in += float64(s.ChargeAh)
		}
	}
	assert.InEpsilon(t, in, float64(f.ChargeInAh), 0.03)
}
