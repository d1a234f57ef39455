package analyze

// identity is what a battery is taken for.
type identity struct {
	chemistry Chemistry
	cells     int
	inferred  bool
	may       []identity // what it may be, where the curve cannot tell
	onTheWay  bool       // what seems to be held may be a battery in mid-charge; see ontheway.go
}

// family is a range of held voltages, V a cell, and the packs that are usual.
type family struct {
	chemistry Chemistry
	low, high float64
	cells     []int
}

// Held voltages a cell: lead-acid float 2.25 to boost 2.58, lithium-ion 4.20 V
// at most (4.10 for long life), LiFePO4 3.65 V (reference, section 4), often
// less. The pack sizes are common practice, no source.
var families = []family{
	{LeadAGM, 2.28, 2.60, []int{1, 3, 6, 12, 18, 24}},
	{LiFePO4, 3.44, 3.70, []int{1, 2, 4, 5, 6, 8, 12, 15, 16}},
	{LiIon, 4.05, 4.25, []int{1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 13, 14}},
}

// infer names a battery from its held voltage and, where several kinds are held
// at the same one (14.4 V: six lead cells or four LiFePO4), from the way it got
// there. It stays silent where the curve cannot tell.
func infer(o *Options, tr *trace, h *hold, held float64, p *peak) identity {
	if o.Chemistry != "" {
		id := identity{chemistry: o.Chemistry, cells: o.Cells}
		if id.cells == 0 {
			id.cells = cellsOf(o.Chemistry, held, tr)
		}
		return id
	}
	if p.found && p.drop > 0 {
		return identity{chemistry: NiMH, cells: p.cells, inferred: true}
	}
	if !h.found {
		return identity{cells: o.Cells}
	}
	if onTheWay(held, o.Cells) && !tr.tapersOff(h.kept) {
		return identity{cells: o.Cells, onTheWay: true}
	}
	fits := candidates(held, o.Cells)
	if len(fits) > 1 {
		cv := tr.index(h.from)
		a := climb(tr, cv, held)
		for _, f := range fits {
			if f.chemistry != LiFePO4 {
				continue
			}
			switch {
			case belowPlateau(tr, cv, f.cells):
				a = slope
			case a == slope && onFlat(tr, cv, held, f.cells):
				a = unclear
			}
		}
		fits = pick(fits, a)
	}
	if len(fits) != 1 {
		return identity{cells: o.Cells, may: candidates(held, o.Cells)}
	}
	id := fits[0]
	id.inferred = true
	if id.chemistry == LeadAGM {
		id.chemistry = leadKind(held / float64(id.cells))
	}
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

// ascent is how the voltage climbed to its limit.
type ascent int

const (
	unclear ascent = iota
	cliff          // level for long, then steep: LiFePO4
	slope          // rising all the way: lead-acid and other lithium
)

// pick keeps those candidates that climb as the voltage did.
func pick(fits []identity, a ascent) []identity {
	var kept []identity
	for _, f := range fits {
		if (f.chemistry == LiFePO4) == (a == cliff) && a != unclear {
			kept = append(kept, f)
		}
	}
	return kept
}

// climb tells LiFePO4 from the rest by how much of the charge under a current
// limit went in above 95.5 % of the held voltage (13.9 V of 14.6 V): of a LiFePO4
// battery, whose voltage leaves its plateau only when it is almost full, a few
// hundredths; of others a tenth and more, since they gas or near their limit
// slowly. Short charges tell nothing. From the shape of published discharge and
// charge curves; the numbers are our own.
func climb(tr *trace, cv int, held float64) ascent {
	if cv < leastClimb {
		return unclear
	}
	start, end := tr.bins[0].at.in, tr.bins[cv].at.in
	high := cv
	for high > 0 && tr.bins[high-1].v() > 0.955*held {
		high--
	}
	whole := tr.end.sum.in - start
	if tr.bins[3].v() > 0.945*held {
		return unclear
	}
	share, after := (end-tr.bins[high].at.in)/(end-start), (tr.end.sum.in-end)/whole
	switch {
	case share < 0.06 && after < 0.12:
		return cliff
	case share > 0.08 || after > 0.15:
		return slope
	}
	return unclear
}

// onFlat reports whether a charge under a current limit may have been one of so many LiFePO4
// cells although climb takes it for another: at a higher rate, or with a lower limit, their
// plateau lies above its threshold. In the middle of the charge they stand on it, above what
// they rest at when half full, and from there to four fifths come less than half as far as
// from there on. From the shape of published charge curves; the numbers are our own.
func onFlat(tr *trace, cv int, held float64, cells int) bool {
	early, middle, late := tr.voltsAt(0.15, cv), tr.voltsAt(0.5, cv), tr.voltsAt(0.8, cv)
	left := held - late
	return middle > plateauVolts*float64(cells) && late-middle < plateauLate*left && late-early < plateauEarly*left
}

// belowPlateau reports whether so many LiFePO4 cells would have stood below what they rest at
// when half full, in the middle of their charge: then it was a battery of another kind that
// climbs steeply at its end, as lead-acid does when charged slowly.
func belowPlateau(tr *trace, cv, cells int) bool {
	return cv >= leastClimb && tr.voltsAt(0.5, cv) < plateauLow*float64(cells)
}

// voltsAt is the voltage when a share of what went in before bin cv had gone in, V.
func (tr *trace) voltsAt(share float64, cv int) float64 {
	start, whole := tr.bins[0].at.in, tr.bins[cv].at.in-tr.bins[0].at.in
	v, _, _ := tr.mean(tr.indexIn(start+(share-plateauAround)*whole), tr.indexIn(start+(share+plateauAround)*whole)+1)
	return v
}

const (
	plateauAround = 0.03 // of the charge, over which a voltage is averaged
	plateauVolts  = 3.29 // V a cell, half full at rest
	plateauLow    = 3.27 // the same of makes that stand 20 mV lower
	plateauLate   = 0.45
	plateauEarly  = 0.9
	leastClimb    = 12 // bins; fewer tell nothing
)
