package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// plainly is what the profiler leaves out nothing of: each shape looked at as closely
// as it asks for, each pair worked out to the end.
func plainly(p *profiler) (all profiles, misfit float64) {
	all, misfit = make(profiles, len(slowShapes)), math.Inf(1)
	for k := range all {
		f := &all[k]
		for f.begin(p.span(), &slowShapes[k]); !f.done; {
			p.strongest = belief{log: math.Inf(-1), misfit: math.Inf(1)}
			p.look(f)
		}
		for _, q := range f.list {
			misfit = min(misfit, q.misfit)
		}
	}
	return all, misfit
}

// Four products in one go are to the last bit what each of them is alone.
func TestCrossesAreTheSameInOneGo(t *testing.T) {
	volts, _ := randomRest(1)
	points, under := madeupRest(volts, 90*minute, 1)
	p := newProfiler(newRelaxation(points, under, settledAfter))
	p.column(&p.slow, &slowShapes[2], 5000)
	for k := 0; k < quickSteps; k += 4 {
		for j, sum := range crosses((*[4]column)(p.quick[k:]), &p.slow) {
			assert.Equal(t, p.quick[k+j].cross(&p.slow), sum)
		}
	}
}

// Leaving out what is beyond belief changes nothing that shows, neither where the
// points scatter as they should nor where they scatter more and all is done again.
func TestWhatIsBeyondBeliefHasNoWeight(t *testing.T) {
	for seed := range uint64(30) {
		for _, minutes := range []float64{35, 90, 300} {
			for _, surer := range []float64{1, 10, 1000} {
				volts, _ := randomRest(seed)
				points, under := madeupRest(volts, minutes*minute, seed)
				for k := range points {
					points[k].variance /= surer
				}
				r := newRelaxation(points, under, settledAfter)
				all, misfit := plainly(newProfiler(r))
				less, misfitLess := newProfiler(r).profiles()
				assert.Equal(t, misfit, misfitLess, "seed %d, %g min", seed, minutes)
				x, y := r.average(all), r.average(less)
				assert.Equal(t, x.volts, y.volts, "seed %d, %g min", seed, minutes)
				assert.InDelta(t, x.u, y.u, 1e-12, "seed %d, %g min", seed, minutes)
			}
		}
	}
}
