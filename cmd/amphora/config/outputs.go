package config

import (
	"net/url"
	"slices"
	"strings"
)

func (r *reader) push(p *[]Push) func(node) {
	return func(n node) {
		r.list(n, func(n node) {
			var one Push
			r.oneOf(n, keys{"influx": r.influx(&one.Influx), "mqtt": r.mqtt(&one.MQTT)})
			*p = append(*p, one)
		})
	}
}

func (r *reader) mqtt(p **MQTT) func(node) {
	return func(n node) {
		t := &MQTT{}
		*p = t
		r.require(n, FeatureMQTT)
		r.need(n, r.mapping(n, keys{
			"broker":        r.url(&t.Broker, "mqtt", "mqtts"),
			"topic":         r.topic(&t.Topic),
			"user":          r.text(&t.User, "a user's name"),
			"password-file": r.secret(&t.PasswordFile),
		}), "broker", "topic")
	}
}

// topic reads the beginning of the topics. A + or # in it would be a wildcard,
// which may not be published to (MQTT 5.0, 3.3.2.1).
func (r *reader) topic(p *string) func(node) {
	return func(n node) {
		text, ok := r.scalar(n, "a topic like amphora")
		if ok && (strings.ContainsAny(text, "+#") || strings.HasPrefix(text, "$")) {
			r.fail(n, "%q cannot be published to, want a topic like amphora without + and #", text)
			return
		}
		*p = text
	}
}

// url reads an address. Addresses of webhooks are passwords, so what is wrong
// with one is said without showing it.
func (r *reader) url(p *string, schemes ...string) func(node) {
	return func(n node) {
		want := "an address like " + schemes[0] + "://host.local/"
		text, ok := r.scalar(n, want)
		if !ok {
			return
		}
		u, err := url.Parse(text)
		switch {
		case err != nil:
			r.fail(n, "is not an address that can be used, want %s", want)
		case !slices.Contains(schemes, u.Scheme):
			r.fail(n, "begins with %q, want %s", u.Scheme+":", strings.Join(schemes, ":// or ")+"://")
		case u.Hostname() == "":
			r.fail(n, "names no host, want %s", want)
		case u.User != nil:
			r.fail(n, "holds a user or password; secrets come from files only, as in password-file: or url-file:")
		default:
			*p = text
		}
	}
}
