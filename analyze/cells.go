package analyze

import (
	"math"
	"slices"
)

// This file is about how many cells in series a battery has.

// onCharge is what a cell of a known chemistry shows while it is charged, V.
type onCharge struct {
	least     float64 // but for the first minutes of one that was emptied too far
	leastHeld float64 // at the charger's limit: a full one stands nearly as high by itself
	held      float64 // usually
	most      float64
	packs     []int // usual numbers of cells
}

// Common practice, no source, but for the most; see families and limits.go.
func onChargeOf(c Chemistry) onCharge {
	switch {
	case c.Lead():
		return onCharge{1.75, 2.1, 2.42, highestLead, families[0].cells}
	case c == LiFePO4:
		return onCharge{2.9, 3.4, 3.6, highestLiFePO4, families[1].cells}
	}
	return onCharge{3.0, 3.9, 4.2, highestLiIon, families[2].cells}
}

// cellsOf counts the cells of a known chemistry by the voltage it was held at, or by the
// highest so far, if that fits one usual pack only; 0 is unknown.
func cellsOf(c Chemistry, held float64, tr *trace) int {
	isHeld := Known(held)
	if !isHeld {
		held = 0
		for k := range tr.bins {
			held = max(held, tr.bins[k].v())
		}
	}
	if c.Nickel() {
		return int(math.Round(held / nickelCellV))
	}
	cell := onChargeOf(c)
	if !isHeld {
		return onlyPack(cell.packs, held, cell.least, cell.most)
	}
	for _, most := range []float64{cell.most, cell.most * overfull} {
		if n := onlyPack(cell.packs, held, cell.leastHeld, most); n > 0 {
			return n
		}
	}
	return int(math.Round(held / cell.held))
}

// overfull is how far above its limit a cell may be held, as a share of that, before an odd number of
// cells is likelier: vented lead-acid is equalized at up to 2.7 V (common practice, no source).
const overfull = 1.035

// onlyPack is the one number of cells that can be at such a voltage, from low to high for
// each; 0 where there are several or none.
func onlyPack(usual []int, volts, low, high float64) (only int) {
	for _, n := range usual {
		if v := volts / float64(n); v >= low && v <= high {
			if only > 0 {
				return 0
			}
			only = n
		}
	}
	return only
}

// restingCells is how many cells in series stand at such a voltage by themselves, of a usual
// pack; 0 where none fits, or several do, or it is not known. Lead-acid has 1.75 V a cell (empty by any standard)
// to 2.2 V (still settling).
func restingCells(c Chemistry, volts float64) int {
	cell := onChargeOf(c)
	switch {
	case c.Lead():
		return onlyPack(cell.packs, volts, cell.least, leadByItself)
	case c == LiFePO4:
		return onlyPack(cell.packs, volts, cell.least, ironByItself)
	}
	return onlyPack(cell.packs, volts, cell.least, cell.held)
}

// ironByItself is more than a full LiFePO4 cell shows minutes after its charge, V. Common practice, no source.
const ironByItself = 3.45

// leadRested is more than a lead-acid cell shows minutes after it gassed, V: with more at rest
// there are more cells than the voltage that was held said. Common practice, no source.
const leadRested = 2.3

// countedCells is the number of cells in series as far as it may be trusted
// with a limit: as stated, by the voltage that was held, or, for lead-acid in
// the usual sizes, by the voltage before the charge. The highest voltage so far
// must not count them: one that is far too high would count one too many. 0 is
// unknown.
func (c *charge) countedCells(o *Options, id *identity) int {
	switch {
	case o.Cells > 0:
		return id.cells
	case c.hold.found && !(id.chemistry.Lead() && c.resting > leadRested*float64(id.cells)):
		passed := c.hold.volts > highestOf(id.chemistry)*float64(id.cells)
		if n := restingCells(id.chemistry, c.resting); passed || n > 0 && !slices.Contains(onChargeOf(id.chemistry).packs, id.cells) {
			return n // what is held is too high for any number of cells, or fits an odd one only
		}
		return id.cells
	case !id.chemistry.Lead() || !Known(c.resting):
		return 0
	}
	return restingCells(id.chemistry, c.resting)
}
