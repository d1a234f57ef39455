package metrics

import (
	"runtime"
	"strings"

	"github.com/prometheus/client_golang/prometheus"

	"amphora/analyze"
	"amphora/dashboards/live"
)

const (
	coulombsPerAh = 3600
	joulesPerWh   = 3600
)

// collector turns a snapshot into metrics at each scrape. What is gone is simply
// not sent; there is nothing to take back.
type collector struct {
	from    Options
	reasons bounded
}

func newCollector(o Options) *collector { return &collector{from: o} }

// Describe names every metric that may be sent.
func (c *collector) Describe(out chan<- *prometheus.Desc) {
	for _, f := range families {
		out <- f.desc
	}
}

// Collect sends what is known at this moment.
func (c *collector) Collect(out chan<- prometheus.Metric) {
	p := &page{out: out, sent: make(map[series]bool)}
	p.send(buildInfo, 1, c.from.Version, runtime.Version())
	for _, channel := range c.from.Snapshot() {
		c.channel(p, &channel)
	}
	if c.from.Targets != nil {
		for _, t := range c.from.Targets() {
			p.send(pushPending, float64(t.Pending), t.Name)
			p.send(pushFailures, float64(t.Failures), t.Name)
			p.send(pushDropped, float64(t.Dropped), t.Name)
			p.send(pushRefused, float64(t.Refused), t.Name)
		}
	}
	if c.from.Notices != nil {
		for _, n := range c.from.Notices() {
			p.send(notifications, float64(n.Count), n.Target, n.Result)
		}
	}
}

func (c *collector) channel(p *page, ch *live.Channel) {
	name := ch.Name
	if r := ch.Reading; r != nil {
		p.number(volts, r.Volts, 1, name)
		p.number(amps, r.Amps, 1, name)
		p.number(celsius, r.Celsius, 1, name)
	}
	if r := ch.LastReading; r != nil && !r.At.IsZero() {
		p.send(lastSample, float64(r.At.UnixMilli())/1000, name)
	}
	p.number(charge, ch.Totals.ChargeInAh, coulombsPerAh, name, "in")
	p.number(charge, ch.Totals.ChargeOutAh, coulombsPerAh, name, "out")
	p.number(energy, ch.Totals.EnergyInWh, joulesPerWh, name, "in")
	if ch.Stage != "" {
		for _, s := range analyze.StageNames() {
			p.send(stage, oneIf(string(ch.Stage) == string(s)), name, string(s))
		}
	}
	p.session(name, ch)
	p.send(samples, float64(ch.Used), name)
	for reason, n := range c.reasons.fold(name, ch.RejectedByReason) {
		p.send(rejected, float64(n), name, reason)
	}
	p.send(lines, float64(ch.Source.Lines), name)
	p.send(sourceUp, oneIf(ch.Source.Up), name)
	p.send(reconnects, float64(ch.Source.Reconnects), name)
	p.send(clockSet, oneIf(ch.ClockSet), name)
	p.send(journalBytes, float64(ch.Journal.Bytes), name)
	p.send(journalPending, float64(ch.Journal.Pending), name)
	p.send(journalDegraded, oneIf(ch.Journal.Degraded != ""), name)
}

func (p *page) session(name string, ch *live.Channel) {
	s := ch.Session
	if s == nil {
		return
	}
	p.number(sessionCharge, s.ChargeInAh, coulombsPerAh, name)
	p.number(sessionEnergy, s.EnergyInWh, joulesPerWh, name)
	p.number(sessionRemaining, ch.RemainingS, 1, name)
	if s.Started != nil {
		p.send(sessionStart, float64(s.Started.UnixMilli())/1000, name)
	}
	for _, f := range s.Findings {
		if !analyze.Known(float64(f.EndS)) {
			p.send(finding, 1, name, f.Code, string(f.Severity))
		}
	}
}

// page sends metrics, each once: two alike would turn the whole scrape into an
// error, and a finding may well hold twice.
type page struct {
	out  chan<- prometheus.Metric
	sent map[series]bool
}

type series struct {
	desc   *prometheus.Desc
	labels [3]string
}

func (p *page) send(f family, value float64, labels ...string) {
	s := series{desc: f.desc}
	for i, l := range labels {
		labels[i] = clean(l)
		s.labels[i] = labels[i]
	}
	if p.sent[s] {
		return
	}
	p.sent[s] = true
	p.out <- prometheus.MustNewConstMetric(f.desc, f.kind, value, labels...)
}

// number sends a quantity in base units if it is known.
func (p *page) number(f family, n analyze.Number, unit float64, labels ...string) {
	if analyze.Known(float64(n)) {
		p.send(f, float64(n)*unit, labels...)
	}
}

func oneIf(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// clean makes any text fit for a label.
func clean(text string) string { return strings.ToValidUTF8(text, "\uFFFD") }
