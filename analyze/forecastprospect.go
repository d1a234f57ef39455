package analyze

import "slices"

// A forecast is made in two steps. Once a minute what there is to go by is taken down, since the trace soon
// shows it no longer; what follows from that is worked out when somebody asks, or waits for it. Of a log that is
// read to its end mostly nobody does: a charge that is complete needs no forecast, and to work one out takes several
// times as long as all else that is asked once a minute.

// prospect is what a forecast goes by: what was seen of a charge by a moment.
type prospect struct {
	kind       prospectKind
	now, begin float64 // s
	amps       float64 // A, mean of the last half hour
	went       float64 // C
	blur       float64 // s
	chemistry  Chemistry
	limit      tailLimit
	o          *Options
	fill       *fillSeen // none but where it fills
	taper      taperSeen
}

type prospectKind int

const (
	nothingAhead prospectKind = iota // to go by, or to wait for
	fillsAhead
	tapersAhead
)

// As many prospects wait as a long charge has minutes, but room is made for those of a taper first, and for one
// where somebody waits for each.
const (
	mostProspects  = 1024
	usualProspects = 112
)

// foresee takes down what there is to go by. Of several times that there was nothing the last one tells all.
func (s *sight) foresee() {
	c := s.c
	if len(c.ahead) == mostProspects {
		c.foretold()
	}
	n := len(c.ahead)
	if n == 1 {
		c.ahead = slices.Grow(c.ahead, usualProspects)
	}
	c.ahead = append(c.ahead, prospect{})
	s.seeAhead(&c.ahead[n])
	if n > 0 && c.ahead[n].kind == nothingAhead && c.ahead[n-1].kind == nothingAhead {
		c.ahead[n-1].now = s.now
		c.ahead = c.ahead[:n]
	}
}

// foretold is the forecast as last asked for, worked out by now.
func (c *charge) foretold() *outlook {
	for k := range c.ahead {
		c.outlook = c.ahead[k].follows(&c.outlook)
	}
	c.ahead = c.ahead[:0]
	return &c.outlook
}

// seeAhead fills in a prospect.
func (s *sight) seeAhead(p *prospect) {
	tr := &s.c.trace
	p.kind, p.now, p.begin = nothingAhead, s.now, s.c.begin.t
	if Known(s.v.finish) || s.now-s.c.begin.t < forecastLeast ||
		s.noProgress(CodeThermalRunaway, CodeVoltageNotReached, CodeStalled, CodeNoTaper, CodeOpenCircuit) {
		return
	}
	from := tr.index(s.now - forecastMean)
	p.amps = (tr.bins[s.end].at.in - tr.bins[from].at.in) / (tr.bins[s.end].t0 - tr.bins[from].t0)
	p.went, p.blur, p.chemistry, p.limit, p.o = s.went(), s.blur(), s.v.id.chemistry, s.v.limit, s.o
	if s.c.hold.found && !s.creeping() {
		p.kind = tapersAhead
		s.seeTaper(p)
	} else if s.seeFilling(p) {
		p.kind = fillsAhead
	}
}

// ahead is what follows by itself; tau is the logarithm of the taper's time constant, s, as it was told last.
func (p *prospect) ahead(tau guess) outlook {
	n := outlook{seen: p.now, amps: p.amps, power: Unknown()}
	switch p.kind {
	case nothingAhead:
		return outlook{}
	case fillsAhead:
		p.filling(&n)
	case tapersAhead:
		p.tapering(&n, tau)
	}
	if !(2*n.u < n.finish-p.begin) {
		return outlook{tau: n.tau} // as uncertain as it is long: that is no forecast
	}
	return n
}

// fillSeen is what there is to go by in constant current.
type fillSeen struct {
	needs [2]need
	count int // of them
	by    grounds
	clues clues
	usual guess   // the taper's time constant, as its logarithm, of s
	over  float64 // V that the limit lies over the rest voltage,
	gap   float64 // and over the voltage now
}

// seeFilling fills it in; it is false where there is nothing.
func (s *sight) seeFilling(p *prospect) bool {
	var room [2]need
	needs, by := s.needs(room[:0])
	if len(needs) == 0 || p.amps <= 0 {
		return false
	}
	f := &fillSeen{needs: room, count: len(needs), by: by, clues: s.clues()}
	f.usual = s.constant(f.clues.slope, needs[0].x)
	limit, _ := s.expectedLimit()
	f.over = limit - fullCellV(p.chemistry)*float64(s.c.bounds.of.cells)
	f.gap = limit - s.c.trace.ending(0, s.end, 8, 60).v
	p.fill = f
	return true
}

// taperSeen is what there is to go by in constant voltage.
type taperSeen struct {
	amps, set float64 // A, now and before
	to        float64 // A, at which it will be complete,
	spread    float64 // and the e-folds by which that may be another
	points    [fitBlocks]point
	seen      int // of them
}

func (s *sight) seeTaper(p *prospect) {
	t := &p.taper
	t.to, _ = p.endCurrent(p.went, 0)
	t.amps = s.c.trace.ending(s.constantAt, s.end, tailBlock(t.to, s.amps), 60).i
	_, t.spread = p.endCurrent(p.went, t.amps)
	t.set, t.seen = s.v.set, 0
	if t.amps > t.to {
		t.seen = len(s.points(t.amps, t.points[:0]))
	}
}
