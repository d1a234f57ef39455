package daemon

import (
	"context"
	"encoding/json"
	"testing"

	"amphora/analyze"
	"amphora/capture"

	"github.com/stretchr/testify/require"
)

func toJSON(t testing.TB, v any) string {
	b, err := json.MarshalIndent(v, "", " ")
	require.NoError(t, err)
	return string(b)
}

// scripted is a source that ends with what a stream has to say.
func scripted(s capture.Stream) capture.Source {
	return capture.Source{Name: "meter", Ends: true, Open: func(context.Context) (capture.Stream, error) { return s, nil }}
}

// recording is a daemon of one channel, bench, which a stream is about to speak to;
// change is for what else a test wants of it.
func recording(t testing.TB, data string, clock capture.Clock, s capture.Stream, change ...func(*Config)) *Daemon {
	t.Helper()
	c := Config{
		Data: data, Clock: clock, Log: quiet(),
		Channels: []Settings{{Name: "bench", Decoder: "auto", Source: scripted(s), Options: analyze.Options{Channel: "bench"}}},
	}
	for _, do := range change {
		do(&c)
	}
	d, err := Open(t.Context(), c)
	require.NoError(t, err)
	return d
}

// recorded is one that has heard all of the stream.
func recorded(t testing.TB, data string, clock capture.Clock, s capture.Stream, change ...func(*Config)) *Daemon {
	t.Helper()
	d := recording(t, data, clock, s, change...)
	require.NoError(t, d.Run(t.Context()))
	return d
}

// ofTheMower makes the channel's battery the mower's.
func ofTheMower(c *Config) { c.Channels[0].Options.Battery = "mower" }
