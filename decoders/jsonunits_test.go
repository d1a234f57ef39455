package decoders

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	"amphora/analyze"
)

// The unit beside a value in JSON rules row by row, for Fit and for the stream, in blocks and line by line.
func TestUnitsBesideJSONValuesRuleRowByRow(t *testing.T) {
	for _, form := range []string{
		`{"t":%d,"v":%.3f,"i":%s,"unit":"%s"}`,
		`{"t":%d,"voltage":{"unit":"V","value":%.3f},"current":{"value":%s,"unit":"%s"}}`,
		`{"t":%d,"v":%.3f,"i":%s,"i_unit":"%s"}`,
		`{"t":%d,"v":%.3f,"current":%s,"currentUnit":"%s"}`,
	} {
		var truth []float64
		lines := rowsOf(400, func(k int, v, a float64) string {
			truth = append(truth, a)
			if a < 1 {
				return fmt.Sprintf(form, 20*k, v, fmt.Sprintf("%.0f", a*1000), "mA")
			}
			return fmt.Sprintf(form, 20*k, v, fmt.Sprintf("%.3f", a), "A")
		})
		f, err := Fit(bytesOf(lines), Options{})
		if err != nil {
			t.Errorf("%s: %v", form, err)
			continue
		}
		one, _ := NewStream(f.Layout)
		many, _ := NewStream(f.Layout)
		block := append(bytes.Join(bytesOf(lines), []byte("\n")), '\n')
		samples, _ := many.Block(block, make([]analyze.Sample, 0, len(lines)))
		for k, want := range truth {
			got, err := one.Line([]byte(lines[k]), math.NaN(), 0)
			if err != nil || math.Abs(got.Amps-want) > 0.00051 {
				t.Fatalf("%s: %v A, %v; want %v\n%s", lines[k], got.Amps, err, want, f.Setting)
			}
			if k < len(samples) && samples[k].Amps != got.Amps {
				t.Fatalf("%s: a block has %v A", lines[k], samples[k].Amps)
			}
		}
		if len(samples) < 100 {
			t.Errorf("%s: a block of %d rows", form, len(samples))
		}
	}
}

// A unit beside several values is that of those that it can be of.
func TestAUnitOfOneQuantityIsNoNameOfAnother(t *testing.T) {
	lines := rowsOf(200, func(k int, v, a float64) string {
		return fmt.Sprintf(`{"t":%d,"v":%.3f,"i":%.0f,"unit":"mA"}`, 20*k, v, a*1000)
	})
	f, err := Fit(bytesOf(lines), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if want := "json time=t:s voltage=v:V current=i:mA"; f.Setting != want {
		t.Errorf("%s\nwant %s", f.Setting, want)
	}
}
