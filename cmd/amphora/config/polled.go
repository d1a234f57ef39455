package config

import (
	"fmt"
	"strconv"
	"time"

	"amphora/capture"
	"amphora/capture/query"
	"amphora/decoders"
)

const (
	everyMost   = time.Hour   // the longest pause between two rounds of questions
	timeoutMost = time.Minute // the longest that one answer may take
)

// scpi reads a meter that is asked by text.
func (r *reader) scpi(p **capture.SCPI) func(node) {
	return func(n node) {
		m := &capture.SCPI{}
		*p = m
		before := len(r.problems)
		seen := r.mapping(n, keys{
			"serial":  r.serial(&m.Serial),
			"tcp":     r.tcp(&m.TCP),
			"voltage": r.query(&m.Voltage),
			"current": r.query(&m.Current),
			"end":     r.word(&m.End, "lf", "crlf", "cr"),
			"every":   r.duration(&m.Every, "s", everyMost),
			"timeout": r.duration(&m.Timeout, "s", timeoutMost),
		})
		r.needLine(n, seen)
		r.needValue(n, seen)
		r.settled(n, before, func() error { _, err := m.Source(); return err })
	}
}

// query takes nothing but a question: a program that only listens has no use for
// another command, least of all one that sets something.
func (r *reader) query(p *string) func(node) {
	return parsed(r, p, "a query like MEAS:VOLT?", func(text string) (string, error) {
		_, err := query.SCPI(text, "lf")
		return text, err
	})
}

// modbus reads a meter whose registers are read.
func (r *reader) modbus(p **Modbus) func(node) {
	return func(n node) {
		m := &Modbus{}
		*p = m
		before := len(r.problems)
		seen := r.mapping(n, keys{
			"serial":  r.serial(&m.Serial),
			"tcp":     r.tcp(&m.TCP),
			"framing": r.word(&m.Framing, "tcp", "rtu"),
			"unit":    r.count(&m.Unit, 1, 247), // 0 is everybody, above is reserved
			"voltage": r.register(&m.Voltage),
			"current": r.register(&m.Current),
			"every":   r.duration(&m.Every, "s", everyMost),
			"timeout": r.duration(&m.Timeout, "s", timeoutMost),
		})
		r.needLine(n, seen)
		r.needValue(n, seen)
		r.need(n, seen, "unit")
		r.settled(n, before, func() error { _, err := m.capture().Source(); return err })
	}
}

func (r *reader) register(p **Register) func(node) {
	return func(n node) {
		g := &Register{Table: "input", Type: "uint16", Order: string(decoders.Big), Scale: 1}
		*p = g
		r.need(n, r.mapping(n, keys{
			"address": r.count(&g.Address, 0, 65535),
			"table":   r.word(&g.Table, "input", "holding"),
			"type":    r.word(&g.Type, "uint16", "int16", "uint32", "int32", "float32", "float64"),
			"order":   r.word(&g.Order, string(decoders.Big), string(decoders.WordSwapped), string(decoders.ByteSwapped), string(decoders.Little)),
			"scale":   r.scale(&g.Scale),
		}), "address")
	}
}

func (r *reader) scale(p *float64) func(node) {
	return parsed(r, p, "a number like 0.01", func(text string) (float64, error) {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || v == 0 || !(v > -1e6 && v < 1e6) {
			return 0, fmt.Errorf("%q is not a scale, want a number like 0.01, negative to turn the sign", text)
		}
		return v, nil
	})
}

// needLine wants one of the two ways to a meter.
func (r *reader) needLine(n node, seen map[string]node) {
	_, serial := seen["serial"]
	_, tcp := seen["tcp"]
	if seen != nil && serial == tcp {
		r.fail(n, "want exactly one of serial and tcp")
	}
}

func (r *reader) needValue(n node, seen map[string]node) {
	_, voltage := seen["voltage"]
	_, current := seen["current"]
	if seen != nil && !voltage && !current {
		r.fail(n, "asks for nothing, want voltage, current or both")
	}
}
