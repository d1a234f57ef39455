package metrics

import (
	"log/slog"
	"net/http"
	"strconv"
	"sync/atomic"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/common/expfmt"

	"amphora/dashboards/live"
)

// Options say where the numbers come from. Only Snapshot is needed.
type Options struct {
	Snapshot func() []live.Channel // such as Hub.Snapshot
	// Targets and Notices tell of what is sent elsewhere; nil where nothing is.
	Targets func() []Target
	Notices func() []Notice
	Version string       // of the program
	Log     *slog.Logger // hears of parts of a page that failed; nil for nobody
}

// Target is a place to which samples are pushed.
type Target struct {
	Name     string
	Pending  int    // points that wait
	Failures uint64 // pushes that failed
	Dropped  uint64 // points given up for want of room
	Refused  uint64 // points that it will never take
}

// Notice counts the notifications to one target that came out alike.
type Notice struct {
	Target string
	Result string // one of few words, such as delivered, failed, held-back
	Count  uint64
}

// Metrics are the metrics of the program. It is safe for use by several
// goroutines.
type Metrics struct {
	from    Options
	log     *slog.Logger
	reasons bounded
	syncs   observed
	// program has what is usual for any program: memory, processor time, files.
	program *prometheus.Registry
	length  atomic.Int64 // of the last page, bytes
	asked   chan struct{}
}

// mostAsking is how many scrapes are answered at a time.
const mostAsking = 8

// New prepares every metric.
func New(o Options) (*Metrics, error) {
	m := &Metrics{from: o, log: o.Log, program: prometheus.NewRegistry(), asked: make(chan struct{}, mostAsking)}
	if m.log == nil {
		m.log = slog.New(slog.DiscardHandler)
	}
	for _, c := range []prometheus.Collector{collectors.NewGoCollector(), processCollector()} {
		if err := m.program.Register(c); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// ObserveSync notes how long a sync of a channel's journal took.
func (m *Metrics) ObserveSync(channel string, took time.Duration) { m.syncs.add(channel, took) }

// page writes down what is known at this moment.
func (m *Metrics) page() []byte {
	w := &writer{page: make([]byte, 0, m.length.Load()+4096)}
	s := m.scene()
	for k := range families {
		w.begin(&families[k])
		families[k].lines(w, s)
	}
	m.addProgram(w)
	m.length.Store(int64(len(w.page)))
	return w.page
}

// addProgram adds the metrics that the library gathers. A part that fails leaves
// the others standing.
func (m *Metrics) addProgram(w *writer) {
	usual, err := m.program.Gather()
	if err != nil {
		m.log.Warn("a part of the metrics cannot be gathered", "error", err)
	}
	for _, f := range usual {
		if _, err := expfmt.MetricFamilyToText(w, f); err != nil {
			m.log.Warn("a metric cannot be written", "metric", f.GetName(), "error", err)
		}
	}
}

// Handler serves the page as text. It is not compressed: that would take longer
// than everything else about it.
func (m *Metrics) Handler() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		select {
		case m.asked <- struct{}{}:
			defer func() { <-m.asked }()
		default:
			http.Error(w, "too many scrapes at a time; try again later", http.StatusServiceUnavailable)
			return
		}
		page := m.page()
		w.Header().Set("Content-Type", string(expfmt.NewFormat(expfmt.TypeTextPlain)))
		w.Header().Set("Content-Length", strconv.Itoa(len(page)))
		_, _ = w.Write(page) // the asker may be gone
	})
}
