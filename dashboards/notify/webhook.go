package notify

import (
	"bytes"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"

	"amphora/dashboards/outside"
)

// Webhook sends the notification as JSON with POST. Address, token, key and headers
// are read from their files at each try, so that what was set right there needs no
// restart.
type Webhook struct {
	URL         string // this
	URLFile     string // or a file that holds it
	TokenFile   string // sent as a bearer token (RFC 6750)
	Headers     http.Header
	HeadersFile string // more of them, that are secret: lines of "Name: value"
	// KeyFile holds the key of the signature: the header Amphora-Signature is
	// "sha256=" and the HMAC-SHA256 of the body, in hexadecimal.
	KeyFile string
}

// Name is the kind and the host; the rest of an address may be a password.
func (w *Webhook) Name() string { return "webhook " + w.host() }

func (w *Webhook) host() string {
	text := w.URL
	if text == "" {
		text, _ = outside.Secret(w.URLFile) // Send will say what is wrong with it
	}
	return outside.Host(text)
}

// Send posts the notification; anything but a 2xx answer is an error.
func (w *Webhook) Send(ctx context.Context, n *Notification) error {
	body, err := n.body()
	if err != nil {
		return err
	}
	req, err := w.request(ctx, n.ID, body)
	if err != nil {
		return err
	}
	answer, err := webhookClient.Do(req)
	if err != nil {
		return outside.Bare(err)
	}
	defer answer.Body.Close()
	_, _ = io.Copy(io.Discard, io.LimitReader(answer.Body, outside.MostAnswer)) // what it says does not matter
	return judge(answer)
}

func (w *Webhook) request(ctx context.Context, id string, body []byte) (*http.Request, error) {
	address := w.URL
	if w.URLFile != "" {
		var err error
		if address, err = outside.Secret(w.URLFile); err != nil {
			return nil, err
		}
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, address, bytes.NewReader(body))
	if err != nil || req.URL.Host == "" || req.URL.Scheme != "https" && req.URL.Scheme != "http" {
		return nil, errors.New("the address is not one that can be used, want one like https://host.example/")
	}
	if err := w.headers(req.Header); err != nil {
		return nil, err
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("User-Agent", "amphora")
	req.Header.Set("Amphora-Id", id)
	if w.KeyFile != "" {
		key, err := outside.Secret(w.KeyFile)
		if err != nil {
			return nil, err
		}
		req.Header.Set("Amphora-Signature", sign(key, body))
	}
	return req, nil
}

// Check says why nothing could be sent with the files as they are, without a word of what is
// in them; nil where it can be tried.
func (w *Webhook) Check() error {
	_, err := w.request(context.Background(), "", nil)
	return err
}

// sign is the signature of a body by HMAC (RFC 2104) with SHA-256.
func sign(key string, body []byte) string {
	m := hmac.New(sha256.New, []byte(key))
	m.Write(body)
	return "sha256=" + hex.EncodeToString(m.Sum(nil))
}

// headers adds those of the settings and the files.
func (w *Webhook) headers(h http.Header) error {
	for name, values := range w.Headers {
		h[name] = slices.Clone(values)
	}
	if w.HeadersFile != "" {
		text, err := outside.SecretText(w.HeadersFile)
		if err != nil {
			return err
		}
		for k, line := range strings.Split(text, "\n") {
			line = strings.TrimSpace(line)
			if line == "" || line[0] == '#' {
				continue
			}
			name, value, ok := strings.Cut(line, ":")
			if !ok || name == "" || strings.ContainsAny(name, " \t") {
				return fmt.Errorf("%s line %d: want text like Name: value", w.HeadersFile, k+1)
			}
			h.Add(name, strings.TrimSpace(value))
		}
	}
	if w.TokenFile != "" {
		token, err := outside.Secret(w.TokenFile)
		if err != nil {
			return err
		}
		h.Set("Authorization", "Bearer "+token)
	}
	return nil
}

var webhookClient = &http.Client{Transport: oneOff(), CheckRedirect: outside.SameHost}

// oneOff keeps no connection: a message comes now and then, and after an outage
// every kept connection would be a dead one.
func oneOff() *http.Transport {
	t := outside.Transport()
	t.DisableKeepAlives = true
	return t
}

func judge(answer *http.Response) error {
	code := answer.StatusCode
	switch {
	case code/100 == 2:
		return nil
	case code/100 == 3:
		return fmt.Errorf("%w: it answers %d, which sends us elsewhere, and that is not followed", errRefused, code)
	case code/100 == 4 && code != http.StatusRequestTimeout && code != http.StatusTooEarly && code != http.StatusTooManyRequests:
		return fmt.Errorf("%w: it answers %d %s", errRefused, code, http.StatusText(code))
	}
	return fmt.Errorf("it answers %d %s", code, http.StatusText(code))
}
