package capture

import (
	"bytes"
	"io"
	"net"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// instrument is a simulated meter that is asked. It keeps every byte that was
// sent to it, which is how it is known that nothing but questions was.
type instrument struct {
	cut func(came []byte) int // length of the first whole request, 0 while there is none

	mu     sync.Mutex
	answer func(request string, n int) []said // n counts the requests, from 1
	heard  []string
	sent   bytes.Buffer
}

// said is one thing that an instrument sends, after a while.
type said struct {
	after time.Duration
	text  string
}

func now(text string) []said { return []said{{0, text}} }

// cutLine cuts a request of text, cutFrame one of a serial line for Modbus, and
// cutPacket one over the network: where the meter has been slow, several wait.
func cutLine(came []byte) int   { return bytes.IndexByte(came, '\n') + 1 }
func cutFrame(came []byte) int  { return min(len(came)/8, 1) * 8 }
func cutPacket(came []byte) int { return min(len(came)/12, 1) * 12 }

// serve answers what comes over one line until it is closed.
func (m *instrument) serve(over io.ReadWriter) {
	var came []byte
	block := make([]byte, 256)
	for {
		n, err := over.Read(block)
		if err != nil {
			return
		}
		m.mu.Lock()
		m.sent.Write(block[:n])
		m.mu.Unlock()
		came = append(came, block[:n]...)
		for k := m.cut(came); k > 0; k = m.cut(came) {
			request := string(came[:k])
			came = came[k:]
			m.mu.Lock()
			m.heard = append(m.heard, request)
			say := m.answer(request, len(m.heard))
			m.mu.Unlock()
			for _, s := range say {
				time.Sleep(s.after) // it is the meter that is slow
				if _, err := io.WriteString(over, s.text); err != nil {
					return
				}
			}
		}
	}
}

// requests are those that came so far.
func (m *instrument) requests() []string {
	m.mu.Lock()
	defer m.mu.Unlock()
	return append([]string(nil), m.heard...)
}

// onPipe plugs the instrument in within the program, where time can be simulated.
func (m *instrument) onPipe(t *testing.T) line {
	far, near := net.Pipe()
	go m.serve(far)
	t.Cleanup(func() { far.Close() })
	return timedLine{near, "pipe"}
}

// onNetwork makes it a server and returns its address.
func (m *instrument) onNetwork(t *testing.T) string {
	var open sync.WaitGroup
	t.Cleanup(open.Wait) // the last of all: by then asker and server are gone
	address, conns := newBridge(t)
	open.Go(func() {
		for conn := range conns {
			open.Go(func() {
				defer conn.Close()
				m.serve(conn)
			})
		}
	})
	return address
}

// comesBack listens to a source over the network and closes the connection under it
// three times: each time it is there again, and every line of it is right.
func comesBack(t *testing.T, m *instrument, line string, source func(*TCP) (Source, error)) {
	t.Helper()
	address, conns := newBridge(t)
	src, err := source(&TCP{Address: address})
	src.Retry = Retry{Every: time.Millisecond, Long: time.Hour}
	l := listenTo(t, src, err)
	for k := range 3 {
		conn := <-conns
		served := make(chan struct{})
		go func() { m.serve(conn); close(served) }()
		l.wait(0, 5*(k+1))
		require.NoError(t, conn.Close())
		l.wait(Lost, k+1)
		<-served
	}
	for _, text := range l.texts(0) {
		require.Equal(t, line, text)
	}
}

// textAnswers answers each question of a table; what is not in it is not answered.
func textAnswers(table map[string]string) func(string, int) []said {
	return func(request string, _ int) []said {
		text, known := table[strings.TrimRight(request, "\r\n")]
		if !known {
			return nil
		}
		return now(text)
	}
}

// usual is a bench meter with nothing wrong.
var usual = map[string]string{
	"*IDN?": "BENCH,100,0,1.0\r\n", "SYST:ERR?": "0,\"No error\"\r\n",
	"MEAS:VOLT:DC?": "+1.26500000E+01\r\n", "MEAS:CURR:DC?": "+3.50000000E+00\r\n",
}

// reading collects from a stream until it has lines enough, or an error.
type reading struct {
	lines   []string
	remarks []string
	err     error
}

func readLines(t *testing.T, s Stream, lines int) (r reading) {
	t.Helper()
	var split Splitter
	block := make([]byte, 4096)
	for start := time.Now(); len(r.lines) < lines; {
		require.Less(t, time.Since(start), 2*time.Hour, "in vain waited for %d lines: %q %q", lines, r.lines, r.remarks)
		n, err := s.Read(block)
		split.Feed(block[:n], func(line []byte, _ Flags) { r.lines = append(r.lines, string(line)) })
		if remark, ok := err.(Remark); ok {
			r.remarks = append(r.remarks, remark.Text)
		} else if err != nil {
			r.err = err
			return r
		}
	}
	return r
}
