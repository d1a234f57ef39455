package mqtt

import (
	"bytes"
	"time"

	"amphora/analyze"
	"amphora/dashboards/live"
)

const (
	// lookEvery is how often is looked for what changed.
	lookEvery = time.Second
	// reviseEvery is how often a charge that has ended is told anew while what is
	// known of it still grows, as its rest does.
	reviseEvery = 10 * time.Minute
)

// watcher says what changed, through the outbox.
type watcher struct {
	hub   Hub
	tree  tree
	out   *outbox
	every time.Duration // a reading of a channel at most
	warm  func(channel string)

	marks    map[string]live.Mark
	channels map[string]*watched
}

// watched is a channel and what was said of it.
type watched struct {
	live.Channel
	origin origin
	said   map[string][]byte // by topic, without the time

	warm     bool      // its temperature is measured
	readAt   time.Time // of the reading that was said last
	read     time.Time // when it was said
	silent   bool      // that there is none was said
	session  *analyze.Session
	reckoned time.Time // when the charge was said last

	ended *analyze.Session // the last charge that is over
	told  *analyze.Session // as it was told last
	stage live.Text        // in which that was
	when  time.Time        // that was
}

func newWatcher(hub Hub, t tree, out *outbox, every time.Duration, warm func(string)) *watcher {
	return &watcher{hub: hub, tree: t, out: out, every: max(every, lookEvery), warm: warm, marks: make(map[string]live.Mark), channels: make(map[string]*watched)}
}

// look says what has changed since it looked last; now is the wall clock's time.
func (w *watcher) look(now time.Time) {
	for _, c := range w.hub.Changed(w.marks) {
		ch := w.channels[c.Name]
		if ch == nil {
			ch = &watched{said: make(map[string][]byte)}
			w.channels[c.Name] = ch
		}
		ch.Channel, ch.origin = c, ch.origin.follow(c.LastReading)
	}
	for _, ch := range w.channels {
		w.reading(ch, now)
		w.charge(ch, now)
		w.say(ch, stageTopic, stageOf(&ch.Channel, ch.origin), now)
		w.say(ch, findingsTopic, findingsOf(&ch.Channel, ch.origin), now)
		w.say(ch, sourceTopic, sourceOf(&ch.Channel), now)
		w.session(ch, now)
	}
}

// say says what is not as it was said before.
func (w *watcher) say(ch *watched, what string, fields any, now time.Time) {
	topic := w.tree.of(ch.Name, what)
	if b := body(fields); !bytes.Equal(b, ch.said[topic]) {
		ch.said[topic] = b
		w.out.state(&message{topic: topic, payload: payload(now, b)})
	}
}

// reading says the newest one, or that there is none any more.
func (w *watcher) reading(ch *watched, now time.Time) {
	topic := w.tree.of(ch.Name, readingTopic)
	r := ch.Reading
	if r == nil {
		if !ch.silent {
			ch.silent, ch.readAt, ch.read = true, time.Time{}, time.Time{}
			w.out.state(&message{topic: topic, payload: payload(now, body(readingOf(&ch.Channel)))})
		}
		return
	}
	if r.At.Equal(ch.readAt) || !w.may(ch.read, now) {
		return
	}
	ch.silent, ch.readAt, ch.read = false, r.At, now
	if !ch.warm && analyze.Known(r.Celsius) {
		ch.warm = true
		w.warm(ch.Name)
	}
	// Where we die, a broker that speaks MQTT 5 takes it back in our place.
	until := now.Add(max(time.Duration(ch.SilenceS*float64(time.Second)), 2*w.every))
	w.out.state(&message{topic: topic, payload: payload(r.At, body(readingOf(&ch.Channel))), until: until})
}

// may tells whether what was said last at a moment may be said again. A wall clock
// that was set back does not silence anybody.
func (w *watcher) may(last, now time.Time) bool {
	gone := now.Sub(last)
	return gone > w.every-lookEvery/2 || gone < 0
}

// charge says how the charge stands, each time it was worked out anew.
func (w *watcher) charge(ch *watched, now time.Time) {
	if ch.reckoned.IsZero() || ch.Session != ch.session && w.may(ch.reckoned, now) {
		ch.session, ch.reckoned = ch.Session, now
		w.say(ch, chargeTopic, chargeOf(&ch.Channel, ch.origin), now)
	}
}

// session tells of a charge that is over: when it is complete, when the current has
// stopped, when another begins, and now and then between, while more is learned.
func (w *watcher) session(ch *watched, now time.Time) {
	s := ch.Charge()
	if ch.ended != nil && (s == nil || s.ID != ch.ended.ID) {
		w.tell(ch, now) // the last that is known of it
		ch.ended = nil
	}
	if s == nil || s.Outcome == analyze.Running {
		return
	}
	ch.ended = s
	if t := ch.told; t == nil || t.ID != s.ID || t.Outcome != s.Outcome || ch.stage != ch.Stage || now.Sub(ch.when).Abs() >= reviseEvery {
		w.tell(ch, now)
	}
}

func (w *watcher) tell(ch *watched, now time.Time) {
	if ch.ended == ch.told {
		return
	}
	ch.told, ch.stage, ch.when = ch.ended, ch.Stage, now
	w.out.happened(&message{topic: w.tree.of(ch.Name, sessionTopic), payload: payload(now, body(sessionBody{ch.told})), event: ch.told.ID})
}

// farewell says what is known to the last, and takes back the readings: nobody will
// renew them.
func (w *watcher) farewell(now time.Time) {
	w.look(now)
	for _, ch := range w.channels {
		if ch.ended != nil {
			w.tell(ch, now)
		}
		if !ch.silent {
			ch.Reading = nil
			w.reading(ch, now)
		}
	}
}
