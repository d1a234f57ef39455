package mqtt

import (
	"bufio"
	"bytes"
	"io"
	"log/slog"
	"math/rand/v2"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A broker that refuses version 5, in its own words, in those of 3.1.1, or by hanging
// up, is spoken to in 3.1.1; in either direction when asked for one version only.
func TestBrokerThatKnowsOnlyTheOlderVersion(t *testing.T) {
	t.Parallel()
	for name, refuse := range map[string][]byte{
		"says so in 5": {0x20, 3, 0, 0x84, 0}, "says so in 3.1.1": {0x20, 2, 0, 1}, "hangs up": nil,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			m := testhelp.NewMosquitto(t)
			broker := fake(t, func(c net.Conn) {
				var hello bytes.Buffer
				v, err := readHello(bufio.NewReader(io.TeeReader(oneByOne{c}, &hello)))
				if err != nil {
					return
				}
				if v != MQTT3 {
					_, _ = c.Write(refuse)
					return
				}
				behind, err := net.Dial("tcp", m.Host)
				if err != nil {
					return
				}
				defer behind.Close()
				_, _ = behind.Write(hello.Bytes())
				go func() { _, _ = io.Copy(c, behind); _ = c.Close() }()
				_, _ = io.Copy(behind, c)
			})
			a := newAim(t, broker)
			a.hub.Publish(bench(time.Now()))
			a.untilTold(t, "amphora/bench/reading", "13.74")
			assert.Contains(t, m.Retained()["amphora/bench/reading"], "13.74")
			a.Close()

			only := newAim(t, broker, func(o *Options) { o.Version = MQTT5 })
			testhelp.Until(t, "the refusal", func() bool { return strings.Contains(only.Status().Why, "does not speak this version") })
			only.Close()
			assert.Equal(t, "offline", object(t, m.Retained()["amphora/state"])["state"])
		})
	}
}

func TestS13WrongPasswordIsSaidAndIsNoSecret(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	password := filepath.Join(dir, "password")
	require.NoError(t, os.WriteFile(password, []byte("canary-9f2\n"), 0o600))
	m := testhelp.NewMosquitto(t, "allow_anonymous false")
	for _, v := range []Version{MQTT5, MQTT3} {
		var log testhelp.Log
		a := newAim(t, m.Address(), func(o *Options) {
			o.User, o.PasswordFile, o.Version = "amphora", password, v
			o.Log = slog.New(slog.NewTextHandler(&log, nil))
		})
		testhelp.Until(t, "the refusal", func() bool { return a.Status().Failures > 2 })
		assert.Regexp(t, "wrong user or password|we are not allowed to", a.Status().Why)
		assert.NotContains(t, log.String()+a.Status().Why, "canary")
		assert.Equal(t, 1, strings.Count(log.String(), "level=WARN"), "one a minute: %s", log.String())
		require.NoError(t, os.Remove(password))
		testhelp.Until(t, "that it is missing", func() bool { return strings.Contains(a.Status().Why, "no such file") })
		require.NoError(t, os.WriteFile(password, []byte("canary-9f2\n"), 0o600))
		a.Close()
	}
}

// A broker says why it refuses us, or a message, or hangs up, and repeats what it was given.
func TestS13BrokerThatRepeatsThePassword(t *testing.T) {
	t.Parallel()
	const words = "no user amphora with canary-9f2"
	password := testhelp.File(t, "canary-9f2\n")
	because := []byte{byte(3 + len(words)), 0x1F, 0, byte(len(words))} // properties: one, the reason in words
	because = append(because, words...)
	say := func(c net.Conn, head byte, body ...byte) {
		body = append(body, because...)
		_, _ = c.Write(append([]byte{head, byte(len(body))}, body...))
	}
	for name, serve := range map[string]func(net.Conn){
		"refuses us": func(c net.Conn) {
			_, _ = readHello(bufio.NewReader(c))
			say(c, 0x20, 0, 0x86)
		},
		"refuses a message": func(c net.Conn) {
			_, in := welcome(c)
			for id, body := 1, []byte(nil); ; id++ {
				if _, err := readWhole(in); err != nil {
					return
				}
				body = append(body[:0], byte(id>>8), byte(id), 0x87)
				say(c, 0x40, body...)
			}
		},
		"hangs up": func(c net.Conn) {
			_, in := welcome(c)
			_, _ = readWhole(in)
			say(c, 0xE0, 0x87)
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var log testhelp.Log
			a := newAim(t, fake(t, serve), func(o *Options) {
				o.User, o.PasswordFile, o.Version = "amphora", password, MQTT5
				o.Log = slog.New(slog.NewTextHandler(&log, nil))
			})
			testhelp.Until(t, "the refusal", func() bool { return log.Count("(secret)") > 0 || log.Count("canary") > 0 })
			assert.Contains(t, log.String(), "no user amphora with (secret)")
			assert.NotContains(t, log.String()+a.Status().Why, "canary")
		})
	}
}

// A broker that talks nonsense breaks its own connection and nothing else.
func TestNonsense(t *testing.T) {
	t.Parallel()
	var mu sync.Mutex
	chance := rand.New(rand.NewPCG(1, 2))
	visits := 0
	broker := fake(t, func(c net.Conn) {
		mu.Lock()
		visits++
		b := make([]byte, chance.IntN(200))
		for k := range b {
			b[k] = byte(chance.Uint32())
		}
		if len(b) > 2 { // mostly of a kind that is looked into
			b[0] = []byte{0x20, 0x40, 0xE0, 0xD0, b[0]}[chance.IntN(5)]
			b[1] = byte(chance.IntN(len(b)))
		}
		first := chance.IntN(2) == 0
		mu.Unlock()
		if !first {
			welcome(c)
		}
		_, _ = c.Write(b)
	})
	a := newAim(t, broker)
	a.hub.Publish(bench(time.Now()))
	testhelp.Until(t, "many visits", func() bool { mu.Lock(); defer mu.Unlock(); return visits > 200 })
	assert.Positive(t, a.Status().Failures)
}
