package main

import (
	"bytes"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/analyze/madeup/mangle"
	"amphora/decoders"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// One bad line costs its row and those it took in, and nothing else: no night is refused, ended,
// doubled or alarmed of because of it. AMPHORA_MANGLED says how many lines to spoil.
func TestOneBadLineCostsItsRow(t *testing.T) {
	layouts := []madeup.Layout{madeup.Commas, madeup.Semicolons, madeup.Tabs, madeup.Labelled, madeup.JSONLines, madeup.ClockTime, madeup.DateTime, madeup.Thousandths}
	nights := []string{"car-flat", "outboard-plateau", "drill-three-cells", "torch-one-cell", "lantern-peak", "mower-float", "car-partial"}
	const each = 10 // lines of a log, one at a time
	for seed := range uint64(mangle.Rounds(t, os.Getenv(mangle.Wanted), 20*each) / each) {
		r := rand.New(rand.NewPCG(seed, 11))
		night := madeup.Named(nights[r.IntN(len(nights))])
		night.Layout = layouts[r.IntN(len(layouts))]
		var lines [][]byte
		for _, l := range night.Lines() {
			lines = append(lines, []byte(l))
		}
		rows := slices.IndexFunc(lines, func(l []byte) bool { return l[0] != '#' && decoders.MayBeRow(l) })
		want := judgedLines(t, lines)
		for range each {
			at := rows + 1 + r.IntN(len(lines)-rows-3)
			spoilt, what := spoil(r, lines, at)
			got := judgedLines(t, spoilt)
			if sameNight(t, want, got); t.Failed() {
				t.Fatalf("seed %d, %s as %s, line %d: %q for %q", seed, night.Name, night.Layout, at+1, what, lines[at])
			}
		}
	}
}

// spoil gives the lines with one of them cut, joined, changed or said twice.
func spoil(r *rand.Rand, lines [][]byte, at int) (spoilt [][]byte, bad []byte) {
	line, next := lines[at], lines[at+1+r.IntN(2)]
	cut := r.IntN(len(line) + 1)
	after := at + 1
	switch r.IntN(6) {
	case 0: // the end is lost, whole lines may be, and the beginning of another
		bad, after = slices.Concat(line[:cut], next[r.IntN(len(next)+1):]), at+3
	case 1:
		bad = line[:cut]
	case 2:
		bad = line[cut:]
	case 3:
		bad = slices.Concat(line, next)
	case 4:
		bad = slices.Clone(line)
		bad[min(cut, len(bad)-1)] = byte(' ' + r.IntN(0x100-' '))
	case 5: // another digit
		bad = slices.Clone(line)
		for bad[cut%len(bad)]-'0' > 9 {
			cut++
		}
		bad[cut%len(bad)] = '0' + byte(r.IntN(10))
	}
	return slices.Concat(lines[:at], [][]byte{bad}, lines[after:]), bad
}

func judgedLines(t *testing.T, lines [][]byte) analyze.Document {
	t.Helper()
	d, _, err := readLog(stdinNamed, bytes.NewReader(append(bytes.Join(lines, []byte("\n")), '\n')), logOptions{})
	require.NoError(t, err)
	return d
}

func sameNight(t *testing.T, want, got analyze.Document) {
	t.Helper()
	const most = 8 // rows that a bad line may cost, since it may tell a wrong time
	assert.GreaterOrEqual(t, got.Log.Used, want.Log.Used-most)
	assert.Equal(t, want.Log.Setting, got.Log.Setting)
	require.Len(t, got.Sessions, len(want.Sessions))
	for k := range want.Sessions {
		w, g := &want.Sessions[k], &got.Sessions[k]
		length := float64(w.EndS - w.StartS)
		assert.Equal(t, w.Outcome, g.Outcome)
		assert.Equal(t, loudCodes(w), loudCodes(g))
		assert.InEpsilon(t, float64(w.ChargeInAh), float64(g.ChargeInAh), 0.005)
		assert.InDelta(t, float64(w.StartS), float64(g.StartS), 0.01*length)
		assert.InDelta(t, float64(w.EndS), float64(g.EndS), 0.01*length)
	}
}

func loudCodes(s *analyze.Session) (codes []string) {
	for _, f := range s.Findings {
		if f.Severity != analyze.Note {
			codes = append(codes, f.Code)
		}
	}
	return codes
}
