package daemon

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/capture"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// instant is a row of a made-up evening, all of whose numbers are invented: a battery that waits, and
// is charged from the row number rest on.
type instant struct{ at, volts, amps, celsius, ah float64 }

const rest = 90

func instants(rows int) (all []instant) {
	ah := 0.0
	for k := range rows {
		i := instant{at: 10 * float64(k), volts: 12.2 + 0.004*float64(k%3), celsius: 18 + 0.1*float64(k%3), ah: ah}
		if k >= rest {
			i.amps = 2.5
			i.volts = 12.4 + 0.3*ah + 0.002*float64(k%5)
			ah += i.amps * 10 / 3600
		}
		all = append(all, i)
	}
	return all
}

// While a battery waits, a current is nought as many a thing is. What the values are that no name
// tells is seen once it flows, and then the evening is told anew.
func TestAChargeTellsWhatNoNameTold(t *testing.T) {
	for name, c := range map[string]struct {
		row  func(i *instant) string
		want string
	}{
		"a temperature beside a voltage that stands still": {
			func(i *instant) string { return fmt.Sprintf("%.0f;%.1f;%.2f;%.2f", i.at, i.celsius, i.amps, i.volts) },
			"columns separator=semicolon width=4 time=1:s current=3:A voltage=4:V",
		},
		"milliamperes, too many to be amperes": {
			func(i *instant) string { return fmt.Sprintf("%.0f;%.0f;%.3f", i.at, 10_000*i.amps, i.volts) },
			"columns separator=semicolon width=3 time=1:s current=2:mA voltage=3:V",
		},
		"a count of charge": {
			func(i *instant) string { return fmt.Sprintf("%.0f;%.3f;%.3f;%.2f", i.at, i.ah, i.volts, -i.amps) },
			"columns separator=semicolon width=4 time=1:s voltage=3:V current=4:A:negate",
		},
		"a steady current out of nought": {
			func(i *instant) string { return fmt.Sprintf("%.3f,%.2f", i.volts, -i.amps) },
			"columns separator=comma width=2 voltage=1:V current=2:A:negate",
		},
		"a name": { // nothing that was said is doubted
			func(i *instant) string {
				return strings.Repeat("t,volts,amps,x\n", 1-int(min(1, i.at))) + fmt.Sprintf("%.0f,%.2f,%.2f,%.2f", i.at, i.volts/4, i.amps, i.volts)
			},
			"columns separator=comma width=4 time=1:s voltage=2:V current=3:A",
		},
	} {
		t.Run(name, func(t *testing.T) {
			s, seq := newStory("auto", analyze.Options{}), uint64(0)
			var right string
			for k, i := range instants(rest + 60) {
				for text := range strings.Lines(c.row(&i)) {
					seq++
					at := time.Duration(i.at) * time.Second
					s.frame(seq, &capture.Frame{Wall: evening.Add(at), Boot: at, Text: []byte(strings.TrimSpace(text))}, "boot", func(u turn) {
						assert.False(t, u.anew && k < rest, "at rest nothing tells: %s", u.chose)
						if u.chose != "" {
							right = u.chose
						}
					})
				}
			}
			assert.Equal(t, c.want, right)
		})
	}
}

// In a charge that is under way nothing begins. Which value stands and which one rises shows in an hour, of which
// few lines are kept.
func TestAChargeUnderWayTellsIt(t *testing.T) {
	s := newStory("auto", analyze.Options{})
	var first, right string
	at := 0
	for k := range 2400 {
		when := time.Duration(k) * 5 * time.Second
		text := fmt.Appendf(nil, "%d;%.2f;%.2f", 5*k, -2.5+0.01*float64(k%3), 12.9+0.0005*float64(k))
		s.frame(uint64(k+1), &capture.Frame{Wall: evening.Add(when), Boot: when, Text: text}, "boot", func(u turn) {
			if u.chose != "" && first == "" {
				first = u.chose
			}
			if u.anew {
				require.Empty(t, right, "once")
				right, at = u.chose, k
			}
		})
		require.LessOrEqual(t, len(s.second.all.lines), thinnedMost)
	}
	assert.Contains(t, first, "current=2:A voltage=3:V")
	assert.Contains(t, right, "current=2:A:negate voltage=3:V")
	assert.Greater(t, at, 100)
}

// As long as the voltage stands still, nothing tells which way a current flows that never stops: the look at the
// lines goes on until it rises.
func TestAVoltageThatStandsEndsNoLook(t *testing.T) {
	s := newStory("auto", analyze.Options{})
	right, at := "", 0
	for k := range 4000 {
		when := time.Duration(k) * 5 * time.Second
		text := fmt.Appendf(nil, "%d;%.2f;%.2f", 5*k, -2.5+0.01*float64(k%3), 12.9+0.01*float64(k%2)+0.0005*float64(max(0, k-1200)))
		s.frame(uint64(k+1), &capture.Frame{Wall: evening.Add(when), Boot: when, Text: text}, "boot", func(u turn) {
			if u.anew {
				right, at = u.chose, k
			}
		})
	}
	assert.Contains(t, right, "current=2:A:negate voltage=3:V")
	assert.Greater(t, at, 1200)
}

// What a heading said is not doubted, however long nothing begins: the voltage of one cell, beside that of the battery.
func TestAChargeUnderWayDoubtsNoName(t *testing.T) {
	s := newStory("auto", analyze.Options{})
	say := func(seq int, text string) {
		at := time.Duration(seq) * 5 * time.Second
		s.frame(uint64(seq+1), &capture.Frame{Wall: evening.Add(at), Boot: at, Text: []byte(text)}, "boot", func(u turn) {
			require.False(t, u.anew, "%s", u.chose)
		})
	}
	say(0, "t;volts;amps;x")
	for k := range 1200 {
		say(k+1, fmt.Sprintf("%d;%.3f;%.2f;%.2f", 5*k, (12.9+0.0005*float64(k))/6, 2.5+0.01*float64(k%3), 12.9+0.0005*float64(k)))
	}
	assert.Contains(t, s.chosen, "voltage=2:V current=3:A")
}

// What is kept of all the time is spread over all of it.
func TestThinnedLinesSpanTheTime(t *testing.T) {
	var h thinned
	for k := range 5000 {
		if h.take(line{at: float64(k)}, []byte("x"), false) {
			h.thin()
		}
	}
	require.Equal(t, len(h.lines), len(h.texts))
	assert.Equal(t, 32, h.every)
	for k := range h.lines {
		require.Equal(t, float64(32*k), h.lines[k].at)
	}
	assert.Equal(t, 4992.0, h.lines[len(h.lines)-1].at)
}

// A zero that is off flows for days, and is no current.
func TestAZeroThatIsOffDoesNotFlow(t *testing.T) {
	rows := make([]pair, 240)
	for k := range rows {
		rows[k] = pair{12.6 + 0.001*float64(k), -0.03}
	}
	assert.False(t, flows(rows))
	for k := range rows[200:] {
		rows[200+k].amps = -2
	}
	assert.False(t, flows(rows), "not long enough")
	for k := range rows[100:] {
		rows[100+k].amps = -2
	}
	assert.True(t, flows(rows))
	rows[230].amps = 2
	assert.False(t, flows(rows), "to and fro")
	assert.False(t, flows(nil))
}

// A meter whose nought goes up and down by one digit, and one that drifts off, tell nothing,
// whatever the voltage does meanwhile.
func TestANoughtThatMovesTellsNothing(t *testing.T) {
	rows := make([]pair, 60)
	for k := range rows {
		rows[k] = pair{12.6 + 0.001*float64(k%4), 0.0488 * float64(k/20%2)}
	}
	assert.False(t, switched(rows), "it comes and goes")
	for k := range rows {
		rows[k].amps = 0.0488 * math.Floor(float64(k)/30)
	}
	assert.False(t, switched(rows), "the voltage stays")
	for k := range rows[30:] {
		rows[30+k].volts += 0.1
	}
	assert.True(t, switched(rows))
	assert.False(t, switched(rows[28:]), "two rows may be a slip")
}

// A restart does not forget that no name told what the values are.
func TestWhatNoNameToldOutlastsARestart(t *testing.T) {
	all := instants(rest + 700)
	write := func(to *os.File, rows []instant) {
		for _, i := range rows {
			_, err := fmt.Fprintf(to, "%.0f;%.1f;%.3f;%.2f\n", i.at, i.celsius, i.amps, i.volts)
			require.NoError(t, err)
		}
	}
	log, data := filepath.Join(t.TempDir(), "night.log"), t.TempDir()
	file, err := os.Create(log)
	require.NoError(t, err)
	defer file.Close()
	write(file, all[:rest])
	d, stop := started(t, data, follow(t, capture.File{Path: log}))
	testhelp.Until(t, "the rows at rest", func() bool {
		c, ok := d.Hub().Get("bench")
		return ok && c.LastReading != nil && float64(c.LastReading.AtS) >= all[rest-1].at
	})
	stop()
	write(file, all[rest:])
	d, stop = started(t, data, follow(t, capture.File{Path: log}))
	defer stop()
	testhelp.Until(t, "the charge, by the right values", func() bool {
		page, err := d.Book().Sessions(t.Context(), logbook.Filter{})
		return err == nil && len(page) == 1 && math.Abs(float64(page[0].Summary.ChargeInAh)-all[len(all)-1].ah) < 0.05 && page[0].Summary.PeakV > 12.5 && page[0].Summary.PeakV < 14
	})
}
