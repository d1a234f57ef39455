package decoders

import (
	"math"

	"amphora/analyze"
)

// Stream turns the lines of one source into samples. It owns the decoder, the
// number of the line and the rules for time: the device's own time within a
// rising run, else the time of arrival.
type Stream struct {
	layout  *Layout
	decoder Decoder
	clock   timer
	pair    pair
	reading Reading // of the last line; here, so that no line allocates
	line    int
	rows    int

	last    float64 // device time of the last sample
	arrived float64 // arrival of the last sample
	offset  float64 // from device time to the time given out
	at      float64 // time given out last
	began   bool
}

// NewStream makes a stream for a layout from Parse or Fit.
func NewStream(l *Layout) (*Stream, error) {
	entry := entryNamed(l.Kind)
	if entry == nil {
		return nil, ErrUndecodable
	}
	own := *l
	own.Fields = append([]Field(nil), l.Fields...)
	d, err := entry.New(&own)
	if err != nil {
		return nil, err
	}
	if own.Checksum != "" {
		d = &framed{d, checksumNamed(own.Checksum)}
	}
	return &Stream{layout: &own, decoder: d}, nil
}

// Layout is what the stream decodes.
func (s *Stream) Layout() *Layout { return s.layout }

// Lines counts the lines seen; Rows those that held data, rejected or not.
func (s *Stream) Lines() int { return s.line }

// Rows counts the lines that held data, used or rejected.
func (s *Stream) Rows() int { return s.rows }

// Line decodes the next line, without its end. arrival is when it came, in s
// on a clock that never jumps, NaN where that is not known (files); wall is
// the same instant in ns since 1970, 0 where not known. The error is nil or a
// *Refusal; with a refusal that is a row, the sample has the row's line and
// what else was readable, but must not be integrated.
func (s *Stream) Line(line []byte, arrival float64, wall int64) (analyze.Sample, error) {
	s.line++
	r := &s.reading
	err := s.decoder.Decode(line, r)
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
		return out, err
	}
	s.rows++
	switch device, dated, ok := s.device(r); {
	case err == ErrTorn || err == ErrNumber || err == ErrChecksum: // its time is no better
	case ok:
		out.At = s.place(device, arrival)
		if dated && wall == 0 {
			out.Wall = int64(math.Floor(device))*1e9 + int64(math.Round((device-math.Floor(device))*1e6))*1e3
		}
	case s.layout.Timed():
		if err == nil {
			err = ErrBlankTime
		}
	case s.layout.Interval > 0:
		out.At = float64(s.rows-1) * s.layout.Interval
	default:
		out.At = arrival
	}
	s.at = out.At
	return out, err
}

// complete derives a current from power, and refuses a row in which a
// quantity is missing or beyond belief.
func (s *Stream) complete(r *Reading) error {
	if !known(r[Amps]) && known(r[Watts]) && r[Volts] > 0 && !s.layout.Has(Amps) {
		r[Amps] = r[Watts] / r[Volts]
	}
	const volts, amps, cold, hot = 2000, 20000, -90, 400 // no battery and no meter for one goes there
	if !(r[Celsius] >= cold && r[Celsius] <= hot) {
		r[Celsius] = math.NaN()
	}
	if math.Abs(r[Volts]) > volts || math.Abs(r[Amps]) > amps {
		return ErrRange
	}
	noVolts := !known(r[Volts]) && s.layout.Has(Volts)
	noAmps := !known(r[Amps]) && (s.layout.Has(Amps) || s.layout.Has(Watts))
	switch {
	case noVolts && noAmps || noVolts && !known(r[Amps]) || noAmps && !known(r[Volts]):
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

// device is the device's own time, unwrapped, and whether it has a date.
func (s *Stream) device(r *Reading) (t float64, dated, ok bool) {
	stamp := r[Stamp]
	if !known(stamp) && known(r[Date]) && known(r[Clock]) {
		stamp = r[Date] + r[Clock]
	}
	switch {
	case known(r[Time]):
		return r[Time], false, true
	case known(stamp):
		return s.clock.stamp(stamp), true, true
	case known(r[Clock]) && !s.layout.Has(Date):
		return s.clock.clock(r[Clock]), false, true
	}
	return 0, false, false
}

// place sets the device's time on the scale of arrivals. A device clock that
// goes back begins a new run, which goes on from the last sample by the
// difference of the arrivals.
func (s *Stream) place(device, arrival float64) float64 {
	if !known(arrival) { // a file: what the clock does is judged elsewhere
		return device
	}
	if !s.began {
		s.offset = arrival - device
	} else if device < s.last {
		s.offset = s.at + max(0, arrival-s.arrived) - device
	}
	s.last, s.arrived, s.began = device, arrival, true
	return device + s.offset
}

func known(x float64) bool { return analyze.Known(x) }
