package analyze

import (
	"fmt"
	"math"
)

// pauses counts the times that current stopped and went on within one charge.
type pauses struct {
	count        int
	seconds      float64 // in all
	longest      float64
	first        float64 // s, when the first began
	last         float64
	sum, squares float64 // of the time from one pause to the next
}

func (p *pauses) add(from, to float64) {
	if p.count == 0 {
		p.first = from
	} else {
		d := from - p.last
		p.sum += d
		p.squares += d * d
	}
	p.count++
	p.last = from
	p.seconds += to - from
	p.longest = max(p.longest, to-from)
}

// pulsedTimes is how often pauses must have followed each other to have a pace.
const pulsedTimes = 3

// regular reports whether the pauses come at a steady pace, as a charger's own
// looks at the open-circuit voltage do, and that pace, s.
func (p *pauses) regular(need int) (every float64, ok bool) {
	n := float64(p.count - 1)
	if p.count <= need {
		return 0, false
	}
	mean := p.sum / n
	spread := math.Sqrt(max(p.squares/n-mean*mean, 0))
	return mean, spread < 0.35*mean
}

// report notes the pauses. The one in which a charger steps down from absorption
// to float (the battery is above the float voltage for a while and takes nothing)
// is none; done is when the charge was complete, s, NaN if it was not.
func (p *pauses) report(f *findings, done float64, patience Patience) {
	if p.count == 1 && p.first >= done-stepDownSeconds {
		return
	}
	if every, ok := p.regular(patience.times(CodePulsed, pulsedTimes)); ok {
		f.raise(CodePulsed, p.first, fmt.Sprintf("the charger pauses about every %s, %d times so far, the longest for %s: this is its way of working", clock(every), p.count, clock(p.longest)))
		return
	}
	if p.count > 0 && p.count >= patience.times(CodeInterrupted, 1) {
		f.raise(CodeInterrupted, p.first, fmt.Sprintf("the current stopped and went on %s, for %s in all; counted as one charge", times(p.count), clock(p.seconds)))
	}
}

const stepDownSeconds = 300

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}
