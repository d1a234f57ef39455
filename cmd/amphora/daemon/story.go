package daemon

import (
	"strings"
	"time"

	"amphora/analyze"
	"amphora/capture"
	"amphora/capture/journal"
	"amphora/decoders"
)

// story is what the frames of one channel tell, one after the other. It asks no
// clock and writes nothing: the same frames tell the same story.
type story struct {
	setting string          // of the decoder: a setting, or "" for auto
	stated  analyze.Options // by the configuration
	label   label           // of the battery
	opt     analyze.Options // both, and earlier nights
	today   bool            // the label of today counts, whatever it was then
	asking  bool            // a charge has begun of whose battery nothing was looked up yet

	elapsed capture.Elapsed
	fit     fitting
	stream  *decoders.Stream
	two     *two // nil where one meter tells both values
	machine *analyze.Machine
	row     func()                // called behind each usable row; nil where nobody wants to know
	damaged func(*journal.Damage) // told of damage while the journal is read; nil where nobody wants to know
	track   track
	shape   *shape  // nil where nobody wants to see it
	account account // where a replay must begin to tell the same
	next    account // where that is for the next charge, once one is over
	quietAt float64 // arrival since when no charge has been under way, s

	why   string  // of the present stage
	since float64 // when it began, s of the machine

	replaying bool
	fits      bool   // as if it did not: nothing says what was chosen
	chosen    string // setting that auto chose, or was told of
	guessed   bool   // no name in the lines told auto which values are voltage and current
	second    secondLook
	refused   map[string]int
	recent    recent
	repeats   repeats
	unread    unread
	relaid    map[uint64]string // the layouts that the journal tells from some records on, as corrected later
	relaidAt  uint64            // the record of the last one
	laid      *decoders.Layout  // that the rows had until now
	stranger  stranger
	noise     string // what capture said of bytes that are no lines; "" once there is a reading
	lines     uint64
	from      time.Duration // when the first of them came, and for how long they have come
	heardFor  time.Duration
	rows      uint64
	last      reading
}

// reading is the latest usable row, with its stamps.
type reading struct {
	ok      bool
	at      float64 // arrival, s
	wall    time.Time
	boot    time.Duration
	elapsed float64 // of the machine, s
	volts   float64
	amps    float64
	celsius float64
}

func newStory(decoder string, o analyze.Options) *story {
	s := &story{stated: o, opt: o, refused: make(map[string]int)}
	if s.two = parseTwo(decoder); s.two == nil && decoder != "auto" {
		s.setting = decoder
	}
	s.restart(account{origin: 1}, 0)
	return s
}

// turn is what a frame brought about.
type turn struct {
	events []analyze.Event
	chose  string // the decoder that auto has just chosen; to be remembered in the journal
	relaid bool   // from here on, and for the lines before it that could not be read
	anew   bool   // it takes the place of another: what was told since the account began is wrong
	closed bool   // the machine was put away: its sessions are settled

	seq  uint64    // the record that brought it about
	wall time.Time // of that record
}

// frame takes the next record of the channel. sink gets each turn, in order; its
// events are valid until sink returns.
func (s *story) frame(seq uint64, f *capture.Frame, boot string, sink func(turn)) {
	if s.recalls(f) || s.hearsOf(seq, f, sink) {
		return
	}
	s.recent.put(seq, f)
	at := s.elapsed.NextOf(s.two.meter(f.Text), *f, boot).Seconds()
	l := line{seq: seq, at: at, wall: f.Wall, boot: f.Boot}
	if f.Flags&capture.NotLine != 0 {
		s.hearNoise(f)
		if s.two != nil {
			s.twoMark(f, l, sink)
			return
		}
		switch {
		case f.Flags&capture.Opened != 0:
			s.reopened(sink)
		case strings.HasPrefix(string(f.Text), capture.WriterGone):
			s.connected(sink)
		}
		return
	}
	if at-s.quietAt > quietDay.Seconds() && s.idle() {
		sink(turn{closed: true})
		s.restart(account{origin: seq, label: s.label, layout: s.inForce()}, at)
	}
	if s.lines == 0 {
		s.from = f.Boot
	}
	s.lines, s.heardFor = s.lines+1, f.Boot-s.from
	if f.Flags&(capture.Fragment|capture.Overlong) != 0 {
		s.refuse(l, decoders.ErrTorn)
		if s.stream == nil && s.two == nil && len(s.fit.texts) == 0 {
			s.fit.head = decoders.Remnant(f.Text)
		}
		return
	}
	if f.Flags&capture.Doubted != 0 {
		s.doubt(l, f.Text)
		return
	}
	if s.stranger.many > 0 {
		s.welcome(sink)
	}
	s.whole(l, f.Text, f.Flags&capture.Burst != 0, sink)
}

// whole takes a line that came in one piece; late is one of a backlog.
func (s *story) whole(l line, text []byte, late bool, sink func(turn)) {
	switch {
	case s.two != nil:
		s.twoLine(l, text, late, sink)
	case s.stream == nil:
		s.unfitted(l, text, sink)
	default:
		s.line(l, text, sink)
		s.lookAgain(l, text, sink)
	}
}

// line is a line's stamps.
type line struct {
	seq  uint64
	at   float64 // arrival, s
	wall time.Time
	boot time.Duration
}

func (s *story) line(l line, text []byte, sink func(turn)) {
	if s.stream.Timed() && s.repeated(l, text, sink) {
		return
	}
	s.read(l, text, sink)
}

// read reads a line that repeats none.
func (s *story) read(l line, text []byte, sink func(turn)) {
	timed, known := s.stream.Timed(), s.repeats.knows(text)
	sample, err := s.stream.Line(text, l.at, l.wall.UnixNano())
	if err != nil {
		s.unusable(l, sample, err, sink)
		s.misread(l, text, err.(*decoders.Refusal), sink)
		return
	}
	if len(s.unread.lines) > 0 {
		s.unread = unread{}
	}
	if !timed && known && s.repeats.counted(sample.Counter) {
		s.refuse(l, decoders.ErrRepeated)
		return
	}
	if timed || analyze.Known(sample.Counter) {
		s.repeats.read(text, sample.Counter, s.stream.Told())
	}
	if s.stream.Layout() != s.laid {
		s.belowHeading(l, sink)
	}
	s.recent.read(l.seq, &sample)
	s.step(l, sample, sink)
}

// unusable takes a line of which a stream makes no reading; that a row was refused, the
// machine is to know as well.
func (s *story) unusable(l line, sample analyze.Sample, err error, sink func(turn)) {
	r := err.(*decoders.Refusal)
	s.refuse(l, r)
	if r.Row() {
		s.pass(l, s.machine.Refuse(sample, r.Error()), sink)
	}
}

// step takes one usable sample.
func (s *story) step(l line, sample analyze.Sample, sink func(turn)) {
	s.rows++
	s.noise = ""
	events := s.machine.Step(sample)
	if t, v, i, c, ok := s.machine.Last(); ok {
		if s.shape != nil && (!s.last.ok || t > s.last.elapsed) {
			s.shape.add(t, v, i, c)
		}
		s.last = reading{ok: true, at: l.at, wall: l.wall, boot: l.boot, elapsed: t, volts: v, amps: i, celsius: c}
		s.track.add(t, l.seq, s.inForce())
	}
	s.pass(l, events, sink)
	if s.row != nil {
		s.row()
	}
}

func (s *story) pass(l line, events []analyze.Event, sink func(turn)) {
	for k := range events {
		switch events[k].Kind {
		case analyze.StageBegan:
			s.why, s.since = events[k].Why, events[k].At
		case analyze.SessionBegan:
			s.asking = true
		case analyze.SessionOver:
			s.next, s.quietAt = s.accountFrom(s.track.behind(events[k].At)), l.at
		case analyze.SessionClosed:
			s.account = s.here()
		}
	}
	if !s.idle() {
		s.quietAt = l.at
	}
	if len(events) > 0 {
		sink(turn{events: events, seq: l.seq, wall: l.wall})
	}
	if s.shape != nil {
		for k := range events {
			switch events[k].Kind {
			case analyze.SessionOver:
				s.shape.over(s.track.behind(events[k].At).t)
			case analyze.SessionClosed:
				s.shape.closed()
			}
		}
	}
}

// idle reports whether no charge is under way.
func (s *story) idle() bool { return s.machine.Idle() }
