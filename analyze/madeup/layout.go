package madeup

import (
	"bytes"
	"fmt"
	"iter"
	"math"
	"strconv"
	"strings"
	"time"

	"amphora/analyze"
)

// Layout is a plain way to write rows as text.
type Layout string

// The layouts.
const (
	Commas      Layout = "commas"      // a header with units, seconds
	Semicolons  Layout = "semicolons"  // decimal commas
	Tabs        Layout = "tabs"        // no header at all
	Labelled    Layout = "labelled"    // each value with its letter
	JSONLines   Layout = "json-lines"  // one object a row
	ClockTime   Layout = "clock"       // hh:mm:ss, which falls back at midnight
	DateTime    Layout = "date-time"   // RFC 3339
	Thousandths Layout = "thousandths" // mV and mA
)

// Lines gives the night's log line by line, without line ends, each with the
// time in s on the meter's clock at which it is written: `#` lines that tell
// what it is, the header if the layout has one, then the rows.
func (n Night) Lines() iter.Seq2[float64, string] {
	return func(yield func(float64, string) bool) {
		for _, line := range n.heading() {
			if !yield(0, "# "+line) {
				return
			}
		}
		w := n.writer()
		if head := w.header(); head != "" && !yield(0, head) {
			return
		}
		for s := range n.Samples() {
			if !yield(s.At, w.row(s)) {
				return
			}
		}
	}
}

// Log is the whole night as a text file.
func (n Night) Log() []byte {
	var b bytes.Buffer
	for _, line := range n.Lines() {
		b.WriteString(line)
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// heading tells what stood there, in words.
func (n Night) heading() []string {
	b, c, m := n.Battery, n.Charger, n.Meter
	charger := fmt.Sprintf("charger: %g A", c.Amps)
	if c.Watts > 0 {
		charger += fmt.Sprintf(", %g W", c.Watts)
	}
	if c.Volts > 0 {
		charger += fmt.Sprintf(", %g V", c.Volts)
	}
	if c.TailAmps > 0 {
		charger += fmt.Sprintf(", done at %g A", c.TailAmps)
	}
	if c.FloatVolts > 0 {
		charger += fmt.Sprintf(", then %g V for %g h", c.FloatVolts, c.FloatFor/3600)
	}
	if c.PeakDrop > 0 {
		charger += fmt.Sprintf(", done %g mV below the peak", c.PeakDrop*1000)
	}
	if c.Timer > 0 {
		charger += fmt.Sprintf(", off after %g h", c.Timer/3600)
	}
	return []string{
		n.Name + ": invented data, written by the battery model in analyze/madeup; nothing here was measured",
		"licence: MIT, as the rest of the project",
		n.Story,
		fmt.Sprintf("battery: %s, %d cells, %g Ah, %g %% full, %g degrees Celsius", b.Chemistry, b.Cells, b.CapacityAh, b.StateOfCharge*100, b.Celsius),
		charger,
		fmt.Sprintf("meter: a row every %g s, steps of %g V and %g A, noise %g V and %g A", m.Every, m.StepVolts, m.StepAmps, m.NoiseVolts, m.NoiseAmps),
	}
}

// writer formats rows with the decimals that the meter has.
type writer struct {
	layout              Layout
	seconds, volts, amp int // decimals
	celsius             bool
}

func (n Night) writer() writer {
	w := writer{layout: n.Layout, volts: decimals(n.Meter.StepVolts), amp: decimals(n.Meter.StepAmps), celsius: n.Meter.Celsius}
	if n.Meter.Jitter > 0 {
		w.seconds = 3
	}
	return w
}

// decimals is how many a resolution needs; a meter without one gets plenty.
func decimals(step float64) int {
	if step == 0 {
		return 6
	}
	return max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
}

// header is the line above the columns, or empty.
func (w writer) header() string {
	columns := []string{"time_s", "voltage_V", "current_A"}
	separator := ","
	switch w.layout {
	case Tabs, Labelled, JSONLines:
		return ""
	case Semicolons:
		columns, separator = []string{"time [s]", "voltage [V]", "current [A]"}, ";"
	case ClockTime:
		columns = []string{"clock", "voltage_V", "current_A"}
	case DateTime:
		columns = []string{"timestamp", "voltage_V", "current_A"}
	case Thousandths:
		columns = []string{"time_s", "voltage_mV", "current_mA"}
	}
	if w.celsius && w.layout == Semicolons {
		columns = append(columns, "temperature [C]")
	} else if w.celsius {
		columns = append(columns, "temperature_C")
	}
	return strings.Join(columns, separator)
}

// row writes one row.
func (w writer) row(s analyze.Sample) string {
	values := []string{fixed(s.At, w.seconds), fixed(s.Volts, w.volts), fixed(s.Amps, w.amp)}
	if w.celsius {
		values = append(values, fixed(s.Celsius, 1))
	}
	wall := time.Unix(0, s.Wall).UTC()
	switch w.layout {
	case Semicolons:
		return strings.ReplaceAll(strings.Join(values, ";"), ".", ",")
	case Tabs:
		return strings.Join(values, "\t")
	case Labelled:
		return labelled([]string{"t=", " V=", " A=", " C="}, values)
	case JSONLines:
		return labelled([]string{`{"time_s":`, `,"voltage_V":`, `,"current_A":`, `,"temperature_C":`}, values) + "}"
	case ClockTime:
		values[0] = wall.Format("15:04:05")
	case DateTime:
		values[0] = wall.Format(time.RFC3339)
	case Thousandths:
		values[1], values[2] = fixed(s.Volts*1000, w.volts-3), fixed(s.Amps*1000, w.amp-3)
	}
	return strings.Join(values, ",")
}

func labelled(labels, values []string) string {
	var b strings.Builder
	for i, v := range values {
		b.WriteString(labels[i] + v)
	}
	return b.String()
}

// fixed writes x with so many decimals, and no minus before a zero.
func fixed(x float64, decimals int) string {
	text := strconv.FormatFloat(x, 'f', max(0, decimals), 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return text
}
