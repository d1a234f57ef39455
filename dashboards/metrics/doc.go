// Package metrics shows the channels to Prometheus.
//
// The problem: ports come and go and readings grow old, while a page of metrics
// is inclined to repeat the last value for ever.
//
// The promise: every scrape is taken from the live state at that moment, in base
// units. What is not known, or not known any more, is not on the page. The
// number of series is bounded whatever a source says.
//
// It computes nothing that the live state does not hold.
package metrics
