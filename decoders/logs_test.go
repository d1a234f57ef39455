package decoders

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/dashboards/testhelp"
)

// openLogs lists the open logs, or skips where they are not at hand.
func openLogs(t testing.TB) []string {
	names, err := filepath.Glob(filepath.Join(testhelp.OpenLogs(t), "*_*.csv"))
	require.NoError(t, err)
	return names
}

// linesOf reads a file's lines.
func linesOf(t testing.TB, name string) [][]byte {
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	return bytes.Split(bytes.TrimRight(b, "\n"), []byte("\n"))
}

// head is what a caller passes to Fit.
func head(lines [][]byte) [][]byte { return lines[:min(len(lines), 4000)] }

// variant writes the columns of an open log in another way.
type variant struct {
	name   string
	order  []int      // of the columns
	scale  [4]float64 // factor of each
	format [4]string
	sep    string
}

var variants = []variant{
	{"no header", []int{0, 1, 2, 3}, [4]float64{1, 1, 1, 1}, [4]string{"%.3f", "%.5f", "%.5f", "%.2f"}, ","},
	{"backwards", []int{3, 2, 1, 0}, [4]float64{1, 1, 1, 1}, [4]string{"%.3f", "%.5f", "%.5f", "%.2f"}, "\t"},
	{"current first, milli-units", []int{2, 3, 0, 1}, [4]float64{1, 1000, 1000, 1}, [4]string{"%.3f", "%.1f", "%.1f", "%.2f"}, ";"},
	{"sign turned", []int{1, 2, 3, 0}, [4]float64{1, 1, -1, 1}, [4]string{"%.3f", "%.4f", "%.4f", "%.1f"}, "|"},
	{"milliseconds", []int{0, 2, 1, 3}, [4]float64{1000, 1, 1, 1}, [4]string{"%.0f", "%.4f", "%.4f", "%.1f"}, ","},
	{"minutes", []int{0, 2, 1, 3}, [4]float64{1. / 60, 1, 1, 1}, [4]string{"%.6f", "%.4f", "%.4f", "%.1f"}, ","},
	{"plus signs and exponents", []int{1, 2, 0, 3}, [4]float64{1, 1, 1, 1}, [4]string{"%+.8E", "%+.8E", "%+.8E", "%+.8E"}, " "},
}

// rewrite gives the log's lines in the variant, without a header.
func (v variant) rewrite(lines [][]byte) [][]byte {
	var out [][]byte
	for _, l := range lines[1:] {
		cells := bytes.Split(l, []byte(","))
		var line []string
		for _, c := range v.order {
			if c >= len(cells) {
				continue
			}
			text := string(cells[c])
			if x, err := strconv.ParseFloat(text, 64); err == nil {
				text = fmt.Sprintf(v.format[c], x*v.scale[c])
			} else if v.sep == " " {
				text = "nan"
			}
			line = append(line, text)
		}
		out = append(out, []byte(strings.Join(line, v.sep)))
	}
	return out
}

// net is the charge that flowed in and out, in Ah, by the trapezoid.
func net(t *testing.T, setting string, lines [][]byte) (ah, volts float64) {
	s := streamOf(t, setting)
	last := analyze.Sample{At: math.NaN()}
	n := 0
	for _, line := range lines {
		now, err := s.Line(line, math.NaN(), 0)
		if err != nil || !known(now.Amps) {
			continue
		}
		if dt := now.At - last.At; dt > 0 && dt < 700 {
			ah += (now.Amps + last.Amps) / 2 * dt / 3600
		}
		last = now
		volts += now.Volts
		n++
	}
	return ah, volts / float64(n)
}

// Columns in any order, without names, in other units and with the other
// sign: what they mean is told by how a battery behaves.
func TestOpenLogsFitByPhysics(t *testing.T) {
	for _, name := range openLogs(t) {
		lines := linesOf(t, name)
		wantAh, wantV := net(t, "columns separator=comma time=1:s voltage=2:V current=3:A", lines)
		if len(lines) < 20 {
			continue // four rows prove nothing
		}
		for _, v := range variants {
			t.Run(filepath.Base(name)+"/"+v.name, func(t *testing.T) {
				other := v.rewrite(lines)
				f, err := Fit(head(other), Options{})
				if strings.Contains(name, "li09") { // no cell is connected: nothing answers anything
					if err == nil {
						assert.Less(t, f.Confidence, 0.8)
					}
					return
				}
				require.NoError(t, err)
				t.Log(f.Setting, f.Confidence, f.Evidence, f.RunnerUp, f.Difference)
				ah, volts := net(t, f.Setting, other)
				assert.InDelta(t, wantAh, ah, 0.002*math.Abs(wantAh)+0.0001)
				assert.InDelta(t, wantV, volts, 0.01)
			})
		}
	}
}
