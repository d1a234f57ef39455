package web

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"net"
	"net/http"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// send writes a request as it is and reads the answer.
func send(t *testing.T, at, request string) *http.Response {
	t.Helper()
	c, err := net.Dial("tcp", at)
	require.NoError(t, err)
	t.Cleanup(func() { c.Close() })
	require.NoError(t, c.SetDeadline(time.Now().Add(time.Minute)))
	_, err = io.WriteString(c, request)
	require.NoError(t, err)
	r, err := http.ReadResponse(bufio.NewReader(c), nil)
	require.NoError(t, err, request)
	return r
}

func TestS1S7S8RequestsAsTheyComeOverTheWire(t *testing.T) {
	at := newBench(t).serve(t)
	for request, status := range map[string]int{
		"GET /-/ready HTTP/1.1\r\nHost: localhost\r\n\r\n":                                                                                       200,
		"GET /-/ready HTTP/1.1\r\n\r\n":                                                                                                          400,
		"GET /-/ready HTTP/1.1\r\nHost:\r\n\r\n":                                                                                                 421,
		"GET /-/ready HTTP/1.0\r\n\r\n":                                                                                                          421,
		"GET http://evil.example/-/ready HTTP/1.1\r\nHost: localhost\r\n\r\n":                                                                    421,
		"GET /-/ready HTTP/1.1\r\nHost: localhost\r\nHost: evil.example\r\n\r\n":                                                                 400,
		"GET /%00 HTTP/1.1\r\nHost: localhost\r\n\r\n":                                                                                           404,
		"GET /\x00 HTTP/1.1\r\nHost: localhost\r\n\r\n":                                                                                          400,
		"GET /../../etc/passwd HTTP/1.1\r\nHost: localhost\r\n\r\n":                                                                              404,
		"OPTIONS * HTTP/1.1\r\nHost: localhost\r\nOrigin: http://evil.example\r\n\r\n":                                                           404,
		"OPTIONS * HTTP/1.1\r\nHost: localhost\r\n\r\n":                                                                                          404,
		"CONNECT evil.example:80 HTTP/1.1\r\nHost: evil.example:80\r\n\r\n":                                                                      421,
		"GET / HTTP/1.1\r\nHost: localhost\r\nX: " + strings.Repeat("a", 64<<10) + "\r\n\r\n":                                                    431,
		"GET / HTTP/1.1\r\nHost: localhost\r\nX: " + strings.Repeat("a", 15<<10) + "\r\n\r\n":                                                    200,
		"GET / HTTP/1.1\r\nHost: localhost\r\nX: " + strings.Repeat("a", 21<<10) + "\r\n\r\n":                                                    431, // the library allows 4 KiB more
		"POST /api/v1/batteries HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 1000000000\r\n\r\n{\"name\":\"": 413,
		"POST /api/v1/batteries HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n20000\r\n" +
			`{"name":"` + strings.Repeat("a", 0x20000-9) + "\r\n": 413,
	} {
		assert.Equal(t, status, send(t, at, request).StatusCode, "%.60q", request)
	}
}

// A body that is too long is refused whether its length is told or not.
func TestS7HugeBodyTakesNoMemory(t *testing.T) {
	for _, length := range []string{"Content-Length: 1073741824\r\n\r\n", "Transfer-Encoding: chunked\r\n\r\n40000000\r\n"} {
		at := newBench(t).serve(t)
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		c, err := net.Dial("tcp", at)
		require.NoError(t, err)
		defer c.Close()
		_, err = io.WriteString(c, "POST /api/v1/batteries HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"+length+"{\"name\":\"")
		require.NoError(t, err)
		block := bytes.Repeat([]byte{'a'}, 64<<10)
		for n := 0; n < 16<<10; n++ { // 1 GiB, if the server took it
			if _, err = c.Write(block); err != nil {
				break
			}
		}
		require.Error(t, err, "the server closes the connection")
		runtime.ReadMemStats(&after)
		assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(8<<20))
	}
}

func TestS7SlowCrowdHoldsNobodyUp(t *testing.T) {
	at := newBench(t).serve(t)
	for range 200 {
		c, err := net.Dial("tcp", at)
		require.NoError(t, err)
		defer c.Close()
		_, err = io.WriteString(c, "GET / HTTP/1.1\r\nHo")
		require.NoError(t, err)
	}
	began := time.Now()
	assert.Equal(t, 200, send(t, at, "GET / HTTP/1.1\r\nHost: localhost\r\n\r\n").StatusCode)
	assert.Less(t, time.Since(began), headerWithin/2, "long before the slow ones are thrown out")
}

// What takes its time is thrown out, in simulated time.
func TestS7SlowRequestsAreEnded(t *testing.T) {
	for name, c := range map[string]struct {
		first  string
		within time.Duration
	}{
		"header": {"GET / HTTP/1.1\r\nHo", 5 * time.Second},
		"idle":   {"GET /-/ready HTTP/1.1\r\nHost: localhost\r\n\r\n", 60 * time.Second},
		"body": {
			"POST /api/v1/batteries HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{",
			bodyWithin,
		},
		"refused body": {"POST /api/v1/batteries HTTP/1.1\r\nHost: evil.example\r\nContent-Length: 100\r\n\r\n{", bodyWithin},
	} {
		t.Run(name, func(t *testing.T) {
			simulated(t, func(t *testing.T, b *streaming) {
				conn := b.network.dial()
				defer conn.Close()
				began := time.Now()
				go func() { _, _ = io.WriteString(conn, c.first) }()
				_, _ = io.Copy(io.Discard, conn) // until the server hangs up
				assert.LessOrEqual(t, time.Since(began), c.within+time.Second)
			})
		})
	}
}

func TestS7ConnectionsAreLimited(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		network := newPipes()
		l := atMost(2, network)
		accepted := make(chan net.Conn, 3)
		go func() {
			for {
				c, err := l.Accept()
				if err != nil {
					close(accepted)
					return
				}
				accepted <- c
			}
		}()
		network.dial()
		network.dial()
		go network.dial()
		synctest.Wait()
		require.Len(t, accepted, 2, "the third one waits")
		first := <-accepted
		require.NoError(t, first.Close())
		_ = first.Close() // gives no second place
		synctest.Wait()
		assert.Len(t, accepted, 2)
		require.NoError(t, l.Close())
		for range accepted {
		}
	})
}

func TestS7ServerHasAMostOfConnections(t *testing.T) {
	simulated(t, func(t *testing.T, b *streaming) {
		var conns []net.Conn
		for range 256 {
			conns = append(conns, b.network.dial())
		}
		synctest.Wait()
		here, there := net.Pipe()
		select {
		case b.network.calls <- there:
			t.Error("one more is taken")
		default:
		}
		require.NoError(t, conns[0].Close())
		b.network.calls <- there // now there is a place
		for _, c := range append(conns[1:], here) {
			require.NoError(t, c.Close())
		}
	})
}

func TestServeSaysWhyItEnded(t *testing.T) {
	b := newBench(t)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	require.NoError(t, l.Close())
	assert.ErrorContains(t, b.Serve(t.Context(), l), fmt.Sprintf("serve on %s: ", l.Addr()))
}

// refusing accepts nothing for a while, as a system does that has no file left.
type refusing struct {
	net.Listener
	left int
}

func (r *refusing) Accept() (net.Conn, error) {
	if r.left--; r.left >= 0 {
		return nil, syscall.EMFILE
	}
	return r.Listener.Accept()
}

func TestAFailureToAcceptTakesNoPlace(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		network := newPipes()
		l := atMost(2, &refusing{network, 5})
		for range 5 {
			_, err := l.Accept()
			require.ErrorIs(t, err, syscall.EMFILE)
		}
		go network.dial()
		c, err := l.Accept()
		require.NoError(t, err)
		require.NoError(t, c.Close())
		require.NoError(t, l.Close())
	})
}
