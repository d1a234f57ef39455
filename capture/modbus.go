package capture

import (
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"time"

	"amphora/capture/query"
)

// Modbus is a meter whose registers are read, over a serial line (RTU) or the
// network.
type Modbus struct {
	Serial  *Serial           // this
	TCP     *TCP              // or this
	Framing string            // of the frames over TCP: tcp, or rtu where a bridge passes on what goes over a serial line; "": tcp
	Reads   []query.Registers // in this order in each round
	Every   time.Duration     // between two rounds; 0: 1 s
	Timeout time.Duration     // for one answer; 0: 1 s
}

// unknownBaud is taken for the line behind a bridge: the slowest one in use on meters
// (common practice, no source).
const unknownBaud = 2400

// Source checks the settings.
func (c Modbus) Source() (Source, error) {
	if c.Every == 0 {
		c.Every = time.Second
	}
	if c.Timeout == 0 {
		c.Timeout = time.Second
	}
	if len(c.Reads) == 0 {
		return Source{}, errors.New("asks for nothing, want voltage, current or both")
	}
	switch {
	case c.Framing == "tcp" && c.TCP == nil:
		return Source{}, errors.New("framing tcp is for a meter behind tcp, a serial line has rtu")
	case c.Framing != "" && c.Framing != "tcp" && c.Framing != "rtu":
		return Source{}, fmt.Errorf("framing %q is not one of tcp and rtu", c.Framing)
	}
	for _, r := range c.Reads {
		if err := r.Check(); err != nil {
			return Source{}, err
		}
	}
	return asked(c.Serial, c.TCP, func(l line) Stream {
		m := &registerMeter{reads: c.Reads, network: c.TCP != nil && c.Framing != "rtu"}
		hush := time.Duration(0)
		switch {
		case m.network:
		case c.Serial != nil:
			hush = query.Silence(c.Serial.withDefaults().Baud)
		default:
			hush = query.Silence(unknownBaud)
		}
		m.poll = newPoll(l, c.Every, c.Timeout, hush, m.round)
		return m.poll
	})
}

// registerMeter is the meter at the other end. A line of its journal holds unit,
// function and address of each question and the words that came, unchanged:
//
//	1/4/0=04F1 1/4/2=00000DAC
//
// What they mean is a matter of the decoder. A refusal stands as !2, with its
// number.
type registerMeter struct {
	poll    *poll
	reads   []query.Registers
	network bool
	last    uint16            // number of the last exchange over the network
	refused map[string]string // last refusal of each question, so that it is said once
}

func (m *registerMeter) round(bool) []exchange {
	ask := make([]exchange, 0, len(m.reads))
	for _, r := range m.reads {
		// The settings were checked, so a question can be made of each.
		if m.network {
			m.last++
			q, _ := query.Network(r, m.last)
			ask = append(ask, exchange{ask: q, take: m.take(q, r, query.Query.Packet)})
			continue
		}
		q, _ := query.RTU(r)
		ask = append(ask, exchange{ask: q, take: m.take(q, r, query.Query.Frame)})
	}
	return ask
}

// unpack is Frame or Packet of a Query.
type unpack func(query.Query, query.Registers, []byte) (query.Outcome, query.Reply, []byte)

func (m *registerMeter) take(q query.Query, r query.Registers, how unpack) taking {
	return func(came []byte) (query.Outcome, []byte, []byte) {
		o, reply, rest := how(q, r, came)
		if o != query.Answer {
			return o, nil, rest
		}
		if reply.Exception != 0 {
			m.refuse(q.String(), reply)
			return o, fmt.Appendf(nil, "!%d", reply.Exception), rest
		}
		return o, []byte(strings.ToUpper(hex.EncodeToString(reply.Words))), rest
	}
}

// refuse says once why the meter does not answer a question.
func (m *registerMeter) refuse(name string, reply query.Reply) {
	if why := reply.Why(); m.refused[name] != why {
		if m.refused == nil {
			m.refused = map[string]string{}
		}
		m.refused[name] = why
		m.poll.say(fmt.Sprintf("the meter refuses to read %s: %s", name, why))
	}
}
