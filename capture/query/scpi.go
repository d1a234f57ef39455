package query

import (
	"fmt"
	"regexp"
	"strings"
	"sync"
)

// ends are what may stand behind a question; a meter's manual says which it wants.
var ends = map[string]string{"lf": "\n", "crlf": "\r\n", "cr": "\r"}

// The words of the questions that read a value (SCPI-99, volume 2, chapter 3):
// the long form, its short form in capitals. A word may end in the number of a
// channel.
var (
	verbs    = []string{"FETCh", "READ", "MEASure"}
	subjects = []string{"SCALar", "VOLTage", "CURRent", "POWer", "TEMPerature", "DC"}
	channels = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^ ?\(@[0-9]{1,4}\)$`) })
)

// The questions beside those for a value. They are sent by amphora itself.
const (
	identity = "*IDN?"
	faults   = "SYST:ERR?"
)

// longest is more than any question needs.
const longest = 100

// SCPI makes a question for a value of the text that the user gave, like
// MEAS:VOLT:DC?, with one of the ends. It takes nothing that sets: no range or
// resolution, no second command behind a semicolon, no word that is not on the
// list. That MEASure chooses what is measured is in its nature; where another
// program or a person has chosen, READ? and FETCh? only ask.
func SCPI(text, end string) (Query, error) {
	wire, known := ends[end]
	if !known {
		return Query{}, fmt.Errorf("the end %q of a question is not known, want lf, crlf or cr", end)
	}
	if !reads(text) {
		return Query{}, fmt.Errorf("%q is not a query that only reads, want one that begins with FETCh, READ or MEASure and ends in ?, like MEAS:VOLT?", text)
	}
	return Query{name: text, wire: text + wire}, nil
}

// Identity asks who the meter is.
func Identity(end string) Query { return Query{name: identity, wire: identity + ends[end]} }

// Faults takes one entry out of the meter's list of errors.
func Faults(end string) Query { return Query{name: faults, wire: faults + ends[end]} }

// reads reports whether a text is one of the questions for a value.
func reads(text string) bool {
	head, list, found := strings.Cut(text, "?")
	if !found || len(text) > longest || list != "" && !channels().MatchString(list) {
		return false
	}
	verb, rest, more := strings.Cut(strings.TrimPrefix(head, ":"), ":")
	if !oneOf(verbs, verb) {
		return false
	}
	for more {
		var word string
		word, rest, more = strings.Cut(rest, ":")
		if number := strings.TrimRight(word, "0123456789"); !oneOf(subjects, number) || len(word)-len(number) > 2 {
			return false
		}
	}
	return true
}

// oneOf reports whether a word is one of a list, in its short or its long form.
func oneOf(list []string, word string) bool {
	for _, long := range list {
		short := strings.TrimRight(long, "abcdefghijklmnopqrstuvwxyz")
		if strings.EqualFold(word, long) || strings.EqualFold(word, short) {
			return true
		}
	}
	return false
}
