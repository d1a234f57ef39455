package notify

import (
	"bytes"
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"mime"
	"mime/quotedprintable"
	"net"
	"net/mail"
	"net/smtp"
	"net/textproto"
	"os"
	"strings"
	"time"

	"amphora/dashboards/outside"
)

// Email sends the notification by SMTP (RFC 5321), always encrypted: by STARTTLS
// (RFC 3207), or with TLS from the first byte (RFC 8314).
type Email struct {
	Server       string // host:port
	TLS          bool   // from the first byte
	From         mail.Address
	To           []mail.Address
	User         string // with PasswordFile; empty: no login
	PasswordFile string
	CAFile       string // PEM; trusted besides what the system trusts
	// Now dates the mails; nil is the time now.
	Now func() time.Time
}

// Name is the kind and the host.
func (m *Email) Name() string { return "email " + m.host() }

func (m *Email) host() string {
	host, _, err := net.SplitHostPort(m.Server)
	if err != nil {
		return m.Server
	}
	return host
}

// Send hands the mail to the server.
func (m *Email) Send(ctx context.Context, n *Notification) error {
	client, err := m.dial(ctx)
	if err != nil {
		return err
	}
	defer client.Close()
	if err := m.login(client); err != nil {
		return err
	}
	if err := m.deliver(client, n); err != nil {
		return smtpError(err)
	}
	_ = client.Quit() // the mail is accepted; how the farewell goes does not matter
	return nil
}

// dial makes an encrypted connection that ends with the context.
func (m *Email) dial(ctx context.Context) (*smtp.Client, error) {
	config, err := m.trust()
	if err != nil {
		return nil, err
	}
	conn, err := (&net.Dialer{}).DialContext(ctx, "tcp", m.Server)
	if err != nil {
		return nil, err
	}
	if deadline, ok := ctx.Deadline(); ok {
		_ = conn.SetDeadline(deadline) // a connection that cannot have one fails below
	}
	context.AfterFunc(ctx, func() { _ = conn.Close() }) // a stop must not wait for a dead server
	over := net.Conn(&terse{conn, outside.MostAnswer})
	if m.TLS {
		over = tls.Client(over, config)
	}
	client, err := smtp.NewClient(over, m.host())
	if err == nil {
		err = client.Hello("localhost") // asked for what it offers, client would keep to itself why there is no answer
	}
	if err != nil {
		_ = conn.Close()
		return nil, fmt.Errorf("greet the mail server: %w", smtpError(err))
	}
	if m.TLS {
		return client, nil
	}
	if ok, _ := client.Extension("STARTTLS"); !ok {
		_ = client.Close()
		return nil, errors.New("the mail server offers no STARTTLS, and nothing is sent that others can read")
	}
	if err := client.StartTLS(config); err != nil {
		_ = client.Close()
		return nil, fmt.Errorf("encrypt the way to the mail server: %w", smtpError(err))
	}
	return client, nil
}

// terse is a connection on which the other side may say only so much: an answer of SMTP may
// have any number of lines, and all of them would be kept.
type terse struct {
	net.Conn
	left int // bytes
}

func (c *terse) Read(b []byte) (int, error) {
	if c.left == 0 {
		return 0, errors.New("the mail server says far more than there is to say")
	}
	n, err := c.Conn.Read(b[:min(len(b), c.left)])
	c.left -= n
	return n, err
}

func (m *Email) trust() (*tls.Config, error) {
	c := &tls.Config{ServerName: m.host(), MinVersion: tls.VersionTLS12}
	if m.CAFile != "" {
		var err error
		if c.RootCAs, err = outside.Trusted(m.CAFile); err != nil {
			return nil, err
		}
	}
	return c, nil
}

func (m *Email) login(client *smtp.Client) error {
	if m.User == "" {
		return nil
	}
	password, err := outside.Secret(m.PasswordFile)
	if err != nil {
		return err
	}
	if err := client.Auth(smtp.PlainAuth("", m.User, password, m.host())); err != nil {
		// A server may well repeat what it was given.
		return errors.New("the mail server refuses the login; look at user and password-file")
	}
	return nil
}

func (m *Email) deliver(client *smtp.Client, n *Notification) error {
	text, err := m.compose(n)
	if err != nil {
		return err
	}
	if err := client.Mail(m.From.Address); err != nil {
		return err
	}
	refused, err := m.receivers(client)
	if err != nil {
		return err
	}
	w, err := client.Data()
	if err != nil {
		return err
	}
	if _, err := w.Write(text); err != nil {
		return err
	}
	if err := w.Close(); err != nil {
		return err
	}
	return refused
}

// receivers names them to the server. One that it does not want keeps the mail from none of
// the others, and is told of as refused.
func (m *Email) receivers(client *smtp.Client) (refused, err error) {
	wanted := 0
	for _, to := range m.To {
		err = client.Rcpt(to.Address)
		p, answered := errors.AsType[*textproto.Error](err)
		switch {
		case err == nil:
			wanted++
		case !answered:
			return nil, err
		default:
			refused = fmt.Errorf("%w: to %s the mail server answers %d", errPartly, to.Address, p.Code)
		}
	}
	if wanted > 0 {
		err = nil
	}
	return refused, err
}

// compose writes the mail (RFC 5322), as text. Its Message-ID is made of the
// notification's, so that a mail sent twice is known as one.
func (m *Email) compose(n *Notification) ([]byte, error) {
	now := time.Now
	if m.Now != nil {
		now = m.Now
	}
	var to []string
	for _, a := range m.To {
		to = append(to, a.String())
	}
	_, domain, _ := strings.Cut(m.From.Address, "@")
	var b bytes.Buffer
	for _, h := range [][2]string{
		{"From", m.From.String()},
		{"To", strings.Join(to, ",\r\n\t")},
		{"Subject", mime.QEncoding.Encode("utf-8", clean(n.Title))},
		{"Date", now().Format(time.RFC1123Z)},
		{"Message-ID", "<" + n.ID + ".amphora@" + domain + ">"},
		{"Auto-Submitted", "auto-generated"}, // RFC 3834: no answers from machines, please
		{"MIME-Version", "1.0"},
		{"Content-Type", "text/plain; charset=utf-8"},
		{"Content-Transfer-Encoding", "quoted-printable"},
	} {
		fmt.Fprintf(&b, "%s: %s\r\n", h[0], h[1])
	}
	b.WriteString("\r\n")
	q := quotedprintable.NewWriter(&b)
	_, err := q.Write([]byte(strings.ReplaceAll(n.Message, "\n", "\r\n") + "\r\n"))
	return b.Bytes(), errors.Join(err, q.Close())
}

// smtpError tells a refusal from a failure: a code of 5xx will not change by
// itself (RFC 5321, 4.2.1). The server's words may hold anything and are left out.
func smtpError(err error) error {
	switch p, answered := errors.AsType[*textproto.Error](err); {
	case answered && p.Code/100 == 5:
		return fmt.Errorf("%w: the mail server answers %d", errRefused, p.Code)
	case answered:
		return fmt.Errorf("the mail server answers %d", p.Code)
	case errors.Is(err, os.ErrDeadlineExceeded), errors.Is(err, net.ErrClosed):
		// At the end of the context the deadline and our own Close race.
		return errors.New("no answer in time")
	}
	return err
}
