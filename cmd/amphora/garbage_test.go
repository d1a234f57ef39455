package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// gatheredNow is how much garbage may gather, in percent.
func gatheredNow() int {
	percent := debug.SetGCPercent(1)
	debug.SetGCPercent(percent)
	return percent
}

func TestOnlyTheGarbageOfANightGathers(t *testing.T) {
	t.Setenv("GOGC", "")
	assert.Equal(t, ample, garbageFrom(1))
	assert.Equal(t, thrift, garbageFrom(2))
	for _, test := range []struct{ rows, percent int }{
		{1000, ample},
		{nightBatches * batchRows, thrift},
	} {
		t.Run(fmt.Sprint(test.rows), func(t *testing.T) {
			defer gather(ample)()
			var log bytes.Buffer
			log.WriteString("time_s,voltage_V,current_A\n")
			for k := range test.rows {
				fmt.Fprintf(&log, "%d,12.70%d,0.00\n", k, k%3)
			}
			name := filepath.Join(t.TempDir(), "night.csv")
			require.NoError(t, os.WriteFile(name, log.Bytes(), 0o600))
			_, _, err := readLog(name, nil, logOptions{})
			require.NoError(t, err)
			assert.Equal(t, test.percent, gatheredNow())
		})
	}
}

func TestGarbageGathersAsTheUserSays(t *testing.T) {
	before := gatheredNow()
	t.Setenv("GOGC", "77")
	gather(thrift)
	assert.Equal(t, before, gatheredNow())
	t.Setenv("GOGC", "")
	back := gather(thrift)
	assert.Equal(t, thrift, gatheredNow())
	back()
	assert.Equal(t, before, gatheredNow())
}
