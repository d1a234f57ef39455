package daemon

import (
	"math"
	"strings"

	"amphora/decoders"
)

// relaidMark begins the remark by which the journal remembers that the lines before it that
// could not be read, and all behind it, are laid out otherwise than what came before.
const relaidMark = "laid out anew "

// unread are the lines since the last one that could be read. Another meter on the same plug, or
// one that was set otherwise, may speak in another layout from some line on; a torn line, a menu
// and noise are over soon.
type unread struct {
	fitting
	whys   []*decoders.Refusal // why each of them was refused
	would  string              // the layout that they fit, where another was configured
	seen   int                 // how many there were, kept or not
	next   int                 // at how many a layout is looked for again
	looked float64             // s, when one was looked for
}

const (
	unreadLines = 60  // after so many another layout is looked for
	unreadFew   = 20  // or after so many, where they have come for unreadFor
	unreadFor   = 120 // s
	unreadLast  = 120 // lines, of which the layout is made: what came first may be torn
	unreadMost  = 600
	unreadShare = 0.9 // of those that must decode (our own figures)
)

// misread takes a line that the layout in force could not read.
func (s *story) misread(l line, text []byte, why *decoders.Refusal, sink func(turn)) {
	switch why {
	case decoders.ErrOverload, decoders.ErrBlank, decoders.ErrBlankVolts, decoders.ErrBlankAmps, decoders.ErrHalf:
		s.unread = unread{} // laid out as it should be
		return
	}
	if isNoise(text) {
		return
	}
	u := &s.unread
	u.seen++
	u.keep(l, text)
	u.whys = append(u.whys, why)
	if len(u.lines) > unreadMost {
		u.halve()
	}
	u.whys = u.whys[len(u.whys)-len(u.lines):]
	if s.replaying && !s.fits || !u.due() {
		return // the journal will say what was chosen
	}
	found, named, ok := u.sure()
	if !ok || found == s.decoder() {
		return
	}
	if u.would = found; s.setting == "" {
		sink(turn{chose: found, relaid: true})
		s.relay(l.seq, found, sink)
		s.guessed = !named
	}
}

// due tells that it is time to look for a layout: then, and each time that there were more by half or
// that as long has gone by. Of a hundred thousand lines of something else that come at once it is not
// asked after every few.
func (u *unread) due() bool {
	n, at := len(u.lines), u.lines[len(u.lines)-1].at
	long := n >= unreadFew && at-u.lines[0].at >= unreadFor
	if n < unreadLines && !long || u.seen < u.next && at < u.looked+unreadFor {
		return false
	}
	u.next, u.looked = u.seen+u.seen/2, at
	return true
}

// sure is the layout of the latest lines, if they leave no doubt of it.
func (u *unread) sure() (setting string, named, ok bool) {
	from := max(0, len(u.lines)-unreadLast)
	late := fitting{head: u.heading(), lines: u.lines[from:], texts: u.texts[from:]}
	setting, ok = late.now(0)
	if !ok || late.share < unreadShare || late.doubted || !late.named && !late.agrees(setting) {
		return "", false, false
	}
	return setting, late.named, measured(late.read(setting))
}

// measured tells voltages that a battery may have one after the other, from what was set, which stands, and
// from numbers of other things, which leap.
func measured(rows []pair) bool {
	const slow = 0.02 // of the voltage, from most rows to the next (our own figure)
	var steps []float64
	moved := false
	for k := 1; k < len(rows); k++ {
		d := math.Abs(rows[k].volts - rows[k-1].volts)
		steps, moved = append(steps, d), moved || d > 0
	}
	return moved && middle(steps) <= slow*median(rows)
}

// agrees tells, of a layout that no names bear out, whether half of the lines would have it just so: of numbers
// that are something else the one half shows this and the other that. Labels that name neither value
// name others.
func (f *fitting) agrees(setting string) bool {
	const clear = 0.5 // of the confidence, below which more lines are to be waited for
	half := fitting{head: f.head, lines: f.lines[len(f.lines)/2:], texts: f.texts[len(f.texts)/2:]}
	again, ok := half.now(0)
	return ok && again == setting && f.confidence > clear && strings.HasPrefix(setting, "columns ")
}

// advice is what to do about lines that are laid out otherwise than they should be, "" where nothing
// says that they are.
func (u *unread) advice(auto bool) string {
	switch {
	case u.would != "" && !auto:
		return "They are laid out otherwise than decoder: says: set it to auto, or to " + u.would
	case auto && len(u.lines) >= linesToTell:
		return "If another meter speaks now, or this one was set otherwise, its lines are read as soon as they leave no doubt of how; else look at what it shows, at its lead and its settings, and in Setup at the lines themselves"
	}
	return ""
}

// relay reads with another layout what could not be read before a record, and what comes now.
func (s *story) relay(seq uint64, setting string, sink func(turn)) {
	if s.stream == nil {
		s.adopt(setting, sink) // what came before is gone
		return
	}
	if s.setting != "" || setting == s.chosen && len(s.unread.lines) == 0 {
		return
	}
	l, err := decoders.Parse(setting)
	if err != nil {
		return
	}
	if s.stream.Relay(l) != nil {
		return
	}
	heard := s.unread
	s.unread, s.laid = unread{}, s.stream.Layout()
	s.second = secondLook{told: s.replaying && s.second.told, fit: fitting{head: heard.heading()}}
	s.goOn(seq, setting)
	for _, why := range heard.whys {
		if s.refused[why.Error()]--; s.refused[why.Error()] == 0 {
			delete(s.refused, why.Error())
		}
	}
	for k := range heard.lines {
		s.line(heard.lines[k], heard.texts[k], sink)
		s.lookAgain(heard.lines[k], heard.texts[k], sink)
	}
}

// belowHeading takes up what a heading has changed, once rows bear it out: nobody will hear the heading
// again after a restart, nor in the account of a later charge.
func (s *story) belowHeading(l line, sink func(turn)) {
	if !s.stream.Settled() {
		return
	}
	s.laid = s.stream.Layout()
	setting := s.laid.String()
	if s.setting != "" || setting == s.chosen {
		return
	}
	if !s.replaying {
		sink(turn{chose: setting, relaid: true})
	}
	s.second = secondLook{told: s.second.told}
	s.goOn(l.seq, setting)
}

// goOn makes a setting the chosen one from a record on. The account that is under way began with another.
func (s *story) goOn(seq uint64, setting string) {
	if s.account.layout == nil {
		s.account.layout = s.layout()
	}
	s.chosen, s.relaidAt = setting, seq
}

// heading that the lines have, if they begin with one; else nothing.
func (u *unread) heading() []byte {
	if len(u.lines) == 0 {
		return nil
	}
	return u.fitting.heading()
}
