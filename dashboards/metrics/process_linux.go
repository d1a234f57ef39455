package metrics

import (
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/procfs"
)

// process tells of the program what dashboards usually ask for, in the names that
// are usual. The library's own collector reads the network counters of the whole
// machine besides, which costs more than sixty channels.
type process struct {
	self    procfs.Proc
	started float64 // s since 1970; it does not change
}

func processCollector() prometheus.Collector {
	self, err := procfs.Self()
	if err != nil {
		return process{} // without /proc there is nothing to tell
	}
	p := process{self: self}
	if stat, err := self.Stat(); err == nil {
		p.started, _ = stat.StartTime()
	}
	return p
}

var (
	cpuSeconds    = prometheus.NewDesc("process_cpu_seconds_total", "Processor time that the program has used.", nil, nil)
	residentBytes = prometheus.NewDesc("process_resident_memory_bytes", "Memory that the program holds.", nil, nil)
	openFiles     = prometheus.NewDesc("process_open_fds", "Files, ports and connections that the program has open.", nil, nil)
	startSeconds  = prometheus.NewDesc("process_start_time_seconds", "When the program started, since 1970-01-01 UTC.", nil, nil)
)

// Describe names the metrics.
func (process) Describe(to chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{cpuSeconds, residentBytes, openFiles, startSeconds} {
		to <- d
	}
}

// Collect sends what the kernel tells at this moment.
func (p process) Collect(to chan<- prometheus.Metric) {
	send := func(d *prometheus.Desc, kind prometheus.ValueType, value float64) {
		to <- prometheus.MustNewConstMetric(d, kind, value)
	}
	if stat, err := p.self.Stat(); err == nil {
		send(cpuSeconds, prometheus.CounterValue, stat.CPUTime())
		send(residentBytes, prometheus.GaugeValue, float64(stat.ResidentMemory()))
	}
	if n, err := p.self.FileDescriptorsLen(); err == nil {
		send(openFiles, prometheus.GaugeValue, float64(n))
	}
	if p.started > 0 {
		send(startSeconds, prometheus.GaugeValue, p.started)
	}
}
