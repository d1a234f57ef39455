package spool

import (
	"bytes"
	"fmt"
	"testing"
)

// batch is the text of 5000 points, as they come of a night.
func batch() []byte {
	var b bytes.Buffer
	for k := range 5000 {
		fmt.Fprintf(&b, "charge_sample,battery=mower,channel=bench,stage=constant-current voltage=%.3f,current=3.%03d,temperature=18.%d,charge_ah=%.6f %d000000000\n",
			13+float64(k)/5000, k*7919%13, k/700, float64(k)*3/3600, 1773524400+k)
	}
	return b.Bytes()
}

func BenchmarkPush(b *testing.B) {
	q := open(b, Options{Dir: b.TempDir()})
	text, marks := batch(), map[string]uint64{"bench": 1}
	b.ReportAllocs()
	for b.Loop() {
		q.Push(5000, text, marks)
	}
}

func BenchmarkCompress(b *testing.B) {
	text := batch()
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		b.ReportMetric(float64(len(text))/float64(len(Compress(text))), "ratio")
	}
}

func BenchmarkKeep(b *testing.B) {
	q := open(b, Options{Dir: b.TempDir()})
	text, marks := batch(), map[string]uint64{"bench": 1}
	b.ReportAllocs()
	for b.Loop() {
		q.Push(5000, text, marks)
		if err := q.Keep(); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(q.Level().Stored)/float64(q.Level().Points), "bytes/point")
}
