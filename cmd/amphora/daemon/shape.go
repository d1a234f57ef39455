package daemon

import "amphora/dashboards/curve"

const (
	// shapeBins bounds what a channel holds of the shape of its charge: about 70 KiB
	// where the meter is noisy, whatever the length.
	shapeBins = 512
	// shapePoints is in how many points a shape is shown and kept.
	shapePoints = 2000
)

// shape keeps how the charge under way, or resting, looks, so that who asks need not
// wait until its rows have been read from the journal: of a night at ten rows a
// second that takes seconds.
//
// A charge has the rows of the rest after it, and so has the charge that comes next:
// from the moment that one is over, there are two curves.
type shape struct {
	charge *curve.Curve
	rest   *curve.Curve // nil while the charge is not over
}

func newShape() *shape { return &shape{charge: curve.New(shapeBins)} }

func (s *shape) add(t, v, i, celsius float64) {
	s.charge.Add(t, v, i, celsius)
	if s.rest != nil {
		s.rest.Add(t, v, i, celsius)
	}
}

// over begins the second curve with the first row of the next account. A charge that
// goes on although it seemed over lacks nothing; its rest begins anew when it is over
// again.
func (s *shape) over(from float64) {
	s.rest = curve.New(shapeBins)
	for _, p := range s.charge.Points(shapePoints) {
		if p.At >= from {
			s.rest.Add(p.At, p.Volts, p.Amps, p.Celsius)
		}
	}
}

// closed leaves the second curve, if there is one.
func (s *shape) closed() {
	s.charge, s.rest = s.rest, nil
	if s.charge == nil {
		s.charge = curve.New(shapeBins)
	}
}

func (s *shape) points() []curve.Point { return s.charge.Points(shapePoints) }
