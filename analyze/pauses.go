package analyze

import (
	"fmt"
	"math"
)

// pauses counts the times that current stopped and went on within one charge.
//
// A charger that looks at the open-circuit voltage does so by the clock; mains that
// fail, a plug that is pulled and a loose clamp keep no time. Four pauses whose paces
// differ by a third at most are a habit. Common practice, no source.
type pauses struct {
	count        int
	seconds      float64 // in all
	longest      float64
	first        float64 // s, when the first began
	last         float64 // s, when the last one did
	until        float64 // s, when it ended
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
	p.last, p.until = from, to
	p.seconds += to - from
	p.longest = max(p.longest, to-from)
}

// recovering reports whether the voltage may still be on its way back to where it was
// before the last pause, at a time in s.
func (p *pauses) recovering(now float64) bool {
	return p.count > 0 && now-p.until < min(recoverTimes*(p.until-p.last), recoverSeconds)
}

// regular reports whether the pauses come at a steady pace, as a charger's own
// looks at the open-circuit voltage do, and that pace, s.
func (p *pauses) regular(need int) (every float64, ok bool) {
	n := float64(p.count - 1)
	if p.count <= need {
		return 0, false
	}
	mean := p.sum / n
	spread := math.Sqrt(max(p.squares/n-mean*mean, 0))
	return mean, spread < habitSpread*mean
}

// usual is how long the pauses of a charger are that makes them by habit, s; else 0.
func (p *pauses) usual() float64 {
	if _, habit := p.regular(habitPaces); habit {
		return p.longest
	}
	return 0
}

const (
	habitPaces  = 3    // from pause to pause
	habitSpread = 0.35 // of their mean, one standard deviation

	// A voltage that sank over a pause has taken most of it back after some times its
	// length, and after an hour in any case.
	recoverTimes   = 5
	recoverSeconds = 3600 // s

	// A pause no longer before the step down to float than so many seconds is part of it.
	stepDownSeconds = 300
)

// report notes the pauses. The one in which a charger steps down from absorption
// to float (the battery is above the float voltage for a while and takes nothing)
// is none; done is when the charge was complete, s, NaN if it was not. A habit lasts
// while the charge does; over tells that it is.
func (p *pauses) report(f *findings, done float64, over bool, patience Patience) {
	if p.count == 0 || p.count == 1 && p.first >= done-stepDownSeconds {
		return
	}
	every, habit := p.regular(patience.times(CodePulsed, habitPaces))
	if !habit {
		if p.count >= patience.times(CodeInterrupted, 1) {
			f.happened(CodeInterrupted, p.first, p.until, fmt.Sprintf("the current stopped and went on %s, first at %s, for %s in all; counted as one charge. The mains or the source failed, a plug was pulled or a clamp is loose: look at them if it was not you", times(p.count), clock(p.first), clock(p.seconds)))
		}
		return
	}
	message := fmt.Sprintf("the charger pauses about every %s, %d times so far, the longest for %s, to look at the battery without current: this is its way of working", clock(every), p.count, clock(p.longest))
	if over {
		f.happened(CodePulsed, p.first, p.until, message)
		return
	}
	f.raise(CodePulsed, p.first, message)
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}
