package mqtt

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func payloads(batch []*message) (all []string) {
	for _, m := range batch {
		all = append(all, string(m.payload))
	}
	return all
}

func say(topic, payload string) *message { return &message{topic: topic, payload: []byte(payload)} }

func tell(topic, event, payload string) *message {
	return &message{topic: topic, event: event, payload: []byte(payload)}
}

func TestOfStatesTheNewestCounts(t *testing.T) {
	o := newOutbox()
	o.state(say("a", "1"))
	o.state(say("b", "2"))
	o.state(say("a", "3"))
	assert.Equal(t, []string{"3", "2"}, payloads(o.next(9)))
	assert.Equal(t, []string{"3"}, payloads(o.next(1)))
	first := o.next(1)[0]
	o.state(say("a", "4")) // while the one before is under way
	o.sent(first)
	assert.Equal(t, []string{"4", "2"}, payloads(o.next(9)))
	for _, m := range o.next(9) {
		o.sent(m)
	}
	assert.Empty(t, o.next(9))
	o.again()
	assert.ElementsMatch(t, []string{"4", "2"}, payloads(o.next(9)), "for a broker that has forgotten")
}

func TestEventsComeInOrderAndOneOfATopicAtATime(t *testing.T) {
	o := newOutbox()
	o.happened(tell("a", "first", "1"))
	o.happened(tell("a", "second", "2"))
	o.happened(tell("b", "first", "3"))
	o.happened(tell("a", "first", "4"))
	o.state(say("a", "5"))
	var came []string
	for batch := o.next(9); len(batch) > 0; batch = o.next(9) {
		came = append(came, payloads(batch)...)
		for _, m := range batch {
			o.sent(m)
		}
	}
	assert.Equal(t, []string{"4", "3", "2"}, came[:3], "what is known newer of the first takes its place")
	n, dropped := o.waiting()
	assert.Zero(t, n)
	assert.Zero(t, dropped)
}

func TestSoManyEventsWaitAtMost(t *testing.T) {
	o := newOutbox()
	for k := range mostEvents + 7 {
		o.happened(tell("a", fmt.Sprint(k), fmt.Sprint(k)))
	}
	n, dropped := o.waiting()
	assert.Equal(t, mostEvents, n)
	assert.Equal(t, uint64(7), dropped)
	assert.Equal(t, []string{"7"}, payloads(o.next(9)), "the oldest went")
}

func TestMessageThatBreaksTheConnectionIsGivenUp(t *testing.T) {
	o := newOutbox()
	o.happened(tell("a", "bad", "1"))
	o.state(say("b", "2"))
	for range mostTries - 1 {
		assert.False(t, o.broke(o.next(1)[0]))
		assert.Equal(t, []string{"1"}, payloads(o.next(1)))
	}
	assert.True(t, o.broke(o.next(1)[0]))
	assert.Equal(t, []string{"2"}, payloads(o.next(9)))
	for range mostTries {
		o.broke(o.next(1)[0])
	}
	o.again()
	assert.Empty(t, o.next(9))
	_, dropped := o.waiting()
	assert.Equal(t, uint64(2), dropped)
}

func TestWhatIsTakenBackIsForgotten(t *testing.T) {
	o := newOutbox()
	o.state(say("a", "1"))
	o.state(&message{topic: "a"})
	o.sent(o.next(1)[0])
	o.again()
	assert.Empty(t, o.next(9))
}

// Charges that end while the broker is away outlast a restart of ours.
func TestEventsOutlastUs(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "push")
	with := func(o *Options) { o.Dir = dir }
	m := testhelp.NewMosquitto(t)
	m.Kill()
	away := newAim(t, m.Address(), with)
	for _, id := range []string{"bench-1", "bench-2"} {
		s := over()
		s.ID = id
		away.hub.Publish(live.Channel{Name: "bench", Session: s})
		testhelp.Until(t, "the charge", func() bool { h := away.out.happenings(); return len(h) > 0 && h[len(h)-1].event == id })
	}
	away.Close()

	m.Start()
	a := newAim(t, m.Address(), with)
	a.untilTold(t, "amphora/bench/session", "bench-2")
	testhelp.Until(t, "them to be crossed out", func() bool {
		kept, err := os.ReadFile(a.memory.file)
		require.NoError(t, err)
		return !strings.Contains(string(kept), "bench-1") && !strings.Contains(string(kept), "bench-2")
	})
}

// Two programs at one broker must not throw each other out, and one that begins anew is
// still the same.
func TestTwoProgramsAreTwoClients(t *testing.T) {
	id := clientID("/var/lib/amphora", "broker:1883")
	assert.Equal(t, id, clientID("/var/lib/amphora", "broker:1883"))
	assert.NotEqual(t, id, clientID("/srv/amphora", "broker:1883"))
	assert.NotEqual(t, id, clientID("/var/lib/amphora", "broker:8883"))
	assert.Regexp(t, "^[0-9a-zA-Z]{1,23}$", id, "what every broker takes")

	o := Options{Settings: Settings{Broker: "mqtt://broker"}, Hub: live.NewHub(testhelp.NewClock(time.Now()))}
	names := map[string]bool{}
	for _, instance := range []string{"/var/lib/amphora", "/srv/amphora"} {
		o.Instance = instance
		target, err := newTarget(o)
		require.NoError(t, err)
		names[target.caller.id] = true
	}
	assert.Len(t, names, 2)
}
