package daemon

import (
	"context"
	"iter"
	"slices"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/dashboards/curve"
)

// nightsRemembered is how many earlier nights of a battery a forecast looks back on.
const nightsRemembered = 8

// earlierNights are the last complete charges of a battery, the newest last, with the way of the voltage where
// the data folder keeps its curve. One that may still be revised is left out: it is the
// present, and must not look back on itself.
func earlierNights(ctx context.Context, book *logbook.Book, data, battery string) ([]analyze.Earlier, error) {
	sessions, err := book.Sessions(ctx, logbook.Filter{Battery: battery, Limit: 3 * nightsRemembered})
	if err != nil {
		return nil, err
	}
	var nights []analyze.Earlier
	for k := range sessions {
		s := &sessions[k]
		if !s.Settled || s.Summary.Outcome != analyze.Complete || len(nights) == nightsRemembered {
			continue
		}
		if e, ok := analyze.EarlierOf(&s.Summary, rowsOf(KeptShape(data, s))); ok {
			nights = append(nights, e)
		}
	}
	slices.Reverse(nights)
	return nights, nil
}

// rowsOf are the rows of a curve.
func rowsOf(points []curve.Point) iter.Seq[analyze.Sample] {
	return func(yield func(analyze.Sample) bool) {
		for _, p := range points {
			if !yield(analyze.Sample{At: p.At, Volts: p.Volts, Amps: p.Amps, Celsius: p.Celsius}) {
				return
			}
		}
	}
}

// Remembering fills in what the logbook of a data folder knows of a battery: what Knowing
// does, and its earlier nights, for a forecast.
func Remembering(ctx context.Context, book *logbook.Book, data string, o analyze.Options) (analyze.Options, error) {
	m, err := remembered(ctx, book, data, o.Battery)
	o = m.Label.on(o)
	o.Earlier = m.Earlier
	return o, err
}
