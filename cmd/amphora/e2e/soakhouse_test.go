//go:build linux

package e2e

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/require"
)

// house is where a month is lived: the program on a disk of its own, meters with an
// observer beside each, and a server that everything is pushed to.
type house struct {
	t         testing.TB
	chance    *rand.Rand
	at        *place
	host      *soakHost
	disk      *smallDisk
	ports     []*port
	observers []*observer
	shelf     *shelf
	program   *program
	lives     []*life // of the program, the present one last

	feed   []sentence // of the day
	next   int
	fresh  []string // what was said last to this life of the program, a channel each
	deaf   []int    // so many lines of a channel nobody will hear
	damage []damage // to a channel's lines
	day    int
	outage *outage

	story []string
}

// sentence is a line that will be said.
type sentence struct {
	channel int
	at      float64
	text    string
}

func newHouse(t testing.TB, host *soakHost, seed uint64) *house {
	h := &house{t: t, chance: rand.New(rand.NewPCG(seed, 0xfa017)), at: newPlace(t), host: host, shelf: newShelf(t)}
	h.disk = newSmallDisk(t, h.at)
	h.shelf.open.Store(true)
	h.at.settings = "push:\n" + pushTo(h.shelf.server.URL)
	for _, c := range household {
		p := newPort(t)
		h.at.channel(t, c.name, p.source(), c.settings...)
		h.ports = append(h.ports, p)
		h.observers = append(h.observers, &observer{channel: c.name, layout: c.layout})
	}
	n := len(household)
	h.deaf, h.damage = make([]int, n), slices.Repeat([]damage{{sound: 3 * apart}}, n)
	h.start(h.places())
	return h
}

func (h *house) tell(format string, args ...any) {
	h.story = append(h.story, fmt.Sprintf(format, args...))
}

// start begins another life of the program, which may find what was said since a place.
func (h *house) start(since []int) {
	h.t.Helper()
	h.program = launch(h.t, h.host.command(h.disk.command(h.host.program, "serve", "--config", h.at.config)))
	h.program.waitForPage()
	h.fresh = make([]string, len(household))
	h.lives = append(h.lives, &life{log: &h.program.log})
	for _, c := range household {
		h.program.untilUp(c.name)
	}
	h.expect(since, mark{flag: "opened", begins: "opened "})
}

// live lives through a day.
func (h *house) live(d day) {
	h.day, h.feed, h.next = d.number, nil, 0
	clear(h.deaf)
	for k, n := range d.nights {
		for at, line := range n.Lines() {
			h.feed = append(h.feed, sentence{k, at, line})
		}
		h.tell("day %d, %s: %s", d.number, household[k].name, n.Name)
	}
	slices.SortStableFunc(h.feed, func(a, b sentence) int { return int(a.at - b.at) })
	for _, f := range d.faults {
		h.more(int(f.at*float64(len(h.feed))) - h.next)
		h.tell("day %d, %v", d.number, f)
		h.inflict(f)
	}
	h.more(len(h.feed) - h.next)
	h.endOutage()
	h.caughtUp()
	h.measure()
}

// more says the next lines.
func (h *house) more(lines int) {
	for ; lines > 0 && h.next < len(h.feed); lines-- {
		l := h.feed[h.next]
		h.next++
		k := l.channel
		if h.deaf[k] > 0 {
			h.deaf[k]--
		} else if text, damaged, say := h.damage[k].pass(h.chance, l.text); say {
			h.say(k, text, damaged)
		}
	}
}

func (h *house) say(channel int, text string, damaged bool) {
	p := h.ports[channel]
	require.NoError(h.t, p.master.SetWriteDeadline(time.Now().Add(time.Minute)))
	p.say(text)
	for _, line := range ends.Split(text, -1) {
		h.observers[channel].hear(line, h.day, damaged)
		h.fresh[channel] = live.Printable([]byte(line[:min(len(line), 160)]))
	}
}

// caughtUp waits until the program has heard all that was said.
func (h *house) caughtUp() {
	h.t.Helper()
	for k, c := range household {
		testhelp.Until(h.t, "the last line of "+c.name, func() bool {
			if h.fresh[k] == "" {
				return true
			}
			for _, l := range slices.Backward(h.lines(k)) {
				if l.Became != live.BecameMark {
					return l.Text == h.fresh[k]
				}
			}
			return false
		})
	}
}

// lines are the last that the program heard on a channel.
func (h *house) lines(channel int) []live.Line {
	h.t.Helper()
	var answer struct{ Lines []live.Line }
	h.program.fetch("/api/v1/channels/"+household[channel].name+"/lines", &answer)
	return answer.Lines
}

// since marks what was said since a place in each copy.
func (h *house) since(places []int, mark func(*heard)) {
	for k, o := range h.observers {
		for n := places[k]; n < len(o.copy); n++ {
			mark(&o.copy[n])
		}
	}
}

func (h *house) places() (all []int) {
	for _, o := range h.observers {
		all = append(all, len(o.copy))
	}
	return all
}

// tale is the story so far.
func (h *house) tale() string { return strings.Join(h.story, "\n") }
