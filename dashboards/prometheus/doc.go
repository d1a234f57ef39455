// Package prometheus holds alert rules for those who alert from Prometheus rather
// than by amphora's own messages, and recording rules in plain units. It has no
// code: its test checks the rules with the tool of their maker and against the
// metrics that amphora exposes.
package prometheus
