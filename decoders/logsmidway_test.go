package decoders

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// A recorder is switched on in the middle of a night as often as not. Wherever an open log begins, and
// whichever way its meter counts, the current is read as flowing the way it did.
func TestOpenLogsBegunInTheirMiddle(t *testing.T) {
	const leastRows, leastAmps = 100, 0.02 // with less nothing is there to tell by
	const plain = "columns separator=comma time=1:s voltage=2:V current=3:A"
	turned := variant{order: []int{0, 1, 2}, scale: [4]float64{1, 1, -1}, format: [4]string{"%.3f", "%.5f", "%.5f"}, sep: ","}
	seen, wrong := 0, []string{}
	for _, name := range openLogs(t) {
		lines := linesOf(t, name)
		if strings.Contains(name, "li09") {
			continue // no cell is connected
		}
		for tenth := range 10 {
			rest := append(lines[:1:1], lines[1+tenth*(len(lines)-1)/10:]...)
			wantAh, _ := net(t, plain, rest)
			all := samplesOf(t, plain, rest)
			if len(all) < leastRows || math.Abs(wantAh) < leastAmps*(all[len(all)-1].At-all[0].At)/3600 {
				continue
			}
			for way, log := range map[string][][]byte{"as it is": rest, "turned": append([][]byte{[]byte("time_s,voltage_V,current_A")}, turned.rewrite(rest)...)} {
				f, err := Fit(head(log), Options{})
				require.NoError(t, err)
				if !f.Told {
					f.SeeSign(behindEachOther(samplesOf(t, f.Setting, log)))
				}
				ah, _ := net(t, f.Setting, log)
				seen++
				if ah*wantAh < 0 {
					wrong = append(wrong, fmt.Sprintf("%s, from %d tenths on, %s: %s", filepath.Base(name), tenth, way, f.Evidence))
				}
			}
		}
	}
	assert.Greater(t, seen, 150)
	assert.Empty(t, wrong)
}

// samplesOf are those that a setting reads.
func behindEachOther(samples []analyze.Sample) *Rows {
	r := &Rows{}
	for _, s := range samples {
		r.Add(s.Volts, s.Amps)
	}
	return r
}

func samplesOf(t *testing.T, setting string, lines [][]byte) (all []analyze.Sample) {
	s := streamOf(t, setting)
	for _, line := range lines {
		if now, err := s.Line(line, math.NaN(), 0); err == nil {
			all = append(all, now)
		}
	}
	return all
}
