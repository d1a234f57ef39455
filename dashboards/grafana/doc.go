// Package grafana holds a dashboard for those who look at their batteries in
// Grafana: amphora.json, to be imported there. It has no code: its test checks the
// dashboard against the metrics that amphora exposes, and that of the built program
// asks a real Prometheus each of its queries.
package grafana
