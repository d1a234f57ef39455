package daemon

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/dashboards/notify"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// letters is a target that keeps what it gets.
type letters struct {
	mu  sync.Mutex
	got []notify.Notification
}

func (l *letters) Name() string { return "letters" }

func (l *letters) Send(_ context.Context, n *notify.Notification) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.got = append(l.got, *n)
	return nil
}

// told plays a night through a daemon and returns what was told of it.
func told(t *testing.T, name string) []notify.Event {
	n := madeup.Named(name)
	file := filepath.Join(t.TempDir(), "night.log")
	require.NoError(t, os.WriteFile(file, n.Log(), 0o644))
	l := &letters{}
	d, stop := started(t, t.TempDir(), follow(t, capture.File{Path: file}), ofTheMower, func(c *Config) { c.Notify.Targets = []notify.Target{l} })
	untilRead(t, d, n)
	stop()
	var events []notify.Event
	for _, n := range l.got {
		require.NotEmpty(t, n.Sessions)
		events = append(events, n.Events...)
	}
	return events
}

// A good night is worth one message, and that tells what went in.
func TestAGoodNightIsToldOnce(t *testing.T) {
	events := told(t, "mower-float")
	require.Len(t, events, 1)
	e := events[0]
	assert.Equal(t, notify.Complete, e.Kind)
	assert.Equal(t, "mower", e.Battery)
	assert.NotEmpty(t, e.Session)
	assert.Contains(t, e.Message, "Ah went in, give or take")
	assert.Contains(t, e.Message, "held at 14.5")
}

// Of two charges in a night each is told.
func TestTwoChargesAreToldTwice(t *testing.T) {
	var kinds []string
	for _, e := range told(t, "outboard-two-charges") {
		kinds = append(kinds, string(e.Kind))
	}
	assert.Equal(t, "complete complete", strings.Join(kinds, " "))
}

// Who was warned of a charge hears that it is over; of an alarm somebody must see to
// that. What still held is not told anew when the session is closed, hours later.
func TestTheEndOfAChargeClearsItsWarnings(t *testing.T) {
	c := &channel{set: Settings{Name: "bench"}}
	s := &analyze.Session{ID: "bench-1", Outcome: analyze.CutShort}
	for _, code := range []string{analyze.CodeStalled, analyze.CodeThermalRunaway, analyze.CodeCurrentDropped} {
		s.Findings = append(s.Findings, analyze.Finding{Code: code, Severity: analyze.FindingCodes()[code], EndS: analyze.Number(analyze.Unknown())})
	}
	for _, kind := range []analyze.EventKind{analyze.SessionOver, analyze.SessionClosed} {
		told := map[string]notify.Kind{}
		for _, e := range c.notesOf(&analyze.Event{Kind: kind, Session: s}, time.Now()) {
			told[e.Code] = e.Kind
		}
		delete(told, "") // the end itself
		assert.Equal(t, map[string]notify.Kind{"stalled": notify.Cleared, "thermal-runaway": notify.Raised, "current-dropped": notify.Raised}, told, kind)
	}
}

// Once a charge is put away, by its own end or after a quiet day, nothing that is told is about it.
func TestAChargeThatIsPutAwayIsNoTopicAnyMore(t *testing.T) {
	charge := &analyze.Session{ID: "bench-1", Outcome: analyze.Complete}
	for name, end := range map[string]turn{
		"closed":      {events: []analyze.Event{{Kind: analyze.SessionClosed, Session: charge}}, wall: time.Now()},
		"a quiet day": {closed: true, wall: time.Now()},
	} {
		c := &channel{set: Settings{Name: "bench"}, story: newStory("auto", analyze.Options{}), notes: notify.Open(notify.Options{Dir: t.TempDir()})}
		defer c.notes.Close()
		c.notice(&turn{events: []analyze.Event{{Kind: analyze.SessionBegan, Session: charge}}, wall: time.Now()})
		assert.Equal(t, "bench-1", c.note(notify.Raised, time.Now()).Session, name)
		c.notice(&end)
		n := c.note(notify.Raised, time.Now())
		assert.Empty(t, n.Session, name)
		assert.Equal(t, "bench-1 and after", n.Episode, name)
	}
}

// That the current had dropped clears with the charge that it is of, though the next one is under way by then; what
// else clears does so with the one that is.
func TestWhatClearsIsToldWithItsCharge(t *testing.T) {
	o := analyze.Options{Channel: "bench", Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * 3600}
	c := &channel{set: Settings{Name: "bench"}, story: newStory("auto", o)}
	var first string
	told := map[string]string{}
	at := 0.0
	pass := func(seconds, from, to, amps, celsius float64) {
		for began := at; at < began+seconds; at += 10 {
			s := analyze.Sample{At: at, Volts: from + (to-from)*(at-began)/seconds, Amps: amps, Celsius: celsius, Counter: analyze.Unknown()}
			for _, e := range c.story.machine.Step(s) {
				for _, n := range c.notesOf(&e, time.Now()) {
					if n.Kind == notify.Cleared {
						require.NotNil(t, n.Summary, n.Code)
						assert.Equal(t, n.Session, n.Summary.ID)
						told[n.Code] = n.Session
					}
				}
				if first == "" && c.topic.session != "" {
					first = c.topic.session
				}
			}
		}
	}
	pass(600, 12.2, 12.2, 0, 20)
	pass(7200, 12.5, 13, 4, 20)
	pass(4800, 12.6, 12.5, 0, 20)
	pass(3600, 13, 13.3, 4, 20)
	pass(600, 13.3, 13.4, 4, 55)
	pass(600, 13.4, 13.5, 4, 20)
	require.NotEqual(t, first, c.topic.session)
	assert.Equal(t, map[string]string{analyze.CodeCurrentDropped: first, analyze.CodeOverTemperature: c.topic.session}, told)
}

func TestEachWarningAndAlarmIsToldAsItComesAndGoes(t *testing.T) {
	c := &channel{set: Settings{Name: "bench"}, story: newStory("auto", analyze.Options{})}
	for code, severity := range analyze.FindingCodes() {
		f := analyze.Finding{Code: code, Severity: severity, Message: "evidence"}
		rose := c.notesOf(&analyze.Event{Kind: analyze.FindingRaised, Finding: f}, time.Now())
		if severity == analyze.Note {
			assert.Empty(t, rose, code)
			continue
		}
		require.Len(t, rose, 1, code)
		assert.Equal(t, []any{notify.Raised, code, severity, "evidence"}, []any{rose[0].Kind, rose[0].Code, rose[0].Severity, rose[0].Message})
		fell := c.notesOf(&analyze.Event{Kind: analyze.FindingCleared, Finding: f}, time.Now())
		require.Len(t, fell, 1, code)
		assert.Equal(t, []any{notify.Cleared, code, "bench"}, []any{fell[0].Kind, fell[0].Code, fell[0].Channel})
	}
}
