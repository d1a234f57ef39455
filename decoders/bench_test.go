package decoders

import (
	"fmt"
	"math"
	"testing"
)

// benchmarkStream decodes the made-up night, line by line.
func benchmarkStream(b *testing.B, setting string, lines [][]byte) {
	l, err := Parse(setting)
	if err != nil {
		b.Fatal(err)
	}
	s, err := NewStream(l)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if _, err := s.Line(lines[i%len(lines)], math.NaN(), 0); err != nil {
			b.Fatal(err)
		}
	}
}

func nightLines(format func(r row) string) [][]byte {
	return bytesOf(logOf("", func(_ int, r row) string { return format(r) }))
}

func BenchmarkColumns(b *testing.B) {
	benchmarkStream(b, "columns separator=comma width=4 time=1:s voltage=2:V current=3:A temperature=4:C",
		nightLines(func(r row) string { return fmt.Sprintf("%.3f,%.5f,%.5f,%.2f", r.t, r.v, r.i, r.celsius) }))
}

func BenchmarkColumnsDecodeOnly(b *testing.B) {
	l, _ := Parse("columns separator=comma width=4 time=1:s voltage=2:V current=3:A temperature=4:C")
	d, _ := newColumns(l)
	lines := nightLines(func(r row) string { return fmt.Sprintf("%.3f,%.5f,%.5f,%.2f", r.t, r.v, r.i, r.celsius) })
	b.ReportAllocs()
	var r Reading
	for i := 0; b.Loop(); i++ {
		if err := d.Decode(lines[i%len(lines)], &r); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkColumnsWithCommaAndClock(b *testing.B) {
	benchmarkStream(b, "columns separator=semicolon decimal=comma clock=1 voltage=2:V current=3:A",
		nightLines(func(r row) string { return r.at().Format("15:04:05") + comma(";%.5f;%.5f", r.v, r.i) }))
}

func BenchmarkLabelled(b *testing.B) {
	benchmarkStream(b, "labelled time=t:s voltage=V:V current=I:A",
		nightLines(func(r row) string { return fmt.Sprintf("t=%.0fs V=%.3fV I=%.0fmA", r.t, r.v, r.i*1000) }))
}

func BenchmarkJSON(b *testing.B) {
	benchmarkStream(b, "json time=t:s voltage=battery.v:V current=battery.i:A",
		nightLines(func(r row) string {
			return fmt.Sprintf(`{"t":%.1f,"battery":{"v":%.3f,"i":%.3f}}`, r.t, r.v, r.i)
		}))
}

func BenchmarkPattern(b *testing.B) {
	benchmarkStream(b, `pattern ^(?P<time>[\d.]+) (?P<voltage>[\d.]+)V (?P<current>[\d.]+)A$`,
		nightLines(func(r row) string { return fmt.Sprintf("%.1f %.3fV %.3fA", r.t, r.v, r.i) }))
}

func BenchmarkFit(b *testing.B) {
	lines := nightLines(func(r row) string { return fmt.Sprintf("%.3f,%.5f,%.5f,%.2f", r.t, r.v, r.i, r.celsius) })
	lines = append(lines, lines...)[:4000]
	named := append([][]byte{[]byte("time_s,voltage_V,current_A,temperature_C")}, lines...)
	for name, lines := range map[string][][]byte{"bare": lines, "named": named} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Fit(lines, Options{Brief: true}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
