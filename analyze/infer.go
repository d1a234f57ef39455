package analyze

import (
	"fmt"
	"math"
)

// identity is what a battery is taken for.
type identity struct {
	chemistry Chemistry
	cells     int
	inferred  bool
	why       string
}

// family is a range of held voltages, V a cell, and the packs that are usual.
type family struct {
	chemistry Chemistry
	low, high float64
	cells     []int
}

// Held voltages a cell: lead-acid float 2.25 to boost 2.58, lithium-ion 4.20 V
// at most (4.10 for long life), LiFePO4 3.65 V (reference, section 4). The pack
// sizes are common practice, no source.
var families = []family{
	{LeadAGM, 2.28, 2.60, []int{1, 3, 6, 12, 18, 24}},
	{LiFePO4, 3.50, 3.70, []int{1, 2, 4, 5, 6, 8, 12, 15, 16}},
	{LiIon, 4.05, 4.25, []int{1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 13, 14}},
}

// infer names a battery from its held voltage and, where two kinds are held at
// the same one (14.4 V: six lead cells or four LiFePO4), from the way it got
// there. It stays silent where the curve cannot tell.
func infer(o *Options, tr *trace, h *hold, held float64, p *peak) identity {
	if o.Chemistry != "" {
		id := identity{chemistry: o.Chemistry, cells: o.Cells, why: "as stated"}
		if id.cells == 0 {
			id.cells, id.inferred = cellsOf(o.Chemistry, held, tr), false
		}
		return id
	}
	if p.found && !h.found {
		return identity{NiMH, p.cells, true, fmt.Sprintf("the voltage peaked at %.3f V, %.2f V a cell, and sank at a steady current, as nickel does", p.volts, p.volts/float64(p.cells))}
	}
	if !h.found {
		return identity{cells: o.Cells}
	}
	fits := candidates(held, o.Cells)
	if len(fits) == 2 && flatThenSteep(tr, tr.index(h.from)) != unclear {
		want := LeadAGM
		if flatThenSteep(tr, tr.index(h.from)) == flat {
			want = LiFePO4
		}
		for _, f := range fits {
			if f.chemistry == want {
				fits = []identity{f}
				break
			}
		}
	}
	if len(fits) != 1 {
		return identity{cells: o.Cells}
	}
	id := fits[0]
	id.inferred = true
	if id.chemistry == LeadAGM {
		id.chemistry = leadKind(held / float64(id.cells))
	}
	id.why = fmt.Sprintf("held at %.2f V, %.2f V a cell", held, held/float64(id.cells))
	return id
}

func candidates(held float64, cells int) []identity {
	var fits []identity
	for _, f := range families {
		for _, n := range f.cells {
			if v := held / float64(n); v >= f.low && v <= f.high && (cells == 0 || cells == n) {
				fits = append(fits, identity{chemistry: f.chemistry, cells: n})
				break
			}
		}
	}
	return fits
}

// leadKind: the curve cannot tell one lead-acid kind from another; the voltage
// that somebody chose for it can, a little (gel 14.1 V by one maker, AGM up to
// 14.79 V, more only for vented; reference, section 4a).
func leadKind(perCell float64) Chemistry {
	switch {
	case perCell < 2.37:
		return LeadGel
	case perCell <= 2.47:
		return LeadAGM
	}
	return LeadFlooded
}

// cellsOf counts the cells of a known chemistry by the voltage it was held at,
// or reached.
func cellsOf(c Chemistry, held float64, tr *trace) int {
	per := map[bool]float64{true: 2.42, false: 4.2}[c.Lead()]
	switch {
	case c == LiFePO4:
		per = 3.6
	case c.Nickel():
		per = nickelCellV
	}
	if !Known(held) || held <= 0 {
		for k := range tr.bins {
			held = max(held, tr.bins[k].v())
		}
		if !(held > 0) {
			return 0
		}
	}
	return int(math.Round(held / per))
}

type curveShape int

const (
	unclear curveShape = iota
	flat
	rising
)

// flatThenSteep tells LiFePO4 (almost level from a fifth to four fifths of the
// charge under a current limit, then steep) from lead-acid (rising all the way).
// 1.5 % of the voltage lies between the two by a wide margin: 0.2 V of 13.4 V.
func flatThenSteep(tr *trace, cv int) curveShape {
	if cv < 12 {
		return unclear
	}
	from, to := tr.bins[0].at.in, tr.bins[cv].at.in
	if to <= from {
		return unclear
	}
	at := func(f float64) float64 {
		for k := range cv {
			if tr.bins[k].at.in >= from+f*(to-from) {
				v, _, _ := tr.mean(max(k-2, 0), k+3)
				return v
			}
		}
		return Unknown()
	}
	rise, top := (at(0.8)-at(0.2))/at(0.5), at(0.5)/tr.bins[cv].v()
	switch {
	case rise < 0.015 && top > 0.90 && top < 0.965:
		return flat
	case rise > 0.025:
		return rising
	}
	return unclear
}
