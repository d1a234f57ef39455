package mqtt

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"github.com/mochi-mqtt/server/v2/packets"
)

// atLeastOnce is the quality of service at which a message is acknowledged.
const atLeastOnce = 1

// readPacket reads what the broker says next, whole.
func readPacket(in *bufio.Reader, v Version) (p packets.Packet, err error) {
	// Nothing that a broker sends may stop the recording.
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the broker sends what cannot be read: %v", r)
		}
	}()
	p.ProtocolVersion = byte(v)
	head, err := in.ReadByte()
	if err != nil {
		return p, err
	}
	if err := p.FixedHeader.Decode(head); err != nil {
		return p, fmt.Errorf("the broker sends what cannot be read: %w", err)
	}
	if p.FixedHeader.Remaining, _, err = packets.DecodeLength(in); err != nil {
		return p, err
	}
	if p.FixedHeader.Remaining > longestAnswer {
		return p, errors.New("the broker sends far more than an answer")
	}
	body := make([]byte, p.FixedHeader.Remaining)
	if _, err := io.ReadFull(in, body); err != nil {
		return p, err
	}
	switch p.FixedHeader.Type {
	case packets.Connack:
		if len(body) == 2 { // of 3.1.1, whatever was asked for
			p.ProtocolVersion = byte(MQTT3)
		}
		err = p.ConnackDecode(body)
	case packets.Puback:
		err = p.PubackDecode(body)
	case packets.Disconnect:
		if len(body) == 1 { // a reason and nothing else, which the decoder passes over
			p.ReasonCode = body[0]
		}
		err = p.DisconnectDecode(body)
	}
	if err != nil {
		err = fmt.Errorf("the broker sends what cannot be read: %w", err)
	}
	return p, err
}

// publish writes a message as a packet.
func publish(out *bytes.Buffer, v Version, id uint16, m *message, now time.Time) error {
	p := packets.Packet{
		FixedHeader:     packets.FixedHeader{Type: packets.Publish, Qos: atLeastOnce, Retain: true},
		ProtocolVersion: byte(v), PacketID: id, TopicName: m.topic, Payload: m.payload,
	}
	if !m.until.IsZero() {
		p.Properties.MessageExpiryInterval = uint32(min(max(1, math.Ceil(m.until.Sub(now).Seconds())), math.MaxUint32))
	}
	if v == MQTT5 && len(m.payload) > 0 {
		p.Properties.PayloadFormatFlag, p.Properties.PayloadFormat = true, 1 // text
		p.Properties.ContentType = "application/json"
	}
	return p.PublishEncode(out)
}

// reason is why a broker refuses something, or ends the connection.
type reason struct {
	version Version
	code    byte
	text    string // what the broker adds
}

// reason is the one that a packet gives, in words that may be shown.
func (l *link) reason(v Version, p *packets.Packet) reason {
	text := p.Properties.ReasonString
	if l.secret != "" {
		text = strings.ReplaceAll(text, l.secret, "(secret)")
	}
	return reason{v, p.ReasonCode, text}
}

func (r reason) bad() bool { return r.version == MQTT5 && r.code >= 0x80 }

// Of connections, MQTT 3.1.1, 3.2.2.3.
var reasons3 = map[byte]string{
	1: "it does not speak this version of MQTT", 2: "it does not like our client identifier", 3: "it is not available",
	4: "wrong user or password", 5: "we are not allowed to",
}

// MQTT 5.0, 2.4.
var reasons5 = map[byte]string{
	0x84: "it does not speak this version of MQTT", 0x85: "it does not like our client identifier", 0x86: "wrong user or password",
	0x87: "we are not allowed to", 0x88: "it is not available", 0x89: "it is busy", 0x8A: "we are banned", 0x8B: "it is shutting down",
	0x8D: "it has not heard from us for too long", 0x8E: "somebody else came with our client identifier: do two daemons share a data folder?",
	0x90: "it does not like the topic", 0x95: "the message is too long", 0x96: "there are too many messages", 0x97: "a quota is used up",
	0x98: "somebody ended the connection", 0x9A: "it retains nothing, which is needed here", 0x9B: "it cannot acknowledge messages, which is needed here",
	0x9F: "there are too many connections",
}

// Error says why in words.
func (r reason) Error() string {
	words := reasons5[r.code]
	if r.version != MQTT5 {
		words = reasons3[r.code]
	}
	if words == "" {
		words = fmt.Sprintf("reason 0x%02x", r.code)
	}
	words = "the broker says: " + words
	if r.text != "" {
		words += fmt.Sprintf(" (%s)", strings.ToValidUTF8(r.text[:min(len(r.text), 200)], "\uFFFD"))
	}
	return words
}
