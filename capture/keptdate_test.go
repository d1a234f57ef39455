package capture

import (
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
)

// hostOf is the root of a host with some files.
func hostOf(files ...string) fstest.MapFS {
	root := fstest.MapFS{}
	for _, name := range files {
		root[name] = &fstest.MapFile{}
	}
	return root
}

func clockSays(root fstest.MapFS, text string) fstest.MapFS {
	root["sys/class/rtc/rtc0/since_epoch"] = &fstest.MapFile{Data: []byte(text)}
	return root
}

// Two days after its last shutdown a host starts with the date of that.
func TestHostThatBeginsWithTheDateOfItsLastShutdown(t *testing.T) {
	const kept = "etc/fake-hwclock.data"
	at := func(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
	for name, c := range map[string]struct {
		root     fstest.MapFS
		believed bool
	}{
		"keeps its date":                       {hostOf(kept), false},
		"is set by the network":                {hostOf("var/lib/systemd/timesync/clock"), false},
		"keeps that of its shutdown":           {hostOf("var/lib/misc/openrc-shutdowntime"), false},
		"was set by the network":               {hostOf(kept, synchronized), true},
		"keeps none, as in a container":        {hostOf(), true},
		"has a clock":                          {clockSays(hostOf(kept), "1773524400\n"), true},
		"has a clock whose battery is missing": {clockSays(hostOf(kept), "31\n"), false},
		"has a clock that begins in 2000":      {clockSays(hostOf(kept), "946684831\n"), false},
		"has a clock that nobody can read":     {clockSays(hostOf(kept), ""), false},
	} {
		k := newKeptDate(c.root, evening, at(30))
		want := time.Unix(31, 0).UTC()
		if c.believed {
			want = evening.Add(at(1))
		}
		assert.Equal(t, want, k.wall(evening.Add(at(1)), at(31)), name)
	}

	set := evening.Add(48 * time.Hour)
	k := newKeptDate(hostOf(kept), evening, at(30))
	assert.False(t, ClockSet(k.wall(evening.Add(at(10)), at(40))))
	assert.False(t, ClockSet(k.wall(evening.Add(at(15)), at(41))), "the two are not read in the same moment")
	assert.Equal(t, set, k.wall(set, at(42)), "set forth")
	assert.Equal(t, evening.Add(at(13)), k.wall(evening.Add(at(13)), at(43)), "whatever comes later is a step of a clock that was set once")

	k = newKeptDate(hostOf(kept), evening, at(30))
	assert.Equal(t, evening.Add(at(-60)), k.wall(evening.Add(at(-60)), at(31)), "set back")

	root := hostOf("var/lib/systemd/timesync/clock")
	k = newKeptDate(root, evening, at(30))
	assert.False(t, ClockSet(k.wall(evening.Add(at(1)), at(31))))
	root[synchronized] = &fstest.MapFile{}
	assert.Equal(t, evening.Add(at(2)), k.wall(evening.Add(at(2)), at(32)), "the network found it right, or nearly so")

	k = newKeptDate(hostOf(kept), evening, at(30))
	assert.False(t, ClockSet(k.wall(evening.Add(at(569)), at(599))))
	assert.Equal(t, evening.Add(at(570)), k.wall(evening.Add(at(570)), at(600)), "nobody sets it")
	assert.Equal(t, evening, newKeptDate(hostOf(kept), evening, at(600)).wall(evening, at(600)), "begun long after the boot")
}
