package analyze

import (
	"fmt"
	"math"
)

// pauses counts the times that current stopped and went on within one charge.
//
// A charger that looks at the open-circuit voltage does so by the clock; mains that
// fail, a plug that is pulled and a loose clamp keep no time. Four pauses whose paces
// differ by a third at most are a habit. A pause of two or three rows is not always seen: what lasts for
// two to four paces had some between, and where nearly all keep time in that way it is a habit, too. Common
// practice, no source.
type pauses struct {
	count        int
	seconds      float64 // in all
	longest      float64
	first        float64 // s, when the first began
	last         float64 // s, when the last one did
	until        float64 // s, when it ended
	sum, squares float64 // of the time from one pause to the next

	pace  float64 // s, from one to the next, where none was missed between
	paces float64 // since that is known
	kept  float64 // of them, those that last for it or for some of it
}

func (p *pauses) add(from, to float64) {
	if p.count == 0 {
		p.first = from
	} else {
		d := from - p.last
		p.sum += d
		p.squares += d * d
		p.beat(d)
	}
	p.count++
	p.last, p.until = from, to
	p.seconds += to - from
	p.longest = max(p.longest, to-from)
}

// beat takes the time from one pause to the next, s.
func (p *pauses) beat(d float64) {
	if p.paces == 0 || d < paceShort*p.pace {
		p.pace, p.paces, p.kept = d, 0, 0
	}
	p.paces++
	n := math.Round(d / p.pace)
	if n <= pacesMissed && math.Abs(d-n*p.pace) <= paceSlack*p.pace {
		p.kept++
		p.pace += (d/n - p.pace) / p.kept
	}
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
	if !(spread < habitSpread*mean) && p.paces > habitTimes*float64(need) && p.kept >= paceKept*p.paces {
		return p.pace, true
	}
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
	paceShort   = 0.75 // of the pace: what is shorter is the pace itself
	paceSlack   = 0.1  // of the pace: so far off it is kept
	paceKept    = 0.8  // of all
	pacesMissed = 4    // what is longer may be anything
	habitTimes  = 2    // times as many of those are needed: some come to whole paces by chance

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
