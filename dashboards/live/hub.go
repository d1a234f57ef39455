package live

import (
	"maps"
	"sync"
	"time"

	"amphora/analyze"
)

// DefaultSilence is how old a reading may become where the channel does not
// say: the least that any source is granted, s.
const DefaultSilence = 30

// Clock is the time by which readings age: it counts on steadily, through suspend
// too, whatever the time of day is set to.
type Clock interface {
	Boot() time.Duration
}

// Hub holds the newest state of every channel. It is safe for use by several
// goroutines.
type Hub struct {
	clock Clock

	mu       sync.Mutex
	order    []string // of first publication
	channels map[string]*entry
}

// entry is a channel with what the hub itself knows of it.
type entry struct {
	state   Channel
	version uint64        // changes with every publication
	read    *Reading      // the last one
	readAt  time.Duration // when it was published first, by Boot
	toldAt  time.Duration // when the state was published, by Boot
	tally   tally
}

// NewHub makes a hub without channels.
func NewHub(clock Clock) *Hub {
	return &Hub{clock: clock, channels: make(map[string]*entry)}
}

// Publish stores a copy of the state of a channel in place of the one before.
// A reading is told from the one before it by its times: the same reading
// published again goes on ageing. Without a reading the last one stays.
func (h *Hub) Publish(c Channel) {
	c.RejectedByReason = maps.Clone(c.RejectedByReason)
	now := h.clock.Boot()
	h.mu.Lock()
	defer h.mu.Unlock()
	e := h.channels[c.Name]
	if e == nil {
		e = &entry{tally: newTally()}
		h.channels[c.Name] = e
		h.order = append(h.order, c.Name)
	}
	if r := c.Reading; r != nil && (e.read == nil || !same(r, e.read)) {
		e.read, e.readAt = new(*r), now
	}
	e.state, e.toldAt = c, now
	e.tally.follow(c.Charge())
	e.version++
}

// same tells whether two readings were taken at the same moment.
func same(a, b *Reading) bool {
	return a.At.Equal(b.At) && (a.AtS == b.AtS || !analyze.Known(a.AtS) && !analyze.Known(b.AtS))
}

// Snapshot returns every channel as it is at this moment, in the order of their
// first publication.
func (h *Hub) Snapshot() []Channel {
	now := h.clock.Boot()
	h.mu.Lock()
	defer h.mu.Unlock()
	all := make([]Channel, 0, len(h.order))
	for _, name := range h.order {
		all = append(all, h.channels[name].at(now))
	}
	return all
}

// Get returns one channel as it is at this moment.
func (h *Hub) Get(name string) (Channel, bool) {
	now := h.clock.Boot()
	h.mu.Lock()
	defer h.mu.Unlock()
	e, ok := h.channels[name]
	if !ok {
		return Channel{}, false
	}
	return e.at(now), true
}

// Changed returns the channels that are not as they were when the function was
// last called with the same marks: because they were published anew, or because
// they have become silent meanwhile. It keeps the marks up to date; an
// empty map returns all.
func (h *Hub) Changed(marks map[string]Mark) []Channel {
	now := h.clock.Boot()
	h.mu.Lock()
	defer h.mu.Unlock()
	var changed []Channel
	for _, name := range h.order {
		e := h.channels[name]
		c := e.at(now)
		if m := (Mark{e.version, c.Reading != nil, c.Source.Up}); marks[name] != m {
			marks[name] = m
			changed = append(changed, c)
		}
	}
	return changed
}

// Mark is what a channel was like when somebody looked at it; see Changed.
type Mark struct {
	version uint64
	fresh   bool
	up      bool
}

// at is the channel as it is at a moment.
func (e *entry) at(now time.Duration) Channel {
	c := e.state
	c.Reading, c.LastReading = nil, nil
	c.Totals = e.tally.now
	if c.SilenceS <= 0 {
		c.SilenceS = DefaultSilence
	}
	if e.read != nil {
		r := *e.read
		since := (now - e.readAt).Seconds()
		if analyze.Known(r.AgeS) {
			since += float64(r.AgeS)
		}
		r.AgeS = analyze.Number(since)
		c.LastReading = &r
		if since <= c.SilenceS {
			c.Reading = &r
		}
	}
	if c.Source.QuietS += (now - e.toldAt).Seconds(); c.Source.QuietS > c.SilenceS {
		c.Source.silence()
	}
	c.RemainingS = c.remaining()
	return c
}

// remaining is what the forecast leaves, counted from the last reading on.
func (c *Channel) remaining() analyze.Number {
	left := analyze.Unknown()
	if s := c.Session; s != nil && s.Forecast != nil && s.Outcome == analyze.Running && c.LastReading != nil {
		left = max(0, float64(s.Forecast.FinishS-c.LastReading.AtS-c.LastReading.AgeS))
	}
	return analyze.Number(left)
}
