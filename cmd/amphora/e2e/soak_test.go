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
// channels, and something done to the program, its host or its sources every day.
// Observers who have kept their own copies of what was said judge at the end. The same
// seed gives the same nights and the same faults.
//
// It takes five days, and with AMPHORA_CI month after month for up to ten minutes, each
// on a fresh disk and with the next seed. AMPHORA_SOAK=2h goes on for so long;
// AMPHORA_SOAK_SEED says with which seed to begin, AMPHORA_SOAK_DAYS how long a month is.
func TestSoak(t *testing.T) {
	t.Parallel()
	days, lasts, seed := soakSettings(t)
	end := time.Now().Add(lasts)
	if limit, ok := t.Deadline(); ok && limit.Before(end) {
		end = limit
	}
	program := buildForSoak(t)
	for ; ; seed++ {
		began := time.Now()
		ok := t.Run("seed "+strconv.FormatUint(seed, 10), func(t *testing.T) { soak(t, program, seed, days) })
		if took := time.Since(began); !ok || time.Now().Add(took).After(end) {
			return // another would not be over in time
		}
	}
}

func soakSettings(t *testing.T) (days int, lasts time.Duration, seed uint64) {
	days, seed = 5, 1
	var err error
	if os.Getenv("AMPHORA_CI") != "" || long {
		days, lasts = month, 10*time.Minute
	}
	if text := os.Getenv("AMPHORA_SOAK"); text != "" {
		lasts, err = time.ParseDuration(text)
		require.NoError(t, err)
		days, seed = month, uint64(time.Now().Unix())
	}
	if text := os.Getenv("AMPHORA_SOAK_DAYS"); text != "" {
		days, err = strconv.Atoi(text)
		require.NoError(t, err)
	}
	if text := os.Getenv("AMPHORA_SOAK_SEED"); text != "" {
		seed, err = strconv.ParseUint(text, 10, 64)
		require.NoError(t, err)
	}
	return days, lasts, seed
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
