package mqtt

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"syscall"
	"time"

	"github.com/mochi-mqtt/server/v2/packets"
)

// connectLimit is how long it may take until the broker has let us in.
const connectLimit = 4 * time.Second

var (
	// errVersion is returned where another version of MQTT may be understood.
	errVersion = errors.New("the broker does not speak this version of MQTT")
	// errRefused is returned where trying again soon does not help.
	errRefused = errors.New("refused")
)

// caller is who connects.
type caller struct {
	settings *Settings
	id       string   // of the client
	will     *message // told by the broker when we die
}

// connect opens a connection in the version asked for, or in the first of both that
// the broker takes.
func (c *caller) connect(ctx context.Context) (*link, error) {
	if v := c.settings.Version; v != Either {
		return c.connectWith(ctx, v)
	}
	l, err := c.connectWith(ctx, MQTT5)
	if errors.Is(err, errVersion) {
		return c.connectWith(ctx, MQTT3)
	}
	return l, err
}

func (c *caller) connectWith(ctx context.Context, v Version) (*link, error) {
	ctx, cancel := context.WithTimeout(ctx, connectLimit)
	defer cancel()
	hello, password, err := c.hello(v)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", errRefused, err)
	}
	conn, err := c.settings.dial(ctx)
	if err != nil {
		return nil, plainly(err)
	}
	l := &link{conn: conn, version: v, inflight: mostInFlight, secret: string(password)}
	// Whatever ends the context ends the handshake.
	stop := context.AfterFunc(ctx, func() { _ = conn.SetDeadline(time.Unix(1, 0)) })
	in := bufio.NewReader(conn)
	pingEvery, err := l.enter(hello, in)
	if !stop() {
		err = errors.Join(ctx.Err(), err)
	}
	if err != nil {
		_ = conn.Close() // it is given up
		return nil, plainly(err)
	}
	l.start(in, pingEvery)
	return l, nil
}

// hello is the packet by which we ask to be let in, and the password in it.
func (c *caller) hello(v Version) (hello, password []byte, err error) {
	password, err = c.settings.password()
	if err != nil {
		return nil, nil, err
	}
	p := packets.Packet{
		FixedHeader: packets.FixedHeader{Type: packets.Connect}, ProtocolVersion: byte(v),
		Connect: packets.ConnectParams{
			ProtocolName: []byte("MQTT"), ClientIdentifier: c.id, Clean: true, Keepalive: uint16(quietLimit / time.Second),
			Username: []byte(c.settings.User), UsernameFlag: c.settings.User != "",
			Password: password, PasswordFlag: password != nil,
			WillFlag: true, WillRetain: true, WillQos: atLeastOnce, WillTopic: c.will.topic, WillPayload: c.will.payload,
		},
	}
	p.Properties.MaximumPacketSize = longestAnswer
	var out bytes.Buffer
	err = p.ConnectEncode(&out)
	return out.Bytes(), password, err
}

// enter asks to be let in and takes down on what terms. It returns how often the
// broker is to be asked for a sign of life.
func (l *link) enter(hello []byte, in *bufio.Reader) (pingEvery time.Duration, err error) {
	if err := l.write(hello); err != nil {
		return 0, err
	}
	p, err := readPacket(in, l.version)
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, syscall.ECONNRESET):
		// Some brokers say no more to a version that they do not know.
		return 0, fmt.Errorf("%w, or has closed the connection for another reason", errVersion)
	case err != nil:
		return 0, err
	case p.FixedHeader.Type != packets.Connack:
		return 0, errors.New("what answers is no broker")
	case p.ReasonCode != 0:
		return 0, refusal(l.reason(Version(p.ProtocolVersion), &p))
	case Version(p.ProtocolVersion) != l.version:
		return 0, errVersion
	}
	pingEvery = quietLimit / 2
	if terms := p.Properties; l.version == MQTT5 {
		if terms.ServerKeepAliveFlag && terms.ServerKeepAlive > 0 {
			pingEvery = min(pingEvery, time.Duration(terms.ServerKeepAlive)*time.Second/2)
		}
		if terms.ReceiveMaximum > 0 {
			l.inflight = min(l.inflight, int(terms.ReceiveMaximum))
		}
		l.longest = int(terms.MaximumPacketSize)
	}
	return pingEvery, nil
}

// hopeless are the reasons for which trying again soon does not help.
var hopeless = map[Version][]byte{
	MQTT3: {2, 4, 5},
	MQTT5: {0x85, 0x86, 0x87, 0x8A, 0x8C, 0x8E, 0x98, 0x9A, 0x9B, 0x9D},
}

// refusal sorts a broker's reason by what can be done about it.
func refusal(r reason) error {
	switch {
	case r.version == MQTT5 && r.code == 0x84, r.version == MQTT3 && r.code == 1:
		return errVersion
	case slices.Contains(hopeless[r.version], r.code):
		return fmt.Errorf("%w: %w", errRefused, r)
	}
	return r
}
