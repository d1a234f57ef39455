package testhelp

import (
	"testing"
	"time"

	"github.com/influxdata/line-protocol/v2/lineprotocol"
	"github.com/stretchr/testify/require"
)

// Point is one point of line protocol.
type Point struct {
	Name   string
	Tags   map[string]string
	Fields map[string]float64
	At     time.Time
}

// Points reads line protocol with the decoder that others use too. Every field must be a
// float, for a field's type is fixed by its first point.
func Points(t testing.TB, text []byte) (all []Point) {
	t.Helper()
	for d := lineprotocol.NewDecoderWithBytes(text); d.Next(); {
		p := Point{Tags: map[string]string{}, Fields: map[string]float64{}}
		name, err := d.Measurement()
		require.NoError(t, err)
		p.Name = string(name)
		for {
			k, v, err := d.NextTag()
			require.NoError(t, err)
			if k == nil {
				break
			}
			p.Tags[string(k)] = string(v)
		}
		for {
			k, v, err := d.NextField()
			require.NoError(t, err)
			if k == nil {
				break
			}
			require.Equal(t, lineprotocol.Float, v.Kind(), "%s of %s", k, name)
			p.Fields[string(k)] = v.FloatV()
		}
		p.At, err = d.Time(lineprotocol.Nanosecond, time.Time{})
		require.NoError(t, err)
		all = append(all, p)
	}
	return all
}
