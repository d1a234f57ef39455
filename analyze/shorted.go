package analyze

import "fmt"

// A cell that shorts in mid-charge takes its whole voltage with it: about 2.1 V of lead-acid,
// 3.3 V of LiFePO4, 3.7 V of lithium-ion, 1.4 V of nickel, at once or within half an hour,
// while the same current flows on. Hardly anything innocent does that. Another battery makes the
// current pause; a charger that steps down changes it; a load that comes on beside the battery
// takes the voltage down by no more than the battery's own voltage lies below (givesWay), which
// in packs of many cells is as much as one cell: then nothing is said. It is told when every row has
// stood so low for ten minutes, dated to when the fall began, and holds until the voltage
// leaps back: what merely climbs is the other cells, which get what was meant for all.
// Thresholds: common practice, no source.
const (
	shortedSeconds = 600  // s that the voltage must have stood low
	shortedWithin  = 2700 // s before that, in which it was still as high as ever: half an hour, and some of the time before
	shortedBlock   = 120  // s that are averaged
	shortedRows    = 4    // at least
	shortedLeast   = 0.75 // of a cell's voltage: the others climb meanwhile
	shortedMost    = 1.25
	shortedStands  = 0.12     // of the fall: so far above the mean a row may be, or it falls still
	shortedFew     = 1.0 / 25 // of the voltage: no pack has more cells than 24
	shortedSteady  = 0.1      // of the current; a source of constant power gives more as the voltage falls
	shortedScatter = 0.02     // of the voltage: rows farther above the mean are odd ones
	shortedUnnamed = 1.3      // times what a load does to any of the kinds that it may be
)

// shorted is a fall of the voltage by one cell's.
type shorted struct {
	since, within float64 // s, when it began to fall, and how long that took
	before, after float64 // V
	amps          float64
	leap, dip     float64  // A and V, what the current leapt to meanwhile, if it did, and what the voltage came to first
	of            identity // chemistry and cells; what is not known is left out
	last          float64  // V, when last looked at since
	leapt         float64  // s, when it came back, if it has; else 0
}

func (f *shorted) fall() float64 { return f.before - f.after }

// cellShorted claims that one cell's voltage is gone.
func (s *sight) cellShorted() claim {
	f := &s.c.short
	if f.fall() > 0 && f.back(s) {
		*f = shorted{}
	}
	if f.fall() == 0 && !s.frozen {
		*f = s.lost()
	}
	if f.fall() == 0 {
		return claim{}
	}
	return claim{holds: true, since: f.since, message: f.message()}
}

// lost looks for a fall that has lasted, of either kind.
func (s *sight) lost() shorted {
	if s.c.trace.bins[s.end-1].v() > s.c.trace.top*(1-min(shortedFew, leaptGone)) {
		return shorted{} // the usual case, without a search
	}
	if f := s.fallOfOneCell(); f.fall() > 0 {
		return f
	}
	return s.fallOfHeld()
}

// back reports whether the voltage has leapt back, and stood there for as long as it takes to raise.
func (f *shorted) back(s *sight) bool {
	now := s.c.trace.ending(0, s.end, 1, slowQuestionsAt)
	if f.leapt == 0 && now.v-f.last > f.fall()/2 {
		f.leapt = now.t0
	}
	if now.v < f.before-f.fall()/2 {
		f.leapt = 0
	}
	f.last = now.v
	return f.leapt > 0 && now.t1-f.leapt >= shortedSeconds
}

// fallOfOneCell looks for a fall that has lasted; without one its fall is 0.
func (s *sight) fallOfOneCell() shorted {
	tr := &s.c.trace
	if tr.bins[s.end-1].v() > tr.top*(1-shortedFew) {
		return shorted{}
	}
	low := tr.tailEnd(s.end, shortedRows, shortedSeconds*s.o.Patience.of(CodeVoltageNotReached))
	now := tr.blockOf(low, s.end)
	from := tr.index(max(now.t0-shortedWithin, s.c.pauses.until, s.c.sighted))
	before, at := s.highestBefore(from, low)
	if before.rows < shortedRows {
		return shorted{}
	}
	f := shorted{before: before.v, after: now.v, amps: before.i, last: now.v}
	unsure := 4*s.volts.noise() + s.volts.step()
	if f.fall() < 2*unsure || !s.o.oneCell(&f) || tr.topOf(low, s.end) > f.after+f.fall()*shortedStands+unsure || !s.sameCurrent(&f, at) {
		return shorted{}
	}
	for k := at; k < low; k++ {
		switch v := tr.bins[k].v(); {
		case v > f.before-f.fall()/10-unsure/2:
			f.since, f.within = tr.bins[k].t1, 0
		case v > f.after+f.fall()/10:
			f.within = tr.bins[k].t1 - f.since
		}
	}
	return f
}

// highestBefore is the block with the highest voltage in bins [from, to), and its first bin. One
// with an odd row is none.
func (s *sight) highestBefore(from, to int) (high block, at int) {
	tr := &s.c.trace
	scatter := 4*s.volts.noise() + s.volts.step()
	end := to
	for first, b := range tr.backwards(from, to, shortedRows, shortedBlock) {
		if b.v > high.v && tr.topOf(first, end) < b.v*(1+shortedScatter)+scatter {
			high, at = b, first
		}
		end = first
	}
	return high, at
}

// topOf is the highest row of bins [from, to), V.
func (tr *trace) topOf(from, to int) (volts float64) {
	for k := from; k < to; k++ {
		volts = max(volts, tr.bins[k].maxV)
	}
	return volts
}

// sameCurrent reports whether the current has stayed what it was since a bin, or has risen
// as that of a source of constant power does.
func (s *sight) sameCurrent(f *shorted, from int) bool {
	tr := &s.c.trace
	slack := 4*s.amps.noise() + s.amps.step()
	most := f.amps * (1 + shortedSteady) * f.before / f.after
	for _, b := range tr.backwards(from, s.end, shortedRows, shortedBlock) {
		if b.i < f.amps*(1-shortedSteady)-slack || b.i > most+slack {
			return false
		}
	}
	return true
}

// oneCell reports whether a fall is that of one cell of a battery as it was told, or of one that it
// may be, and more than a load beside any of these would make. It fills in what that leaves no doubt of.
func (o *Options) oneCell(f *shorted) bool {
	var fits []identity
	may, explained := 0, 0.0
	for _, c := range []Chemistry{LeadAGM, LiFePO4, LiIon, NiMH} {
		if o.Chemistry != "" && o.Chemistry != c && !(o.Chemistry.Lead() && c.Lead()) && !(o.Chemistry.Nickel() && c.Nickel()) {
			continue
		}
		least, most, packs := seriesOf(c)
		if o.Cells > 0 {
			packs = []int{o.Cells}
		}
		for _, n := range packs {
			cell := f.before / float64(n)
			if n < 2 || cell < least || cell > most {
				continue
			}
			may++
			explained = max(explained, float64(n)*givesWay(c, cell))
			if f.fall() >= shortedLeast*cell && f.fall() <= shortedMost*cell {
				fits = append(fits, identity{chemistry: c, cells: n})
			}
		}
	}
	if may > 1 {
		explained *= shortedUnnamed
	}
	if len(fits) == 0 || f.fall() <= explained {
		return false
	}
	f.of = fits[0]
	for _, other := range fits[1:] {
		if other.cells != f.of.cells {
			f.of.cells = 0
		}
		if other.chemistry != f.of.chemistry {
			f.of.chemistry = ""
		}
	}
	return true
}

// seriesOf is what a cell of a kind shows on charge, V, and the numbers of them that are usual in series.
func seriesOf(c Chemistry) (least, most float64, packs []int) {
	if c.Nickel() {
		return 1.25, 1.65, []int{2, 3, 4, 5, 6, 7, 8, 10, 12, 20}
	}
	cell := onChargeOf(c)
	return cell.least, cell.most, cell.packs
}

// givesWay is by how much the voltage of a cell sinks at most when the current that charged it goes
// elsewhere, V: to what it stands at by itself. Of lead-acid two thirds of what lies above 1.925 V, which
// is 0.15 V in mid-charge, and 0.35 V where all gas. LiFePO4 comes back from its end to its plateau;
// other lithium has its resistance, when empty and cold, and nickel. Common practice, no source.
func givesWay(c Chemistry, volts float64) float64 {
	switch {
	case c.Lead():
		return 2.0 / 3 * (volts - 1.925)
	case c == LiFePO4:
		return max(0.1, volts-3.33)
	case c == LiIon:
		return 0.2
	}
	return 0.1
}

func (f *shorted) message() string {
	which, others := "one cell", ""
	if f.of.cells > 0 {
		which = fmt.Sprintf("one of %d cells", f.of.cells)
	}
	switch {
	case f.of.chemistry.Lithium():
		others = "; the charger will overcharge the others, for its limit is that of all"
	case f.of.chemistry == "":
		others = "; if it is lithium, the charger will overcharge the others, for its limit is that of all"
	}
	if f.leap > 0 {
		return fmt.Sprintf("the voltage fell from %.2f to %.2f V at once while the current leapt from %.3g to %.3g A, and stands at %.2f V: suspect that %s has shorted, and that the others boil%s. Or a load came on beside the battery. Switch the charger off, feel whether a cell is warm, and measure the cells",
			f.before, f.dip, f.amps, f.leap, f.after, which, others)
	}
	within := "at once"
	if f.within >= slowQuestionsAt {
		within = "within " + clock(f.within)
	}
	return fmt.Sprintf("the voltage fell from %.2f to %.2f V %s while %.3g A flowed on, by as much as %s has: suspect a shorted cell%s. Switch the charger off, feel whether a cell is warm, and measure the cells",
		f.before, f.after, within, f.amps, which, others)
}
