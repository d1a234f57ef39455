package points

import (
	"math"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"amphora/analyze"
	"amphora/dashboards/push"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	evening = time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)
	unknown = analyze.Unknown()
)

func reading() push.Sample {
	return push.Sample{At: evening, Stage: analyze.ConstantCurrent, Volts: 13.741, Amps: 3.359, Celsius: 18, ChargeAh: 10.402000000000001}
}

func charge() *analyze.Session {
	return &analyze.Session{
		Channel: "bench", Battery: "mower", Started: &evening, StartS: 100, EndS: 3700.0004, Outcome: analyze.Complete,
		ChargeInAh: 21.64, EnergyInWh: 305.1, HeldV: 14.5, SetA: 3,
	}
}

func TestTheTwoKindsOfLines(t *testing.T) {
	for _, c := range []struct {
		extra map[string]string
		want  string
	}{
		{nil, "charge_sample,battery=mower,channel=bench,stage=constant-current voltage=13.741,current=3.359,temperature=18,charge_ah=10.402 1773524400000000000\n" +
			"charge_session,battery=mower,channel=bench,outcome=complete charge_ah=21.64,energy_wh=305.1,duration_s=3600,held_v=14.5,set_a=3 1773528000000000000\n"},
		{map[string]string{"site": "north side", "area": "7", "zone": ""},
			"charge_sample,area=7,battery=mower,channel=bench,site=north\\ side,stage=constant-current voltage=13.741,current=3.359,temperature=18,charge_ah=10.402 1773524400000000000\n" +
				"charge_session,area=7,battery=mower,channel=bench,outcome=complete,site=north\\ side charge_ah=21.64,energy_wh=305.1,duration_s=3600,held_v=14.5,set_a=3 1773528000000000000\n"},
	} {
		e := New(c.extra)
		s := reading()
		ok, err := e.Sample("bench", "mower", &s)
		require.NoError(t, err)
		require.True(t, ok)
		ok, err = e.Session(charge())
		require.NoError(t, err)
		require.True(t, ok)
		assert.Equal(t, c.want, string(e.Bytes()))
		e.Reset()
		assert.Empty(t, e.Bytes())
	}
}

func TestWhatIsUnknownIsLeftOut(t *testing.T) {
	e := New(nil)
	for _, volts := range []float64{unknown, math.Inf(1)} {
		ok, err := e.Sample("bench", "mower", &push.Sample{At: evening, Volts: volts, Amps: unknown, Celsius: unknown, ChargeAh: unknown})
		require.NoError(t, err)
		assert.False(t, ok, "a reading of nothing is no point")
	}
	ok, err := e.Sample("bench", "", &push.Sample{At: evening, Volts: 12.6, Amps: math.Inf(-1), Celsius: unknown, ChargeAh: unknown})
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, "charge_sample,channel=bench voltage=12.6 1773524400000000000\n", string(e.Bytes()))
	s := charge()
	s.Started = nil
	_, err = e.Session(s)
	assert.ErrorContains(t, err, "no date")
}

// A line that cannot be written takes none of the others with it.
func TestAnErrorCostsOneLine(t *testing.T) {
	e := New(map[string]string{"site": "x"})
	s := reading()
	_, err := e.Sample("bench", "mower", &s)
	require.NoError(t, err)
	whole := string(e.Bytes())
	e.sample.list[0].name = "zzz" // out of order, as none of ours can be
	_, err = e.Sample("bench", "mower", &s)
	require.ErrorContains(t, err, "2026-03-14")
	assert.Equal(t, whole, string(e.Bytes()))
	e.sample.list[0].name = "battery"
	_, err = e.Sample("bench", "mower", &s)
	require.NoError(t, err)
	assert.Equal(t, whole+whole, string(e.Bytes()))
}

func TestS11Text(t *testing.T) {
	for given, want := range map[string]string{
		"mower": "mower", "": "", "old one, =": "old one, =", `"quoted" #7/b+`: `"quoted" #7/b+`, "Größe": "Größe",
		`a\b`: `a\b`, `a\`: "a\u29F5", `a\\b`: "a\u29F5\\b", `a\,b`: "a\u29F5,b", `a\ b`: "a\u29F5 b", `a\=b`: "a\u29F5=b",
		"a\nb\x00\u0085": "a?b??", "a\x7f": "a?", "a\u00a0b": "a\u00a0b", "a\xffb": "a\uFFFDb",
	} {
		assert.Equal(t, want, Text(given), "%q", given)
	}
}

// Whatever a name holds, the line is one point with the same tags and fields, for
// the decoder that others use too.
func FuzzPointIsReadBack(f *testing.F) {
	for _, name := range []string{"bench", "a,b=c d", `a\`, `\,\= \`, "a\nb c=1", "#", `"`, "+/#", "\xff", "a\u2028b", "trailing ", " "} {
		f.Add(name, name, 13.741, -3.359)
	}
	f.Fuzz(func(t *testing.T, channel, battery string, volts, amps float64) {
		e := New(map[string]string{"site": battery})
		s := push.Sample{At: evening, Stage: analyze.Rest, Volts: volts, Amps: amps, Celsius: unknown, ChargeAh: unknown}
		ok, err := e.Sample(channel, battery, &s)
		require.NoError(t, err)
		require.Equal(t, analyze.Known(volts) || analyze.Known(amps), ok)
		require.Equal(t, strings.Count(string(e.Bytes()), "\n"), map[bool]int{true: 1}[ok], "one line")
		if !ok {
			return
		}
		tags := map[string]string{"stage": "rest"}
		for tag, text := range map[string]string{"battery": battery, "channel": channel, "site": battery} {
			if text != "" {
				tags[tag] = Text(text)
				require.True(t, utf8.ValidString(tags[tag]))
			}
		}
		fields := map[string]float64{}
		if analyze.Known(volts) {
			fields["voltage"] = volts
		}
		if analyze.Known(amps) {
			fields["current"] = amps
		}
		got := testhelp.Points(t, e.Bytes())
		require.Len(t, got, 1)
		require.True(t, got[0].At.Equal(evening))
		require.Equal(t, testhelp.Point{Name: SampleName, Tags: tags, Fields: fields, At: got[0].At}, got[0])
	})
}

func BenchmarkSample(b *testing.B) {
	e := New(map[string]string{"site": "north"})
	s := reading()
	b.ReportAllocs()
	for n := 0; b.Loop(); n++ {
		if n%5000 == 0 {
			e.Reset()
		}
		s.At = s.At.Add(time.Second)
		s.Volts += 0.001
		if _, err := e.Sample("bench", "mower", &s); err != nil {
			b.Fatal(err)
		}
	}
}
