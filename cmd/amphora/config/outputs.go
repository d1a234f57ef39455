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
