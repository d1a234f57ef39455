package daemon

import (
	"bytes"
	"strings"
	"time"

	"amphora/analyze"
	"amphora/capture"
	"amphora/dashboards/live"
	"amphora/decoders"
)

// recent keeps the last lines of a channel and what became of them, for whoever
// sets it up. Whether anybody looks cannot be known beforehand, so they are always
// kept; what makes them readable is done only when somebody asks. It holds a bounded
// number of bytes and uses them again.
type recent struct {
	lines []recentLine
	next  int // where the next one goes once all places are taken
}

type recentLine struct {
	seq                  uint64
	at                   time.Time
	text                 []byte
	bytes                int // of the whole line
	became               live.Became
	why                  string
	volts, amps, celsius float64
}

const (
	recentLines = 64  // enough to fit a decoder to
	recentBytes = 160 // of a line; a longer one is cut
)

// put keeps a record; what becomes of it is not known yet.
func (k *recent) put(seq uint64, f *capture.Frame) {
	if len(k.lines) < recentLines {
		k.lines = append(k.lines, recentLine{})
	}
	l := &k.lines[k.next]
	k.next = (k.next + 1) % recentLines
	none := analyze.Unknown()
	*l = recentLine{volts: none, amps: none, celsius: none, seq: seq, at: f.Wall, text: append(l.text[:0], f.Text[:min(len(f.Text), recentBytes)]...), bytes: len(f.Text), became: live.BecameWaiting}
	if f.Flags&capture.NotLine != 0 {
		l.became, l.why = live.BecameMark, markWord(f.Flags)
	}
}

func markWord(f capture.Flags) string {
	switch {
	case f&capture.Opened != 0:
		return "opened"
	case f&capture.Lost != 0:
		return "lost"
	}
	return "remark"
}

// find is the line of a record, nil where it is kept no more.
func (k *recent) find(seq uint64) *recentLine {
	for n := range k.lines {
		l := &k.lines[(k.next-1-n+recentLines)%recentLines]
		if l.seq <= seq { // numbers rise
			if l.seq == seq {
				return l
			}
			break
		}
	}
	return nil
}

// read notes that a line was a reading.
func (k *recent) read(seq uint64, s *analyze.Sample) {
	if l := k.find(seq); l != nil {
		l.became, l.why = live.BecameReading, ""
		l.volts, l.amps, l.celsius = s.Volts, s.Amps, s.Celsius
	}
}

// refuse notes why a line is none.
func (k *recent) refuse(seq uint64, r *decoders.Refusal) {
	if l := k.find(seq); l != nil {
		l.became, l.why = live.BecamePassedOver, r.Error()
		if r.Row() {
			l.became = live.BecameRefused
		}
	}
}

// each calls look with the lines, the oldest first.
func (k *recent) each(look func(*recentLine)) {
	first := 0
	if len(k.lines) == recentLines {
		first = k.next
	}
	for n := range k.lines {
		look(&k.lines[(first+n)%recentLines])
	}
}

// unread is how many of the latest lines were no readings, one after the other, and why
// the last of them was none.
func (k *recent) unread() (many int, why string) {
	k.each(func(l *recentLine) {
		switch l.became {
		case live.BecameReading:
			many, why = 0, ""
		case live.BecameRefused, live.BecamePassedOver:
			many, why = many+1, l.why
		}
	})
	return many, why
}

// drowned tells whether, over some seconds, hardly one of the latest lines was a reading, and
// most of the others are noise.
func (k *recent) drowned() bool {
	many, read, noise := 0, 0, 0
	var first, last time.Time
	k.each(func(l *recentLine) {
		if l.became == live.BecameMark {
			return
		}
		if many++; many == 1 {
			first = l.at
		}
		last = l.at
		switch {
		case l.became == live.BecameReading:
			read++
		case isNoise(l.text):
			noise++
		}
	})
	return many >= linesToTell && last.Sub(first) >= noisyFor && decodable*read < many && 2*noise > many
}

// Lines are the last raw lines of a channel after a record's number, the oldest
// first, and what became of them; 0 for all that are kept. It is false where no
// channel has that name.
func (d *Daemon) Lines(name string, after uint64) (lines []live.Line, ok bool) {
	c := d.channel(name)
	if c == nil {
		return nil, false
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	lines = []live.Line{}
	c.story.recent.each(func(l *recentLine) {
		if l.seq <= after {
			return
		}
		meter, text := c.story.meterOf(l)
		lines = append(lines, live.Line{
			Number: l.seq, At: l.at.UTC(), Meter: live.Text(meter), Text: live.Printable(text), Bytes: l.bytes - (len(l.text) - len(text)), Became: l.became, Why: live.Text(l.why),
			Volts: analyze.Number(l.volts), Amps: analyze.Number(l.amps), Celsius: analyze.Number(l.celsius),
		})
	})
	return lines, true
}

// Heard is what a meter sent of late, to fit a decoder to.
type Heard struct {
	Lines [][]byte
	Span  float64 // s from the first to the last
	first time.Time
}

// Heard are the last whole lines of each meter of a channel: of one that has no
// name, or of voltage and current.
func (d *Daemon) Heard(name string) (meters map[string]*Heard, ok bool) {
	c := d.channel(name)
	if c == nil {
		return nil, false
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	meters = map[string]*Heard{}
	c.story.recent.each(func(l *recentLine) {
		meter, text := c.story.meterOf(l)
		if l.became == live.BecameMark || l.bytes > recentBytes {
			return
		}
		h := meters[meter]
		if h == nil {
			h = &Heard{first: l.at}
			meters[meter] = h
		}
		h.Lines, h.Span = append(h.Lines, bytes.Clone(text)), l.at.Sub(h.first).Seconds()
	})
	return meters, true
}

// meterOf is the meter that sent a line, where there are two, and the line as it
// sent it.
func (s *story) meterOf(l *recentLine) (meter string, text []byte) {
	if s.two == nil {
		return "", l.text
	}
	e, text := s.two.of(l.text)
	if e == nil {
		return "", text
	}
	return strings.TrimSpace(e.tag), text
}
