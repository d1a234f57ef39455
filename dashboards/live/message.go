package live

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

const (
	// queued is how many messages may wait for one subscriber. A night has fewer
	// than a hundred, so that who falls this far behind has stopped reading.
	queued = 64
	// remembered is how many messages are kept for those who come back.
	remembered = 256
)

// Message is something that happened, in contrast to how things stand.
type Message struct {
	ID      string    `json:"id"` // in the order of time
	Kind    string    `json:"kind"`
	Channel string    `json:"channel"` // empty where it belongs to none
	At      time.Time `json:"at"`
	Payload any       `json:"payload"`

	number uint64
}

// subscriber is somebody who listens.
type subscriber struct{ queue chan Message }

// Event tells every subscriber that something happened. The payload must be fit
// for JSON and not be changed afterwards.
func (h *Hub) Event(kind, channel string, payload any) {
	at := h.clock.Wall().UTC()
	h.mu.Lock()
	defer h.mu.Unlock()
	h.sent++
	m := Message{ID: h.id(h.sent), Kind: kind, Channel: channel, At: at, Payload: payload, number: h.sent}
	if len(h.recent) == remembered {
		h.recent = slices.Delete(h.recent, 0, 1)
	}
	h.recent = append(h.recent, m)
	for s := range h.subscribers {
		select {
		case s.queue <- m:
		default:
			h.remove(s)
			h.dropped++
		}
	}
}

// Subscribe returns everything that happens from now on. The channel is closed
// when the context ends, and when the subscriber has fallen too far behind.
func (h *Hub) Subscribe(ctx context.Context) <-chan Message {
	messages, _ := h.Resume(ctx, "")
	return messages
}

// Resume is Subscribe for somebody who has seen the messages up to one of this
// ID before: those since then come first, as far as they are remembered. An ID
// that is not one of this run is taken for none. It also returns the ID of the
// newest message of which the subscriber has heard, or will hear, nothing: where
// its listening begins.
func (h *Hub) Resume(ctx context.Context, id string) (messages <-chan Message, from string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	after := h.number(id)
	missed := h.recent[len(h.recent):]
	for i, m := range h.recent {
		if m.number > after {
			missed = h.recent[i:]
			break
		}
	}
	s := &subscriber{make(chan Message, queued+len(missed))}
	for _, m := range missed {
		s.queue <- m
	}
	h.subscribers[s] = struct{}{}
	context.AfterFunc(ctx, func() {
		h.mu.Lock()
		defer h.mu.Unlock()
		h.remove(s)
	})
	return s.queue, h.id(h.sent - uint64(len(missed)))
}

// Subscribers is how many listen now, and how many were cut off so far because
// they did not keep up.
func (h *Hub) Subscribers() (now int, dropped uint64) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return len(h.subscribers), h.dropped
}

// remove ends a subscription. The caller holds the lock.
func (h *Hub) remove(s *subscriber) {
	if _, ok := h.subscribers[s]; ok {
		delete(h.subscribers, s)
		close(s.queue)
	}
}

func (h *Hub) id(number uint64) string { return fmt.Sprintf("%s-%d", h.epoch, number) }

// number is the number in an ID of this run; of any other text it is that of the
// newest message, so that nothing is told twice.
func (h *Hub) number(id string) uint64 {
	epoch, digits, _ := strings.Cut(id, "-")
	n, err := strconv.ParseUint(digits, 10, 64)
	if err != nil || epoch != h.epoch || n > h.sent {
		return h.sent
	}
	return n
}
