package decoders

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// specimens are a setting of each decoder with lines it must read.
var specimens = map[string]struct {
	setting string
	lines   []string
}{
	"columns": {
		"columns separator=comma width=4 time=1:s voltage=2:V current=3:A temperature=4:C",
		[]string{"0.000,3.32521,-0.00400,26.82", "10,12.65,3.5,", `"20","12.7","3.5","18"`},
	},
	"labelled": {
		"labelled time=t:s voltage=V:V current=I:A",
		[]string{"t=1s V=13.82V I=3500mA", "V: 13.82 I: 3.5 t: 2", "t 3 V 13.82 I 3.5"},
	},
	"json": {
		"json time=t:s voltage=battery.v:V current=battery.i:A",
		[]string{`{"t":1,"battery":{"v":13.82,"i":3.5}}`, `{"battery":{"i":"3500 mA","v":13.82},"t":2.0}`},
	},
	"pattern": {
		`pattern ^at (?P<time>\d+): (?P<voltage>[\d.]+) volts, (?P<current_mA>-?\d+)$`,
		[]string{"at 1: 13.82 volts, 3500", "at 20: 13.9 volts, -12"},
	},
	"turns": {
		"turns width=3 time=1:s voltage=2:V current=3:A",
		[]string{"10", "12.65", "3.5", "20", "12.7 V", "3500 mA"},
	},
	"answers": {
		`answers voltage="MEAS:VOLT?":V current=READ?:A time=READ?#2:s`,
		[]string{`MEAS:VOLT?="+1.26500000E+01" READ?="+3.5,17"`, `READ?="3500 mA,#H11" MEAS:VOLT?="12.65"`},
	},
	"registers": {
		"registers voltage=1/4/0/uint16/0.01:V current=1/4/2/int32/0.001:A time=1/3/9/uint32/1:s",
		[]string{"1/4/0=04F1 1/4/2=00000DAC 1/3/9=00000011", "1/3/9=00000011 1/4/2=fffff254 1/4/0=04f1"},
	},
}

func TestEveryDecoderConforms(t *testing.T) {
	for _, e := range All() {
		t.Run(e.Name, func(t *testing.T) {
			require.Contains(t, specimens, e.Name)
			conforms(t, e.Name, decoderOf(t, specimens[e.Name].setting), specimens[e.Name].lines)
		})
	}
}

// conforms holds a decoder to what is asked of every one: it reads its own lines,
// leaves those of others, says by name why it refuses one, whatever the bytes are,
// and allocates nothing.
func conforms(t *testing.T, name string, d Decoder, own []string) {
	read := 0
	for _, l := range own {
		var r Reading
		err := d.Decode([]byte(l), &r)
		if err == ErrHalf { // more lines make one reading
			continue
		}
		require.NoError(t, err, l)
		assert.True(t, known(r[Volts]) && known(r[Amps]), l)
		read++
	}
	assert.GreaterOrEqual(t, read, 2, "lines that it reads")

	others := []string{"", "   ", "ready>", "# a remark", "time_s,voltage_V,current_A,temperature_C", "\x00\xff\xfe", "{", "Menu: log, stop, help, quit"}
	for other, s := range specimens {
		if other != name && !(name == "columns" && other == "turns") { // a row cut short looks so
			others = append(others, s.lines...)
		}
	}
	for _, l := range others {
		var r Reading
		assert.Equal(t, ErrNotMine, d.Decode([]byte(l), &r), "%s reads %q", name, l)
	}

	random := rand.New(rand.NewPCG(1, 2))
	for range 5000 {
		line := []byte(own[random.IntN(len(own))])
		for range 1 + random.IntN(4) {
			line = hurt(random, line)
		}
		var r Reading
		if err := d.Decode(line, &r); err != nil {
			require.IsType(t, ErrNotMine, err, "%q", line)
		}
	}

	line, most := []byte(own[0]), 0.0
	if name == patternEntry.Name {
		most = 1 // the matches of a regular expression
	}
	var r Reading
	assert.LessOrEqual(t, testing.AllocsPerRun(100, func() { _ = d.Decode(line, &r) }), most, "allocations a line")
}

// hurt changes, drops or puts in one byte.
func hurt(random *rand.Rand, line []byte) []byte {
	at, with := random.IntN(len(line)+1), byte(random.IntN(256))
	switch {
	case at == len(line) || random.IntN(3) == 0:
		return slices.Insert(bytes.Clone(line), at, with)
	case random.IntN(2) == 0:
		return slices.Delete(bytes.Clone(line), at, at+1)
	}
	line = bytes.Clone(line)
	line[at] = with
	return line
}
