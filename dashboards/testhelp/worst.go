package testhelp

import (
	"runtime"
	"testing"
	"time"
)

// Worst is a benchmark of do on text after text. It reports what the worst of them
// cost: the time, and the memory that was allocated, which no result exceeds. A text
// that cost more than any before is tried again, so that what else the machine does
// counts for little.
func Worst(b *testing.B, next func() []byte, do func(text []byte)) {
	var worst cost
	for b.Loop() {
		text := next()
		c := costOf(do, text)
		for range 9 {
			if c.time <= worst.time && c.memory <= worst.memory {
				break
			}
			again := costOf(do, text)
			c = cost{min(c.time, again.time), min(c.memory, again.memory)}
		}
		worst = cost{max(c.time, worst.time), max(c.memory, worst.memory)}
	}
	b.ReportMetric(float64(worst.time.Microseconds())/1000, "ms/worst")
	b.ReportMetric(float64(worst.memory)/1024, "KiB/worst")
}

type cost struct {
	time   time.Duration
	memory uint64 // bytes
}

func costOf(do func([]byte), text []byte) cost {
	before, began := allocated(), time.Now()
	do(text)
	return cost{time.Since(began), allocated() - before}
}

// allocated is how many bytes were allocated since the start.
func allocated() uint64 {
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.TotalAlloc
}

// WorstKept is a benchmark of result on text after text. It reports the memory that the
// largest of the results holds.
func WorstKept(b *testing.B, next func() []byte, result func(text []byte) any) {
	worst := uint64(0)
	for b.Loop() {
		text := next()
		before := held()
		kept := result(text)
		if after := held(); after > before {
			worst = max(worst, after-before)
		}
		runtime.KeepAlive(kept)
	}
	b.ReportMetric(float64(worst)/1024, "KiB/worst")
}

// held is how many bytes are in use once nothing is left to be collected.
func held() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}
