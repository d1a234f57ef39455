package config

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"amphora/capture"
	"amphora/capture/query"
	"amphora/decoders"
)

// decoder is how the answers of a meter that is asked are read: what it is asked
// for says that. It is nil for a source that talks by itself.
func (s Source) decoder() *decoders.Layout {
	setting := ""
	switch {
	case s.SCPI != nil:
		setting = "answers" + field("voltage", s.SCPI.Voltage, "V")
		current := s.SCPI.Current
		if current == s.SCPI.Voltage && current != "" {
			current += "#2" // one answer holds both
		}
		setting += field("current", current, "A")
	case s.Modbus != nil:
		setting = "registers" + field("voltage", s.Modbus.key(s.Modbus.Voltage), "V") + field("current", s.Modbus.key(s.Modbus.Current), "A")
	default:
		return nil
	}
	// The parts were checked one by one; where one was wrong that has been told.
	layout, err := decoders.Parse(setting)
	if err != nil {
		return nil
	}
	return layout
}

func field(quantity, key, unit string) string {
	if key == "" {
		return ""
	}
	return fmt.Sprintf(" %s=%q:%s", quantity, key, unit)
}

// capture is the meter as capture asks it.
func (m *Modbus) capture() capture.Modbus {
	c := capture.Modbus{Serial: m.Serial, TCP: m.TCP, Framing: m.Framing, Every: m.Every, Timeout: m.Timeout}
	for _, g := range []*Register{m.Voltage, m.Current} {
		if g != nil {
			c.Reads = append(c.Reads, query.Registers{
				Unit: byte(m.Unit), Function: g.function(), Address: uint16(g.Address), Count: decoders.RegisterTypes[g.Type] / 2,
			})
		}
	}
	return c
}

func (g *Register) function() byte {
	if g.Table == "holding" {
		return query.Holding
	}
	return query.Input
}

// key is where the decoder finds a register, and how it reads it.
func (m *Modbus) key(g *Register) string {
	if g == nil {
		return ""
	}
	scale := strconv.FormatFloat(g.Scale, 'g', -1, 64)
	return fmt.Sprintf("%d/%d/%d/%s/%s/%s", m.Unit, g.function(), g.Address, g.Type, scale, g.Order)
}

// asks tells which values a meter is asked for; ok is false for a source that
// talks by itself, of which nobody knows.
func (s Source) asks() (voltage, current, ok bool) {
	switch {
	case s.SCPI != nil:
		return s.SCPI.Voltage != "", s.SCPI.Current != "", true
	case s.Modbus != nil:
		return s.Modbus.Voltage != nil, s.Modbus.Current != nil, true
	}
	return false, false, false
}

// needBoth refuses a meter that is asked for one value where a channel has no
// other, and one of two meters that is asked for the value of the other.
func (r *reader) needBoth(n node, f *Feed) {
	voltage, current, ok := f.Source.asks()
	wrong := slices.ContainsFunc(r.problems, func(p Problem) bool { return !p.Warning && strings.HasPrefix(p.Key, n.path+".") })
	if !ok || wrong || !voltage && !current { // a question that is wrong, or none, has been told
		return
	}
	switch {
	case f.Of == "" && !current:
		r.fail(n, "is asked for the voltage alone, and a charge needs the current as well")
	case f.Of == "" && !voltage:
		r.fail(n, "is asked for the current alone, and a charge needs the voltage as well")
	case f.Of == "voltage" && !voltage:
		r.fail(n, "is asked for the current, and here stands the meter for the voltage")
	case f.Of == "current" && !current:
		r.fail(n, "is asked for the voltage, and here stands the meter for the current")
	}
}

// Setting is the decoder of the channel as the daemon takes it; two joins those of
// two meters into one setting.
func (c *Channel) Setting(two func(voltage, current string, skew time.Duration) string) string {
	if len(c.Feeds) == 2 {
		return two(c.Feeds[0].setting(), c.Feeds[1].setting(), c.Skew)
	}
	return c.Feeds[0].setting()
}

func (f *Feed) setting() string {
	if f.Decoder == nil {
		return "auto"
	}
	return f.Decoder.String()
}
