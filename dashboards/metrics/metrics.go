package metrics

import (
	"log/slog"
	"net/http"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"

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

// Metrics are the metrics of the program, in a registry of their own.
type Metrics struct {
	registry *prometheus.Registry
	sync     *prometheus.HistogramVec
	log      *slog.Logger
}

// New registers every metric.
func New(o Options) (*Metrics, error) {
	m := &Metrics{
		registry: prometheus.NewRegistry(),
		sync: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "amphora_journal_sync_seconds",
			Help: "Time that the disk took to make journal records durable.",
			// From a good solid-state disk to a card that is about to die.
			Buckets: []float64{0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 10},
		}, []string{"channel"}),
		log: o.Log,
	}
	if m.log == nil {
		m.log = slog.New(slog.DiscardHandler)
	}
	for _, c := range []prometheus.Collector{
		newCollector(o), m.sync,
		collectors.NewGoCollector(),
		collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}),
	} {
		if err := m.registry.Register(c); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// ObserveSync notes how long a sync of a channel's journal took.
func (m *Metrics) ObserveSync(channel string, took time.Duration) {
	m.sync.WithLabelValues(clean(channel)).Observe(took.Seconds())
}

// Handler serves the page. A part that fails leaves the others standing.
func (m *Metrics) Handler() http.Handler {
	return promhttp.HandlerFor(m.registry, promhttp.HandlerOpts{
		ErrorLog:            slog.NewLogLogger(m.log.Handler(), slog.LevelWarn),
		ErrorHandling:       promhttp.ContinueOnError,
		MaxRequestsInFlight: 8,
	})
}
