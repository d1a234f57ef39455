package analyze

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestPausesAtASteadyPaceAreAHabit(t *testing.T) {
	var p pauses
	for k := range 5 {
		_, regular := p.regular(habitPaces)
		assert.Equal(t, k >= 4, regular, "three paces are needed, there were %d pauses", k)
		p.add(1800*float64(k+1), 1800*float64(k+1)+60)
	}
	every, regular := p.regular(habitPaces)
	assert.True(t, regular)
	assert.InDelta(t, 1800, every, 1e-9)
	var f findings
	p.report(&f, Unknown(), false, nil)
	assert.True(t, f.holds(CodePulsed))
	assert.Equal(t, 1800.0, f.first(CodePulsed), "since the first one")
	assert.Contains(t, f.find(CodePulsed).Message, "about every 30 min 00 s, 5 times so far, the longest for 1 min 00 s")
}

// A pause of two rows is seen or not as it falls between them.
func TestPausesOfWhichSomeAreMissedAreAHabit(t *testing.T) {
	chance := rand.New(rand.NewPCG(3, 7))
	var p pauses
	for k := range 100 {
		if at := 60*float64(k) + 2*chance.Float64(); chance.Float64() < 0.6 {
			p.add(at, at+6)
		}
	}
	every, regular := p.regular(habitPaces)
	assert.True(t, regular)
	assert.InDelta(t, 60, every, 1)
}

// Nobody would pull a plug so often, but whoever does keeps no time.
func TestPausesByChanceAreNoHabit(t *testing.T) {
	for seed := range uint64(200) {
		chance := rand.New(rand.NewPCG(seed, 7))
		var p pauses
		at := 0.0
		for range 60 {
			at += 600 * chance.ExpFloat64()
			p.add(at, at+6)
		}
		_, regular := p.regular(habitPaces)
		assert.False(t, regular, "seed %d", seed)
	}
}

func TestPausesNowAndThenAreInterruptions(t *testing.T) {
	var p pauses
	for _, at := range []float64{100, 130, 9000, 9100, 30000} {
		p.add(at, at+20)
	}
	_, regular := p.regular(habitPaces)
	assert.False(t, regular)
	var f findings
	p.report(&f, Unknown(), false, nil)
	assert.Contains(t, f.find(CodeInterrupted).Message, "5 times, first at 1 min 40 s, for 1 min 40 s in all")
	assert.False(t, f.holds(CodePulsed))
}

func TestOnePauseIsOnce(t *testing.T) {
	var p pauses
	var f findings
	p.report(&f, Unknown(), false, nil)
	assert.Empty(t, f.list, "none is not worth a word")
	p.add(100, 820)
	p.report(&f, Unknown(), false, nil)
	assert.Contains(t, f.find(CodeInterrupted).Message, "once, first at 1 min 40 s, for 12 min 00 s in all")
}

// A charger that stops for a moment and then holds a float has stepped down; that is
// no interruption.
func TestPauseAtTheStepDownIsPartOfIt(t *testing.T) {
	var p pauses
	p.add(20000, 20060)
	var f findings
	p.report(&f, 20010, false, nil)
	assert.Empty(t, f.list)
	p.report(&f, 40000, false, nil)
	assert.Equal(t, 20000.0, f.first(CodeInterrupted), "long before the charge was complete it is one")
}
