package capture

import (
	"bytes"
	"errors"
	"strconv"
	"time"

	"amphora/capture/query"
)

// SCPI is a meter that is asked by text, over a serial line or the network.
type SCPI struct {
	Serial  *Serial       // this
	TCP     *TCP          // or this
	Voltage string        // a question, see query.SCPI; empty: not asked
	Current string        // likewise; the same as Voltage: one answer holds both
	End     string        // of a question: lf, crlf or cr; empty: lf
	Every   time.Duration // between two rounds; 0: 1 s
	Timeout time.Duration // for one answer; 0: 2 s
}

// Source checks the settings.
func (c SCPI) Source() (Source, error) {
	if c.End == "" {
		c.End = "lf"
	}
	if c.Every == 0 {
		c.Every = time.Second
	}
	if c.Timeout == 0 {
		c.Timeout = 2 * time.Second
	}
	var values []query.Query
	for _, text := range []string{c.Voltage, c.Current} {
		if text == "" || text == c.Voltage && len(values) > 0 {
			continue
		}
		q, err := query.SCPI(text, c.End)
		if err != nil {
			return Source{}, err
		}
		values = append(values, q)
	}
	if len(values) == 0 {
		return Source{}, errors.New("asks for nothing, want voltage, current or both")
	}
	return asked(c.Serial, c.TCP, func(l line) Stream {
		t := &textMeter{end: c.End, values: values}
		t.poll = newPoll(l, c.Every, c.Timeout, 0, t.round)
		return t.poll
	})
}

// textMeter is what is known of the meter at the other end. Not every one can say
// who it is, or has a list of errors: what is not answered is not asked again.
type textMeter struct {
	poll     *poll
	end      string
	values   []query.Query
	who      []byte // its identity; nil: not known
	nameless bool
	listless bool
	faulty   bool // there may be errors in its list
}

// round asks for the values. At first, and after a failure, the meter is asked
// who it is: meters answer in order, so once that answer has come nothing older
// is on its way. Then it may say what it did not understand.
func (t *textMeter) round(failed bool) []exchange {
	var ask []exchange
	if !t.nameless && (failed || t.who == nil) {
		q := query.Identity(t.end)
		ask = append(ask, exchange{ask: q, take: judged(q, t.identity), aside: true, unable: func() { t.nameless = t.who == nil }})
	}
	t.faulty = t.faulty || failed
	if t.faulty && !t.listless {
		q := query.Faults(t.end)
		ask = append(ask, exchange{ask: q, take: judged(q, t.fault), aside: true, unable: func() { t.listless = true }})
	}
	for _, q := range t.values {
		ask = append(ask, exchange{ask: q, take: judged(q, value)})
	}
	return ask
}

// judged takes a line for the answer to a question, if judge finds that it is one.
func judged(q query.Query, judge func(text []byte) (query.Outcome, []byte)) taking {
	return func(came []byte) (query.Outcome, []byte, []byte) {
		o, text, rest := q.Line(came)
		if o == query.Answer {
			o, text = judge(text)
		}
		return o, text, rest
	}
}

// value takes any line, and quotes it.
func value(text []byte) (query.Outcome, []byte) {
	return query.Answer, strconv.AppendQuoteToASCII(nil, string(text))
}

func (t *textMeter) identity(text []byte) (query.Outcome, []byte) {
	if !query.IsIdentity(text) || t.who != nil && !bytes.Equal(text, t.who) {
		return query.Skip, text
	}
	if t.who == nil {
		t.who = bytes.Clone(text)
		t.poll.say("the meter is " + strconv.QuoteToASCII(string(text)))
	}
	return query.Answer, text
}

// fault takes one entry of the list of errors; the next round asks for the next one.
func (t *textMeter) fault(text []byte) (query.Outcome, []byte) {
	itIs, fault := query.IsFault(text)
	if !itIs {
		return query.Skip, text
	}
	if t.faulty = fault; fault {
		t.poll.say("the meter tells an error: " + strconv.QuoteToASCII(string(text)))
	}
	return query.Answer, text
}
