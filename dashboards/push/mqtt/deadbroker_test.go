package mqtt

import (
	"bufio"
	"context"
	"io"
	"math/rand/v2"
	"net"
	"os"
	"runtime"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"amphora/analyze"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
)

// The ways in which a broker may be dead. None may hold up the hub or the end.
func TestDeadBrokers(t *testing.T) {
	t.Parallel()
	ways := map[string]struct {
		serve func(net.Conn, <-chan struct{})
		why   string
	}{
		"accepts and never answers": {func(c net.Conn, _ <-chan struct{}) { _, _ = io.Copy(io.Discard, c) }, "no answer in time"},
		"accepts and never reads":   {func(_ net.Conn, over <-chan struct{}) { <-over }, "no answer in time"},
		"lets us in and is silent": {func(c net.Conn, _ <-chan struct{}) {
			_, in := welcome(c)
			_, _ = io.Copy(io.Discard, in)
		}, ""},
		"lets us in and never reads": {func(c net.Conn, over <-chan struct{}) {
			welcome(c)
			<-over
		}, ""},
		"answers as a web server does": {func(c net.Conn, _ <-chan struct{}) {
			_, _ = c.Write([]byte("HTTP/1.1 400 Bad Request\r\nConnection: close\r\n\r\n"))
		}, "the broker sends what cannot be read"},
		"closes at once": {func(net.Conn, <-chan struct{}) {}, "closed the connection"},
		"one byte a second": {func(c net.Conn, over <-chan struct{}) {
			for _, b := range []byte{0x20, 3, 0, 0, 0} {
				if _, err := c.Write([]byte{b}); err != nil {
					return
				}
				select {
				case <-time.After(time.Second):
				case <-over:
				}
			}
		}, "no answer in time"},
		"wrong user or password in 5": {func(c net.Conn, _ <-chan struct{}) {
			_, _ = readHello(bufio.NewReader(c))
			_, _ = c.Write([]byte{0x20, 3, 0, 0x86, 0})
		}, "wrong user or password"},
	}
	for name, way := range ways {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			a := newAim(t, fakeUntil(t, way.serve))
			a.hub.Publish(bench(time.Now()))
			if way.why != "" {
				testhelp.Until(t, "the trouble", func() bool { return strings.Contains(a.Status().Why, way.why) })
				assert.Positive(t, a.Status().Failures)
				assert.False(t, a.Status().Since.IsZero())
			} else {
				testhelp.Until(t, "a connection", func() bool { return a.Status().Why == "" })
			}
			testhelp.Until(t, "what waits", func() bool { return a.Status().Pending >= 5 })
			began := time.Now()
			for k := range 1000 {
				c := bench(time.Now())
				c.Reading.AtS = analyze.Number(7200 + k)
				a.hub.Publish(c)
			}
			assert.Less(t, time.Since(began), writeLimit, "the recording does not wait for the broker")
			assert.LessOrEqual(t, a.Status().Pending, 7, "of states the newest counts")
			began = time.Now()
			a.Close()
			assert.Less(t, time.Since(began), writeLimit, "nor does the end")
		})
	}
}

// A broker that keeps the connection up but acknowledges nothing is left after a
// minute. The minute is a test's of simulated time, over a pipe.
func TestSixtySecondsWithoutAcknowledgement(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ours, theirs := net.Pipe()
		l := &link{conn: ours, version: MQTT5, inflight: mostInFlight}
		var broker sync.WaitGroup
		broker.Go(func() { // it answers signs of life and nothing else
			in := bufio.NewReader(theirs)
			for {
				head, err := in.Peek(1)
				if err != nil {
					return
				}
				if _, err = readWhole(in); err != nil {
					return
				}
				if head[0] == 0xC0 {
					_, _ = theirs.Write([]byte{0xD0, 0})
				}
			}
		})
		l.start(bufio.NewReader(ours), quietLimit/2)
		began := time.Now()
		err := l.send(t.Context(), []*message{{topic: "a", payload: []byte("{}")}}, nil)
		assert.ErrorContains(t, err, "does not acknowledge")
		assert.Equal(t, 60*time.Second, time.Since(began))
		l.close(false)
		_ = theirs.Close() // the other end is closed
		broker.Wait()
	})
}

// A broker that takes no more bytes is left after ten seconds.
func TestTenSecondsWithoutTakingBytes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ours, theirs := net.Pipe()
		l := &link{conn: ours, version: MQTT5, inflight: mostInFlight}
		l.start(bufio.NewReader(ours), time.Hour)
		began := time.Now()
		err := l.send(t.Context(), []*message{{topic: "a", payload: []byte("{}")}}, nil)
		assert.ErrorContains(t, err, "no answer in time")
		assert.Equal(t, 10*time.Second, time.Since(began))
		l.close(false)
		_ = theirs.Close() // the other end is closed
	})
}

func TestQuietForThirtySeconds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ours, theirs := net.Pipe()
		l := &link{conn: ours, version: MQTT3, inflight: mostInFlight}
		var broker sync.WaitGroup
		broker.Go(func() { _, _ = io.Copy(io.Discard, theirs) })
		l.start(bufio.NewReader(ours), quietLimit/2)
		began := time.Now()
		<-l.broken
		assert.Equal(t, 30*time.Second, time.Since(began))
		assert.ErrorContains(t, l.why, "no answer in time")
		l.close(false)
		_ = theirs.Close() // the other end is closed
		broker.Wait()
	})
}

// Promise: after each of many kills of the broker, amid a load, we are back within
// ten seconds of its return, and nothing is left running.
func TestBrokerKilledAgainAndAgain(t *testing.T) {
	kills, promise := 20, time.Minute // others may be at work on the machine
	if os.Getenv("AMPHORA_LONG") != "" {
		kills, promise = 500, 10*time.Second
	}
	m := testhelp.NewMosquitto(t)
	before := runtime.NumGoroutine()
	patience := waits{first: 20 * time.Millisecond, longest: ordinaryWaits.longest}
	if kills > 20 {
		patience.first = ordinaryWaits.first
	}
	a := newPatientAim(t, patience, m.Address(), func(o *Options) { o.Channels = nil })
	ctx, cancel := context.WithCancel(t.Context())
	var load sync.WaitGroup
	load.Go(func() {
		for n := 0; ctx.Err() == nil; n++ {
			m := message{topic: "amphora/load/" + string(rune('a'+n%26)), payload: []byte("{}")}
			a.out.state(&m)
			time.Sleep(time.Millisecond)
		}
	})
	chance := rand.New(rand.NewPCG(3, 4))
	var longest time.Duration
	base := 0
	for k := range kills {
		testhelp.Until(t, "a connection", func() bool { return a.Status().Why == "" })
		if k == 0 {
			base = runtime.NumGoroutine()
		}
		time.Sleep(time.Duration(chance.IntN(100)) * time.Millisecond)
		m.Kill()
		testhelp.Until(t, "the loss", func() bool { return a.Status().Why != "" })
		if kills > 20 && k%25 == 24 {
			time.Sleep(20 * time.Second) // away for as long as we ever wait, and more
		}
		m.Start()
		returned := time.Now()
		testhelp.Until(t, "us to be back", func() bool { return a.Status().Why == "" })
		longest = max(longest, time.Since(returned))
	}
	t.Logf("%d kills, back %v after the return at the latest, %d goroutines at first and %d at the end", kills, longest, base, runtime.NumGoroutine())
	assert.Less(t, longest, promise)
	assert.InDelta(t, base, runtime.NumGoroutine(), 5)
	cancel()
	load.Wait()
	a.hub.Publish(bench(time.Now()))
	a.untilTold(t, "amphora/bench/reading", "13.74")
	assert.Contains(t, m.Retained()["amphora/bench/reading"], "13.74")
	a.Close()
	testhelp.Until(t, "all goroutines to end", func() bool { return runtime.NumGoroutine() <= before })
}
