//go:build linux

package browser

import (
	"net"
	"sync"
	"testing"

	"amphora/analyze/madeup"

	"github.com/stretchr/testify/require"
)

// meter is a meter behind a network connection that tells of a made-up night, line
// by line, as fast as somebody listens.
type meter struct {
	t        testing.TB
	listener net.Listener
	rows     []row
	next     int
	said     float64 // time of the last row that was said, s

	mu   sync.Mutex
	line net.Conn // to who listens now
	came *sync.Cond
}

type row struct {
	at   float64
	text string
}

// newMeter makes a meter for a night, in rows that carry the meter's own time.
func newMeter(t testing.TB, n madeup.Night) *meter {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	m := &meter{t: t, listener: l}
	m.came = sync.NewCond(&m.mu)
	n.Layout = madeup.Commas
	for at, text := range n.Lines() {
		m.rows = append(m.rows, row{at, text})
	}
	go m.accept()
	t.Cleanup(m.unplug)
	return m
}

func (m *meter) accept() {
	for {
		c, err := m.listener.Accept()
		if err != nil {
			return
		}
		m.mu.Lock()
		m.line = c
		m.came.Broadcast()
		m.mu.Unlock()
	}
}

// unplug takes the meter away for good.
func (m *meter) unplug() {
	m.listener.Close()
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.line != nil {
		m.line.Close()
	}
}

func (m *meter) source() string { return "tcp: {address: " + m.listener.Addr().String() + "}" }

// sayUntil says the rows up to a time of the night, s. It waits for somebody who
// listens, and who has just gone gets nothing.
func (m *meter) sayUntil(at float64) {
	m.t.Helper()
	m.mu.Lock()
	defer m.mu.Unlock()
	for m.line == nil {
		m.came.Wait()
	}
	for ; m.next < len(m.rows) && m.rows[m.next].at <= at; m.next++ {
		_, err := m.line.Write([]byte(m.rows[m.next].text + "\r\n"))
		require.NoError(m.t, err)
		m.said = m.rows[m.next].at
	}
}

// hangUp forgets who listens: the program is about to end.
func (m *meter) hangUp() {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.line != nil {
		m.line.Close()
	}
	m.line = nil
}

// end is the time of the last row, s.
func (m *meter) end() float64 { return m.rows[len(m.rows)-1].at }
