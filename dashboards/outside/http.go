package outside

import (
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"net/url"
	"time"
)

// MostAnswer is how many bytes of an answer are read, and how many its header may
// have.
const MostAnswer = 64 << 10

// dialLimit is how long it may take to reach a host, and to agree on TLS with it.
const dialLimit = 5 * time.Second

// Transport is how HTTP goes to another machine.
func Transport() *http.Transport {
	return &http.Transport{
		Proxy:                  http.ProxyFromEnvironment,
		DialContext:            (&net.Dialer{Timeout: dialLimit}).DialContext,
		TLSHandshakeTimeout:    dialLimit,
		MaxResponseHeaderBytes: MostAnswer,
	}
}

// SameHost follows a redirect only to the same host, and only where what was posted
// is sent on: whoever answers for a host must not choose who gets it.
func SameHost(next *http.Request, via []*http.Request) error {
	first := via[0].URL
	if next.Method != http.MethodPost || next.URL.Host != first.Host || next.URL.Scheme != first.Scheme || len(via) > 3 {
		return http.ErrUseLastResponse
	}
	return nil
}

// Host is the host of an address; the rest of it may be a password.
func Host(address string) string {
	if u, err := url.Parse(address); err == nil && u.Host != "" {
		return u.Host
	}
	return "of no known host"
}

// Bare is an error of HTTP without the address, in words for whoever must mend it.
func Bare(err error) error {
	if u, ok := errors.AsType[*url.Error](err); ok {
		err = u.Err
	}
	switch {
	case errors.Is(err, context.DeadlineExceeded):
		return errors.New("no answer in time")
	case errors.Is(err, io.EOF):
		return errors.New("it closed the connection without an answer")
	}
	return err
}
