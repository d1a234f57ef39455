package capture

import (
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"amphora/capture/query"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// spoilt is what a meter of registers sends in place of a sound answer each fifth time.
func spoilt(sound string, n int, network bool) []said {
	switch n % 30 {
	case 5:
		return nil
	case 10:
		return now(sound[:len(sound)/2])
	case 15:
		return now(sound[:len(sound)-2] + "\x00\x00")
	case 20: // another unit's
		return now(map[bool]string{false: framed(bytesOf("12 03 04 11112222")), true: bytesOf("0000 0000 0007 12 03 04 11112222")}[network])
	case 25:
		return now("\xff\xfe\xfd\xfc\xfb\xfa\xf9\xf8")
	}
	return now(sound)
}

func failingRegisters(network bool) func(string, int) []said {
	return func(request string, n int) []said {
		sound := map[bool]func(string, int) []said{false: soundFrame, true: soundPacket}[network](request, n)
		if len(sound) == 0 {
			return nil
		}
		if network && n%30 == 15 {
			n++ // there is no checksum: the network has its own
		}
		return spoilt(sound[0].text, n, network)
	}
}

func failingText(request string, n int) []said {
	switch sound := usual[strings.TrimSpace(request)]; n % 30 {
	case 5:
		return nil
	case 10:
		return now(sound[:len(sound)/2])
	case 20:
		return now("\xff\xfe\xfd\n")
	default:
		return now(sound)
	}
}

// noneWrong looks at each reading of lines, of which whole is one without a fault, and
// counts those.
func noneWrong(t *testing.T, lines []string, whole string) (sound int) {
	for _, line := range lines {
		for part := range strings.SplitSeq(line, " ") {
			key, value, _ := strings.Cut(part, "=")
			if value == strconv.QuoteToASCII("\xff\xfe\xfd") {
				continue // a line of text is recorded as it came; the decoder knows that it is no number
			}
			assert.True(t, value == "" || strings.Contains(whole, key+"="+value), "wrong: %q", line)
		}
		if line == whole {
			sound++
		}
	}
	return sound
}

// TestFaultsOnRealLines has simulated meters of each protocol, on a pseudo-terminal and
// on a TCP socket, answer soundly or fail in turn: no answer, half of one, a wrong
// checksum, another unit's answer, garbage. Between the failures the readings are
// right, no reading is ever wrong, the line is lost and comes back, and nothing but
// questions has been sent.
func TestFaultsOnRealLines(t *testing.T) {
	for _, c := range []struct {
		name  string
		make  func(*Serial, *TCP) (Source, error)
		tcp   bool
		meter *instrument
		whole string
	}{
		{"text without a fault", scpiOn, false, &instrument{cut: cutLine, answer: textAnswers(usual)}, both},
		{"registers without a fault", modbusOn(""), false, &instrument{cut: cutFrame, answer: soundFrame}, words},
		{"text on a pseudo-terminal", scpiOn, false, &instrument{cut: cutLine, answer: failingText}, both},
		{"text on a socket", scpiOn, true, &instrument{cut: cutLine, answer: failingText}, both},
		{"registers on a pseudo-terminal", modbusOn(""), false, &instrument{cut: cutFrame, answer: failingRegisters(false)}, words},
		{"registers on a socket", modbusOn("tcp"), true, &instrument{cut: cutPacket, answer: failingRegisters(true)}, words},
		{"registers behind a bridge", modbusOn("rtu"), true, &instrument{cut: cutFrame, answer: failingRegisters(false)}, words},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			var serial *Serial
			var tcp *TCP
			var plug func() (unplug func())
			if c.tcp {
				address, conns := newBridge(t)
				tcp, plug = &TCP{Address: address}, onSocket(conns, c.meter)
			} else {
				serial = &Serial{Port: filepath.Join(t.TempDir(), "by-id"), Baud: 115200}
				plug = onTerminal(t, serial.Port, c.meter)
			}
			src, err := c.make(serial, tcp)
			src.Retry = Retry{Every: time.Millisecond, Long: time.Hour}
			l := listenTo(t, src, err)
			for k := range 2 {
				unplug := plug()
				l.wait(0, 25*(k+1))
				unplug()
				l.wait(Lost, k+1)
			}
			l.end()
			assert.Greater(t, noneWrong(t, l.texts(0), c.whole), 20)
			onlyQuestions(t, c.meter)
		})
	}
}

const askEvery, askPatience = time.Millisecond, 100 * time.Millisecond

func scpiOn(s *Serial, n *TCP) (Source, error) {
	return SCPI{Serial: s, TCP: n, Voltage: volt, Current: curr, End: "lf", Every: askEvery, Timeout: askPatience}.Source()
}

func modbusOn(framing string) func(*Serial, *TCP) (Source, error) {
	return func(s *Serial, n *TCP) (Source, error) {
		return Modbus{Serial: s, TCP: n, Framing: framing, Reads: twoReads, Every: askEvery, Timeout: askPatience}.Source()
	}
}

// onTerminal makes a new pseudo-terminal each time, and lets the port's name point to
// it.
func onTerminal(t *testing.T, port string, m *instrument) func() func() {
	return func() func() {
		far := newMeter(t)
		far.plugIn(port)
		served := make(chan struct{})
		go func() { m.serve(far.master); close(served) }()
		return func() {
			require.NoError(t, os.Remove(port))
			far.pull()
			<-served
		}
	}
}

// onSocket serves one connection after the other.
func onSocket(conns <-chan net.Conn, m *instrument) func() func() {
	return func() func() {
		conn := <-conns
		served := make(chan struct{})
		go func() { m.serve(conn); close(served) }()
		return func() { conn.Close(); <-served }
	}
}

// onlyQuestions checks every byte that was sent, on whatever line.
func onlyQuestions(t *testing.T, m *instrument) {
	t.Helper()
	allowed := map[string]bool{}
	for question := range usual {
		allowed[question+"\n"] = true
	}
	for _, r := range twoReads {
		q, err := query.RTU(r)
		require.NoError(t, err)
		var wire strings.Builder
		require.NoError(t, q.Send(&wire))
		allowed[wire.String()] = true
	}
	require.NotEmpty(t, m.requests())
	for _, request := range m.requests() {
		if len(request) == 12 && request[2:6] == "\x00\x00\x00\x06" {
			assert.Contains(t, []byte{3, 4}, request[7], "% X", request)
			continue
		}
		assert.True(t, allowed[request], "%q", request)
	}
}
