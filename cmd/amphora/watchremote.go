package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"strconv"
	"strings"
	"sync"
	"time"

	"amphora/analyze"
	"amphora/dashboards/curve"
	"amphora/dashboards/live"
)

// remote watches a channel of a running daemon by its server-sent events (HTML
// standard, 9.2). It tries again for as long as anybody watches.
type remote struct {
	base   string
	token  string
	client http.Client

	mu      sync.Mutex // guards what follows
	channel string     // empty until the first is known, where none was named
	state   live.Channel
	at      time.Time // when the state came
	seen    bool
	wrong   string
	curve   curve.Curve
	newest  *live.Reading // that was added to it
	filled  string        // the session whose curve was fetched
}

const (
	tryAgain    = 2 * time.Second
	longestLine = 4 << 20 // bytes of an event: a session with all its findings
	mostPoints  = 2000
)

func openRemote(address, channel, tokenFile string) (watched, error) {
	u, err := url.Parse(address)
	if err != nil || u.Host == "" {
		return nil, usagef("%q is no address of a daemon, want one like http://127.0.0.1:9724", address)
	}
	r := &remote{base: u.Scheme + "://" + u.Host, channel: channel}
	if tokenFile != "" {
		text, err := os.ReadFile(tokenFile)
		if err != nil {
			return nil, fmt.Errorf("--token-file: %w", err)
		}
		r.token = strings.TrimSpace(string(text))
	}
	return r, nil
}

// run keeps listening. An answer that no trying will change ends it.
func (r *remote) run(ctx context.Context) error {
	for {
		err := r.listen(ctx)
		if ctx.Err() != nil {
			return nil
		}
		if final, ok := errors.AsType[finalError](err); ok {
			return final.error
		}
		r.mu.Lock()
		r.wrong = fmt.Sprintf("the daemon cannot be heard: %v; does `amphora serve` run there?", err)
		r.mu.Unlock()
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(tryAgain):
		}
	}
}

// finalError is one that trying again does not mend.
type finalError struct{ error }

func (r *remote) get(ctx context.Context, path string) (io.ReadCloser, error) {
	q, err := http.NewRequestWithContext(ctx, http.MethodGet, r.base+path, nil)
	if err != nil {
		return nil, err
	}
	if r.token != "" {
		q.Header.Set("Authorization", "Bearer "+r.token)
	}
	a, err := r.client.Do(q)
	if err != nil {
		return nil, err
	}
	if a.StatusCode == http.StatusOK {
		return a.Body, nil
	}
	a.Body.Close()
	if a.StatusCode == http.StatusUnauthorized {
		return nil, finalError{fmt.Errorf("%s wants a login: give --token-file", r.base)}
	}
	return nil, fmt.Errorf("%s%s answers %s", r.base, path, a.Status)
}

// listen reads events until the stream ends.
func (r *remote) listen(ctx context.Context) error {
	body, err := r.get(ctx, "/api/v1/live")
	if err != nil {
		return err
	}
	defer body.Close()
	lines := bufio.NewScanner(body)
	lines.Buffer(nil, longestLine)
	kind := ""
	for lines.Scan() {
		field, text, _ := strings.Cut(lines.Text(), ": ")
		switch field {
		case "event":
			kind = text
		case "data":
			if err := r.take(ctx, kind, []byte(text)); err != nil {
				return err
			}
		}
	}
	if lines.Err() != nil {
		return lines.Err()
	}
	return io.ErrUnexpectedEOF
}

func (r *remote) take(ctx context.Context, kind string, data []byte) error {
	var all []live.Channel
	switch kind {
	case "channels":
		if err := json.Unmarshal(data, &all); err != nil {
			return err
		}
	case "channel":
		var one live.Channel
		if err := json.Unmarshal(data, &one); err != nil {
			return err
		}
		all = []live.Channel{one}
	default:
		return nil
	}
	name := r.chosen(all)
	for _, c := range all {
		if c.Name == name {
			r.keep(ctx, c)
			return nil
		}
	}
	if kind == "channels" {
		return finalError{usagef("the daemon has no channel %q; it has %s", name, namesOf(all))}
	}
	return nil
}

// chosen is the channel to watch: where none was named, the first that was heard of,
// and from then on no other.
func (r *remote) chosen(all []live.Channel) string {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.channel == "" && len(all) > 0 {
		r.channel = all[0].Name
	}
	return r.channel
}

func namesOf(all []live.Channel) string {
	var names []string
	for _, c := range all {
		names = append(names, c.Name)
	}
	return strings.Join(names, ", ")
}

// keep takes a state, and at the first sight of a charge its curve so far.
func (r *remote) keep(ctx context.Context, c live.Channel) {
	r.mu.Lock()
	r.state, r.at, r.seen, r.wrong = c, time.Now(), true, ""
	if c.Reading != nil {
		r.add(c.Reading)
	}
	charge := c.Charge()
	fetch := charge != nil && charge.ID != r.filled
	r.mu.Unlock()
	if !fetch {
		return
	}
	// Without it the curve begins now.
	if points, err := r.samples(ctx, charge.ID); err == nil && len(points) > 0 {
		r.mu.Lock()
		r.curve, r.filled = curve.Curve{}, charge.ID
		for _, p := range points {
			r.curve.Add(p.At, p.Volts, p.Amps, p.Celsius)
		}
		r.mu.Unlock()
	}
}

// add puts a reading behind the others, once. Where its time is less than that of the one
// before, it counts from another row now, as after a restart of the daemon: then the curve
// begins anew. The caller holds mu.
func (r *remote) add(p *live.Reading) {
	switch last := r.newest; {
	case last == nil:
	case p.AtS == last.AtS:
		return
	case p.AtS < last.AtS:
		r.curve, r.filled = curve.Curve{}, ""
	}
	r.newest = p
	r.curve.Add(float64(p.AtS), float64(p.Volts), float64(p.Amps), float64(p.Celsius))
}

func (r *remote) samples(ctx context.Context, session string) ([]curve.Point, error) {
	body, err := r.get(ctx, "/api/v1/sessions/"+url.PathEscape(session)+"/samples?points="+strconv.Itoa(mostPoints))
	if err != nil {
		return nil, err
	}
	defer body.Close()
	var c curve.Columns
	if err := json.NewDecoder(body).Decode(&c); err != nil {
		return nil, err
	}
	points, _ := c.Points()
	return points, nil
}

// now ages the reading: while nothing is heard it must not stay fresh.
func (r *remote) now() (live.Channel, bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.seen {
		return live.Channel{Name: r.channel, Source: live.Source{Name: r.base, State: "not heard yet"}}, false
	}
	c := r.state
	if last := c.LastReading; last != nil {
		aged := *last
		aged.AgeS += analyze.Number(time.Since(r.at).Seconds())
		c.LastReading = &aged
		if float64(aged.AgeS) > c.SilenceS {
			c.Reading = nil
		}
	}
	return c, r.seen
}

func (r *remote) points(n int) []curve.Point {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.curve.Points(n)
}

func (r *remote) remark() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.wrong
}

func (r *remote) close() error {
	r.client.CloseIdleConnections()
	return nil
}
