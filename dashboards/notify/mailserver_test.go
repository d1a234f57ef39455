package notify

import (
	"bufio"
	"crypto/tls"
	"fmt"
	"io"
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
	// refuse answers a command, by its first word or in whole, otherwise than usual.
	refuse map[string]string
	plain  bool // no STARTTLS
	hang   bool // says nothing
	always bool // TLS from the first byte
	// endless is the command to which its answer has no end; "" is none, "hello" its greeting.
	endless string
}

// mailed is a mail as it came, with what was said before.
type mailed struct {
	said      []string
	encrypted bool
	text      string
}

// newMailServer starts one; change, unless nil, makes it another than a good one.
func newMailServer(t *testing.T, change func(*mailServer)) *mailServer {
	t.Helper()
	cert, key := testhelp.Certificate(t, "mail.example")
	pair, err := tls.X509KeyPair([]byte(cert), []byte(key))
	require.NoError(t, err)
	s := &mailServer{ca: cert, cert: pair, mails: make(chan mailed, 4), refuse: map[string]string{}}
	if change != nil {
		change(s)
	}
	s.address = testhelp.Serve(t, s.talk)
	return s
}

func (s *mailServer) talk(conn net.Conn) {
	defer conn.Close()
	_ = conn.SetDeadline(time.Now().Add(time.Minute))
	m := mailed{encrypted: s.always}
	if s.hang {
		_, _ = io.Copy(io.Discard, conn) // until the client has enough
		return
	}
	if s.always {
		conn = tls.Server(conn, &tls.Config{Certificates: []tls.Certificate{s.cert}})
	}
	in := bufio.NewReader(conn)
	say := func(text string) { fmt.Fprintf(conn, "%s\r\n", text) }
	if s.endless == "hello" {
		s.goOn(conn)
		return
	}
	say("220 mail.example")
	for {
		line, err := in.ReadString('\n')
		if err != nil {
			return
		}
		line = strings.TrimSpace(line)
		m.said = append(m.said, line)
		word, _, _ := strings.Cut(line, " ")
		answer, refused := s.refuse[word]
		if whole, is := s.refuse[line]; is {
			answer, refused = whole, true
		}
		switch {
		case word == s.endless:
			s.goOn(conn)
			return
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

// goOn says a line of an answer, and another, until nobody listens.
func (s *mailServer) goOn(conn net.Conn) {
	for err := error(nil); err == nil; {
		_, err = io.WriteString(conn, "250-"+strings.Repeat("and so on ", 100)+"\r\n")
	}
}
