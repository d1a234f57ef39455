package decoders

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every day from 1970 to 2110, against the standard library.
func TestDatesAreThoseOfTheStandardLibrary(t *testing.T) {
	for d := time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC); d.Year() < 2110; d = d.AddDate(0, 0, 1) {
		for form, layout := range map[string]string{formYMD: "2006-01-02", formDMY: "02.01.2006", formMDY: "1/2/2006"} {
			s, n := dateAt([]byte(d.Format(layout)), form)
			require.Equal(t, len(d.Format(layout)), n)
			require.Equal(t, float64(d.Unix()), s, "%s as %s", d.Format(layout), form)
		}
		require.Equal(t, int(d.Month()), monthOf(int(d.Unix()/day)))
		require.Equal(t, d.Weekday() == time.Sunday && (d.Month() == 3 || d.Month() == 4 || d.Month() >= 9 && d.Month() <= 11), changeDay(float64(d.Unix()/day)))
	}
}

func TestStampsOfManyForms(t *testing.T) {
	want := float64(time.Date(2026, 3, 14, 21, 40, 5, 0, time.UTC).Unix())
	for text, form := range map[string]string{
		"2026-03-14T21:40:05Z":      formYMD,
		"2026-03-14t21:40:05z":      formYMD,
		"2026-03-14 21:40:05":       formYMD,
		"2026/03/14 21:40:05":       formYMD,
		"2026-03-14T22:40:05+01:00": formYMD,
		"2026-03-14T16:10:05-0530":  formYMD,
		"20260314T214005Z":          formYMD,
		"14.03.2026 21:40:05":       formDMY,
		"14.3.26, 21:40:05":         formDMY,
		"03/14/2026 9:40:05 PM":     formMDY,
		"14-Mar-2026 21:40:05":      formDMY,
		"14 March 2026 21:40:05":    formDMY,
		"Mar 14, 2026 21:40:05":     formMDY,
		"2026-03-14 21:40:05 UTC":   formYMD,
	} {
		s, n := stampAt([]byte(text), form)
		assert.Equal(t, len(text), n, text)
		assert.Equal(t, want, s, text)
	}
	assert.Equal(t, len("20260314T214005"), timeLength([]byte("20260314T214005 13.82")), "within a line, too")
	for _, text := range []string{"2026-02-30 10:00:00", "31.04.2026 10:00", "2026-13-01 10:00", "12.65 13.5", "1.2.3"} {
		_, n := stampAt([]byte(text), formDMY)
		assert.Zero(t, n, text)
	}
	s, _ := stampAt([]byte("2026-03-14T21:40:05.125Z"), formYMD)
	assert.Equal(t, want+0.125, s)
}

func TestHalvesOfTheDay(t *testing.T) {
	for text, want := range map[string]float64{
		"12:00:00 AM": 0, "12:30 am": 1800, "1:00 AM": 3600, "11:59:59 AM": 43199,
		"12:00:00 PM": 43200, "12:30PM": 45000, "1:00 pm": 46800, "11:59:59 PM": 86399,
	} {
		s, n := clockAt([]byte(text), formHMS)
		assert.Equal(t, len(text), n, text)
		assert.Equal(t, want, s, text)
	}
}

// unwrapped plays stamps through a stream.
func unwrapped(t *testing.T, setting string, lines []string, arrivals []float64) []float64 {
	s := streamOf(t, setting)
	var out []float64
	for i, line := range lines {
		arrival := math.NaN()
		if arrivals != nil {
			arrival = arrivals[i]
		}
		got, err := s.Line([]byte(line), arrival, 0)
		require.NoError(t, err, line)
		out = append(out, got.At)
	}
	if first := out[0]; arrivals == nil {
		for i := range out {
			out[i] -= first
		}
	}
	return out
}

func TestClockGoesOnOverMidnight(t *testing.T) {
	got := unwrapped(t, "columns separator=comma clock=1 voltage=2:V current=3:A",
		[]string{"23:59:40,12,1", "23:59:50,12,1", "00:00:00,12,1", "00:00:10,12,1", "23:59:59,12,1", "00:00:09,12,1"}, nil)
	assert.Equal(t, []float64{0, 10, 20, 30, 86419, 86429}, got)
}

// The nights of the change in 2025 where the clock is told without a zone.
func TestClockGoesOnOverTheChangeOfSummerTime(t *testing.T) {
	for _, night := range []time.Time{time.Date(2025, 3, 30, 0, 0, 0, 0, time.UTC), time.Date(2025, 10, 26, 0, 0, 0, 0, time.UTC)} {
		for _, beat := range []float64{1, 10, 60, 600} {
			var lines []string
			for s := 0.0; s < 5*3600; s += beat {
				lines = append(lines, summer(row{t: s}, night).Format("2006-01-02 15:04:05")+",12,1")
			}
			got := unwrapped(t, "columns separator=comma stamp=1:y-m-d voltage=2:V current=3:A", lines, nil)
			for i := range got {
				require.InDelta(t, float64(i)*beat, got[i], 1e-6, "%s every %v s, row %d", night, beat, i)
			}
		}
	}
}

// 02:5[9:40 ... 03:]00:00, what lies between being lost on its way.
func TestTornTimeDoesNotEndSummerTime(t *testing.T) {
	got := unwrapped(t, "columns separator=comma stamp=1:y-m-d voltage=2:V current=3:A", []string{
		"2026-03-22T02:59:00Z,12,1", "2026-03-22T02:59:20Z,12,1", "2026-03-22T02:00Z,12,1",
		"2026-03-22T03:00:20Z,12,1", "2026-03-22T03:00:40Z,12,1"}, nil)
	assert.Equal(t, []float64{0, 20, 60, 80, 100}, got)
}

func TestHourMissingOnAnyOtherDayIsAGap(t *testing.T) {
	got := unwrapped(t, "columns separator=comma stamp=1:y-m-d voltage=2:V current=3:A",
		[]string{"2025-03-29 01:59:55,12,1", "2025-03-29 03:00:00,12,1"}, nil)
	assert.Equal(t, []float64{0, 3605}, got)
}

// A time that lost its digits is no clock that was set back, not even before a gap.
func TestTimeTornBeforeAGapIsForgotten(t *testing.T) {
	for _, devices := range [][]float64{
		{103960, 103980, 104000, 104, 104780, 104800},
		{621360, 621380, 621400, 62, 691560, 691580},
		{102500, 102520, 102540, 10256, 173740, 173760},
	} {
		var lines []string
		var arrivals []float64
		for i, device := range devices {
			lines = append(lines, fmt.Sprintf("%g,12,1", device))
			arrivals = append(arrivals, 1000+0.1*float64(i))
		}
		got := unwrapped(t, "columns separator=comma time=1:s voltage=2:V current=3:A", lines, arrivals)
		assert.Equal(t, devices[4:], got[4:])
	}
}

// A clock that lost some digits is no midnight, nor is the way back from it.
func TestTornClockIsNoMidnight(t *testing.T) {
	for _, lines := range [][]string{
		{"05:20:00,12,1", "05:20:20,12,1", "20:40,12,1", "05:21:00,12,1", "05:21:20,12,1"},
		{"21:40:00,12,1", "21:40:20,12,1", "1:40:40,12,1", "21:41:00,12,1", "21:41:20,12,1"},
		{"08:21:00,12,1", "08:21:20,12,1", "58:21:40,12,1", "08:22:00,12,1", "08:22:20,12,1"},
		{"23:59:20,12,1", "23:59:40,12,1", "11:00:00,12,1", "00:00:20,12,1", "00:00:40,12,1"},
		{"23:58:40,12,1", "23:59:00,12,1", "3:59:20,12,1", "23:59:40,12,1", "00:00:00,12,1"},
	} {
		got := unwrapped(t, "columns separator=comma clock=1 voltage=2:V current=3:A", lines, nil)
		assert.Equal(t, []float64{0, 20, 60, 80}, []float64{got[0], got[1], got[3], got[4]}, lines[2])
	}
	got := unwrapped(t, "columns separator=comma clock=1 voltage=2:V current=3:A",
		[]string{"20:00:00,12,1", "20:00:10,12,1", "06:00:00,12,1", "06:00:10,12,1", "20:30:00,12,1", "20:30:10,12,1"}, nil)
	assert.Equal(t, []float64{0, 10, 36000, 36010, 88200, 88210}, got, "gaps go on")
}

// The first clock may be torn as any other.
func TestTornFirstClock(t *testing.T) {
	var lines [][]byte
	for k := range 200 {
		lines = append(lines, fmt.Appendf(nil, "20:%02d:%02d,12.%03d,2.000", k/6, k%6*10, k))
	}
	for _, first := range []string{"00,12.000,2.000", "20.00,12.000,2.000", "20:00:00,12.000,2.000"} {
		lines[0] = []byte(first)
		f, err := Fit(append([][]byte{[]byte("clock,voltage_V,current_A")}, lines...), Options{})
		require.NoError(t, err)
		assert.Equal(t, "columns separator=comma width=3 clock=1:h:m:s voltage=2:V current=3:A", f.Setting, first)
	}
}

// A time that leapt ahead, with a gap behind it or before it.
func TestTimeThatLeaptBesideAGapIsForgotten(t *testing.T) {
	for _, devices := range [][]float64{
		{5330, 5335, 8340, 6445, 6450, 6455},
		{8900, 8910, 10500, 11520, 10520, 10530},
	} {
		for _, live := range []bool{true, false} {
			var lines []string
			var arrivals []float64
			for i, device := range devices {
				lines = append(lines, fmt.Sprintf("%g,12,1", device))
				arrivals = append(arrivals, 1000+0.1*float64(i))
				if live {
					arrivals[i] = device
				}
			}
			if live {
				for i := range arrivals[:len(arrivals)-1] {
					arrivals[i] = min(arrivals[i], arrivals[i+1]-1)
				}
			}
			got := unwrapped(t, "columns separator=comma time=1:s voltage=2:V current=3:A", lines, arrivals)
			assert.Equal(t, devices[4:], got[4:], "%v", devices)
		}
	}
}

// A clock that was set back just before a gap, as the time tells that really passed.
func TestClockSetBackBeforeAGap(t *testing.T) {
	got := unwrapped(t, "columns separator=comma time=1:s voltage=2:V current=3:A",
		[]string{"100000,12,1", "100020,12,1", "96440,12,1", "103640,12,1", "103660,12,1"}, []float64{0, 20, 40, 7241, 7260})
	assert.Equal(t, []float64{100000, 100020, 100040, 107240, 107260}, got)
}

// A device clock that is set back: its own time within each run, the
// difference of the arrivals between them.
func TestDeviceClockThatGoesBackIsBridgedByArrival(t *testing.T) {
	var lines []string
	var arrivals []float64
	for i, device := range []float64{100, 110, 120, 3, 13, 23, 23, 0, 10} {
		lines = append(lines, fmt.Sprintf("%g,12,1", device))
		arrivals = append(arrivals, 1000+10*float64(i)+0.3*float64(i%2))
	}
	got := unwrapped(t, "columns separator=comma time=1:s voltage=2:V current=3:A", lines, arrivals)
	want := []float64{100, 110, 120, 130.3, 140.3, 150.3, 150.3, 160.6, 170.6}
	for i := range want {
		assert.InDelta(t, want[i], got[i], 1e-9, "row %d", i)
	}
}

// A line that lost its middle may join the beginnings of two stamps.
func TestJoinedStampsAreNone(t *testing.T) {
	for _, text := range []string{"2026-03-14T2026-03-14T21:40:05Z", "2026-03-14T21:402026-03-14T21:40:05Z", "2026-03-14 21:40:052026-03-14", "2026-03-14T21:40:05:05"} {
		_, n := stampAt([]byte(text), formYMD)
		assert.NotEqual(t, len(text), n, text)
		assert.Zero(t, n, text)
	}
}

func TestStampsFromTheLogGiveTheWall(t *testing.T) {
	s := streamOf(t, "columns separator=comma date=1:d-m-y clock=2 voltage=3:V current=4:A")
	got, err := s.Line([]byte("14.03.2026,21:40:05.5,12.6,1"), math.NaN(), 0)
	require.NoError(t, err)
	assert.Equal(t, time.Date(2026, 3, 14, 21, 40, 5, 500e6, time.UTC).UnixNano(), got.Wall)
	both := streamOf(t, "columns separator=comma stamp=1:y-m-d time=2:s voltage=3:V current=4:A")
	got, err = both.Line([]byte("2026-03-14 21:40,17.5,12.6,1"), math.NaN(), 0)
	require.NoError(t, err)
	assert.Equal(t, 17.5, got.At, "elapsed time rules where both are there")
	assert.Equal(t, time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC).UnixNano(), got.Wall)
	got, err = s.Line([]byte("14.03.2026,21:40:06,12.6,1"), 3, 77)
	require.NoError(t, err)
	assert.EqualValues(t, 77, got.Wall, "arrival is stamped by a clock whose zone is known")
}
