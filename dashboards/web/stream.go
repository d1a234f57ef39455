package web

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"time"

	"amphora/dashboards/live"
)

const (
	// lookEvery is how often a stream looks for what changed: eyes need no more,
	// and a source of a thousand lines a second costs no more than a slow one.
	lookEvery = time.Second
	// quiet is the longest time without a message. The page takes a stream that
	// is silent for longer than twice that for dead.
	quiet = 15 * time.Second
	// sentWithin is how long a message may take to be written before its reader
	// counts as stalled.
	sentWithin = 10 * time.Second
)

// getLive streams how things stand as server-sent events: "channels" with all of
// them at first, "channel" with one that changed, and "heartbeat". Each stream looks
// by itself, so that nothing waits anywhere for one that does not keep up.
func (s *Server) getLive(w http.ResponseWriter, r *http.Request) error {
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	if r.Method == http.MethodHead {
		return nil // nothing would ever show that nobody listens
	}
	from := addressOf(r)
	if err := s.streams.enter(from); err != nil {
		return err
	}
	defer s.streams.leave(from)
	out := &stream{w: w, control: http.NewResponseController(w), may: s.login.watch(r)}
	// Whatever ends a stream, the answer has begun and nothing can be added. A
	// browser connects again by itself.
	_ = out.run(r, s.live)
	return nil
}

// stream is one answer that goes on.
type stream struct {
	w       io.Writer
	control *http.ResponseController
	may     func() error // says why it may not go on, or nil
	sentAt  time.Time
}

func (o *stream) run(r *http.Request, hub *live.Hub) error {
	marks := make(map[string]live.Mark)
	if err := o.send("channels", listOf(hub.Changed(marks))); err != nil {
		return err
	}
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		select {
		case <-r.Context().Done():
			return r.Context().Err()
		case <-tick.C:
			if err := o.may(); err != nil {
				return err
			}
			if err := o.look(hub, marks); err != nil {
				return err
			}
		}
	}
}

// look sends what changed, or a sign of life now and then.
func (o *stream) look(hub *live.Hub, marks map[string]live.Mark) error {
	for _, c := range hub.Changed(marks) {
		if err := o.send("channel", c); err != nil {
			return err
		}
	}
	if time.Since(o.sentAt) < quiet {
		return nil
	}
	return o.send("heartbeat", struct{}{})
}

// send writes one event. JSON holds no line breaks, so the event is what it is
// meant to be, whatever text a source sent.
func (o *stream) send(event string, data any) error {
	text, err := json.Marshal(data)
	if err != nil {
		return err
	}
	o.sentAt = time.Now()
	if err := o.control.SetWriteDeadline(o.sentAt.Add(sentWithin)); err != nil {
		return err
	}
	if _, err := fmt.Fprintf(o.w, "event: %s\nretry: 2000\ndata: %s\n\n", event, text); err != nil {
		return err
	}
	return o.control.Flush()
}
