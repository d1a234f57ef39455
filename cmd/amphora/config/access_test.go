package config

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/dashboards/testhelp"
)

func TestListenBeyondThisMachineNeedsALogin(t *testing.T) {
	for _, c := range []struct{ listen, access, want string }{
		{"127.0.0.1:9724", "", ""},
		{"127.9.9.9:0", "", ""},
		{"'[::1]:9724'", "", ""},
		{"localhost:9724", "", ""},
		{"':9724'", "", "access: with token-file: or users-file: is needed"},
		{"0.0.0.0:9724", "", "access: with token-file: or users-file: is needed"},
		{"'[::]:9724'", "", "is needed"},
		{"192.168.1.5:9724", "", "is needed"},
		{"garage.local:9724", "", "is needed"},
		{"127.0.0.1.example.org:9724", "", "is needed"},
		{"0.0.0.0:9724", "{hosts: [garage.local]}", "is needed"},
		{"0.0.0.0:9724", "{token-file: /etc/token}", "warning: listen: 0.0.0.0:9724 can be reached from other machines, and without tls-cert:"},
		{"0.0.0.0:9724", "{users-file: /etc/users, tls-cert: /etc/cert.pem, tls-key: /etc/key.pem}", ""},
		{"127.0.0.1:http", "", `port "http" is not a number`},
		{"127.0.0.1:70000", "", `port "70000" is not a number`},
		{"127.0.0.1", "", "is not host:port"},
	} {
		h := machine(t, nil)
		cert, key := testhelp.Certificate(t, "house.example")
		h.write(t, "/etc/token", aToken, 0o600)
		h.write(t, "/etc/users", aUser, 0o600)
		h.write(t, "/etc/cert.pem", cert, 0o644)
		h.write(t, "/etc/key.pem", key, 0o600)
		text := "channels: [{name: a, source: {stdin: {}}}]\nlisten: " + c.listen + "\n"
		if c.access != "" {
			text += "access: " + c.access + "\n"
		}
		_, problems := h.read(t, text)
		if c.want == "" {
			assert.Empty(t, problems, c.listen)
			continue
		}
		require.Len(t, problems, 1, c.listen)
		assert.Contains(t, problems[0], "/etc/amphora.yaml:2:9: ")
		assert.Contains(t, problems[0], c.want, c.listen)
	}
}

func TestKeyPairIsTried(t *testing.T) {
	h := machine(t, nil)
	cert, _ := testhelp.Certificate(t, "house.example")
	_, foreign := testhelp.Certificate(t, "house.example")
	h.write(t, "/etc/cert.pem", cert, 0o644)
	h.write(t, "/etc/key.pem", foreign, 0o600)
	const access = minimal + "access: {tls-cert: cert.pem, tls-key: "
	_, problems := h.read(t, access+"key.pem}")
	assert.Equal(t, []string{"/etc/amphora.yaml:2:20: tls-cert: the pair cannot be used: tls: private key does not match public key"}, problems)
	_, problems = h.read(t, access+"away.pem}")
	assert.Equal(t, []string{"/etc/amphora.yaml:2:39: tls-key: /etc/away.pem: no such file or directory; secrets come from files only"}, problems)
}
