package web

import (
	"crypto/tls"
	"net/http"
	"path/filepath"
	"testing"

	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// selfSigned writes a certificate and its key.
func selfSigned(t *testing.T, folder, name string) (cert, key string) {
	t.Helper()
	c, k := testhelp.Certificate(t, name)
	return write(t, filepath.Join(folder, "cert.pem"), c), write(t, filepath.Join(folder, "key.pem"), k)
}

func TestS6CertificateIsServedAndRenewed(t *testing.T) {
	folder := t.TempDir()
	cert, key := selfSigned(t, folder, "first")
	b := newBench(t, func(o *Options) { o.Access.TLSCert, o.Access.TLSKey = cert, key })
	at := b.serve(t)
	assert.Equal(t, "https", b.Scheme())
	name := func(oldest uint16) (string, error) {
		c, err := tls.Dial("tcp", at, &tls.Config{InsecureSkipVerify: true, MinVersion: oldest, MaxVersion: max(oldest, tls.VersionTLS12)})
		if err != nil {
			return "", err
		}
		defer c.Close()
		return c.ConnectionState().PeerCertificates[0].Subject.CommonName, nil
	}
	got, err := name(tls.VersionTLS12)
	require.NoError(t, err)
	assert.Equal(t, "first", got)
	selfSigned(t, folder, "the second")
	got, err = name(tls.VersionTLS12)
	require.NoError(t, err)
	assert.Equal(t, "the second", got)

	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{InsecureSkipVerify: true}}}
	defer client.CloseIdleConnections()
	r, err := client.Get("https://" + at + "/-/ready")
	require.NoError(t, err)
	assert.Equal(t, http.StatusOK, r.StatusCode)
	require.NoError(t, r.Body.Close())
	_, err = tls.Dial("tcp", at, &tls.Config{InsecureSkipVerify: true, MaxVersion: tls.VersionTLS11, MinVersion: tls.VersionTLS10})
	assert.Error(t, err)
}
