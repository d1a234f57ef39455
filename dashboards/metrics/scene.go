package metrics

import (
	"slices"
	"strings"

	"amphora/analyze"
	"amphora/dashboards/live"
)

// scene is what there is to show at the moment of a scrape.
type scene struct {
	*Metrics
	channels []channel // by name
}

// channel is one of them with its label, which stands on most lines of the page
// and is made ready once.
type channel struct {
	label string
	*live.Channel
}

func (m *Metrics) scene() *scene {
	s := &scene{Metrics: m}
	all := m.from.Snapshot()
	for k := range all {
		s.channels = append(s.channels, channel{label("channel", all[k].Name), &all[k]})
	}
	slices.SortStableFunc(s.channels, func(a, b channel) int { return strings.Compare(a.label, b.label) })
	// Names that differ in bytes no label may hold would make series twice.
	s.channels = slices.CompactFunc(s.channels, func(a, b channel) bool { return a.label == b.label })
	return s
}

// number writes a quantity in base units if it is known.
func (w *writer) number(n analyze.Number, unit float64, labels ...string) {
	if analyze.Known(n) {
		w.series(float64(n)*unit, labels...)
	}
}

// Kinds of metrics of a channel, by where in the live state they are.

func reading(of func(*live.Reading) analyze.Number) lines {
	return func(w *writer, s *scene) {
		for _, c := range s.channels {
			if c.Reading != nil {
				w.number(of(c.Reading), 1, c.label)
			}
		}
	}
}

func session(of func(*analyze.Session) analyze.Number, unit float64) lines {
	return func(w *writer, s *scene) {
		for _, c := range s.channels {
			if charge := c.Charge(); charge != nil {
				w.number(of(charge), unit, c.label)
			}
		}
	}
}

func count[N int | int64](of func(channel) N) lines {
	return func(w *writer, s *scene) {
		for _, c := range s.channels {
			w.series(float64(of(c)), c.label)
		}
	}
}

func state(of func(channel) bool) lines {
	return func(w *writer, s *scene) {
		for _, c := range s.channels {
			w.series(oneIf(of(c)), c.label)
		}
	}
}

func oneIf(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}
