package config

import (
	"fmt"
	"net"
	"net/url"
	"slices"
	"strings"
	"time"
	"unicode"

	"amphora/dashboards/push/mqtt"
)

func (r *reader) mqtt(p **mqtt.Settings) func(node) {
	return func(n node) {
		s := &mqtt.Settings{}
		*p = s
		seen := r.mapping(n, keys{
			"broker":        r.url(&s.Broker, "mqtt", "mqtts"),
			"topic":         r.topic(&s.Topic),
			"version":       r.mqttVersion(&s.Version),
			"every":         r.durationWithin(&s.Every, "s", time.Second, time.Hour), // more often nobody looks
			"discovery":     r.topic(&s.Discovery),
			"user":          r.text(&s.User, "a user's name"),
			"password-file": r.secret(&s.PasswordFile, firstLine),
			"ca-file":       r.authorities(&s.CAFile),
			"cert-file":     r.path(&s.CertFile, "a file"),
			"key-file":      r.secret(&s.KeyFile, nil),
		})
		r.need(n, seen, "broker", "topic")
		if s.Broker != "" {
			r.checkBroker(n, seen, s)
		}
		if s.CertFile != "" && s.KeyFile != "" {
			r.pair(seen["cert-file"], s.CertFile, s.KeyFile)
		}
	}
}

// checkBroker looks at what goes together.
func (r *reader) checkBroker(n node, seen map[string]node, s *mqtt.Settings) {
	u, err := url.Parse(s.Broker)
	if err != nil {
		return // it was read before
	}
	_, cert := seen["cert-file"]
	_, key := seen["key-file"]
	_, ca := seen["ca-file"]
	secure := u.Scheme == "mqtts"
	switch {
	case u.Path != "" && u.Path != "/", u.RawQuery != "":
		r.fail(seen["broker"], "has something behind the host, want an address like %s://%s; where messages go is said by topic:", u.Scheme, u.Host)
	case cert != key:
		r.fail(n, "cert-file and key-file go together, but one is missing")
	case (ca || cert) && !secure:
		r.fail(seen["broker"], "certificates are for TLS, want mqtts://%s", u.Host)
	case s.PasswordFile != "" && s.User == "":
		r.fail(n, "password-file needs user as well")
	case s.PasswordFile != "" && !secure && !isLoopback(net.JoinHostPort(u.Hostname(), "0")):
		r.warn(seen["broker"], "without TLS the password can be read on the way; want mqtts:// where the broker has it")
	}
	// Each remembers what the broker retains of it, and would take back what the other
	// said.
	r.claim(n, "broker "+u.Host, "this broker is told")
}

// topic reads the beginning of topics. A + or # in it would be a wildcard, which may
// not be published to (MQTT 5.0, 3.3.2.1).
func (r *reader) topic(p *string) func(node) {
	return parsed(r, p, "a topic like amphora", func(text string) (string, error) {
		odd := strings.ContainsAny(text, "+#") || strings.HasPrefix(text, "$") || len(text) > 200 ||
			strings.ContainsFunc(text, func(c rune) bool { return unicode.IsControl(c) || c == unicode.ReplacementChar }) ||
			slices.Contains(strings.Split(text, "/"), "")
		if odd {
			return "", fmt.Errorf("%q cannot be published to, want a topic like amphora or home/garage, without + and #", text)
		}
		return text, nil
	})
}

func (r *reader) mqttVersion(p *mqtt.Version) func(node) {
	return parsed(r, p, "a version of MQTT", mqtt.ParseVersion)
}
