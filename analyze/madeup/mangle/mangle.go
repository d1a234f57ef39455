package mangle

import (
	"bytes"
	"math/rand/v2"
	"strconv"
	"testing"
)

const (
	longest = 4096 // bytes of a text: the longest line that a source gives
	pool    = 512  // texts kept to go on from
	deeper  = 64   // one in so many of the mangled texts is kept too
)

// Maker gives one mangled text after another. It is not safe for concurrent use.
type Maker struct {
	random *rand.Rand
	sound  int // how many of the texts are as they were given
	texts  [][]byte
	text   []byte // the last one given
}

// New starts from sound texts, of which there must be one at least.
func New(seed uint64, sound ...[]byte) *Maker {
	return &Maker{random: rand.New(rand.NewPCG(seed, 1)), sound: len(sound), texts: sound[:len(sound):len(sound)]}
}

// Full repeats each text until it is as long as a text may be.
func Full(texts ...[]byte) (full [][]byte) {
	for _, text := range texts {
		if len(text) > 0 {
			full = append(full, bytes.Repeat(text, longest/len(text)+1)[:longest])
		}
	}
	return full
}

// Next is the next text, of at most 4096 bytes. It is valid until the next call.
func (m *Maker) Next() []byte {
	r := m.random
	from := m.texts
	if r.IntN(2) == 0 {
		from = m.texts[:m.sound] // else it would all wear away to rubble
	}
	m.text = append(m.text[:0], from[r.IntN(len(from))]...)
	for range 1 + r.IntN(4) {
		m.harm()
	}
	m.text = m.text[:min(len(m.text), longest)]
	if r.IntN(deeper) == 0 {
		m.keep()
	}
	return m.text
}

// keep remembers the text, so that harm adds up; of the sound ones none goes.
func (m *Maker) keep() {
	kept := append([]byte(nil), m.text...)
	if len(m.texts) < m.sound+pool {
		m.texts = append(m.texts, kept)
		return
	}
	m.texts[m.sound+m.random.IntN(pool)] = kept
}

// telling are bytes that mean something to some reader of text.
const telling = "0123456789+-.,;:eE \t\r\n\x00\"'{}[]()=*#$%/\\|<>?!&@_~^`\x7f\x80\xff\xc2\xb5\xb0VAmWhCNaninfOL"

// harm does one thing to the text.
func (m *Maker) harm() {
	r, t := m.random, m.text
	from := r.IntN(len(t) + 1)
	to := min(len(t), from+1+r.IntN(1+r.IntN(16)))
	switch r.IntN(8) {
	case 0: // a bit flips
		if from < len(t) {
			t[from] ^= 1 << r.IntN(8)
		}
	case 1: // a byte becomes another
		if from < len(t) {
			t[from] = telling[r.IntN(len(telling))]
		}
	case 2: // a byte comes in
		m.text = append(t, 0)
		copy(m.text[from+1:], t[from:])
		m.text[from] = telling[r.IntN(len(telling))]
	case 3: // a stretch is lost
		m.text = append(t[:from], t[to:]...)
	case 4: // a stretch comes twice
		m.text = append(t, t[from:to]...)
		copy(m.text[to+to-from:], t[to:])
		copy(m.text[to:], m.text[from:to])
	case 5: // the rest is lost
		m.text = t[:from]
	case 6: // the rest is that of another text
		other := m.texts[r.IntN(len(m.texts))]
		m.text = append(t[:from], other[r.IntN(len(other)+1):]...)
	case 7: // a number becomes an extreme one
		m.text = append(t[:from], extremes[r.IntN(len(extremes))]...)
	}
}

var extremes = []string{
	"0", "-1", "1e308", "-9.9E37", "9.91E37", "2147483648", "9223372036854775808", "18446744073709551616",
	"0.00000000000000000000000000000000000000001", "4294967295", "65536", "nan", "-inf", "1e-400", "00000000000000000000",
}

// Wanted is the variable of the environment that asks for more rounds.
const Wanted = "AMPHORA_MANGLED"

// Rounds is how many texts a test tries: as many as wanted says, else few enough for
// every day.
func Rounds(t testing.TB, wanted string, everyDay int) int {
	if wanted == "" {
		return everyDay
	}
	n, err := strconv.Atoi(wanted)
	if err != nil || n < 1 {
		t.Fatalf("%s is %q, want how many texts to try, like 10000000", Wanted, wanted)
	}
	return n
}
