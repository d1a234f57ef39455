package decoders

import (
	"math"

	"amphora/analyze"
)

// Stream turns the lines of one source into samples. It owns the decoder, the
// number of the line and the rules for time: the device's own time within a
// rising run, else the time of arrival.
type Stream struct {
	layout   *Layout
	decoder  Decoder
	clock    timer
	plain    bool
	stencils *stencils // for Block, nil where it can take nothing
	pair     pair
	headings headings
	former   *former  // as long as no row has borne out the last heading
	unproven int      // rows until the kind of time below the last heading is settled
	voids    [2]voids // of voltage and current
	reading  Reading  // of the last line; here, so that no line allocates
	line     int      // how many were seen
	rows     int      // how many of them held data, used or rejected

	run             // of device time
	earlier run     // before the last sample, which went back, began another
	back    bool    // it did
	arrived float64 // arrival of the last sample
	at      float64 // time given out last
	began   bool

	anew  bool    // time is another from here on, and goes on from the last sample
	heard bool    // there was a sample
	came  float64 // when it arrived
	shift float64 // from arrival to the time given out, where no device tells the time
}

// run is a stretch in which device time rises.
type run struct {
	last   float64 // device time of the last sample
	before float64 // of the one before it
	step   float64 // s between that and the one before
	pace   float64 // the smaller of that and the one before it: a gap is none
	offset float64 // from device time to the time given out
}

// NewStream makes a stream for a layout from Parse or Fit.
func NewStream(l *Layout) (*Stream, error) {
	entry := entryNamed(l.Kind)
	if entry == nil {
		return nil, ErrUndecodable
	}
	s := &Stream{}
	if err := s.follow(entry, l); err != nil {
		return nil, err
	}
	return s, nil
}

// follow lays the lines from here on out as l says.
func (s *Stream) follow(entry *Entry, l *Layout) error {
	own := *l
	own.Fields = append([]Field(nil), l.Fields...)
	d, err := entry.New(&own)
	if err != nil {
		return err
	}
	if own.Direction != "" {
		d = &directed{inner: d, layout: &own}
	}
	if own.Grouping != "" {
		d = &grouped{inner: d, by: groupingNamed(own.Grouping)}
	}
	if own.Typeset {
		d = &typeset{inner: d}
	}
	if own.Checksum != "" {
		d = &framed{d, checksumNamed(own.Checksum)}
	}
	s.voids = [2]voids{newVoids(&own, Volts), newVoids(&own, Amps)}
	s.layout, s.decoder, s.stencils, s.plain = &own, d, newStencils(&own, d, s.sound), own.plain()
	return nil
}

// Layout is how the last line was laid out: as the layout that it was made for, or as a heading said since.
// It is not to be changed.
func (s *Stream) Layout() *Layout { return s.layout }

// Settled reports whether rows have borne out the last heading.
func (s *Stream) Settled() bool { return s.former == nil && s.unproven == 0 }

// Timed reports whether the log itself tells the time.
func (s *Stream) Timed() bool { return s.layout.Timed() }

// Line decodes the next line, without its end. arrival is when it came, in s
// on a clock that never jumps, NaN where that is not known (files); wall is
// the same instant in ns since 1970, 0 where not known. The error is nil or a
// *Refusal; with a refusal that is a row, the sample has the row's line and
// what else was readable, but must not be integrated.
func (s *Stream) Line(line []byte, arrival float64, wall int64) (analyze.Sample, error) {
	s.line++
	r := &s.reading
	err := s.decoder.Decode(line, r)
	if s.former != nil {
		err = s.reconsider(line, err)
	}
	if s.unproven > 0 {
		err = s.retime(line, err)
	}
	if err == nil && s.layout.Pair {
		err = s.pair.join(r)
	}
	if err == nil {
		err = s.complete(r)
	}
	out := analyze.Sample{
		At: s.at, Volts: r[Volts], Amps: r[Amps], Celsius: r[Celsius], Counter: r[Counter],
		Wall: wall, Line: s.line,
	}
	if err != nil && !err.(*Refusal).Row() {
		if err == ErrNotMine && s.layout.Kind == columnsEntry.Name {
			s.headed(line)
		}
		return out, err
	}
	s.rows++
	spoilt := err == ErrTorn || err == ErrNumber || err == ErrChecksum
	if !spoilt { // the time of a spoilt row is no better than the rest of it
		if !s.time(&out, r, arrival) && err == nil {
			err = ErrBlankTime
		}
		s.at = out.At
	}
	return out, err
}

// time sets when a sample was taken; false where the log should tell and the
// row does not.
func (s *Stream) time(out *analyze.Sample, r *Reading, arrival float64) bool {
	device, date := s.device(r)
	if out.Wall == 0 && known(date) { // our own stamp is better where there is one: its zone is known
		whole := math.Floor(date)
		out.Wall = int64(whole)*1e9 + int64(math.Round((date-whole)*1e6))*1e3
	}
	if s.anew && known(arrival) {
		s.startOver(device, arrival)
	}
	switch {
	case known(device):
		out.At = s.place(device, arrival)
	case s.layout.Timed():
		return false
	case s.layout.Interval > 0:
		out.At = float64(s.rows-1) * s.layout.Interval
	default:
		out.At = arrival + s.shift
	}
	s.came, s.heard = arrival, true
	return true
}

// No battery and no meter for one goes beyond these.
const (
	mostVolts, mostAmps = 2000, 20000
	coldest, hottest    = -90, 400 // degrees Celsius

	// Nor does any clock tell of a time so far off, s: that of 2128 since 1970, and of
	// 2058 as a spreadsheet counts, since 1900. Added to a date, it is still one that can
	// be told in nanoseconds.
	latest = 5e9
)

func farOff(seconds float64) bool { return math.Abs(seconds) > latest }

// complete derives a current from power, and refuses a row in which a
// quantity is missing or beyond belief.
func (s *Stream) complete(r *Reading) error {
	if !known(r[Amps]) && known(r[Watts]) && r[Volts] > 0 && !s.layout.Has(Amps) {
		r[Amps] = r[Watts] / r[Volts]
	}
	if !(r[Celsius] >= coldest && r[Celsius] <= hottest) {
		r[Celsius] = math.NaN()
	}
	if math.Abs(r[Volts]) > mostVolts || math.Abs(r[Amps]) > mostAmps || farOff(r[Time]) || farOff(r[Stamp]) {
		return ErrRange
	}
	if s.voids[0].has(r[Volts]) || s.voids[1].has(r[Amps]) {
		return ErrOverload
	}
	noVolts := !known(r[Volts]) && s.layout.Has(Volts)
	noAmps := !known(r[Amps]) && (s.layout.Has(Amps) || s.layout.Has(Watts))
	switch {
	case noVolts && !known(r[Amps]) || noAmps && !known(r[Volts]):
		if known(r[Celsius]) || known(r[Counter]) {
			return nil // a row of its own for the temperature
		}
		return ErrBlank
	case noVolts:
		return ErrBlankVolts
	case noAmps:
		return ErrBlankAmps
	}
	return nil
}

// device is the device's own time, unwrapped, and the same as seconds since
// 1970 where the log has dates; NaN for what it does not tell.
func (s *Stream) device(r *Reading) (t, date float64) {
	t, date = r[Time], r[Stamp]
	if !known(date) {
		date = r[Date] + r[Clock]
	}
	if known(date) {
		date = s.clock.stamp(date)
	}
	switch {
	case known(t):
	case known(date):
		t = date
	case known(r[Clock]) && !s.layout.Has(Date):
		t = s.clock.clock(r[Clock])
	}
	return t, date
}

// place goes on with the device's own time, as it would in a file. A device clock
// that goes back begins a new run, which goes on from the last sample by the
// difference of the arrivals. Where only the last sample leapt ahead or back, a torn line
// may be, time goes on as if it had not been, and what it was worth is judged elsewhere.
func (s *Stream) place(device, arrival float64) float64 {
	if !known(arrival) { // a file: what the clock does is judged elsewhere
		return device
	}
	back := false
	switch {
	case s.back && s.returned(device, max(0, arrival-s.arrived)):
		s.run = s.earlier
	case s.began && device < s.last && s.leapt(device, arrival-s.arrived):
		s.last, s.before = s.before, s.before-s.pace // the stray is forgotten
	case s.began && device < s.last:
		s.earlier, back = s.run, true
		s.offset = s.at + max(0, arrival-s.arrived) - device
	}
	s.back = back
	s.pace = min(s.step, s.last-s.before)
	s.step = s.last - s.before
	s.before, s.last, s.arrived, s.began = s.last, device, arrival, true
	return device + s.offset
}

const onItsWay = 10 // usual intervals, up to which a row is the next one

// leapt reports whether the last sample, which is so many seconds ago, leapt ahead of those
// around it. Between these there may be a gap, as long as the time that really passed, or much
// shorter than the leap.
func (s *Stream) leapt(device, elapsed float64) bool {
	const (
		ahead   = 1.5 // usual intervals
		shorter = 1.5 // times
	)
	d, leap := device-s.before, s.last-s.before
	return leap > ahead*s.pace && d > 0 && (d-max(0, elapsed) <= onItsWay*s.pace || shorter*d < leap)
}

// returned reports whether only the last sample went back, which is so many seconds ago: time
// goes on where it had been, and not from there. Where there is a gap either way, that one is
// believed which is nearer to the time that really passed.
func (s *Stream) returned(device, elapsed float64) bool {
	pace := s.earlier.pace
	d, fromBack := device-s.earlier.last, device-s.last
	if d > onItsWay*pace {
		return math.Abs(fromBack-elapsed) > math.Abs(d-elapsed)
	}
	return d > 0 && math.Abs(fromBack-pace) > pace/2
}

func known(x float64) bool { return analyze.Known(x) }
