package main

import (
	"errors"

	"amphora/capture"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/live"
	"amphora/dashboards/web"
	"amphora/decoders"
)

// setupOf lets the page see what the commands ports and identify see, in the same
// form, and set limits.
func setupOf(d *daemon.Daemon) web.Setup {
	return web.Setup{
		Ports: func() (any, error) {
			ports, err := capture.Ports("/")
			return portViews(ports), err
		},
		Lines: d.Lines,
		Identify: func(channel string) (any, bool) {
			meters, ok := d.Heard(channel)
			return map[string]any{"proposals": proposals(meters)}, ok
		},
		Limit: func(channel string, n live.NewLimits) (live.Limits, bool, error) {
			now, err := d.Limit(channel, n)
			if errors.Is(err, daemon.ErrNoChannel) {
				return now, false, nil
			}
			return now, true, err
		},
	}
}

// proposal is how the lines of a meter are laid out, or why nobody can say.
type proposal struct {
	Meter  *string   `json:"meter"` // null where the channel has one only
	Lines  int       `json:"lines"` // it was told from
	Layout *identity `json:"layout"`
	Why    *string   `json:"why"`
}

// only is the one quantity that a meter of two brings.
var only = map[string]decoders.Quantity{"voltage": decoders.Volts, "current": decoders.Amps}

func proposals(meters map[string]*daemon.Heard) []proposal {
	all := []proposal{}
	for _, meter := range []string{"", "voltage", "current"} {
		h := meters[meter]
		if h == nil {
			continue
		}
		p := proposal{Meter: optional(meter), Lines: len(h.Lines)}
		fitted, err := decoders.Fit(h.Lines, decoders.Options{Live: true, Span: h.Span, Only: only[meter]})
		if err != nil {
			p.Why = optional(err.Error())
		} else {
			p.Layout = &identity{Tried: []attempt{}}
			p.Layout.fill(fitted)
		}
		all = append(all, p)
	}
	return all
}
