package plot

import (
	"bytes"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/dashboards/curve"

	"github.com/stretchr/testify/require"
)

// night is a made-up night as it stands before drawing.
func night(name string) (*curve.Curve, []analyze.Session) {
	n := madeup.Named(name)
	var c curve.Curve
	m := analyze.New(analyze.Options{Chemistry: n.Battery.Chemistry, Cells: n.Battery.Cells, Capacity: n.Battery.CapacityAh * 3600})
	first := analyze.Unknown()
	for s := range n.Samples() {
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

// small is a charge of three stages in 200 rows with an hour unmeasured,
// quick to draw.
func small() (*curve.Curve, []analyze.Session) {
	var c curve.Curve
	for s := 0.0; s < 20_000; s += 100 {
		switch {
		case s < 8000 || s >= 11_600 && s < 12_000:
			c.Add(s, 12+s/6000, 3, analyze.Unknown())
		case s >= 12_000:
			c.Add(s, 14, 3*12_000/s-1.7, analyze.Unknown())
		}
	}
	return &c, []analyze.Session{{
		EndS: 19_900, FinishS: 16_000, Outcome: analyze.Complete, ChargeInAh: 12.5, ChargeInAhU95: 0.2, EnergyInWh: 160, HeldV: 14,
		Stages: []analyze.Stage{
			{Stage: analyze.ConstantCurrent, EndS: 12_000, ChargeAh: 10},
			{Stage: analyze.ConstantVoltage, StartS: 12_000, EndS: 16_000, ChargeAh: 2},
			{Stage: analyze.Finish, StartS: 16_000, EndS: 19_900, ChargeAh: 0.5},
		},
		Gaps: []analyze.Gap{{StartS: 7900, EndS: 11_600}},
	}}
}
