package plot

import (
	"bytes"
	"iter"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/dashboards/curve"

	"github.com/stretchr/testify/require"
)

// night is a made-up night as it stands before drawing.
func night(t testing.TB, name string) (*curve.Curve, []analyze.Session) {
	for _, n := range append(madeup.Nights(), madeup.Troubles()...) {
		if n.Name == name {
			return judged(n.Samples(), analyze.Options{Chemistry: n.Battery.Chemistry, Cells: n.Battery.Cells, Capacity: n.Battery.CapacityAh * 3600})
		}
	}
	t.Fatalf("there is no made-up night %q", name)
	return nil, nil
}

func judged(samples iter.Seq[analyze.Sample], o analyze.Options) (*curve.Curve, []analyze.Session) {
	var c curve.Curve
	m := analyze.New(o)
	first := analyze.Unknown()
	for s := range samples {
		if !analyze.Known(first) {
			first = s.At
		}
		m.Step(s)
		c.Add(s.At-first, s.Volts, s.Amps, s.Celsius)
	}
	return &c, m.Document().Sessions
}

func drawn(t testing.TB, format, title string, c *curve.Curve, sessions []analyze.Session) []byte {
	var b bytes.Buffer
	require.NoError(t, Draw(&b, format, title, c, sessions))
	return b.Bytes()
}
