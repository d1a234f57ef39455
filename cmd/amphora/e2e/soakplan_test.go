//go:build linux

package e2e

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"amphora/analyze/madeup"
)

// household are the channels of a soak, with what is charged on each.
var household = []struct {
	name     string
	layout   madeup.Layout
	settings []string // of the channel
	good     []string // nights that call for no warning
	troubles []string
}{
	{
		"garage", madeup.DateTime, []string{"chemistry: lead-flooded", "capacity: 60Ah"},
		[]string{"car-flat", "car-partial", "car-power-failure"}, []string{"stalled", "shorted-cell"},
	},
	{
		"shed", madeup.Commas, []string{"decoder: columns separator=comma width=3 time=1:s voltage=2:V current=3:A"},
		[]string{"mower-float", "recorder-silent"}, []string{"mower-two-hour-timer", "runaway"},
	},
	{
		"bench", madeup.Labelled, nil,
		[]string{"drill-three-cells", "torch-one-cell", "outboard-plateau", "lantern-peak"}, []string{"open-lead"},
	},
}

// troubles say which finding must name what was wrong with a night, and which
// others may stand beside it.
var troubles = map[string]struct {
	must string
	may  []string
}{
	"stalled":              {"stalled", []string{"current-dropped", "no-taper"}},
	"shorted-cell":         {"voltage-not-reached", []string{"current-dropped", "over-capacity", "running-long", "stalled"}},
	"mower-two-hour-timer": {"current-dropped", nil},
	"runaway":              {"thermal-runaway", []string{"no-taper", "over-temperature"}},
	"open-lead":            {"open-circuit", nil},
}

// fault is what is done to the program or to a source.
type fault string

// The faults. In those that say "unheard" the charger goes on meanwhile; what it
// says then nobody can know.
const (
	killed        fault = "killed"
	killedUnheard fault = "killed, unheard"
	stopped       fault = "stopped in good order"
	unplugged     fault = "unplugged"
	away          fault = "unplugged, unheard"
	frozen        fault = "frozen"
	refused       fault = "push target refuses"
	hung          fault = "push target hangs"
	fullDisk      fault = "full disk"
	noise         fault = "bad bytes"
	torn          fault = "torn lines"
	scrambled     fault = "bytes changed"
	rebooted      fault = "host rebooted without a clock, unheard"
	setForward    fault = "clock set forward"
	setBack       fault = "clock set back"
	slept         fault = "host slept, unheard"
	summerTime    fault = "summer time begins or ends"
)

var (
	restarts = []fault{killed, killedUnheard, stopped, rebooted}
	clocks   = []fault{setForward, setBack, slept, summerTime}
	others   = []fault{unplugged, away, frozen, refused, hung, fullDisk, noise, torn, scrambled}
)

// day is one day of a plan.
type day struct {
	number int
	nights []madeup.Night // a channel each
	faults []planned
}

// planned is a fault at its place.
type planned struct {
	fault
	at      float64       // share of the day's lines that were said before
	channel int           // which it meets, where it meets one
	size    int           // how many lines it takes
	by      time.Duration // that a clock is set by, or the host sleeps
}

func (p planned) String() string {
	where := ""
	if slices.Contains([]fault{unplugged, away, noise, torn, scrambled}, p.fault) {
		where = " (" + household[p.channel].name + ")"
	}
	if slices.Contains([]fault{setForward, setBack, slept}, p.fault) {
		where = fmt.Sprintf(" by %v", p.by.Round(time.Second))
	}
	return fmt.Sprintf("%2.0f %% %s%s, %d lines", 100*p.at, p.fault, where, p.size)
}

const (
	dayS     = 86400
	rowEvery = 20 // s
	// In the first days of a month the program ends now and then; in the others nothing
	// ends it, so that a leak has time to show.
	month, restless = 30, 12
)

// plan draws days without an end: the same for the same seed, however many are
// lived. Each kind of fault is drawn once before any comes again.
type plan struct {
	seed                  uint64
	chance                *rand.Rand
	days                  int
	restart, clock, other []fault // still to be drawn
}

func newPlan(seed uint64) *plan {
	return &plan{seed: seed, chance: rand.New(rand.NewPCG(seed, 0x50a4))}
}

func (p *plan) next() day {
	d := day{number: p.days}
	p.days++
	for k := range household {
		d.nights = append(d.nights, p.night(k, d.number))
	}
	if n := d.number % month; n > 0 && n <= restless {
		d.faults = append(d.faults, p.fault(&p.restart, restarts))
	}
	d.faults = append(d.faults, p.fault(&p.clock, clocks))
	for range 1 + p.chance.IntN(2) {
		d.faults = append(d.faults, p.fault(&p.other, others))
	}
	slices.SortStableFunc(d.faults, func(a, b planned) int { return int(1e6 * (a.at - b.at)) })
	return d
}

func (p *plan) night(channel, number int) madeup.Night {
	h := household[channel]
	names := h.good
	if p.chance.IntN(5) == 0 {
		names = h.troubles
	}
	n := madeup.Named(names[p.chance.IntN(len(names))])
	n.Layout, n.Began = h.layout, time.Date(2026, 3, 1, 20, 0, 0, 0, time.UTC)
	n.Meter.Every, n.Meter.Celsius = rowEvery, false
	n.Seed = p.chance.Uint64()
	n.Battery.StateOfCharge += 0.04 * (p.chance.Float64() - 0.5)
	// The meter's clock runs through all the days.
	begins := float64(number*dayS + rowEvery*p.chance.IntN(60))
	n.Faults.ClockSteps = []madeup.Step{{At: 0, By: begins}}
	return n
}

func (p *plan) fault(pile *[]fault, all []fault) planned {
	if len(*pile) == 0 {
		*pile = slices.Clone(all)
		p.chance.Shuffle(len(all), func(i, j int) { (*pile)[i], (*pile)[j] = (*pile)[j], (*pile)[i] })
	}
	f := planned{fault: (*pile)[0], at: 0.02 + 0.9*p.chance.Float64(), channel: p.chance.IntN(len(household)), size: 1 + p.chance.IntN(40)}
	f.by = 3 * time.Second << p.chance.IntN(24) // 3 s to 291 days
	if f.fault == slept {
		f.by = time.Minute + time.Duration(p.chance.Int64N(int64(8*time.Hour)))
	}
	*pile = (*pile)[1:]
	return f
}
