package daemon

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// Over a day without current the noise of a meter's zero takes every shape there is.
// None of them may turn the sign of the night that follows.
func TestNoNoiseTurnsTheSign(t *testing.T) {
	for name, amps := range map[string]func(*rand.Rand) float64{
		"noise":          func(r *rand.Rand) float64 { return 0.002 * r.NormFloat64() },
		"flicker":        func(r *rand.Rand) float64 { return 0.01 * float64(r.IntN(2)) },
		"zero that lies": func(r *rand.Rand) float64 { return -0.01 + 0.0005*r.NormFloat64() },
	} {
		t.Run(name, func(t *testing.T) {
			chance := rand.New(rand.NewPCG(1, 2))
			s := newStory("auto", analyze.Options{})
			for k := range 20_000 {
				at := time.Duration(k) * 4 * time.Second
				text := fmt.Appendf(nil, "%.3f;%.3f", 12.6+0.001*chance.NormFloat64()+0.1/float64(1+k), amps(chance))
				s.frame(uint64(k+1), &capture.Frame{Wall: evening.Add(at), Boot: at, Text: text}, "boot", func(u turn) {
					require.False(t, u.anew, "row %d: %s", k, u.chose)
				})
			}
			require.NotEmpty(t, s.chosen)
			require.False(t, s.second.told)
		})
	}
}

// Whoever switches a recorder on in the middle of a charge shows it no beginning. That the meter counts charging as
// negative is seen in the course of an hour, in constant current and in constant voltage, and the charge is told anew; a
// meter that counts it as positive is never told otherwise.
func TestTheSignOfAChargeUnderWayIsSeen(t *testing.T) {
	for name, at := range map[string]func(s float64) (volts, amps float64){
		"constant current": func(s float64) (float64, float64) { return 12.9 + 0.4*s/7200, 5 },
		"constant voltage": func(s float64) (float64, float64) { return 14.4, 4 * math.Exp(-s/5000) },
	} {
		for _, way := range []float64{1, -1} {
			chance := rand.New(rand.NewPCG(3, uint64(len(name))))
			s, told := newStory("auto", analyze.Options{}), []string(nil)
			for k := range 100 {
				t := time.Duration(k) * time.Minute
				volts, amps := at(t.Seconds())
				text := fmt.Appendf(nil, "V=%.3f A=%.3f", volts+0.004*chance.NormFloat64(), way*amps+0.002*chance.NormFloat64())
				s.frame(uint64(k+1), &capture.Frame{Wall: evening.Add(t), Boot: t, Text: text}, "boot", func(u turn) {
					if u.anew {
						told = append(told, u.chose)
					}
				})
			}
			require.LessOrEqual(t, len(told), 1, name)
			last := append([]string{s.chosen}, told...)[len(told)]
			require.Equal(t, way < 0, negates(last), "%s: %s", name, last)
		}
	}
}

// A lead that comes loose lets the current fall and the voltage rise, as if the meter
// counted the other way. The beginning of the charge has told that it does not.
func TestALooseLeadTurnsNoSign(t *testing.T) {
	n := madeup.Named("open-lead")
	n.Meter.Every = 20
	s, k := newStory("auto", analyze.Options{}), uint64(0)
	for row := range n.Samples() {
		k++
		at := time.Duration(row.At * float64(time.Second))
		text := fmt.Appendf(nil, "t=%.0f V=%.3f A=%.3f", row.At, row.Volts, row.Amps)
		s.frame(k, &capture.Frame{Wall: evening.Add(at), Boot: at, Text: text}, "boot", func(u turn) {
			require.False(t, u.anew, "row %d: %s", k, u.chose)
		})
	}
	require.True(t, s.second.told)
}

// A time that grows unevenly looks like a current where no header names it. That it has the other sign turns nothing:
// it is not what the decoder reads for the current. The numbers are invented.
func TestAnUnevenTimeTurnsNoSign(t *testing.T) {
	s := newStory("auto", analyze.Options{})
	for k, text := range restThenLoad() {
		s.frame(uint64(k+1), &capture.Frame{Wall: evening, Boot: time.Minute, Text: []byte(text)}, "boot", func(u turn) {
			require.False(t, u.anew, "row %d: %s", k, u.chose)
		})
	}
	require.False(t, negates(s.chosen))
}

// restThenLoad is a battery at rest, a row each ten minutes, and then 3 A out of it, a row each minute.
func restThenLoad() (lines []string) {
	lines = append(lines, "time_s,voltage_V,current_A")
	for k := range 8 {
		lines = append(lines, fmt.Sprintf("%d.000,%.5f,%.5f", 600*k, 13.17-0.006*float64(k), -0.008-0.0005*float64(k%3)))
	}
	lines = append(lines, "4258.000,12.94900,-0.00850", "4258.200,12.94900,-3.04000", "4258.100,12.94900,-3.04000")
	for k := range 120 {
		lines = append(lines, fmt.Sprintf("%d.200,%.5f,%.5f", 4318+60*k, 12.61-0.0025*float64(k), -3.04-0.004*float64(k%4)))
	}
	return lines
}

// A charge that was none, since the sign was still the wrong one, is out of the logbook once the lines have told,
// though another had begun by then. The numbers are invented.
func TestWhatWasToldWithTheWrongSignIsTakenBack(t *testing.T) {
	lines := []string{"time_s,voltage_V,current_A"}
	for k, amps := range []float64{-0.034, -0.034, -0.032, -0.032, -0.006, -0.010, -0.010, -0.032, -0.010, -0.010, -0.032, -0.010, -0.032, -0.032} {
		lines = append(lines, fmt.Sprintf("%.1f,%.4f,%.4f", 600*float64(max(k-1, 0))+0.1*float64(min(k, 1)), 11.46-0.6*math.Exp(-float64(max(k-1, 0))), amps))
	}
	for k := range 300 {
		lines = append(lines, fmt.Sprintf("%.1f,%.4f,%.4f", 7260+60*float64(k)+0.1, 11.7+0.3*(1-math.Exp(-float64(k)/2))+0.005*float64(k), 2.8+0.02*float64(k%3)))
	}
	for k := range 60 {
		lines = append(lines, fmt.Sprintf("%.1f,%.4f,%.4f", 25260+60*float64(k)+0.1, 12.9-0.01*float64(min(k, 20)), -0.01))
	}
	log := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(log, []byte(strings.Join(lines, "\n")+"\n"), 0o600))
	d, stop := started(t, t.TempDir(), follow(t, capture.File{Path: log}))
	defer stop()
	testhelp.Until(t, "the last row", func() bool {
		c, ok := d.Hub().Get("bench")
		return ok && c.LastReading != nil && float64(c.LastReading.AtS) >= 28799
	})
	testhelp.Until(t, "one charge, and the right one", func() bool {
		all, err := d.Book().Sessions(t.Context(), logbook.Filter{})
		return err == nil && len(all) == 1 && float64(all[0].Summary.StartS) > 7000
	})
}

// A meter whose labels tell no unit has shown nought only when its decoder is chosen. Two thousand of
// what it counts are then no amperes.
func TestUnitOfANamedCurrentShowsWhenItFlows(t *testing.T) {
	s := newStory("auto", analyze.Options{})
	for k := range 300 {
		milliamps, volts := 0, 12.31+0.001*float64(k%3)
		if k > 60 {
			milliamps, volts = 2000, 12.52+0.0004*float64(k)
		}
		at := time.Duration(k) * 10 * time.Second
		text := fmt.Appendf(nil, "u:%.3f i:%d t:%d", volts, milliamps, 10*k)
		s.frame(uint64(k+1), &capture.Frame{Wall: evening.Add(at), Boot: at, Text: text}, "boot", func(u turn) {
			if u.anew {
				s.chosen = u.chose // as its channel would
			}
		})
	}
	require.Equal(t, "labelled voltage=u:V current=i:mA time=t:s", s.chosen)
}
