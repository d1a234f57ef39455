package mqtt

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"sync"
	"time"

	"github.com/mochi-mqtt/server/v2/packets"
)

const (
	// quietLimit is after how long without a word from the broker a connection is
	// given up. We ask for a sign of life twice as often.
	quietLimit = 30 * time.Second
	// writeLimit is how long the broker may take to accept what we send.
	writeLimit = 10 * time.Second
	// ackLimit is how long it may take to acknowledge a message.
	ackLimit = 60 * time.Second
	// longestAnswer is the most that a broker has to tell somebody who listens to
	// nothing, bytes.
	longestAnswer = 64 << 10
)

// link is one connection to a broker. Only one goroutine may send at a time. When
// it breaks it closes itself; nothing can be done with it any more then.
type link struct {
	conn     net.Conn
	version  Version
	longest  int    // bytes that the broker takes in one packet; 0 for any
	inflight int    // messages that it takes before it has acknowledged the first
	secret   string // the password, which a broker might repeat

	id      uint16 // of the last message
	writing sync.Mutex
	acks    chan ack
	broken  chan struct{} // closed when it is
	why     error         // once it is
	once    sync.Once
	done    sync.WaitGroup
}

// ack is what the broker says of one message.
type ack struct {
	id     uint16
	reason reason
}

// start listens to the broker and keeps the connection alive.
func (l *link) start(in *bufio.Reader, pingEvery time.Duration) {
	l.acks, l.broken = make(chan ack, mostInFlight), make(chan struct{})
	l.done.Go(func() { l.listen(in) })
	l.done.Go(func() { l.ping(pingEvery) })
}

// send hands messages over and returns once the broker has acknowledged all of
// them. It may have taken any of them when an error is returned. What it refused
// without breaking the connection is told to refused.
func (l *link) send(ctx context.Context, batch []*message, refused func(*message, error)) error {
	ctx, cancel := context.WithTimeout(ctx, ackLimit)
	defer cancel()
	var out bytes.Buffer
	open := make(map[uint16]*message)
	for _, m := range batch {
		if l.id++; l.id == 0 {
			l.id = 1 // 0 is none
		}
		size := out.Len()
		if err := publish(&out, l.version, l.id, m, time.Now()); err != nil {
			return err
		}
		if size = out.Len() - size; l.longest > 0 && size > l.longest {
			out.Truncate(out.Len() - size)
			refused(m, fmt.Errorf("%d bytes are more than the %d that the broker takes", size, l.longest))
			continue
		}
		open[l.id] = m
	}
	if err := l.write(out.Bytes()); err != nil {
		l.fail(err)
		return l.why
	}
	for len(open) > 0 {
		select {
		case a := <-l.acks:
			if m := open[a.id]; m != nil && a.reason.bad() {
				refused(m, a.reason)
			}
			delete(open, a.id)
		case <-l.broken:
			return l.why
		case <-ctx.Done():
			l.fail(errors.New("the broker does not acknowledge what it gets"))
			return l.why
		}
	}
	return nil
}

// write hands bytes to the broker, whole packets at a time.
func (l *link) write(b []byte) error {
	l.writing.Lock()
	defer l.writing.Unlock()
	if err := l.conn.SetWriteDeadline(time.Now().Add(writeLimit)); err != nil {
		return err
	}
	_, err := l.conn.Write(b)
	return err
}

// listen takes what the broker says until the connection breaks.
func (l *link) listen(in *bufio.Reader) {
	for {
		if err := l.conn.SetReadDeadline(time.Now().Add(quietLimit)); err != nil {
			l.fail(err)
			return
		}
		p, err := readPacket(in, l.version)
		if err != nil {
			l.fail(err)
			return
		}
		switch p.FixedHeader.Type {
		case packets.Puback:
			select {
			case l.acks <- ack{p.PacketID, l.reason(l.version, &p)}:
			case <-l.broken:
				return
			}
		case packets.Disconnect:
			l.fail(refusal(l.reason(l.version, &p)))
			return
		}
	}
}

// ping asks for a sign of life now and then.
func (l *link) ping(every time.Duration) {
	tick := time.NewTicker(every)
	defer tick.Stop()
	for {
		select {
		case <-l.broken:
			return
		case <-tick.C:
		}
		if err := l.write([]byte{packets.Pingreq << 4, 0}); err != nil {
			l.fail(err)
			return
		}
	}
}

// fail closes the connection.
func (l *link) fail(err error) {
	l.once.Do(func() {
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			err = errors.New("the broker has closed the connection")
		}
		l.why = plainly(err)
		close(l.broken)
		_ = l.conn.Close() // it is given up, whatever becomes of it
	})
}

// close ends the connection; with a word of goodbye the broker does not tell the
// others that we died.
func (l *link) close(goodbye bool) {
	if goodbye {
		_ = l.write([]byte{packets.Disconnect << 4, 0}) // it is being closed anyway
	}
	l.fail(errors.New("we have closed the connection"))
	l.done.Wait()
}
