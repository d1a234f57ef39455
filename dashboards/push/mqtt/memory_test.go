package mqtt

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// remembered is the file of a memory of an earlier configuration with a topic that is gone, and with two charges that
// wait, and what it holds.
func remembered(t *testing.T) (file string, content []byte, now []string) {
	file = filepath.Join(t.TempDir(), "mqtt-shed")
	m, err := recall(file, []string{"a/bench/session", "a/bench/state", "a/gone/state"})
	require.NoError(t, err)
	require.NoError(t, m.keep([]*message{
		{topic: "a/bench/session", event: "bench-1", payload: []byte(`{"id":"bench-1","charge_in_ah":21.6}`)},
		{topic: "a/bench/session", event: "bench-2", payload: []byte(`{"id":"bench-2","charge_in_ah":20.9}`)},
	}))
	content, err = os.ReadFile(file)
	require.NoError(t, err)
	return file, content, []string{"a/bench/session", "a/bench/state"}
}

// told is what a memory knows.
func told(m *memory) (all []string) {
	for topic := range m.stale {
		all = append(all, topic)
	}
	for _, e := range m.events {
		all = append(all, e.event+" "+string(e.payload))
	}
	slices.Sort(all)
	return all
}

func TestMemoryOutlastsUs(t *testing.T) {
	file, _, now := remembered(t)
	m, err := recall(file, now)
	require.NoError(t, err)
	want := []string{"a/gone/state", `bench-1 {"id":"bench-1","charge_in_ah":21.6}`, `bench-2 {"id":"bench-2","charge_in_ah":20.9}`}
	assert.Equal(t, want, told(m))
	require.NoError(t, m.gone("a/gone/state"))
	m, err = recall(file, now)
	require.NoError(t, err)
	assert.Equal(t, want[1:], told(m))
}

// Whatever the disk made of the file, all begins with it, nothing that was not written is told, and what was lost is
// said and can be looked at. One bit costs one charge, or two if it was between them.
func TestMemoryHarmedAtEveryByte(t *testing.T) {
	file, content, now := remembered(t)
	m, err := recall(file, now)
	require.NoError(t, err)
	whole := told(m)
	try := func(hurt []byte, most int, what string) {
		m := &memory{ours: now, stale: map[string]bool{}}
		require.Error(t, m.take(hurt), what)
		require.Subset(t, whole, told(m), what)
		require.GreaterOrEqual(t, len(told(m)), len(whole)-most)
	}
	for k := range len(content) - 1 {
		try(content[:k], len(whole), fmt.Sprint("cut at ", k))
		hurt := slices.Clone(content)
		hurt[k] ^= 1 << (k % 8)
		try(hurt, 2, fmt.Sprint("byte ", k))
		if k%29 != 0 {
			continue
		}
		require.NoError(t, os.WriteFile(file, hurt, 0o600))
		m, err := recall(file, now)
		require.ErrorContains(t, err, "it is put aside as mqtt-shed.damaged")
		aside, err := os.ReadFile(file + ".damaged")
		require.NoError(t, err)
		require.Equal(t, hurt, aside)
		again, err := recall(file, now)
		require.NoError(t, err, "it is whole again")
		require.Equal(t, told(m), told(again))
	}
}

// A memory that cannot be kept stops nobody.
func TestMemoryOnAFullDisk(t *testing.T) {
	file := filepath.Join(t.TempDir(), "no folder")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	m, err := recall(filepath.Join(file, "mqtt-shed"), []string{"a/state"})
	assert.Error(t, err)
	assert.Error(t, m.keep([]*message{{topic: "a/state", event: "1", payload: []byte("{}")}}))
}

// As it was first written down.
func TestEarlierMemoryIsTakenOver(t *testing.T) {
	file := filepath.Join(t.TempDir(), "mqtt-shed")
	require.NoError(t, os.WriteFile(file+".json", []byte(`{"topics": ["a/bench/session", "a/gone/state"],
 "waiting": [{"topic": "a/bench/session", "event": "bench-1", "payload": {"id": "bench-1"}}]}`), 0o600))
	m, err := recall(file, []string{"a/bench/session"})
	require.NoError(t, err)
	assert.Equal(t, []string{"a/gone/state", `bench-1 {"id": "bench-1"}`}, told(m))
	assert.NoFileExists(t, file+".json")
	m, err = recall(file, []string{"a/bench/session"})
	require.NoError(t, err)
	assert.Len(t, told(m), 2)

	require.NoError(t, os.WriteFile(file+"-2.json", []byte(`{"topics": ["amph`), 0o600))
	m, err = recall(file+"-2", nil)
	require.NoError(t, err)
	assert.Empty(t, told(m))
}
