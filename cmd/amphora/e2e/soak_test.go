//go:build linux

package e2e

import (
	"fmt"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestSoak lives through a month in a minute or two: a charge a night on each of three
// channels, and something done to the program or its sources every day. Observers who
// have kept their own copies of what was said judge at the end. The same seed gives the
// same nights and the same faults.
//
// AMPHORA_SOAK=2h goes on for so long, a month after the other, each on a fresh disk and
// with the next seed; AMPHORA_SOAK_SEED says with which to begin, AMPHORA_SOAK_DAYS how
// long a month is.
func TestSoak(t *testing.T) {
	t.Parallel()
	days, lasts := 5, time.Duration(0)
	if os.Getenv("AMPHORA_CI") != "" || long {
		days = 30
	}
	seed := uint64(1)
	var err error
	if text := os.Getenv("AMPHORA_SOAK"); text != "" {
		lasts, err = time.ParseDuration(text)
		require.NoError(t, err)
		days, seed = 30, uint64(time.Now().Unix())
	}
	if text := os.Getenv("AMPHORA_SOAK_DAYS"); text != "" {
		days, err = strconv.Atoi(text)
		require.NoError(t, err)
	}
	if text := os.Getenv("AMPHORA_SOAK_SEED"); text != "" {
		seed, err = strconv.ParseUint(text, 10, 64)
		require.NoError(t, err)
	}
	program := buildForSoak(t)
	for began := time.Now(); ; seed++ {
		ok := t.Run("seed "+strconv.FormatUint(seed, 10), func(t *testing.T) { soak(t, program, seed, days) })
		if !ok || time.Since(began) >= lasts {
			return
		}
	}
}

// soak lives one month.
func soak(t *testing.T, program string, seed uint64, days int) {
	h := newHouse(t, newSoakHost(t, program), seed)
	t.Cleanup(func() {
		if t.Failed() {
			t.Logf("the story; again with AMPHORA_SOAK_SEED=%d AMPHORA_SOAK_DAYS=%d:\n%s", seed, days, h.tale())
		}
	})
	p := newPlan(seed)
	var lived []day
	for range days {
		lived = append(lived, p.next())
		h.live(lived[len(lived)-1])
	}
	h.stop(planned{fault: stopped}) // what waits for the push target goes at once after a start
	h.checkRecord()
	h.checkMarks()
	h.checkNights(lived)
	h.checkPush()
	h.checkLog(lived)
	h.checkLeaks()
	h.program.stop()
	t.Log(h.summary(lived))
}

// summary counts what was lived through.
func (h *house) summary(days []day) string {
	lines, faults := 0, make(map[fault]int)
	for _, o := range h.observers {
		lines += len(o.copy)
	}
	for _, d := range days {
		for _, f := range d.faults {
			faults[f.fault]++
		}
	}
	held := h.lives[len(h.lives)-2].held
	return fmt.Sprintf("%d days, %d nights, %d lines said, %d lives of the program; faults %v; %v", len(days), len(days)*len(household), lines, len(h.lives), faults, held[len(held)-1])
}
