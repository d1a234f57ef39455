package mqtt

import (
	"encoding/json"
	"net/url"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"amphora/analyze"
	"amphora/dashboards/live"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// bystander watches a hub by hand.
type bystander struct {
	*watcher
	hub  *live.Hub
	now  time.Time
	boot time.Duration
	warm []string
}

func (b *bystander) Wall() time.Time     { return b.now }
func (b *bystander) Boot() time.Duration { return b.boot }

func newBystander(every time.Duration) *bystander {
	b := &bystander{now: time.Date(2026, 11, 25, 22, 0, 0, 0, time.UTC)}
	b.hub = live.NewHub(b)
	b.watcher = newWatcher(b.hub, tree{"amphora"}, newOutbox(), every, func(channel string) { b.warm = append(b.warm, channel) })
	return b
}

// after lets time go by, looks, and returns what there is to be sent, by topic
// without the name of the whole.
func (b *bystander) after(d time.Duration) map[string]string {
	b.now, b.boot = b.now.Add(d), b.boot+d
	b.look(b.now)
	return b.all()
}

func (b *bystander) all() map[string]string {
	all := make(map[string]string)
	for batch := b.out.next(99); len(batch) > 0; batch = b.out.next(99) {
		for _, m := range batch {
			all[strings.TrimPrefix(m.topic, "amphora/")] = string(m.payload)
			b.out.sent(m)
		}
	}
	return all
}

// reads publishes the channel with a reading of now.
func (b *bystander) reads(volts float64, s float64) {
	c := bench(b.now)
	c.Reading.Volts, c.Reading.AtS = analyze.Number(volts), analyze.Number(s)
	b.hub.Publish(c)
}

func TestReadingsComeSoOftenAtMost(t *testing.T) {
	b := newBystander(5 * time.Second)
	said := 0
	for k := range 60 {
		b.reads(13+float64(k)/100, float64(7200+k))
		if all := b.after(time.Second); all["bench/reading"] != "" {
			said++
			assert.Contains(t, all["bench/reading"], `"time":"2026-11-25T22:00:`)
		}
	}
	assert.InDelta(t, 12, said, 1)
	all := b.after(5 * time.Second)
	assert.Contains(t, all["bench/reading"], "13.59", "the last is not kept back")
	assert.Empty(t, b.after(5*time.Second), "nothing new, nothing said")
}

func TestEqualReadingsAreNewOnes(t *testing.T) {
	b := newBystander(time.Second)
	for k := range 3 {
		b.reads(13.5, float64(7200+k))
		assert.NotEmpty(t, b.after(time.Second)["bench/reading"], "each has its own time")
	}
}

func TestSilenceIsSaidOnceAndEnds(t *testing.T) {
	b := newBystander(time.Minute)
	b.reads(13.5, 7200)
	b.after(time.Second)
	assert.Empty(t, b.after(28*time.Second))
	all := b.after(2 * time.Second)
	assert.Equal(t, `{"time":"2026-11-25T22:00:31.000Z","volts":null,"amps":null,"celsius":null,"silent_since":"2026-11-25T22:00:00Z"}`, all["bench/reading"], "however seldom readings are wanted")
	assert.Empty(t, b.after(time.Hour))
	b.reads(13.6, 10900)
	assert.Contains(t, b.after(time.Second)["bench/reading"], "13.6")
}

func TestClockSetBackSilencesNobody(t *testing.T) {
	b := newBystander(time.Second)
	b.reads(13.5, 7200)
	b.after(time.Second)
	b.now = b.now.AddDate(-56, 0, 0)
	b.reads(13.6, 7201)
	assert.Contains(t, b.after(time.Second)["bench/reading"], "13.6")
}

// A host without a battery for its clock begins in 1970.
func TestNoDateBeforeTheClockIsSet(t *testing.T) {
	b := newBystander(time.Second)
	b.now = time.Unix(40, 0)
	since := b.now
	c := bench(b.now)
	c.Source.Since, c.Session.Started = &since, nil
	b.hub.Publish(c)
	for topic, payload := range b.after(time.Second) {
		assert.Nil(t, object(t, payload)["time"], topic)
		assert.NotContains(t, payload, "1970", topic)
	}
	b.now = time.Date(2026, 11, 25, 22, 0, 0, 0, time.UTC)
	b.reads(13.6, 7201)
	all := b.after(time.Second)
	assert.NotNil(t, object(t, all["bench/reading"])["time"])
	assert.NotNil(t, object(t, all["bench/stage"])["since"])
}

func TestDatesDoNotJitter(t *testing.T) {
	b := newBystander(time.Second)
	for k := range 50 {
		// Lines come up to a second late.
		b.reads(13.5, float64(7200+k)-float64(k%4)/4)
		all := b.after(time.Second)
		if k > 0 {
			assert.Empty(t, all["bench/stage"], "%d", k)
			assert.Empty(t, all["bench/findings"], "%d", k)
		}
	}
}

func TestEachEndedChargeIsTold(t *testing.T) {
	b := newBystander(time.Second)
	b.reads(14.4, 7200)
	assert.Empty(t, b.after(time.Second)["bench/session"], "it goes on")
	ended := func(id string, rest float64) {
		c, s := bench(b.now), over()
		s.ID = id
		s.Rest = &analyze.RestFit{DurationS: analyze.Number(rest)}
		c.Session = s
		b.hub.Publish(c)
	}
	ended("one", 10)
	all := b.after(time.Second)
	assert.Contains(t, all["bench/session"], `"id":"one"`)
	assert.Contains(t, all["bench/charge"], `"finished":"2026-11-25T21:58:2`)
	c, s := bench(b.now), over()
	s.ID, s.EndS = "one", 7300
	c.Session, c.Stage = s, "rest"
	b.hub.Publish(c)
	assert.Contains(t, b.after(time.Second)["bench/session"], `"end_s":7300`, "the current has stopped")
	b.hub.Publish(c)
	assert.Empty(t, b.after(time.Second)["bench/session"])
	ended("one", 10)
	b.after(time.Second)
	var told []string
	for k := range 3500 {
		ended("one", float64(10+k))
		if m := b.after(time.Second)["bench/session"]; m != "" {
			told = append(told, m)
		}
	}
	assert.InDelta(t, 6, len(told), 1, "now and then while its rest is watched")
	ended("two", 5)
	b.now, b.boot = b.now.Add(time.Second), b.boot+time.Second
	b.look(b.now)
	events := b.out.happenings()
	require.Len(t, events, 2, "the last of the first one, and the next")
	assert.Contains(t, string(events[0].payload), `"duration_s":3509`)
	assert.Contains(t, string(events[1].payload), `"id":"two"`)
}

func TestFarewellTakesReadingsBack(t *testing.T) {
	b := newBystander(time.Second)
	b.reads(13.5, 7200)
	b.after(time.Second)
	b.farewell(b.now)
	assert.Contains(t, b.all()["bench/reading"], `"volts":null`)
}

func TestTemperatureIsDescribedOnceItIsMeasured(t *testing.T) {
	b := newBystander(time.Second)
	b.reads(13.5, 7200)
	b.after(time.Second)
	assert.Empty(t, b.warm)
	for k := range 3 {
		c := bench(b.now)
		c.Reading.Celsius, c.Reading.AtS = 18, analyze.Number(7300+k)
		b.hub.Publish(c)
		b.after(time.Second)
	}
	assert.Equal(t, []string{"bench"}, b.warm)
}

// What is not known is null, in every payload.
func TestChannelOfWhichNothingIsKnown(t *testing.T) {
	b := newBystander(time.Second)
	b.hub.Publish(live.Channel{Name: "bench", StageSinceS: none})
	all := b.after(time.Second)
	require.Len(t, all, 5)
	for topic, payload := range all {
		for field, value := range object(t, payload) {
			switch field {
			case "time":
				assert.NotNil(t, value, topic)
			case "up", "count", "findings", "name", "state":
			default:
				assert.Nil(t, value, "%s %s", topic, field)
			}
		}
	}
}

func TestS11NamesInTopics(t *testing.T) {
	for _, name := range []string{"bench", "the shed", "a+b", "#", "a/b", "caf\u00e9", "50%", "\xff\xfe", "a\x00b\n", "$SYS", "", "."} {
		level := escape(name)
		assert.NotContains(t, level, "/")
		assert.NotRegexp(t, `[+#/$\s\x00]`, level)
		assert.True(t, utf8.ValidString(level))
		back, err := url.PathUnescape(level) // somebody else's decoder of RFC 3986
		require.NoError(t, err)
		assert.Equal(t, name, back)
	}
	assert.Equal(t, "the_20shed", identifier("the shed"))
	assert.NotEqual(t, identifier("a_b"), identifier("a b"))
}

func FuzzNamesInTopics(f *testing.F) {
	f.Add("the shed/+#")
	f.Fuzz(func(t *testing.T, name string) {
		back, err := url.PathUnescape(escape(name))
		require.NoError(t, err)
		require.Equal(t, name, back)
		require.NotRegexp(t, `[^a-zA-Z0-9_-]`, identifier(name))
		d := describer{prefix: "home", tree: tree{"amphora"}, node: "amphora1"}
		for _, m := range d.describe(name, false) {
			require.True(t, json.Valid(m.payload))
			require.Equal(t, 4, strings.Count(m.topic, "/"))
		}
	})
}

func TestDescriptions(t *testing.T) {
	d := describer{prefix: "home", tree: tree{"amphora"}, node: "amphora1", program: "1.2"}
	seen := make(map[string]bool)
	for _, m := range append(d.describe("the shed", false), d.describe("the shed", true)...) {
		var s description
		require.NoError(t, json.Unmarshal(m.payload, &s))
		assert.False(t, seen[s.UniqueID], s.UniqueID)
		seen[s.UniqueID] = true
		assert.Contains(t, d.topics("the shed"), m.topic)
		assert.True(t, strings.HasPrefix(s.StateTopic, "amphora/the%20shed/"))
		assert.Equal(t, "amphora/state", s.Availability)
	}
	assert.Len(t, seen, len(sensors))
	assert.JSONEq(t, `{
		"name": "Voltage", "unique_id": "amphora1_the_20shed_volts",
		"state_topic": "amphora/the%20shed/reading", "value_template": "{{ value_json.volts }}",
		"unit_of_measurement": "V", "device_class": "voltage", "state_class": "measurement",
		"availability_topic": "amphora/state", "availability_template": "{{ value_json.state }}",
		"device": {"identifiers": ["amphora1_the_20shed"], "name": "the shed"},
		"origin": {"name": "amphora", "sw_version": "1.2"}}`, string(d.describe("the shed", false)[0].payload))
	assert.Equal(t, "home/sensor/amphora1/the_20shed_volts/config", d.describe("the shed", false)[0].topic)
	assert.Empty(t, (&describer{}).describe("the shed", false), "only where it is wanted")
}

// Each template of a sensor names a field that the payload of its topic has.
func TestDescriptionsNameFieldsThatThereAre(t *testing.T) {
	b := newBystander(time.Second)
	b.reads(13.5, 7200)
	all := b.after(time.Second)
	for _, s := range sensors {
		payload := object(t, all["bench/"+s.topic])
		_, field, _ := strings.Cut(s.template, "value_json.")
		field = strings.FieldsFunc(field, func(r rune) bool { return r != '_' && (r < 'a' || r > 'z') })[0]
		assert.Contains(t, payload, field, s.object)
	}
}
