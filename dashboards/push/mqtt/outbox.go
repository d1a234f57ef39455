package mqtt

import (
	"slices"
	"sync"
	"time"
)

// message is one that the broker is to retain.
type message struct {
	topic   string
	payload []byte    // empty to take back what is retained
	until   time.Time // after this the broker may forget it; zero for never. MQTT 5 only
	event   string    // what it tells of where it is an event, else empty
	tries   int       // connections that broke while it alone was under way
}

const (
	// mostEvents is how many charges that ended may wait for the broker: months of
	// them, for a dozen channels.
	mostEvents = 1000
	// mostTries is after how many connections that a message broke it is dropped.
	// Some brokers answer a message that is too long for them that way.
	mostTries = 5
)

// outbox holds what the broker is to know. Of a state the newest counts; events go
// out in their order. It never makes anybody wait.
type outbox struct {
	mu      sync.Mutex
	states  map[string]*message // the newest by topic, sent or not
	order   []string            // topics of which the newest was not sent yet
	events  []*message
	dropped uint64
	wake    chan struct{} // something is there to be sent
}

func newOutbox() *outbox {
	return &outbox{states: make(map[string]*message), wake: make(chan struct{}, 1)}
}

// state takes a message in place of those before of its topic.
func (o *outbox) state(m *message) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.states[m.topic] = m
	o.due(m.topic)
}

// happened takes a message that must come as well as others of its topic. One that
// waits and tells of the same thing is replaced.
func (o *outbox) happened(m *message) {
	o.mu.Lock()
	defer o.mu.Unlock()
	defer o.rouse()
	if k := slices.IndexFunc(o.events, func(w *message) bool { return w.topic == m.topic && w.event == m.event }); k >= 0 {
		o.events[k] = m
		return
	}
	if len(o.events) == mostEvents {
		o.events = slices.Delete(o.events, 0, 1)
		o.dropped++
	}
	o.events = append(o.events, m)
}

// due puts a topic at the end of those to be sent. The caller holds the lock.
func (o *outbox) due(topic string) {
	if !slices.Contains(o.order, topic) {
		o.order = append(o.order, topic)
	}
	o.rouse()
}

func (o *outbox) rouse() {
	select {
	case o.wake <- struct{}{}:
	default:
	}
}

// again has every state sent anew: a broker that was away may have forgotten them.
func (o *outbox) again() {
	o.mu.Lock()
	defer o.mu.Unlock()
	for topic := range o.states {
		o.due(topic)
	}
}

// next returns up to so many messages to be sent, no two of one topic: what goes
// out together may arrive in any order.
func (o *outbox) next(most int) (batch []*message) {
	o.mu.Lock()
	defer o.mu.Unlock()
	taken := make(map[string]bool)
	for _, m := range o.events {
		if len(batch) < most && !taken[m.topic] {
			taken[m.topic] = true
			batch = append(batch, m)
		}
	}
	for _, topic := range o.order {
		if len(batch) < most && !taken[topic] {
			batch = append(batch, o.states[topic])
		}
	}
	return batch
}

// sent notes that the broker has a message, or never will. A newer one of its topic
// is still to be sent.
func (o *outbox) sent(m *message) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if k := slices.Index(o.events, m); k >= 0 {
		o.events = slices.Delete(o.events, k, k+1)
		o.states[m.topic] = m // what the broker retains now
	}
	if o.states[m.topic] != m {
		return
	}
	if k := slices.Index(o.order, m.topic); k >= 0 {
		o.order = slices.Delete(o.order, k, k+1)
	}
	if len(m.payload) == 0 {
		delete(o.states, m.topic)
	}
}

// broke notes that a connection broke while a message alone was under way, and
// drops the one that does it again and again.
func (o *outbox) broke(m *message) (dropped bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if m.tries++; m.tries < mostTries {
		return false
	}
	o.dropped++
	o.events = slices.DeleteFunc(o.events, func(w *message) bool { return w == m })
	if o.states[m.topic] == m {
		delete(o.states, m.topic)
		o.order = slices.DeleteFunc(o.order, func(topic string) bool { return topic == m.topic })
	}
	return true
}

// happenings are the events that wait, in their order.
func (o *outbox) happenings() []*message {
	o.mu.Lock()
	defer o.mu.Unlock()
	return slices.Clone(o.events)
}

// waiting is how many messages wait, and how many were dropped so far.
func (o *outbox) waiting() (n int, dropped uint64) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return len(o.events) + len(o.order), o.dropped
}
