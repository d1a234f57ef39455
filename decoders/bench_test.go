package decoders

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// envelopes are ways to write the made-up night, each with its setting, and
// whether all its lines are of one shape but for the width of the time.
var envelopes = []struct {
	name, setting string
	line          func(r row) string
}{
	{"columns", "columns separator=comma width=4 time=1:s voltage=2:V current=3:A temperature=4:C",
		func(r row) string { return fmt.Sprintf("%.3f,%.3f,%.3f,%.3f", r.t, r.v, r.i, r.celsius) }},
	{"columns, zeros left out", "columns separator=comma width=4 time=1:s voltage=2:V current=3:A temperature=4:C",
		func(r row) string { return fmt.Sprintf("%v,%.5v,%.4v,%.4v", r.t, r.v, r.i, r.celsius) }},
	{"columns, decimal comma", "columns separator=semicolon decimal=comma width=3 time=1:s voltage=2:V current=3:mA",
		func(r row) string { return comma("%.0f;%.3f;%.1f", r.t, r.v, r.i*1000) }},
	{"columns, clock", "columns separator=semicolon width=3 clock=1 voltage=2:V current=3:A",
		func(r row) string { return r.at().Format("15:04:05") + fmt.Sprintf(";%.3f;%.3f", r.v, r.i) }},
	{"columns, stamp", "columns separator=comma width=3 stamp=1 voltage=2:V current=3:A",
		func(r row) string { return r.at().Format("2006-01-02T15:04:05Z") + fmt.Sprintf(",%.3f,%.3f", r.v, r.i) }},
	{"labelled", "labelled time=t:s voltage=V:V current=I:A",
		func(r row) string { return fmt.Sprintf("t=%.0fs V=%.3fV I=%.0fmA", r.t, r.v, r.i*1000) }},
	{"labelled, words", "labelled time=after:s voltage=voltage:V current=current:A temperature=at:C",
		func(r row) string {
			return fmt.Sprintf("after %.0f s: battery voltage: %.2f V, charging current %.2f A at %.1f C", r.t, r.v, r.i, r.celsius)
		}},
	{"json", "json time=t:s voltage=battery.v:V current=battery.i:A",
		func(r row) string { return fmt.Sprintf(`{"t":%.1f,"battery":{"v":%.3f,"i":%.3f}}`, r.t, r.v, r.i) }},
	{"pattern", `pattern ^(?P<time>[\d.]+) (?P<voltage>[\d.]+)V (?P<current>-?[\d.]+)A$`,
		func(r row) string { return fmt.Sprintf("%.1f %.3fV %.3fA", r.t, r.v, r.i) }},
}

func nightLines(format func(r row) string) [][]byte {
	return bytesOf(logOf("", func(_ int, r row) string { return format(r) }))
}

// BenchmarkLine decodes line by line, as live lines come.
func BenchmarkLine(b *testing.B) {
	for _, e := range envelopes {
		b.Run(e.name, func(b *testing.B) {
			s, lines := streamOf(b, e.setting), nightLines(e.line)
			b.SetBytes(int64(len(bytes.Join(lines, []byte("\n"))) / len(lines)))
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				if _, err := s.Line(lines[i%len(lines)], math.NaN(), 0); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkBlock decodes whole blocks, as of files.
func BenchmarkBlock(b *testing.B) {
	for _, e := range envelopes {
		b.Run(e.name, func(b *testing.B) {
			lines := nightLines(e.line)
			text := append(bytes.Join(lines, []byte("\n")), '\n')
			out := make([]analyze.Sample, 0, len(lines))
			s := streamOf(b, e.setting)
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				got, rest := s.Block(text, out)
				require.Empty(b, rest)
				require.Len(b, got, len(lines))
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(lines)), "ns/row")
		})
	}
}

func BenchmarkFit(b *testing.B) {
	lines := nightLines(envelopes[0].line)
	lines = append(lines, lines...)[:4000]
	named := append([][]byte{[]byte("time_s,voltage_V,current_A,temperature_C")}, lines...)
	for name, lines := range map[string][][]byte{"bare": lines, "named": named} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				_, err := FitBriefly(firstOf(lines), Options{})
				require.NoError(b, err)
			}
		})
	}
}
