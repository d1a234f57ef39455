package config

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"amphora/dashboards/testhelp"
)

// What would come out in the night comes out at once, with the place of the setting, and without a
// word of the secret.
func TestWhatSecretFilesHoldIsJudged(t *testing.T) {
	cert, _ := testhelp.Certificate(t, "house.example")
	const (
		access  = "access: {%s: f}"
		webhook = "notify: [{webhook: {url: 'http://host.example/', %s: f}}]"
		address = "notify: [{webhook: {%s: f}}]"
		email   = "notify: [{email: {server: 'a:25', from: a@b.example, to: [c@d.example], %s: f}}]"
		login   = "notify: [{email: {server: 'a:25', from: a@b.example, to: [c@d.example], user: u, %s: f}}]"
		influx  = "push: [{influx: {url: 'http://host.example', database: a, %s: f}}]"
		mqtt    = "push: [{mqtt: {broker: 'mqtts://host.example', topic: a, %s: f}}]"
		tell    = "push: [{mqtt: {broker: 'mqtts://host.example', topic: a, user: u, %s: f}}]"
	)
	for _, c := range []struct{ text, key, bad, good, want string }{
		{access, "token-file", "canary\n", aToken, "/etc/f holds no token, want one line of 16 characters or more"},
		{access, "users-file", "bob:canary\n", aUser, "/etc/f line 1 is not a name, a colon and a bcrypt hash"},
		{address, "url-file", "canary\n", "https://host.example/x\n", "/etc/f: the address is not one that can be used, want one like https://host.example/"},
		{address, "url-file", "ftp://canary/\n", "http://host.example/x\n", "/etc/f: the address is not one that can be used, want one like https://host.example/"},
		{webhook, "headers-file", "# mine\ncanary\n", "X-Key: canary\n", "/etc/f line 2: want text like Name: value"},
		{webhook, "token-file", "\ncanary\n", "canary\n", "/etc/f: its first line is empty; put the secret there"},
		{webhook, "signing-key-file", "\ncanary\n", "canary\n", "/etc/f: its first line is empty; put the secret there"},
		{email, "ca-file", "canary\n", cert, "/etc/f holds no certificate in PEM form"},
		{login, "password-file", " \n", "canary\n", "/etc/f: its first line is empty; put the secret there"},
		{influx, "ca-file", "", cert, "/etc/f holds no certificate in PEM form"},
		{influx, "token-file", "\n", "canary\n", "/etc/f: its first line is empty; put the secret there"},
		{mqtt, "ca-file", "", cert, "/etc/f holds no certificate in PEM form"},
		{tell, "password-file", "\n", "canary\n", "/etc/f: its first line is empty; put the secret there"},
	} {
		h := machine(t, nil)
		h.write(t, "/etc/f", c.bad, 0o600)
		text := minimal + fmt.Sprintf(c.text, c.key)
		at := strings.LastIndex(text, " f}") - strings.LastIndex(text, "\n") + 1
		_, problems := h.read(t, text)
		begun, _ := h.Load("/etc/amphora.yaml")
		assert.Equal(t, c.text == access, begun == nil, "%s: only who may see the page must be known", text)
		assert.Equal(t, []string{fmt.Sprintf("/etc/amphora.yaml:2:%d: %s: %s", at, c.key, c.want)}, problems)
		h.write(t, "/etc/f", c.good, 0o600)
		_, problems = h.read(t, text)
		assert.Empty(t, problems, text)
	}
	h := machine(t, nil)
	h.write(t, "/etc/key", "canary", 0o600)
	_, problems := h.read(t, minimal+"push: [{mqtt: {broker: 'mqtts://host.example', topic: a, ca-file: away, cert-file: key, key-file: key}}]")
	assert.Equal(t, []string{
		"/etc/amphora.yaml:2:67: ca-file: /etc/away: no such file or directory",
		"/etc/amphora.yaml:2:84: cert-file: the pair cannot be used: tls: failed to find any PEM data in certificate input",
	}, problems)
}
