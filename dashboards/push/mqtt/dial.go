package mqtt

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net"
	"os"
	"strings"
	"time"

	"amphora/dashboards/outside"
)

// dial opens the way to the broker.
func (s *Settings) dial(ctx context.Context) (net.Conn, error) {
	address, name, secure, err := s.host()
	if err != nil {
		return nil, err
	}
	dialer := net.Dialer{KeepAliveConfig: net.KeepAliveConfig{Enable: true, Idle: 15 * time.Second, Interval: 5 * time.Second, Count: 3}}
	if !secure {
		return dialer.DialContext(ctx, "tcp", address)
	}
	config, err := s.tls(name)
	if err != nil {
		return nil, err
	}
	return (&tls.Dialer{NetDialer: &dialer, Config: config}).DialContext(ctx, "tcp", address)
}

// tls says whom we believe, and who we are where a certificate says so.
func (s *Settings) tls(name string) (*tls.Config, error) {
	c := &tls.Config{ServerName: name, MinVersion: tls.VersionTLS12}
	if s.CAFile != "" {
		pem, err := os.ReadFile(s.CAFile)
		if err != nil {
			return nil, err
		}
		c.RootCAs = x509.NewCertPool()
		if !c.RootCAs.AppendCertsFromPEM(pem) {
			return nil, fmt.Errorf("%s holds no certificate, want PEM text", s.CAFile)
		}
	}
	if s.CertFile != "" {
		pair, err := tls.LoadX509KeyPair(s.CertFile, s.KeyFile)
		if err != nil {
			return nil, fmt.Errorf("our own certificate: %w", err)
		}
		c.Certificates = []tls.Certificate{pair}
	}
	return c, nil
}

// password is the first line of its file; nil where there is none.
func (s *Settings) password() ([]byte, error) {
	if s.PasswordFile == "" {
		return nil, nil
	}
	text, err := outside.SecretText(s.PasswordFile)
	if err != nil {
		return nil, err
	}
	line, _, _ := strings.Cut(text, "\n")
	if line = strings.TrimRight(line, "\r"); line == "" {
		return nil, fmt.Errorf("%s: its first line is empty; put the password there", s.PasswordFile)
	}
	return []byte(line), nil
}

// plainly says what kept us from the broker in words that help.
func plainly(err error) error {
	_, unknown := errors.AsType[x509.UnknownAuthorityError](err)
	_, noTLS := errors.AsType[tls.RecordHeaderError](err)
	switch {
	case errors.Is(err, context.DeadlineExceeded), errors.Is(err, os.ErrDeadlineExceeded):
		return errors.New("no answer in time")
	case unknown:
		return fmt.Errorf("%w; ca-file: has to name the authority", err)
	case noTLS:
		return errors.New("the broker does not speak TLS on this port; want mqtt:// or another port")
	}
	return err
}
