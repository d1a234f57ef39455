package daemon

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"amphora/analyze"
	"amphora/capture"
	"amphora/dashboards/live"
	"amphora/decoders"
)

// status is how a channel's source is, for people.
type status struct {
	up         bool
	state      string
	since      time.Time
	reconnects int
	lines      int
	lastLine   time.Time
	heard      [2]time.Duration // boot clock, when something last came from the meter, or from both; 0 is never
	opened     map[string]bool  // the meters that were, by the name before their marks where there are two
	fresh      bool             // changed since last published, in a way that must show at once
	stale      bool             // the summary is older than an event

	two  bool              // the channel has two meters, whose marks begin with their name
	away map[string]string // those of them that are lost, and why

	summary         *analyze.Session
	summarised      time.Duration // boot clock
	summarisedLines int
}

// frame notes what a frame says of the source.
func (s *status) frame(f *capture.Frame) {
	s.hear(f)
	switch {
	case f.Flags&capture.Opened != 0:
		s.reopened(string(f.Text))
		s.set(true, "open: "+string(f.Text), f.Wall)
		s.both(string(f.Text), "")
	case f.Flags&capture.Lost != 0:
		s.set(false, string(f.Text), f.Wall)
		s.both(string(f.Text), string(f.Text))
	case f.Flags&capture.Marked != 0:
		s.fresh = true // the clock was set, the host slept: seldom, and no line need follow
	default:
		s.lines++
		s.lastLine = f.Wall
	}
}

// hear notes that a meter was opened, or said something.
func (s *status) hear(f *capture.Frame) {
	if f.Flags&capture.NotLine != 0 && f.Flags&capture.Opened == 0 {
		return
	}
	k := 0
	if s.two && bytes.HasPrefix(f.Text, []byte(currentTag)) {
		k = 1
	}
	s.heard[k] = f.Boot
}

// quiet is how long nothing has come, of two meters from the one that says less.
func (s *status) quiet(now time.Duration) time.Duration {
	last := s.heard[0]
	if last == 0 || s.heard[1] > 0 && s.heard[1] < last {
		last = s.heard[1]
	}
	return max(0, now-last)
}

// reopened counts that a meter came back.
func (s *status) reopened(mark string) {
	meter := ""
	if s.two {
		meter, _, _ = strings.Cut(mark, " ")
	}
	if s.opened[meter] {
		s.reconnects++
	}
	if s.opened == nil {
		s.opened = map[string]bool{}
	}
	s.opened[meter] = true
}

func (s *status) set(up bool, state string, at time.Time) {
	s.up, s.state, s.since, s.fresh = up, state, at, true
}

// both lets a channel with two meters be up only while neither is lost; lost is
// why the one that a mark tells of is, "" if it came back.
func (s *status) both(mark, lost string) {
	if !s.two {
		return
	}
	meter, _, _ := strings.Cut(mark, " ")
	if s.away == nil {
		s.away = map[string]string{}
	}
	delete(s.away, meter)
	for _, why := range s.away {
		s.up, s.state = false, why
	}
	if lost != "" {
		s.away[meter] = lost
	}
}

// stopped notes that nobody listens any more.
func (s *status) stopped(err error) {
	s.up, s.fresh = false, true
	switch {
	case errors.Is(err, capture.ErrEnded):
		s.state = "the source has ended"
	case err != nil && !errors.Is(err, context.Canceled):
		s.state = "stopped: " + err.Error()
	default:
		s.state = "stopped"
	}
}

// changed reports, once, whether something must show at once.
func (s *status) changed() bool {
	c := s.fresh || s.stale
	s.fresh = false
	return c
}

// overdue reports whether lines have come since the summary was worked out.
func (s *status) overdue(boot time.Duration) bool {
	return s.stale || s.lines != s.summarisedLines && boot-s.summarised >= summaryEvery
}

// publish shows the channel as it is. The summary costs more than the rest and is
// worked out anew only every few seconds, or when something happened.
func (c *channel) publish() {
	boot := c.clock.Boot()
	s := &c.status
	if s.overdue(boot) {
		s.summarised, s.summarisedLines, s.stale = boot, s.lines, false
		s.summary = c.shown()
		if s.summary != nil && s.summary.Outcome != analyze.NoCharge && c.stored.id != s.summary.ID {
			c.storeRunning() // by that name its rows are asked for
		}
	}
	c.board.Publish(c.view(boot))
}

// view is the channel as the hub shows it.
func (c *channel) view(boot time.Duration) live.Channel {
	s, st := &c.status, c.story
	h := c.record.Health()
	v := live.Channel{
		Name: c.set.Name, Battery: live.Text(c.set.Options.Battery),
		Source: live.Source{
			Name: c.set.source(), Up: s.up, State: s.state, Since: moment(s.since), Reconnects: s.reconnects,
			QuietS: s.quiet(boot).Seconds(), Lines: s.lines, LastLineAt: moment(s.lastLine), Warning: live.Text(c.set.warning()), Hint: live.Text(c.advice(boot)),
		},
		SilenceS: c.limitOfSilence().Seconds(),
		Stage:    live.Text(st.machine.Stage()), StageWhy: live.Text(st.why), StageSinceS: analyze.Number(st.since),
		Session: s.summary,
		Rows:    int(st.lines), Used: int(st.rows), RejectedByReason: maps.Clone(st.refused),
		Decoder:  live.Text(st.decoder()),
		Journal:  live.Journal{Pending: h.Pending, Lost: int64(h.Dropped), Bytes: int64(h.Written)},
		Untold:   c.untold(),
		Push:     pushed(c.outlets),
		Limits:   c.limits(),
		ClockSet: capture.ClockSet(c.clock.Wall()),
	}
	if h.Fault != nil {
		v.Journal.Degraded = live.Text(h.Fault.Error())
	}
	if at, starting := st.machine.Starting(); starting {
		v.Starting = true
		v.StageWhy = live.Text(fmt.Sprintf("current has flowed since %s; what lasts for two minutes is surely no pulse, and its stage is told then", analyze.Clock(at)))
	}
	if r := st.last; r.ok {
		v.Reading = &live.Reading{
			At: r.wall.UTC(), AtS: analyze.Number(r.elapsed), Volts: analyze.Number(r.volts), Amps: analyze.Number(r.amps),
			Celsius: analyze.Number(r.celsius), AgeS: analyze.Number(max(0, (boot - r.boot).Seconds())),
		}
	}
	return v
}

// limitOfSilence is how long a meter may say nothing and still count as there: as set, else three of its usual
// intervals, and half a minute at least.
func (c *channel) limitOfSilence() time.Duration {
	const intervals, least = 3, live.DefaultSilence * time.Second
	if c.set.Silence > 0 {
		return c.set.Silence
	}
	return max(least, time.Duration(intervals*c.story.machine.Usual()*float64(time.Second)))
}

// untold is what should have been told of the channel and was not yet.
func (c *channel) untold() *live.Untold {
	if c.notes == nil {
		return nil
	}
	var u *live.Untold
	for _, m := range c.notes.Status().Unsent {
		switch {
		case !slices.Contains(m.Channels, c.set.Name):
		case u == nil:
			u = &live.Untold{Messages: 1, Since: m.At, Why: live.Text(m.Trouble)}
		default:
			u.Messages++
		}
	}
	return u
}

// advice is what the page proposes to do. What the journal tells of lines before the start is none
// of what comes now.
func (c *channel) advice(boot time.Duration) string {
	if c.status.lines == 0 {
		return c.mute(boot)
	}
	return c.hint()
}

// hint says what to do where lines come and cannot be read.
func (c *channel) hint() string {
	st := c.story
	switch {
	case st.noise != "":
		return st.noise
	case st.strangeHint() != "":
		return st.strangeHint()
	case st.tooEarly():
		return ""
	case st.rows > 0 && st.recent.drowned():
		return "lines come, but hardly one in twenty can be decoded, and most are no text: check the line rate (baud), the cable and its ground; amphora identify tries the usual rates"
	case st.rows > 0:
		return c.unreadable()
	case st.two != nil && st.refused[decoders.ErrAlone.Error()] > 0:
		return "both meters can be read, but their readings lie farther apart than skew: allows; make it as long as the slower one takes from one reading to the next"
	case st.stream == nil && st.fit.why != nil && !st.mostlyNoise():
		return st.fit.why.Error()
	case st.stream == nil:
		return "lines come, but are not understood yet: run amphora identify on the port, and check its line rate (baud)"
	case isAsked(st.decoder()):
		_, why := st.recent.unread()
		return "the meter answers, but no reading comes of it: " + why + ". Look at what it is asked for in the configuration, and in Setup at its answers"
	}
	if do := st.unread.advice(st.setting == ""); do != "" {
		return "lines come, but none can be decoded. " + do
	}
	return "lines come, but none can be decoded: check the line rate (baud) and the decoder; amphora identify helps"
}

// isAsked tells the decoders of meters that answer questions: their lines were made here,
// of what was configured.
func isAsked(setting string) bool {
	name, _, _ := strings.Cut(setting, " ")
	return name == "registers" || name == "answers"
}

// unreadable says what to do where lines go on coming, and the readings have ceased.
func (c *channel) unreadable() string {
	many, why := c.story.recent.unread()
	since := c.latest.Boot - c.story.last.boot
	if many < linesToTell || since <= c.limitOfSilence() {
		return ""
	}
	do := c.story.unread.advice(c.story.setting == "")
	if do == "" {
		do = "Look at what the meter shows, at its lead and its settings, and in Setup at the lines themselves"
	}
	return fmt.Sprintf("lines come, but for %s none of them has been a reading; of the latest it is said: %s. %s", analyze.Clock(since.Seconds()), why, do)
}

// mute says what to do where a port is open, and nothing has ever come of it: a first evening's usual trouble. A meter
// that is merely off says nothing either, so it is told on the page only.
func (c *channel) mute(boot time.Duration) string {
	if !strings.HasPrefix(c.set.source(), "serial:") || !c.status.up || c.status.lines > 0 || c.story.last.ok || boot-c.latest.Boot <= c.limitOfSilence() {
		return ""
	}
	return "the port is open, and nothing has come yet: is the meter on, and does it send by itself? Some must be asked, with scpi: or modbus: in the configuration. Look at the cable: are RX and TX crossed as they should be?"
}

func moment(t time.Time) *time.Time {
	if t.IsZero() {
		return nil
	}
	return new(t.UTC())
}
