package mqtt

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"math/big"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What the broker retains, as a client of somebody else's sees it, in either version
// and by each way in.
func TestWhatTheBrokerRetains(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	certificates(t, dir)
	password := filepath.Join(dir, "password")
	require.NoError(t, os.WriteFile(password, []byte("a word with blanks\r\n"), 0o600))
	tls := []string{"allow_anonymous true", "cafile " + dir + "/ca.pem", "certfile " + dir + "/server.pem", "keyfile " + dir + "/server.key"}
	ways := map[string]struct {
		broker   []string
		settings Settings
		client   []string
	}{
		"openly":        {broker: []string{"allow_anonymous true"}},
		"with password": {settings: Settings{User: "amphora", PasswordFile: password}, client: []string{"-u", "amphora", "-P", "a word with blanks"}},
		"by TLS":        {broker: tls, settings: Settings{CAFile: dir + "/ca.pem"}, client: []string{"--cafile", dir + "/ca.pem"}},
		"by TLS with a certificate": {
			broker:   append([]string{"require_certificate true", "use_identity_as_username true"}, tls...),
			settings: Settings{CAFile: dir + "/ca.pem", CertFile: dir + "/client.pem", KeyFile: dir + "/client.key"},
			client:   []string{"--cafile", dir + "/ca.pem", "--cert", dir + "/client.pem", "--key", dir + "/client.key"},
		},
	}
	for name, way := range ways {
		for _, version := range []Version{MQTT5, MQTT3} {
			t.Run(name+" in "+version.String(), func(t *testing.T) {
				t.Parallel()
				way := way // of this version alone
				if way.settings.User != "" {
					users := filepath.Join(dir, "users"+version.String())
					out, err := exec.Command(testhelp.Needed(t, "mosquitto_passwd", "mosquitto"), "-c", "-b", users, "amphora", "a word with blanks").CombinedOutput()
					require.NoError(t, err, "%s", out)
					way.broker = []string{"allow_anonymous false", "password_file " + users}
				}
				m := testhelp.NewMosquitto(t, way.broker...)
				address := m.Address()
				if way.settings.CAFile != "" {
					address = "mqtts://localhost:" + m.Port()
					way.client = append([]string{"-h", "localhost"}, way.client...)
				}
				at := time.Date(2026, 11, 25, 22, 0, 0, 250e6, time.UTC)
				a := newAim(t, address, func(o *Options) {
					o.Settings = way.settings
					o.Broker, o.Topic, o.Version = address, "amphora", version
				})
				a.hub.Publish(bench(at))
				a.untilTold(t, "amphora/bench/source", "ttyUSB0")
				testhelp.Until(t, "the rest", func() bool { return a.idle() })

				got := m.Retained(append([]string{"-V", "mqttv5"}, way.client...)...)
				state := object(t, got["amphora/state"])
				assert.Equal(t, "online", state["state"])
				assert.NotNil(t, state["time"])
				assert.JSONEq(t, `{"time":"2026-11-25T22:00:00.250Z","volts":13.74,"amps":3.36,"celsius":null,"silent_since":null}`, got["amphora/bench/reading"])
				stage := object(t, got["amphora/bench/stage"])
				assert.Equal(t, "constant-current", stage["stage"])
				assert.Equal(t, "2026-11-25T20:01:00Z", stage["since"], "60 s into a log of which 7200 s are over")
				charge := object(t, got["amphora/bench/charge"])
				assert.EqualValues(t, 6.66, charge["charge_in_ah"])
				assert.Contains(t, charge, "charge_out_ah")
				assert.Nil(t, charge["charge_out_ah"], "not known is null, never 0")
				assert.Equal(t, "2026-11-26T04:20:00Z", charge["expected"])
				findings := object(t, got["amphora/bench/findings"])
				assert.Equal(t, "note", findings["worst"])
				assert.EqualValues(t, 1, findings["count"], "one of the two has cleared")
				assert.NotContains(t, got, "amphora/bench/session", "it has not ended")

				a.hub.Publish(live.Channel{Name: "bench", SilenceS: 30, Session: over()})
				a.untilTold(t, "amphora/bench/session", "tail-current")
				a.Close()
				got = m.Retained(way.client...)
				state = object(t, got["amphora/state"])
				assert.Equal(t, "offline", state["state"])
				assert.NotNil(t, state["time"], "a clean stop knows when it was")
				reading := object(t, got["amphora/bench/reading"])
				assert.Nil(t, reading["volts"], "nobody will renew it")
				session := object(t, got["amphora/bench/session"])["session"].(map[string]any)
				assert.Equal(t, "complete", session["outcome"])
				assert.Equal(t, "bench-20261125T200100Z", session["id"])
				for topic, payload := range got {
					assert.Contains(t, object(t, payload), "time", topic)
				}
			})
		}
	}
}

// certificates writes an authority of our own, and what it signed for a broker and a
// client.
func certificates(t testing.TB, dir string) {
	t.Helper()
	serial := int64(0)
	write := func(name, kind string, b []byte) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), pem.EncodeToMemory(&pem.Block{Type: kind, Bytes: b}), 0o600))
	}
	sign := func(name string, c, parent *x509.Certificate, by *ecdsa.PrivateKey) (*x509.Certificate, *ecdsa.PrivateKey) {
		key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
		require.NoError(t, err)
		if parent == nil {
			parent, by = c, key
		}
		serial++
		c.SerialNumber, c.Subject = big.NewInt(serial), pkix.Name{CommonName: name}
		c.NotBefore, c.NotAfter = time.Now().Add(-time.Hour), time.Now().Add(time.Hour)
		der, err := x509.CreateCertificate(rand.Reader, c, parent, &key.PublicKey, by)
		require.NoError(t, err)
		signed, err := x509.ParseCertificate(der)
		require.NoError(t, err)
		private, err := x509.MarshalPKCS8PrivateKey(key)
		require.NoError(t, err)
		write(name+".pem", "CERTIFICATE", der)
		write(name+".key", "PRIVATE KEY", private)
		return signed, key
	}
	ca, by := sign("ca", &x509.Certificate{IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign}, nil, nil)
	sign("server", &x509.Certificate{DNSNames: []string{"localhost"}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}}, ca, by)
	sign("client", &x509.Certificate{ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageClientAuth}}, ca, by)
}

func TestReadingThatIsTooOldIsTakenBack(t *testing.T) {
	t.Parallel()
	m := testhelp.NewMosquitto(t)
	a := newAim(t, m.Address())
	c := bench(time.Now())
	c.SilenceS = 2
	a.hub.Publish(c)
	a.untilTold(t, "amphora/bench/reading", "13.74")
	a.untilTold(t, "amphora/bench/reading", `"volts":null`)
	reading := object(t, m.Retained()["amphora/bench/reading"])
	assert.Nil(t, reading["amps"])
	assert.NotNil(t, reading["silent_since"])
}

// Where we die, the broker itself tells so, and forgets the reading where it speaks
// MQTT 5.
func TestDeath(t *testing.T) {
	t.Parallel()
	for _, version := range []Version{MQTT5, MQTT3} {
		t.Run(version.String(), func(t *testing.T) {
			t.Parallel()
			m := testhelp.NewMosquitto(t)
			w := &watchedOutbox{outbox: newOutbox()}
			c := bench(time.Now())
			c.SilenceS = 1
			w.look(t, c)
			s := Settings{Broker: m.Address(), Version: version}
			dead := caller{settings: &s, id: "amphora1", will: &message{topic: "amphora/state", payload: []byte(`{"time":null,"state":"offline"}`)}}
			l, err := dead.connect(t.Context())
			require.NoError(t, err)
			batch := w.next(mostInFlight)
			require.NoError(t, l.send(t.Context(), batch, func(_ *message, err error) { t.Error(err) }))
			before := m.Retained()
			assert.Contains(t, before["amphora/bench/reading"], "13.74")
			assert.NotContains(t, before, "amphora/state")
			l.close(false) // as the kernel does it for the dead

			testhelp.Until(t, "the will", func() bool { return m.Retained()["amphora/state"] != "" })
			assert.Equal(t, "offline", object(t, m.Retained()["amphora/state"])["state"])
			if version == MQTT5 {
				testhelp.Until(t, "the reading to be forgotten", func() bool { return m.Retained()["amphora/bench/reading"] == "" })
			}
			assert.NotEmpty(t, m.Retained()["amphora/bench/stage"], "states stay")
		})
	}
}

// watchedOutbox is an outbox with what a watcher says of one channel.
type watchedOutbox struct{ *outbox }

func (w *watchedOutbox) look(t testing.TB, c live.Channel) {
	t.Helper()
	newWatcher(staticHub{c}, tree{"amphora"}, w.outbox, time.Second, func(string) {}).look(time.Now())
}

// staticHub is one in which nothing happens.
type staticHub []live.Channel

func (h staticHub) Changed(map[string]live.Mark) []live.Channel { return h }

func TestChannelThatIsTakenOut(t *testing.T) {
	t.Parallel()
	m := testhelp.NewMosquitto(t)
	dir := filepath.Join(t.TempDir(), "push")
	configured := func(channels ...string) func(*Options) {
		return func(o *Options) { o.Channels, o.Discovery, o.Dir, o.Instance = channels, "home", dir, "one" }
	}
	a := newAim(t, m.Address(), configured("bench", "the shed"))
	shed := bench(time.Now())
	shed.Name = "the shed"
	shed.Reading.Celsius = 18
	a.hub.Publish(bench(time.Now()))
	a.hub.Publish(shed)
	a.untilTold(t, "amphora/the%20shed/source", "ttyUSB0")
	a.Close()
	var described, topics int
	for topic := range m.Retained() {
		switch {
		case strings.HasPrefix(topic, "home/") && strings.Contains(topic, "the_20shed_"):
			described++
		case strings.HasPrefix(topic, "amphora/the%20shed/"):
			topics++
		}
	}
	assert.Equal(t, len(sensors), described, "its temperature too")
	assert.Equal(t, 5, topics)

	a = newAim(t, m.Address(), configured("bench"))
	a.hub.Publish(bench(time.Now()))
	testhelp.Until(t, "everything taken back", func() bool { return a.idle() })
	for topic := range m.Retained() {
		assert.NotContains(t, topic, "shed")
	}
	a.Close()
	kept, err := os.ReadFile(a.memory.file)
	require.NoError(t, err)
	assert.NotContains(t, string(kept), "shed", "it need not be taken back again")

	a = newAim(t, m.Address(), configured("bench"), func(o *Options) { o.Discovery = "" })
	testhelp.Until(t, "the descriptions taken back", func() bool { return a.idle() })
	for topic := range m.Retained() {
		assert.NotContains(t, topic, "home/")
	}
}

func TestRefusedByAccessList(t *testing.T) {
	t.Parallel()
	list := filepath.Join(t.TempDir(), "acl")
	require.NoError(t, os.WriteFile(list, []byte("topic readwrite amphora/state\ntopic readwrite amphora/+/reading\ntopic read #\n"), 0o600))
	m := testhelp.NewMosquitto(t, "allow_anonymous true", "acl_file "+list)
	a := newAim(t, m.Address())
	a.hub.Publish(bench(time.Now()))
	a.untilTold(t, "amphora/bench/reading", "13.74")
	testhelp.Until(t, "the rest given up", func() bool { return a.idle() })
	assert.True(t, a.Status().Since.IsZero(), "the broker is well")
	assert.Equal(t, uint64(4), a.Status().Refused, "stage, charge, findings and source")
	got := m.Retained()
	assert.Len(t, got, 2)
	assert.Contains(t, got["amphora/bench/reading"], "13.74")
}

func TestSessionThatIsTooLongForTheBroker(t *testing.T) {
	t.Parallel()
	for _, version := range []Version{MQTT5, MQTT3} {
		m := testhelp.NewMosquitto(t, "allow_anonymous true", "max_packet_size 3000")
		a := newAim(t, m.Address(), func(o *Options) { o.Version = version })
		s := over()
		for range 30 {
			s.Findings = append(s.Findings, analyze.Finding{Code: "data-gap", Severity: analyze.Note, AtS: 10, EndS: 20, Message: "rows missing for a while"})
		}
		c := bench(time.Now())
		c.Session = s
		a.hub.Publish(c)
		a.untilTold(t, "amphora/bench/source", "ttyUSB0")
		testhelp.Until(t, "it given up", func() bool { return a.idle() })
		assert.Equal(t, uint64(1), a.Status().Dropped+a.Status().Refused, "%v", version)
		assert.NotContains(t, m.Retained(), "amphora/bench/session")
		a.Close()
	}
}
