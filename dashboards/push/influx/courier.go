package influx

import (
	"bytes"
	"cmp"
	"context"
	"crypto/tls"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"
	"time"

	"amphora/dashboards/outside"
)

const (
	// tryLimit is how long one request may take, over a slow line too.
	tryLimit = 30 * time.Second
	// reasonLimit is how long a refusal may take to say why.
	reasonLimit = 2 * time.Second
	// mostReason is how much of that is shown, in bytes.
	mostReason = 200
)

// courier posts bodies to one server.
type courier struct {
	server *Server
	limit  time.Duration // of one request
	client *http.Client
}

// refusal says that a request will never be taken as it is.
type refusal struct {
	why string
	// knowing is whether the words are those of a server that knows points, and not of
	// one that was asked by mistake.
	knowing bool
}

func (r *refusal) Error() string { return r.why }

// busy says that the server wants to be left alone for a while.
type busy struct {
	error
	after time.Duration
}

func (b *busy) Unwrap() error { return b.error }

// post sends a body, compressed with gzip. The error is a *refusal where the fault
// lies with what was sent; after any other the same may be sent again. What it says
// is fit for a log.
func (c *courier) post(ctx context.Context, body []byte) error {
	ctx, cancel := context.WithTimeout(ctx, c.limit)
	defer cancel()
	req, secrets, err := c.request(ctx, body)
	if err != nil {
		return err
	}
	if err := c.connect(); err != nil {
		return err
	}
	answer, err := c.client.Do(req)
	if err != nil {
		return outside.Bare(err)
	}
	// An answer that goes on and on is not waited for: its status has said it all.
	defer answer.Body.Close()
	if answer.StatusCode/100 == 2 {
		return nil
	}
	defer time.AfterFunc(reasonLimit, cancel).Stop()
	return judge(answer, secrets)
}

// request also returns what must not be shown of it.
func (c *courier) request(ctx context.Context, body []byte) (*http.Request, []string, error) {
	address, err := c.server.address()
	if err != nil {
		return nil, nil, err
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, address, bytes.NewReader(body))
	if err != nil {
		return nil, nil, errors.New("the address is not one that can be used")
	}
	req.Header.Set("Content-Type", "text/plain; charset=utf-8")
	req.Header.Set("Content-Encoding", "gzip")
	req.Header.Set("User-Agent", "amphora")
	// Points overwrite themselves, so a request that met a connection that had just
	// been closed may be made again (net/http, Transport).
	req.Header["Idempotency-Key"] = nil
	secrets := c.server.unspoken()
	if file := c.server.PasswordFile; file != "" {
		password, err := outside.Secret(file)
		if err != nil {
			return nil, nil, err
		}
		req.SetBasicAuth(c.server.User, password)
		secrets = append(secrets, password, base64.StdEncoding.EncodeToString([]byte(c.server.User+":"+password)))
	}
	if file := c.server.TokenFile; file != "" {
		token, err := outside.Secret(file)
		if err != nil {
			return nil, nil, err
		}
		scheme, bare, two := strings.Cut(token, " ")
		if !two {
			scheme, bare = "Bearer", token // RFC 6750
			if c.server.Database == "" {
				scheme = "Token" // what servers with buckets ask for
			}
		}
		req.Header.Set("Authorization", scheme+" "+bare)
		secrets = append(secrets, bare)
	}
	return req, secrets, nil
}

// connect makes the client at the first request, since a file of certificates may be
// put in its place after the start.
func (c *courier) connect() error {
	if c.client != nil {
		return nil
	}
	client := &http.Client{Transport: c.server.transport, CheckRedirect: outside.SameHost}
	if client.Transport == nil {
		t := outside.Transport()
		t.MaxIdleConns, t.IdleConnTimeout = 1, time.Minute
		if file := c.server.CAFile; file != "" {
			pool, err := outside.Trusted(file)
			if err != nil {
				return err
			}
			t.TLSClientConfig = &tls.Config{RootCAs: pool, MinVersion: tls.VersionTLS12}
		}
		client.Transport = t
	}
	c.client = client
	return nil
}

// judge tells what an answer that is no success means.
func judge(answer *http.Response, secrets []string) error {
	text := fmt.Sprintf("it answers %d %s", answer.StatusCode, http.StatusText(answer.StatusCode))
	if answer.StatusCode/100 == 3 {
		return errors.New(text + ", which sends us elsewhere, and that is not followed")
	}
	b, _ := io.ReadAll(io.LimitReader(answer.Body, outside.MostAnswer)) // half a reason is better than none
	why, formal := reason(b, secrets)
	if why != "" {
		text += ": " + why
	}
	switch answer.StatusCode {
	case http.StatusBadRequest, http.StatusRequestEntityTooLarge, http.StatusUnprocessableEntity:
		return &refusal{text, formal || answer.Header.Get("X-Influxdb-Version") != ""}
	case http.StatusTooManyRequests, http.StatusServiceUnavailable:
		seconds, _ := strconv.Atoi(answer.Header.Get("Retry-After"))
		return &busy{errors.New(text), time.Duration(max(0, min(seconds, 3600))) * time.Second}
	}
	return errors.New(text)
}

// reason is what an answer says, in one line without secrets; formal is whether it
// comes in the form of a write API, an object with an error or a message.
func reason(body []byte, secrets []string) (text string, formal bool) {
	text = string(body)
	var said struct{ Error, Message string }
	if json.Unmarshal(body, &said) == nil && said.Error+said.Message != "" {
		text, formal = cmp.Or(said.Message, said.Error), true
	}
	for _, s := range secrets {
		if s != "" {
			text = strings.ReplaceAll(text, s, "(secret)")
		}
	}
	text = strings.Join(strings.Fields(strings.ToValidUTF8(text, "\uFFFD")), " ")
	text = strings.Map(func(r rune) rune {
		if r < ' ' || r >= 0x7F && r < 0xA0 {
			return '?'
		}
		return r
	}, text)
	if len(text) > mostReason {
		text = strings.ToValidUTF8(text[:mostReason], "") + "..."
	}
	return text, formal
}
