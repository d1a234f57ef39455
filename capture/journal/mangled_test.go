package journal

import (
	"os"
	"testing"

	"amphora/analyze/madeup/mangle"
	"amphora/dashboards/testhelp"
)

// Damaged segments in numbers that a fuzzer does not reach.

func TestMangledSegments(t *testing.T) {
	path, data, starts := sound(t)
	m := mangle.New(1, data, data[starts[3]:], data[:starts[4]+20])
	for range mangle.Rounds(t, os.Getenv(mangle.Wanted), 5000) {
		anySegment(t, path, append([]byte(nil), m.Next()...))
	}
}

func TestMangledPackedSegments(t *testing.T) {
	disk, seg, _ := packedNight(t, 20)
	m := mangle.New(2, disk.names[seg.Path].data, markStart)
	for range mangle.Rounds(t, os.Getenv(mangle.Wanted), 5000) {
		disk.names[seg.Path].data = append([]byte(nil), m.Next()...)
		_, _ = readAll(t, disk, 0)
	}
}

// BenchmarkWorst shows what the worst 4 KiB cost: no 10 ms and no MiB.
func BenchmarkWorst(b *testing.B) {
	path, data, starts := sound(b)
	disk := newMemFS()
	testhelp.Worst(b, mangle.New(1, mangle.Full(data, data[starts[3]:])...).Next, func(text []byte) {
		disk.put(path, text)
		_, _ = readAll(b, disk, 0)
	})
}
