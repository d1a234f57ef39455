package madeup

import (
	"math"

	"amphora/analyze"
)

// Battery is a battery as it comes to the charger, settled and at the
// temperature of the room.
type Battery struct {
	Chemistry     analyze.Chemistry
	Cells         int
	CapacityAh    float64
	StateOfCharge float64 // 0 to 1
	Celsius       float64 // of battery and room
}

// pack is a battery while it is being charged: equal cells in series, each an
// ohmic resistance before a double layer, which the charging reaction and the
// side reaction share.
type pack struct {
	kind
	cells    float64 // that take part in the reaction
	all      float64 // that the current passes
	capacity float64 // Ah
	room     float64 // °C

	// growth of the resistances and of the side reaction, for faults
	aged, runaway float64

	layer    float64 // C s/V, what the double layer stores
	slowStep float64 // share of the slow polarisation that settles in one step

	charge  float64 // state of charge, 0 to 1
	over    float64 // V of a cell across its double layer: the reaction's overvoltage
	inner   float64 // V of a cell behind its ohmic resistance, at the tick's end
	slowV   float64 // V of a cell
	celsius float64
}

func newPack(b Battery, f Faults) pack {
	k := kindOf(b.Chemistry)
	p := pack{
		kind: k, capacity: b.CapacityAh, room: b.Celsius,
		all: float64(b.Cells), cells: float64(b.Cells - f.ShortedCells),
		aged:   1 + f.Sulphated,
		charge: b.StateOfCharge, celsius: b.Celsius,
		slowStep: 1 - math.Exp(-tick/k.slow),
	}
	p.layer = k.fast / (k.transfer * p.rise(0.5))
	return p
}

// rise is how much harder charging becomes as the cell fills. Past full it
// becomes next to impossible, so that a long float does not overfill.
func (p *pack) rise(charge float64) float64 {
	missing := max(1-charge+p.floor, p.floor/10)
	return 1 + math.Pow(p.near/missing, p.steep)
}

// ohms is the battery's ohmic resistance, in ohm. Lead-acid rises by about half
// from +30 to -18 °C (reference, section 8); the same slope does for the rest.
func (p *pack) ohms() float64 { return p.all * p.cellOhm() / p.capacity }

func (p *pack) cellOhm() float64 {
	return p.ohm * p.aged * math.Exp(-0.0085*(p.celsius-25))
}

// settled is the voltage at which the battery would come to rest, in V.
func (p *pack) settled() float64 { return p.cells * p.rest.at(p.charge) }

// feed drives amps into the battery for one tick and gives its volts.
func (p *pack) feed(amps float64) (volts float64) {
	i, r := amps/p.capacity, p.cellOhm()
	p.react(i, 0, r)
	return p.cells*p.inner + p.all*i*r
}

// hold keeps the battery at volts for one tick and gives the amperes that flow.
func (p *pack) hold(volts float64) (amps float64) {
	r := p.cellOhm() * p.all / p.cells
	v := volts / p.cells
	p.react(v/r, 1/r, r)
	return (v - p.inner) / r * p.capacity
}

// react moves the cell through one tick in which the current is
// drive - slope*inner. One linearised implicit step keeps it stable where the
// double layer is quicker than a tick. All current but the gas becomes charge,
// also what passes through the layer, so no charge is lost in it.
func (p *pack) react(drive, slope, ohm float64) {
	warm := p.celsius - 25
	aim := p.rest.at(p.charge) + p.slowV
	resist := p.transfer * p.aged * math.Exp(-0.02*warm)
	if p.over > 0 {
		resist *= p.rise(p.charge)
	}
	p.inner = aim + p.over
	gas, gasSlope := p.gas(warm)
	net := drive - slope*p.inner - p.over/resist - gas
	more := tick * net / (p.layer + tick*(slope+1/resist+gasSlope))
	p.over += more
	p.inner += more
	gas += gasSlope * more

	current := drive - slope*p.inner
	kept := current - gas
	if kept > 0 {
		kept *= p.efficiency
	}
	p.charge += kept * tick / 3600
	main := p.over / resist
	p.slowV += p.slowStep * (main*p.slowOhm - p.slowV)

	// Heat of one cell per Ah, in W: what the current loses on its way, and the
	// gas that recombines.
	watts := current*current*ohm + main*(p.over+p.slowV) + gas*p.inner*p.side.heats
	p.celsius += tick * (watts/p.heat - (p.celsius-p.room)/p.cooling)
}

// gas is the side reaction's current in C and its slope in C per V.
func (p *pack) gas(warm float64) (current, slope float64) {
	if p.side.rate == 0 {
		return 0, 0
	}
	perVolt := math.Ln10 / p.side.decade
	current = p.runaway * p.side.rate * math.Exp((p.inner-p.side.volts)*perVolt+warm*math.Ln2/10)
	return current, current * perVolt
}
