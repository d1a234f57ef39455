package metrics

import (
	"strconv"
	"strings"
)

// writer puts a page together in the text form of Prometheus, version 0.0.4:
//
//	# HELP amphora_source_up 1 while the source is there and delivers.
//	# TYPE amphora_source_up gauge
//	amphora_source_up{channel="bench"} 1
//
// The library's way there, over an object for every series, cost eight times as
// much, and with many channels more than all of the recording.
// See prometheus.io, Exposition formats.
type writer struct {
	page   []byte
	family *family
	headed bool // HELP and TYPE are written
}

// begin turns to another metric. Nothing is written of one without series.
func (w *writer) begin(f *family) { w.family, w.headed = f, false }

// series writes one, with its labels as label makes them.
func (w *writer) series(value float64, labels ...string) { w.line("", value, labels) }

// line is series for a metric whose lines have several names.
func (w *writer) line(suffix string, value float64, labels []string) {
	f := w.family
	if !w.headed {
		w.headed = true
		w.add("# HELP amphora_", f.name, " ", f.help, "\n# TYPE amphora_", f.name, " ", f.kind, "\n")
	}
	w.add("amphora_", f.name, suffix)
	between := "{"
	for _, l := range labels {
		w.add(between, l)
		between = ","
	}
	w.add("} ")
	w.page = append(strconv.AppendFloat(w.page, value, 'g', -1, 64), '\n')
}

func (w *writer) add(parts ...string) {
	for _, p := range parts {
		w.page = append(w.page, p...)
	}
}

// Write adds text that somebody else has put together.
func (w *writer) Write(text []byte) (int, error) {
	w.page = append(w.page, text...)
	return len(text), nil
}

// label names and quotes one thing by which series differ. Whatever text comes in
// stays within the quotes.
func label(name, value string) string {
	return name + `="` + escape.Replace(clean(value)) + `"`
}

var escape = strings.NewReplacer(`\`, `\\`, "\n", `\n`, `"`, `\"`)

// clean makes any text valid.
func clean(text string) string { return strings.ToValidUTF8(text, "\uFFFD") }
