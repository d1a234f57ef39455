package mqtt

import (
	"fmt"
	"log/slog"
	"net"
	"net/url"
	"path/filepath"
	"time"

	"amphora/dashboards/live"
)

// Version is a version of MQTT.
type Version byte

// The versions of MQTT, by the number that stands in the protocol. Either tries 5
// first and takes 3.1.1 where the broker refuses that.
const (
	Either Version = 0
	MQTT3  Version = 4 // 3.1.1
	MQTT5  Version = 5
)

// String is the version as people write it.
func (v Version) String() string {
	switch v {
	case MQTT3:
		return "3.1.1"
	case MQTT5:
		return "5"
	}
	return "auto"
}

// ParseVersion reads a version as people write it.
func ParseVersion(text string) (Version, error) {
	for _, v := range []Version{Either, MQTT3, MQTT5} {
		if text == v.String() {
			return v, nil
		}
	}
	return Either, fmt.Errorf("%q is not a version of MQTT that is spoken here, want auto, 5 or 3.1.1", text)
}

// Settings are what a configuration says of a broker.
type Settings struct {
	Broker    string        // mqtt://host or mqtts://host, with :port where it is another than 1883 or 8883
	Topic     string        // begins every topic
	Version   Version       // Either where nothing is said
	Every     time.Duration // a channel's reading is sent so often at most; a second where 0
	Discovery string        // prefix of the messages that describe the sensors; empty for none

	// Secrets and certificates are read from their files at each connection.
	User         string
	PasswordFile string
	CAFile       string // PEM; the system's where empty
	CertFile     string // PEM, our own; both or neither
	KeyFile      string
}

// Hub is where a Target looks. Changed returns the channels that are not as they
// were when it was last called with the same marks.
type Hub interface {
	Changed(marks map[string]live.Mark) []live.Channel
}

// Options are what a Target is made of.
type Options struct {
	Settings
	Hub      Hub
	Channels []string // all that are configured, seen or not
	// Dir is where is remembered what the broker retains for us, so that a channel
	// that is taken out can be taken back, and what waits for it. Empty for nowhere.
	Dir      string
	Instance string           // tells this daemon from others, such as machine and data folder
	Program  string           // our own version
	Wall     func() time.Time // time.Now where nil
	Log      *slog.Logger     // nil for nobody
}

// host is the broker as host:port, and whether TLS is spoken there.
func (s *Settings) host() (address, name string, secure bool, err error) {
	u, err := url.Parse(s.Broker)
	if err != nil || u.Hostname() == "" || u.Scheme != "mqtt" && u.Scheme != "mqtts" {
		return "", "", false, fmt.Errorf("%q is not an address of a broker, want one like mqtt://broker.local", s.Broker)
	}
	port, secure := u.Port(), u.Scheme == "mqtts"
	switch {
	case port != "":
	case secure:
		port = "8883"
	default:
		port = "1883"
	}
	return net.JoinHostPort(u.Hostname(), port), u.Hostname(), secure, nil
}

// memory is the file of a broker. A daemon tells a broker once, so nobody else has it.
func (o *Options) memory(address string) string {
	if o.Dir == "" {
		return ""
	}
	return filepath.Join(o.Dir, "mqtt-"+escape(address))
}
