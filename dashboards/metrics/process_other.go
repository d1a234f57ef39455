//go:build !linux

package metrics

import (
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
)

// processCollector is the library's own, where it knows the system.
func processCollector() prometheus.Collector {
	return collectors.NewProcessCollector(collectors.ProcessCollectorOpts{})
}
