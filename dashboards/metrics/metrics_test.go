package metrics

import (
	"bytes"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/prometheus/client_golang/prometheus/testutil/promlint"
	dto "github.com/prometheus/client_model/go"
	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"
)

var (
	evening = time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)
	unknown = analyze.Number(math.NaN())
)

// charging is a channel in the middle of a charge, with everything known.
func charging(name string) live.Channel {
	return live.Channel{
		Name: name, Battery: "mower", ClockSet: true,
		Source:  live.Source{Up: true, Lines: 3500, Reconnects: 1},
		Reading: &live.Reading{At: evening, AtS: 7260, Volts: 13.741, Amps: 3.359, Celsius: 18.5},
		Stage:   live.Text(analyze.ConstantCurrent),
		Session: &analyze.Session{
			ID: name + "-1", Started: &evening, StartS: 60, Outcome: analyze.Running,
			ChargeInAh: 6.5, ChargeOutAh: unknown, EnergyInWh: 88,
			Findings: []analyze.Finding{
				{Code: "power-limited", Severity: analyze.Note, EndS: unknown},
				{Code: "power-limited", Severity: analyze.Note, EndS: unknown},
				{Code: "data-gap", Severity: analyze.Note, EndS: 300},
			},
			Forecast: &analyze.Forecast{FinishS: 10860},
		},
		Rows: 3416, Used: 3415, RejectedByReason: map[string]int{"blank current": 1},
		Journal: live.Journal{Pending: 2, Lost: 7, Bytes: 123456},
	}
}

func hubOf(channels ...live.Channel) (*live.Hub, *testhelp.Clock) {
	clock := testhelp.NewClock(evening)
	h := live.NewHub(clock)
	for _, c := range channels {
		h.Publish(c)
	}
	return h, clock
}

func golden(t *testing.T) Options {
	t.Helper()
	idle := live.Channel{
		Name: "shed", SilenceS: 30,
		Source:  live.Source{State: "lost"},
		Reading: &live.Reading{At: evening, Volts: 12.8, Amps: unknown, Celsius: unknown, AgeS: 31},
		Journal: live.Journal{Degraded: "no space left on device"},
	}
	h, _ := hubOf(charging("bench"), idle)
	return Options{
		Snapshot: h.Snapshot,
		Targets:  func() []Target { return []Target{{Name: "garage", Pending: 17, Failures: 3, Dropped: 5, Refused: 1}} },
		Notices:  func() []Notice { return []Notice{{"hook", "delivered", 3}, {"hook", "delivered", 1}} },
		Version:  "1.2.3",
	}
}

func TestPageIsTheGoldenOne(t *testing.T) {
	m, err := New(golden(t))
	require.NoError(t, err)
	m.ObserveSync("bench", 7*time.Millisecond)
	page := string(scrape(t, m.Handler()))

	var ours strings.Builder
	for line := range strings.Lines(page) {
		if strings.Contains(line, "amphora_") && !strings.HasPrefix(line, "amphora_build_info") {
			ours.WriteString(line)
		}
	}
	testhelp.Golden(t, "testdata/page.txt", ours.String())
	for _, other := range []string{"go_goroutines ", `amphora_build_info{goversion="go`,
		"process_cpu_seconds_total ", "process_resident_memory_bytes ", "process_open_fds ", "process_start_time_seconds "} {
		assert.Contains(t, page, "\n"+other)
	}
}

// The names that interface and alerts rely on.
func TestEveryPromisedMetricIsThere(t *testing.T) {
	page, err := os.ReadFile("testdata/page.txt")
	require.NoError(t, err)
	for _, name := range []string{
		"voltage_volts", "current_amperes", "temperature_celsius", "charge_coulombs_total", "energy_joules_total",
		"session_charge_coulombs", "session_energy_joules", "session_start_time_seconds", "session_remaining_seconds",
		"stage", "finding", "samples_total", "lines_rejected_total", "source_up", "source_reconnects_total",
		"last_sample_timestamp_seconds", "journal_bytes_total", "push_pending_points", "push_failures_total", "notifications_total",
	} {
		assert.Contains(t, string(page), "\namphora_"+name+"{", name)
	}
	assert.Contains(t, string(page), `amphora_journal_sync_seconds_bucket{channel="bench",le="0.01"} 1`)
}

func TestPageIsWithoutLint(t *testing.T) {
	problems, err := promlint.New(bytes.NewReader(metricsOf(t, golden(t)).page())).Lint()
	require.NoError(t, err)
	assert.Empty(t, problems)
}

// So many at a time and no more, and each gives its place back.
func TestScrapesAtATimeAreBounded(t *testing.T) {
	m := metricsOf(t, golden(t))
	for range 2 * mostAsking {
		scrape(t, m.Handler())
	}
	for range mostAsking {
		m.asked <- struct{}{}
	}
	w := httptest.NewRecorder()
	m.Handler().ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/metrics", nil))
	assert.Equal(t, http.StatusServiceUnavailable, w.Code)
}

func TestOldReadingLeavesThePage(t *testing.T) {
	h, clock := hubOf(charging("bench"))
	c := metricsOf(t, Options{Snapshot: h.Snapshot})
	assert.Equal(t, 1, seriesOf(t, c, "amphora_voltage_volts"))
	clock.Advance(time.Minute)
	lost := charging("bench")
	lost.Source.Up = false
	h.Publish(lost)
	for _, name := range []string{"amphora_voltage_volts", "amphora_current_amperes", "amphora_temperature_celsius"} {
		assert.Zero(t, seriesOf(t, c, name), name)
	}
	page := string(c.page())
	assert.Contains(t, page, "\namphora_source_up{channel=\"bench\"} 0\n")
	assert.Contains(t, page, "\namphora_session_charge_coulombs{channel=\"bench\"} 23400\n")
}

func TestWhatIsUnknownIsNotExposed(t *testing.T) {
	h, _ := hubOf(live.Channel{Name: "bench", Reading: &live.Reading{Volts: 12.8, Amps: unknown, Celsius: analyze.Number(math.Inf(1))}})
	c := metricsOf(t, Options{Snapshot: h.Snapshot})
	assert.Equal(t, 1, seriesOf(t, c, "amphora_voltage_volts"))
	for _, name := range []string{
		"current_amperes", "temperature_celsius", "charge_coulombs_total", "energy_joules_total", "stage",
		"session_charge_coulombs", "session_start_time_seconds", "session_remaining_seconds", "last_sample_timestamp_seconds",
	} {
		assert.Zero(t, seriesOf(t, c, "amphora_"+name), name)
	}
}

func TestCountersNeverFallWithinACharge(t *testing.T) {
	h, _ := hubOf(charging("bench"))
	c := metricsOf(t, Options{Snapshot: h.Snapshot})
	revised := charging("bench")
	revised.Session.ChargeInAh = 6
	h.Publish(revised)
	assert.Contains(t, string(c.page()), `amphora_charge_coulombs_total{channel="bench",direction="in"} 23400`)
}

// Whatever text comes in stands in its label and nowhere else. The page is read
// back by the reader of the exposition format's own makers.
func TestS11TextStaysWithinItsLabel(t *testing.T) {
	for _, name := range []string{
		`a"b`, `a\b`, "a\nb", `a"} 1` + "\namphora_fake 1", "a b,c=d", "+#/", "<img src=x onerror=alert(1)>", "ä", "bad\xff",
	} {
		h, _ := hubOf(charging(name), charging(name+"2"))
		m, err := New(Options{Snapshot: h.Snapshot, Version: name})
		require.NoError(t, err)
		m.ObserveSync(name, time.Second)
		families := parse(t, scrape(t, m.Handler()))
		assert.NotContains(t, families, "amphora_fake")
		series := families["amphora_voltage_volts"].GetMetric()
		require.Len(t, series, 2, "%q", name)
		assert.Equal(t, strings.ToValidUTF8(name, "\uFFFD"), series[0].GetLabel()[0].GetValue())
	}
}

func TestS12ReasonsDoNotExplode(t *testing.T) {
	words := live.Channel{Name: "bench", RejectedByReason: map[string]int{"blank current": 5}}
	h, _ := hubOf(words)
	c := metricsOf(t, Options{Snapshot: h.Snapshot})
	assert.Equal(t, 1, seriesOf(t, c, "amphora_lines_rejected_total"))
	for n := range 100_000 {
		words.RejectedByReason[fmt.Sprintf("word %06d", n)] = 1
	}
	h.Publish(words)
	for range 2 {
		assert.Equal(t, mostReasons+1, seriesOf(t, c, "amphora_lines_rejected_total"))
	}
	families := parse(t, c.page())
	total := 0.0
	for _, f := range families {
		if f.GetName() == "amphora_lines_rejected_total" {
			for _, m := range f.GetMetric() {
				total += m.GetCounter().GetValue()
			}
		}
	}
	assert.Equal(t, 100_005.0, total, "none is forgotten")
}

func TestTwoMetricsLiveSideBySide(t *testing.T) {
	for range 2 {
		_, err := New(golden(t))
		require.NoError(t, err)
	}
}

// The whole page over the handler, by how many channels there are. The limits it
// is held to: 64 channels in 5 ms, and 1,000 series in 1 ms.
func BenchmarkScrape(b *testing.B) {
	for _, n := range []int{1, 24, 64} {
		b.Run(fmt.Sprintf("channels=%d", n), func(b *testing.B) { benchmarkScrape(b, n) })
	}
}

func benchmarkScrape(b *testing.B, channels int) {
	var all []live.Channel
	for n := range channels {
		all = append(all, charging(fmt.Sprintf("channel-%02d", n)))
	}
	h, _ := hubOf(all...)
	m, err := New(Options{Snapshot: h.Snapshot})
	require.NoError(b, err)
	for _, c := range all {
		m.ObserveSync(c.Name, time.Millisecond)
	}
	page, ask := m.Handler(), httptest.NewRequest(http.MethodGet, "/metrics", nil)
	series := 0
	b.ReportAllocs()
	for b.Loop() {
		w := httptest.NewRecorder()
		page.ServeHTTP(w, ask)
		if w.Code != http.StatusOK {
			b.Fatal(w.Body)
		}
		series = bytes.Count(w.Body.Bytes(), []byte("\namphora_"))
	}
	b.ReportMetric(float64(series), "series")
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(series), "ns/series")
}

func metricsOf(t *testing.T, o Options) *Metrics {
	t.Helper()
	m, err := New(o)
	require.NoError(t, err)
	return m
}

// seriesOf is how many series of a metric there are.
func seriesOf(t *testing.T, m *Metrics, name string) int {
	t.Helper()
	return len(parse(t, m.page())[name].GetMetric())
}

func scrape(t *testing.T, page http.Handler) []byte {
	t.Helper()
	w := httptest.NewRecorder()
	page.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/metrics", nil))
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	return w.Body.Bytes()
}

func parse(t *testing.T, page []byte) map[string]*dto.MetricFamily {
	t.Helper()
	p := expfmt.NewTextParser(model.UTF8Validation)
	families, err := p.TextToMetricFamilies(bytes.NewReader(page))
	require.NoError(t, err, "%s", page)
	return families
}

// What is found without a charge is told, and nothing of a charge that there is not.
func TestAFindingWithoutAChargeIsExposed(t *testing.T) {
	c := charging("bench")
	c.Stage, c.RemainingS = live.Text(analyze.Idle), unknown
	c.Session = &analyze.Session{ID: "bench-0s", Started: &evening, Outcome: analyze.NoCharge, Findings: []analyze.Finding{
		{Code: analyze.CodeReversePolarity, Severity: analyze.Alarm, EndS: unknown}, {Code: analyze.CodeDataGap, Severity: analyze.Note, EndS: 60}}}
	h, _ := hubOf(c)
	m := metricsOf(t, Options{Snapshot: h.Snapshot})
	page := string(scrape(t, m.Handler()))
	assert.Contains(t, page, `amphora_finding{channel="bench",code="reverse-polarity",severity="alarm"} 1`)
	assert.Equal(t, 1, seriesOf(t, m, "amphora_finding"))
	assert.NotContains(t, page, "\namphora_session_")
	assert.NotContains(t, page, "\namphora_charge_coulombs_total{")
}
