package notify

import (
	"bufio"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"math/big"
	"net"
	"strings"
	"testing"
	"time"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// mailServer takes mails as RFC 5321 asks, and encrypts as RFC 3207 asks, as far as
// a client that wants to send one mail can tell.
type mailServer struct {
	address string
	ca      string // PEM
	cert    tls.Certificate
	mails   chan mailed
	// refuse answers a command by its first word otherwise than usual.
	refuse map[string]string
	plain  bool // no STARTTLS
	hang   bool // says nothing
	always bool // TLS from the first byte
}

// mailed is a mail as it came, with what was said before.
type mailed struct {
	said      []string
	encrypted bool
	text      string
}

func newMailServer(t *testing.T, change func(*mailServer)) *mailServer {
	s := &mailServer{mails: make(chan mailed, 4), refuse: map[string]string{}}
	s.cert, s.ca = certificate(t)
	change(s)
	s.address = testhelp.Serve(t, s.talk)
	return s
}

func (s *mailServer) talk(conn net.Conn) {
	defer conn.Close()
	_ = conn.SetDeadline(time.Now().Add(10 * time.Second))
	m := mailed{encrypted: s.always}
	if s.hang {
		_, _ = conn.Read(make([]byte, 1)) // until the client has enough
		return
	}
	if s.always {
		conn = tls.Server(conn, &tls.Config{Certificates: []tls.Certificate{s.cert}})
	}
	in := bufio.NewReader(conn)
	say := func(text string) { fmt.Fprintf(conn, "%s\r\n", text) }
	say("220 mail.example")
	for {
		line, err := in.ReadString('\n')
		if err != nil {
			return
		}
		line = strings.TrimSpace(line)
		m.said = append(m.said, line)
		word, _, _ := strings.Cut(line, " ")
		switch answer, refused := s.refuse[word]; {
		case refused:
			say(answer)
		case word == "EHLO" && !m.encrypted && !s.plain:
			say("250-mail.example\r\n250 STARTTLS")
		case word == "EHLO":
			say("250-mail.example\r\n250 AUTH PLAIN")
		case word == "STARTTLS":
			say("220 go on")
			conn = tls.Server(conn, &tls.Config{Certificates: []tls.Certificate{s.cert}})
			in, m.encrypted = bufio.NewReader(conn), true
		case word == "AUTH":
			say("235 welcome")
		case word == "DATA":
			say("354 go on")
			var text strings.Builder
			for line, err := in.ReadString('\n'); err == nil && line != ".\r\n"; line, err = in.ReadString('\n') {
				text.WriteString(strings.TrimPrefix(line, "."))
			}
			m.text = text.String()
			s.mails <- m
			say("250 taken")
		default:
			say("250 well")
		}
	}
}

// certificate is one of its own making, for 127.0.0.1.
func certificate(t *testing.T) (tls.Certificate, string) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	require.NoError(t, err)
	c := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "mail.example"}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour), IsCA: true, BasicConstraintsValid: true,
	}
	der, err := x509.CreateCertificate(rand.Reader, c, c, &key.PublicKey, key)
	require.NoError(t, err)
	return tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key}, string(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}))
}
