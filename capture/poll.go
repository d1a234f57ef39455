package capture

import (
	"bytes"
	"errors"
	"fmt"
	"time"

	"amphora/capture/query"
)

// poll asks a meter the same questions again and again and makes one line of each
// round of answers, as they came:
//
//	MEAS:VOLT?="+1.26500000E+01" MEAS:CURR?="+3.500E+00"
//
// Only one question is under way at a time. An answer that comes late must not be
// taken for that to the next question: after one was missed nothing is asked
// until the line has been quiet for long, and what comes meanwhile is dropped. A
// meter that turns out to be merely slow is given more time from then on.
type poll struct {
	line  line
	round round

	every    time.Duration // from the beginning of one round to that of the next
	patience time.Duration // how long an answer is waited for
	hush     time.Duration // how long the line must be quiet before a question

	phase   phase
	until   time.Time // the present phase's end
	asked   time.Time // of the last question
	due     time.Time // of the next round, unless the line is not quiet
	settled time.Time // since when the line is being given time to fall quiet
	waiting []exchange
	came    []byte // since the question

	row      []byte // answers of this round
	answers  int
	failures int       // rounds in a row that failed
	missing  *exchange // was not answered in time: its answer may still come

	out     []byte   // a line that waits to be read
	remarks []string // likewise
	said    time.Time
	block   [4096]byte
}

// round says what to ask next. After a failure it is told so, so that it can make
// sure that questions and answers still belong together.
type round func(failed bool) []exchange

// taking says what the bytes are that came since a question, with the text of an answer
// and what follows it.
type taking func(came []byte) (o query.Outcome, text, rest []byte)

// exchange is one question with what it takes for an answer.
type exchange struct {
	ask  query.Query
	take taking

	aside  bool   // the answer is no part of the line
	unable func() // called if no answer came, however late; may be nil
}

type phase int

const (
	resting  phase = iota // until the next round
	hushing               // a moment of silence before a question
	awaiting              // an answer
)

const (
	failuresMost  = 5                // then the source counts as lost (and is opened anew)
	patienceMost  = 30 * time.Second // no meter needs longer for a reading
	settleFor     = 3                // times the patience: how long the line must be quiet after a failure
	settleMost    = 30               // times the patience: a line that is not quiet by then never will be
	saidSeldom    = time.Minute      // how often a passing failure is worth a mark
	shortestHush  = time.Millisecond
	answerAtLeast = 20 * time.Millisecond
)

func newPoll(l line, every, patience, hush time.Duration, r round) *poll {
	now := time.Now()
	return &poll{line: l, round: r, every: every, patience: max(patience, answerAtLeast), hush: max(hush, shortestHush), until: now, due: now, settled: now}
}

// Read gives one line for each round.
func (p *poll) Read(b []byte) (int, error) {
	for end := time.Now().Add(tick); len(p.out) == 0 && len(p.remarks) == 0; {
		left := time.Until(end)
		if left <= 0 {
			return 0, nil
		}
		if err := p.step(left); err != nil {
			return 0, err
		}
	}
	if len(p.remarks) > 0 {
		text := p.remarks[0]
		p.remarks = p.remarks[1:]
		return 0, Remark{Text: text}
	}
	n := copy(b, p.out)
	p.out = p.out[n:]
	return n, nil
}

func (p *poll) Close() error   { return p.line.Close() }
func (p *poll) String() string { return p.line.String() }

// step waits for so long at most for what the present phase waits for.
func (p *poll) step(most time.Duration) error {
	if wait := min(most, time.Until(p.until)); wait > 0 {
		n, err := p.line.read(p.block[:], wait)
		if n > 0 {
			return errors.Join(p.heard(p.block[:n]), err)
		}
		if err != nil {
			return err
		}
	}
	if time.Now().Before(p.until) {
		return nil
	}
	switch p.phase {
	case resting:
		p.begin()
	case hushing:
		return p.put()
	case awaiting:
		p.missing = &p.waiting[0]
		return p.failed(p.missed())
	}
	return nil
}

// begin begins a round.
func (p *poll) begin() {
	if p.missing != nil && p.missing.unable != nil {
		p.missing.unable()
	}
	p.due = time.Now().Add(p.every)
	p.waiting = p.round(p.failures > 0)
	p.row, p.answers, p.missing = nil, 0, nil
	p.enter(hushing, p.hush)
}

func (p *poll) enter(next phase, length time.Duration) {
	p.phase, p.until = next, time.Now().Add(length)
}

// put asks the next question.
func (p *poll) put() error {
	p.came = p.came[:0]
	p.asked = time.Now()
	p.enter(awaiting, p.patience)
	return p.line.ask(p.waiting[0].ask)
}

// heard takes what came.
func (p *poll) heard(block []byte) error {
	switch {
	case p.phase == awaiting:
		p.came = append(p.came, block...)
		return p.judge()
	case isBlank(block) && p.missing == nil: // the rest of a line's end
		return nil
	case p.phase == hushing:
		p.answers = 0 // which of them is whose is not certain any more
		return p.failed(fmt.Sprintf("bytes came unasked before %s: %s", p.waiting[0].ask, query.Hex(block)))
	}
	return p.unasked(block)
}

// unasked drops what comes while nothing is asked, and lets the line fall quiet.
func (p *poll) unasked(block []byte) error {
	now := time.Now()
	if p.missing != nil {
		p.missing = nil
		if late := 2 * now.Sub(p.asked); late > p.patience {
			p.patience = min(late, patienceMost)
			p.say(fmt.Sprintf("an answer came %v after its question and was dropped; answers are waited for %v from now on",
				now.Sub(p.asked).Round(time.Millisecond), p.patience.Round(time.Millisecond)))
		}
	} else if p.settled.IsZero() {
		p.settled = now
		p.seldom("bytes came unasked and were dropped: " + query.Hex(block))
	}
	if now.Sub(p.settled) > settleMost*p.patience {
		return unheeded("the meter talks without being asked; if it sends readings by itself, configure the port as a serial or tcp source instead")
	}
	p.until = later(p.due, now.Add(p.patience))
	return nil
}

// judge looks at what came since the question.
func (p *poll) judge() error {
	for {
		x := &p.waiting[0]
		o, text, rest := x.take(p.came)
		switch o {
		case query.More:
			return nil
		case query.Garbled:
			return p.failed(fmt.Sprintf("what came for %s is no answer: %s", x.ask, query.Hex(p.came)))
		case query.Skip:
			p.came = rest
			continue
		}
		p.add(x, text)
		return p.next(rest)
	}
}

// add puts an answer into the line.
func (p *poll) add(x *exchange, text []byte) {
	if x.aside {
		return
	}
	if len(p.row) > 0 {
		p.row = append(p.row, ' ')
	}
	p.row = append(append(append(p.row, x.ask.String()...), '='), text...)
	if len(text) > 0 {
		p.answers++
	}
}

// next goes on after an answer; nothing may follow it.
func (p *poll) next(rest []byte) error {
	p.waiting = p.waiting[1:]
	if !isBlank(rest) {
		p.answers = 0
		return p.failed("more came than was asked for: " + query.Hex(rest))
	}
	if len(p.waiting) > 0 {
		p.enter(hushing, p.hush)
		return nil
	}
	p.failures, p.settled = 0, time.Time{}
	p.finish()
	p.phase, p.until = resting, p.due
	return nil
}

// finish hands the line out, if there is something in it.
func (p *poll) finish() {
	if p.answers > 0 {
		p.out = append(p.row, '\n')
	}
}

// missed says what became of a question that was not answered in time.
func (p *poll) missed() string {
	x := &p.waiting[0]
	if len(p.came) > 0 {
		return fmt.Sprintf("half an answer to %s: %s", x.ask, query.Hex(p.came))
	}
	return fmt.Sprintf("no answer to %s within %v", x.ask, p.patience)
}

// failed gives up a round. What was answered is handed out, what was not is left
// blank in it, and the line is given time to fall quiet.
func (p *poll) failed(why string) error {
	for k := range p.waiting {
		p.add(&p.waiting[k], nil)
	}
	p.finish()
	p.waiting = nil
	if p.failures++; p.failures == failuresMost {
		return unheeded(fmt.Sprintf("%d rounds failed one after the other; the last: %s", p.failures, why))
	}
	p.seldom(why)
	p.settled = time.Now()
	p.phase, p.until = resting, later(p.due, p.settled.Add(settleFor*p.patience))
	return nil
}

func (p *poll) say(text string) { p.remarks = append(p.remarks, text) }

// seldom says what may happen all the time.
func (p *poll) seldom(text string) {
	if now := time.Now(); p.said.IsZero() || now.Sub(p.said) >= saidSeldom {
		p.said = now
		p.say(text)
	}
}

func later(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}

// isBlank reports whether bytes are no more than the rest of a line's end.
func isBlank(b []byte) bool { return len(bytes.Trim(b, "\r\n ")) == 0 }
