package daemon

import (
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/madeup"
	"amphora/capture/journal"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// promptedMeter says its lines as far as it may.
type promptedMeter struct {
	lines []string
	said  atomic.Int64
	may   chan int
	limit int
}

func prompted(lines ...string) *promptedMeter {
	return &promptedMeter{lines: lines, may: make(chan int)}
}

func (m *promptedMeter) Read(p []byte) (int, error) {
	for int(m.said.Load()) >= m.limit {
		select {
		case m.limit = <-m.may:
		case <-time.After(20 * time.Millisecond): // as a port with a timeout does
			return 0, nil
		}
	}
	k := m.said.Add(1)
	return copy(p, m.lines[k-1]+"\n"), nil
}

func (*promptedMeter) Close() error   { return nil }
func (*promptedMeter) String() string { return "a meter" }

// twoNights is the same battery charged on two evenings, and the line at which the
// second charge has been under way for so many seconds.
func twoNights(t *testing.T) (lines []string, under func(seconds float64) int) {
	rows, truth := madeup.Named("drill-three-cells").Collect()
	begin := 0.0
	const later = 20 * 3600
	for _, shift := range []float64{0, later} {
		for _, r := range rows {
			lines = append(lines, fmt.Sprintf("%.0f;%.3f;%.3f", r.At+shift, r.Volts, r.Amps))
		}
		begin = shift + float64(truth.Charges[0].StartS)
	}
	return lines, func(seconds float64) int {
		for k, r := range rows {
			if later+r.At > begin+seconds {
				return len(rows) + k
			}
		}
		return len(lines)
	}
}

// A battery that was put into the logbook while the program ran counts from the next
// charge on, and last night is looked back on tonight; and whoever replays the journal
// after a crash knows the same, though the logbook says otherwise by then.
func TestABatteryIsLookedUpWhenItsChargeBegins(t *testing.T) {
	lines, under := twoNights(t)
	meter := prompted(lines...)
	set := Settings{
		Name: "bench", Decoder: "columns separator=semicolon width=3 time=1:s voltage=2:V current=3:A",
		Options: analyze.Options{Channel: "bench", Battery: "drill"},
		Source:  scripted(meter),
	}
	data := t.TempDir()
	d, stop := startedWith(t, data, set)
	answered := func() bool { return answers(d) }
	meter.may <- under(10*60) - len(lines)/2 // of the first night: a charge must last until the logbook has answered
	testhelp.Until(t, "the logbook's first answer", func() bool { return answered() || len(marks(t, data)) == 1 })
	meter.may <- under(-60)
	view := func() *analyze.Session {
		c, _ := d.Hub().Get("bench")
		return c.Session
	}
	testhelp.Until(t, "the first night read", func() bool { s := view(); return s != nil && s.Outcome == analyze.Complete })
	require.Nil(t, view().Capacity, "nothing was known of it")
	liIon, cells, capacity := analyze.LiIon, 3, 2.5
	require.NoError(t, d.Book().AddBattery(t.Context(), logbook.Battery{Name: "drill", Chemistry: &liIon, Cells: &cells, CapacityAh: &capacity}))

	meter.may <- under(10 * 60)
	testhelp.Until(t, "the logbook's answer", func() bool { return answered() || len(marks(t, data)) == 2 })
	meter.may <- under(40 * 60)
	testhelp.Until(t, "a forecast that looks back", func() bool {
		s := view()
		return s != nil && s.Forecast != nil && strings.Contains(s.Forecast.Method, "on earlier nights (1)")
	})
	testhelp.Until(t, "the last line", func() bool { return int(meter.said.Load()) == under(40*60) && !answered() })
	live := underWay(d)
	require.InDelta(t, capacity, float64(live.Capacity.RatedAh), 1e-9)

	// Edited in mid-charge: that counts from the next one on.
	_, err := d.Book().EditBattery(t.Context(), "drill", logbook.Fields{"capacity_ah": 9})
	require.NoError(t, err)
	stop()

	require.Len(t, marks(t, data), 2, "one for each charge")
	meter = prompted()
	d, stop = startedWith(t, data, set)
	defer stop()
	again := underWay(d)
	require.InDelta(t, capacity, float64(again.Capacity.RatedAh), 1e-9, "not the nine that it says now")
	// A replay counts its seconds from where this charge's account begins.
	_, truth := madeup.Named("drill-three-cells").Collect()
	require.InEpsilon(t, float64(truth.Charges[0].FinishS-truth.Charges[0].StartS), float64(live.Forecast.FinishS-live.StartS), 0.03)
	require.Contains(t, live.Forecast.Method, "and how the voltage went then", "its curve was there when the logbook was asked")
	require.Equal(t, live.Forecast.Method, again.Forecast.Method)
	require.InDelta(t, float64(live.Forecast.FinishS-live.StartS), float64(again.Forecast.FinishS-again.StartS), 0.01)
	require.InDelta(t, float64(live.Forecast.FinishSU95), float64(again.Forecast.FinishSU95), 0.01)
}

// Who named the wrong battery for the night names the right one in the configuration: a
// charge that is not settled is then judged as that one's, by its label.
func TestANightIsOfTheBatteryThatIsNamedInTheEnd(t *testing.T) {
	lines, _ := twoNights(t)
	lines = lines[:len(lines)/2]
	set := Settings{
		Name: "bench", Decoder: "columns separator=semicolon width=3 time=1:s voltage=2:V current=3:A",
		Options: analyze.Options{Channel: "bench", Battery: "drill"},
	}
	data := t.TempDir()
	book, err := logbook.Open(t.Context(), BookFile(data))
	require.NoError(t, err)
	liIon := analyze.LiIon
	for name, capacity := range map[string]float64{"drill": 2.5, "saw": 4} {
		require.NoError(t, book.AddBattery(t.Context(), logbook.Battery{Name: name, Chemistry: &liIon, Cells: new(3), CapacityAh: &capacity}))
	}
	require.NoError(t, book.Close())

	meter := prompted(lines...)
	set.Source = scripted(meter)
	d, stop := startedWith(t, data, set)
	meter.may <- len(lines) / 3
	testhelp.Until(t, "the logbook's answer", func() bool { return answers(d) || len(marks(t, data)) == 1 })
	meter.may <- len(lines) / 2
	testhelp.Until(t, "the answer in the journal", func() bool { return len(marks(t, data)) == 1 })
	testhelp.Until(t, "the lines", func() bool { return int(meter.said.Load()) == len(lines)/2 })
	require.InDelta(t, 2.5, float64(underWay(d).Capacity.RatedAh), 1e-9)
	stop()

	set.Options.Battery = "saw"
	set.Source = scripted(prompted())
	d, stop = startedWith(t, data, set)
	defer stop()
	s := underWay(d)
	require.Equal(t, "saw", string(s.Battery))
	require.InDelta(t, 4, float64(s.Capacity.RatedAh), 1e-9, "not the drill's")
}

// underWay is the session under way, or at rest.
func underWay(d *Daemon) *analyze.Session {
	d.channels[0].mu.Lock()
	defer d.channels[0].mu.Unlock()
	return d.channels[0].current()
}

// answers reports whether the logbook has answered what no line has taken up yet.
func answers(d *Daemon) bool {
	d.channels[0].mu.Lock()
	defer d.channels[0].mu.Unlock()
	return d.channels[0].heard != nil
}

// marks are the remarks of a channel's journal that name its battery.
func marks(t *testing.T, data string) (found []string) {
	r, err := journal.NewReader(data, "bench", 1)
	require.NoError(t, err)
	defer r.Close()
	for r.Next() {
		if text := string(r.Record().Text); strings.HasPrefix(text, memoryMark) {
			found = append(found, text)
		}
	}
	require.NoError(t, r.Err())
	return found
}
