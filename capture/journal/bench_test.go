package journal

import (
	"bytes"
	"context"
	"testing"
)

// night is 20 hours at one line a second.
const night = 72_000

func benchmarkRead(b *testing.B, m *memFS) {
	b.ReportAllocs()
	for b.Loop() {
		r, err := newReader(m, testDir, testName, 0)
		if err != nil {
			b.Fatal(err)
		}
		r.OnDamage = func(d *Damage) { b.Fatal(d) }
		n := 0
		for r.Next() {
			n++
		}
		if n != night || r.Err() != nil {
			b.Fatalf("%d records, error %v", n, r.Err())
		}
	}
	b.ReportMetric(float64(b.N)*night/b.Elapsed().Seconds(), "records/s")
}

func BenchmarkReadNight(b *testing.B) {
	m := newMemFS()
	record(b, m, 1, night+1)
	benchmarkRead(b, m)
}

func BenchmarkReadPackedNight(b *testing.B) {
	m := newMemFS()
	record(b, m, 1, night+1)
	j, err := Open(testDir, testOptions(m))
	if err != nil {
		b.Fatal(err)
	}
	if err := j.Compress(context.Background()); err != nil {
		b.Fatal(err)
	}
	closeJournal(b, j)
	benchmarkRead(b, m)
}

func BenchmarkPackNight(b *testing.B) {
	m := newMemFS()
	record(b, m, 1, night+1)
	path := segmentFiles(b, m)[0].Path
	var packed bytes.Buffer
	for b.Loop() {
		packed.Reset()
		if err := pack(&packed, &memHandle{fs: m, file: m.names[path]}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(packed.Len())/float64(len(m.names[path].data)), "of-size")
}

// BenchmarkAppend is one record on its way through memory to a real file, with
// a sync after ten thousand.
func BenchmarkAppend(b *testing.B) { benchmarkWrite(b, 10_000) }

// BenchmarkSync is one record made durable: mostly the disk's own time.
func BenchmarkSync(b *testing.B) { benchmarkWrite(b, 1) }

func benchmarkWrite(b *testing.B, syncEvery uint64) {
	j, err := Open(b.TempDir(), Options{Log: quiet()})
	if err != nil {
		b.Fatal(err)
	}
	c, err := j.Channel(testName, 0)
	if err != nil {
		b.Fatal(err)
	}
	f := lineFrame(1)
	b.ReportAllocs()
	for b.Loop() {
		if seq := c.Append(f); seq%syncEvery == 0 {
			if err := c.Sync(context.Background()); err != nil {
				b.Fatal(err)
			}
		}
	}
	if dropped := c.Health().Dropped; dropped > 0 {
		b.Fatalf("%d lines dropped", dropped)
	}
	if err := j.Close(context.Background()); err != nil {
		b.Fatal(err)
	}
}

// BenchmarkOpenAfterANight is what a restart costs: finding the last record.
func BenchmarkOpenAfterANight(b *testing.B) {
	m := newMemFS()
	record(b, m, 1, night+1)
	for b.Loop() {
		j, c := openJournal(b, testOptions(m))
		if next := c.Health().Next; next != night+1 {
			b.Fatal(next)
		}
		closeJournal(b, j)
	}
}
