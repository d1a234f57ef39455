package main

import (
	"bytes"
	"compress/gzip"
	"encoding/base64"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"amphora/analyze"

	"github.com/klauspost/compress/zstd"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bzip2ed is steadyLog as the tool of that name packs it, which nothing here can do.
const bzip2ed = "QlpoOTFBWSZTWQDGxcsAAvzfgAAQAAV/4CAAAQCqp58AMAD6VYhVHsk/fqlSYjAJgRTTQP9VBoAD09UElRTJ+n7VUZJowIya7pJCBt+2ECWECcYQJjkY4b/njrptyxbnQNRoBkMAwDIaAaj7AbD6AKQAFaTExE1VVWapaKqq6TaECZAJIEc1VXBBhCJu7xd3d3rEwGAZiYBkMRMcJiYiKq4VYQJuIKquFzIW2226XKQgAAA1DaM/DQlz4/Vb+3KxYJSWf4u5IpwoSABjYuWA"

func steadyLog() string {
	log := "time_s,voltage_V,current_A\n"
	for k := range 101 {
		log += fmt.Sprintf("%d,12.60,3.60\n", 10*k)
	}
	return log
}

// packedBy writes a text through what packs it.
func packedBy(t *testing.T, text string, by func(io.Writer) io.WriteCloser) []byte {
	t.Helper()
	var b bytes.Buffer
	w := by(&b)
	_, err := io.WriteString(w, text)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return b.Bytes()
}

func gzipped(w io.Writer) io.WriteCloser { return gzip.NewWriter(w) }

// Logs that were rotated are packed, and read all the same.
func TestPackedLogs(t *testing.T) {
	bz, err := base64.StdEncoding.DecodeString(bzip2ed)
	require.NoError(t, err)
	dir := t.TempDir()
	for name, body := range map[string][]byte{
		"bench.log":     []byte(steadyLog()),
		"bench.log.gz":  packedBy(t, steadyLog(), gzipped),
		"bench.log.bz2": bz,
		"bench.log.zst": packedBy(t, steadyLog(), func(w io.Writer) io.WriteCloser { z, _ := zstd.NewWriter(w); return z }),
	} {
		file := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(file, body, 0o600))
		d := doneJSON[analyze.Document](t, "analyze", file)
		require.Len(t, d.Sessions, 1, name)
		assert.Equal(t, 101, d.Log.Used, name)
		assert.InDelta(t, 1, float64(d.Sessions[0].ChargeInAh), 0.001, name)
		assert.Equal(t, "bench", d.Sessions[0].Channel, name)
	}
}

// What is cut short or no log is said to be, and keeps no other from being read.
func TestPackedLogsThatCannotBeRead(t *testing.T) {
	dir, whole := t.TempDir(), packedBy(t, steadyLog(), gzipped)
	for name, c := range map[string]struct {
		body []byte
		code int
		want string
	}{
		"cut.gz":   {whole[:len(whole)/2], exitFailed, "its gzip data is cut short or damaged (unexpected EOF): unpack it as far as that goes"},
		"head.gz":  {whole[:9], exitUndecodable, "its gzip data is damaged from the beginning, and cannot be decoded"},
		"bits.gz":  {append(bytes.Clone(whole[:len(whole)-8]), "damaged!"...), exitFailed, "its gzip data is cut short or damaged"},
		"twice.gz": {packedBy(t, string(whole), gzipped), exitUndecodable, "they are no text"},
		"wide.zst": {packedBy(t, strings.Repeat(steadyLog(), 1000), func(w io.Writer) io.WriteCloser {
			z, _ := zstd.NewWriter(w, zstd.WithWindowSize(2*longestWindow))
			return z
		}), exitFailed, "window size exceeded"},
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), c.body, 0o600))
		code, out, complaint := amphora(t, "analyze", filepath.Join(dir, name))
		assert.Equal(t, c.code, code, name)
		assert.Empty(t, out, name)
		assert.Contains(t, complaint, c.want, name)
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "good.gz"), whole, 0o600))
	code, out, _ := amphora(t, "analyze", dir)
	assert.NotZero(t, code)
	assert.Contains(t, out, "good.gz: 101 rows used of 101")
}
