package web

import (
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
)

// certificate is what the server proves itself with. It may be renewed while the
// server runs.
type certificate struct{ pair *watched[*tls.Certificate] }

// newCertificate reads the certificate; nil where none is set.
func newCertificate(a Access, log *slog.Logger) (*certificate, error) {
	switch {
	case a.TLSCert == "" && a.TLSKey == "":
		return nil, nil
	case a.TLSCert == "" || a.TLSKey == "":
		return nil, errors.New("access: a certificate and its key belong together; give both files or neither")
	}
	read := func() (*tls.Certificate, error) {
		pair, err := tls.LoadX509KeyPair(a.TLSCert, a.TLSKey)
		if err != nil {
			return nil, fmt.Errorf("access: certificate %s with key %s: %w", a.TLSCert, a.TLSKey, err)
		}
		return &pair, nil
	}
	pair, err := watch(log, read, a.TLSCert, a.TLSKey)
	return &certificate{pair}, err
}

// config is how connections are secured.
func (c *certificate) config() *tls.Config {
	return &tls.Config{
		MinVersion: tls.VersionTLS12,
		// The limits of this server are made for one request a connection at a time.
		NextProtos:     []string{"http/1.1"},
		GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) { return c.pair.get(), nil },
	}
}
