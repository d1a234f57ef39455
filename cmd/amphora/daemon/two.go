package daemon

import (
	"bytes"
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"amphora/capture"
	"amphora/decoders"
)

// Two meters on one channel share its journal: each frame begins with the name of
// the meter it came from, so that a replay tells the same as the night itself.
//
//	voltage 12.65 V
//	current +3.500
const (
	voltageTag = "voltage "
	currentTag = "current "
)

// twoMeters begins the decoder setting of a channel with two meters.
const twoMeters = "two-meters skew="

// TwoMeters is the decoder setting of a channel with two meters: that of each,
// auto or a setting, and the greatest skew at which their readings are merged.
func TwoMeters(voltage, current string, skew time.Duration) string {
	return fmt.Sprintf("%s%gs\n%s%s\n%s%s", twoMeters, skew.Seconds(), voltageTag, voltage, currentTag, current)
}

// two is what a story keeps of each of two meters, and what joins them.
type two struct {
	ears  [2]ear // voltage, current
	skew  float64
	merge *decoders.Merge
	held  []heard // until both meters can be read

	backlog []heard // that came in a burst, until something comes in time
	played  float64 // the latest time that was, s
}

// heard is what came of one meter: a line, or word that its source was lost or
// came back.
type heard struct {
	ear  *ear
	line line
	text []byte
	lost bool
}

// meter is the number of the one that a frame came from, for the time it was measured at; 0
// where there are not two.
func (t *two) meter(text []byte) int {
	if t != nil && bytes.HasPrefix(text, []byte(currentTag)) {
		return 1
	}
	return 0
}

// heldMost bounds what is held; a meter that cannot be read for so long may cost
// the older half, which the journal has.
const heldMost = 2 * fitMost

// ear is one of the two meters.
type ear struct {
	tag     string
	only    decoders.Quantity
	setting string // as configured; "" for auto
	chosen  string // what auto chose
	fit     fitting
	stream  *decoders.Stream
	doubts  int // lines since it was opened, all of them in doubt
}

// amps is the meter for the current.
func (t *two) amps() *ear { return &t.ears[1] }

// parseTwo reads what TwoMeters wrote; nil for the setting of one meter.
func parseTwo(setting string) *two {
	text, ok := strings.CutPrefix(setting, twoMeters)
	lines := strings.Split(text, "\n")
	if !ok || len(lines) != 3 {
		return nil
	}
	t := &two{ears: [2]ear{{tag: voltageTag, only: decoders.Volts}, {tag: currentTag, only: decoders.Amps}}}
	t.skew, _ = strconv.ParseFloat(strings.TrimSuffix(lines[0], "s"), 64)
	for k := range t.ears {
		if s := strings.TrimPrefix(lines[k+1], t.ears[k].tag); s != "auto" {
			t.ears[k].setting = s
		}
	}
	return t
}

// restart begins anew with the decoders that chosen holds, a line for each meter.
func (t *two) restart(chosen string) {
	t.merge, t.held = decoders.NewMerge(t.skew), nil
	for k := range t.ears {
		e := &t.ears[k]
		e.stream = nil
		for line := range strings.SplitSeq(chosen, "\n") {
			if s, ok := strings.CutPrefix(line, e.tag); ok {
				e.chosen = s
			}
		}
		e.adopt(e.decoder())
	}
}

func (e *ear) decoder() string { return cmp.Or(e.setting, e.chosen) }

// adopt takes a decoder; it reports whether one can be made of the setting.
func (e *ear) adopt(setting string) bool {
	l, err := decoders.Parse(setting)
	if err != nil {
		return false
	}
	e.stream, err = decoders.NewStream(l)
	return err == nil
}

// chosen is what auto chose for the two, a line for each.
func (t *two) chosen() string {
	return t.lines(func(e *ear) string { return e.chosen })
}

// all is the decoders in use, a line for each.
func (t *two) all() string { return t.lines((*ear).decoder) }

func (t *two) lines(of func(*ear) string) string {
	var lines []string
	for k := range t.ears {
		if setting := of(&t.ears[k]); setting != "" {
			lines = append(lines, t.ears[k].tag+setting)
		}
	}
	return strings.Join(lines, "\n")
}

// of is the meter from which a frame came, and the frame's own text; nil where it
// came from neither.
func (t *two) of(text []byte) (*ear, []byte) {
	for k := range t.ears {
		if rest, ok := bytes.CutPrefix(text, []byte(t.ears[k].tag)); ok {
			return &t.ears[k], rest
		}
	}
	return nil, text
}

// twoMark takes a mark of the journal: that one of the meters was lost or came back.
func (s *story) twoMark(f *capture.Frame, l line, sink func(turn)) {
	if e, _ := s.two.of(f.Text); e != nil && f.Flags&(capture.Opened|capture.Lost) != 0 {
		e.doubts = 0
		s.inOrder(heard{ear: e, line: l, lost: true}, false, sink)
	}
}

// twoLine takes a line of one of the meters.
func (s *story) twoLine(l line, text []byte, late bool, sink func(turn)) {
	e, text := s.two.of(text)
	if e == nil {
		s.refuse(l, decoders.ErrNotMine)
		return
	}
	e.doubts = 0
	if e.stream == nil {
		e.fit.keep(l, text)
	}
	s.inOrder(heard{ear: e, line: l, text: text}, late, sink)
	if e.stream != nil || s.replaying && !s.fits {
		return // the journal will say what was chosen
	}
	if setting, ok := e.fit.try(e.only); ok {
		s.hearWith(e, setting, sink)
		sink(turn{chose: e.tag + setting})
	}
}

// hearWith takes a decoder for a meter, and once both have one plays what has
// waited for it, in the order in which it came.
func (s *story) hearWith(e *ear, setting string, sink func(turn)) {
	if e.setting != "" || e.stream != nil || !e.adopt(setting) {
		return
	}
	e.chosen, e.fit = setting, fitting{}
	s.chosen = s.two.chosen()
	if s.two.ready() {
		held := s.two.held
		s.two.held = nil
		for _, h := range held {
			s.play(h, sink)
		}
	}
}

func (t *two) ready() bool { return t.ears[0].stream != nil && t.ears[1].stream != nil }

// atOnce is how long it may take until the backlogs of both meters have come.
const atOnce = time.Second

// inOrder hears what came in time, and before it what came late: of both meters, in the order
// in which it was measured. What is later still must not go back before what was heard.
func (s *story) inOrder(h heard, late bool, sink func(turn)) {
	t := s.two
	if n := len(t.backlog); n > 0 && (!late || n == heldMost || h.line.boot-t.backlog[0].line.boot > atOnce) {
		all := t.backlog
		t.backlog = nil
		slices.SortStableFunc(all, func(a, b heard) int { return cmp.Compare(a.line.at, b.line.at) })
		for _, h := range all {
			s.inTurn(h, sink)
		}
	}
	if late {
		h.text = bytes.Clone(h.text)
		t.backlog = append(t.backlog, h)
		return
	}
	s.inTurn(h, sink)
}

func (s *story) inTurn(h heard, sink func(turn)) {
	h.line.at = max(h.line.at, s.two.played)
	s.two.played = h.line.at
	s.hear(h, sink)
}

// hear plays what came, or holds it while one of the meters cannot be read yet.
func (s *story) hear(h heard, sink func(turn)) {
	if s.two.ready() {
		s.play(h, sink)
		return
	}
	if held := s.two.held; len(held) == heldMost {
		s.two.held = append(held[:0], held[heldMost/2:]...)
	}
	h.text = bytes.Clone(h.text)
	s.two.held = append(s.two.held, h)
}

// play decodes a line of one meter. The two have no clock in common but ours, so
// a reading's time is its arrival.
func (s *story) play(h heard, sink func(turn)) {
	volts := h.ear.only == decoders.Volts
	if h.lost {
		s.merged(h.line, s.two.merge.Lost(volts), sink)
		return
	}
	sample, err := h.ear.stream.Line(h.text, h.line.at, h.line.wall.UnixNano())
	sample.At = h.line.at
	if err != nil {
		s.unusable(h.line, sample, err, sink)
		return
	}
	s.recent.read(h.line.seq, &sample)
	if volts {
		s.merged(h.line, s.two.merge.Volts(sample), sink)
	} else {
		s.merged(h.line, s.two.merge.Amps(sample), sink)
	}
}

// merged takes what the two meters gave together.
func (s *story) merged(l line, all []decoders.Merged, sink func(turn)) {
	for _, m := range all {
		if m.Err != nil {
			s.refused[m.Err.Error()]++
			s.pass(l, s.machine.Refuse(m.Sample, m.Err.Error()), sink)
			continue
		}
		s.step(l, m.Sample, sink)
		s.lookAgainAtTwo(l, &m.Sample, sink)
	}
}

// tagged puts a meter's name before what it sent.
func tagged(tag string, f capture.Frame) capture.Frame {
	f.Text = append([]byte(tag), f.Text...)
	return f
}
