package mqtt

import (
	"fmt"
	"testing"

	"amphora/dashboards/live"
	"amphora/dashboards/testhelp"
)

// What a real broker on this machine acknowledges, as it comes and told not to hold
// small packets back; each message is a reading's.
func BenchmarkAcknowledged(b *testing.B) {
	for _, delay := range []string{"false", "true"} {
		m := testhelp.NewMosquitto(b, "allow_anonymous true", "log_type error", "set_tcp_nodelay "+delay)
		b.Run("nodelay="+delay, func(b *testing.B) { acknowledged(b, m) })
	}
}

func acknowledged(b *testing.B, m *testhelp.Mosquitto) {
	for _, version := range []Version{MQTT5, MQTT3} {
		b.Run(version.String(), func(b *testing.B) {
			s := Settings{Broker: m.Address(), Version: version}
			c := caller{settings: &s, id: "amphora1", will: say("amphora/state", "{}")}
			l, err := c.connect(b.Context())
			if err != nil {
				b.Fatal(err)
			}
			defer l.close(true)
			var batch []*message
			for k := range mostInFlight {
				batch = append(batch, say(fmt.Sprintf("amphora/%d/reading", k), `{"time":"2026-11-25T22:00:00.250Z","volts":13.74,"amps":3.36,"celsius":null,"silent_since":null}`))
			}
			b.ReportAllocs()
			for b.Loop() {
				if err := l.send(b.Context(), batch, nil); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.N*mostInFlight)/b.Elapsed().Seconds(), "messages/s")
		})
	}
}

// A look at 64 channels, each of which has a new reading.
func BenchmarkLook(b *testing.B) {
	y := newBystander(lookEvery)
	channels := make([]live.Channel, 64)
	for k := range channels {
		channels[k] = bench(y.now)
		channels[k].Name = fmt.Sprint("bench ", k)
	}
	b.ReportAllocs()
	for n := 0; b.Loop(); n++ {
		for k := range channels {
			r := *channels[k].Reading
			r.At, r.AtS = y.now, r.AtS+1
			channels[k].Reading = &r
			y.hub.Publish(channels[k])
		}
		y.now, y.boot = y.now.Add(lookEvery), y.boot+lookEvery
		y.look(y.now)
		y.out.sent(y.out.next(1)[0])
	}
}
