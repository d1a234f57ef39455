package decoders

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"testing/iotest"

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

func specimenDecoder(t testing.TB, name string) Decoder {
	l, err := Parse(specimens[name].setting)
	require.NoError(t, err)
	d, err := entryNamed(name).New(l)
	require.NoError(t, err)
	return d
}

func TestEveryDecoderConforms(t *testing.T) {
	for _, e := range All() {
		t.Run(e.Name, func(t *testing.T) {
			require.Contains(t, specimens, e.Name)
			conforms(t, e.Name, specimenDecoder(t, e.Name), specimens[e.Name].lines)
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

// However a reader cuts the text, the same lines come out of the conversion.
func TestTextIsTheSameHoweverItIsCut(t *testing.T) {
	const text = "Zeit;Spannung [V];Temp °C\r\n1;12,65;18\n𝛀;ä\r"
	for _, e := range []Encoding{UTF8, UTF8Mark, UTF16LE, UTF16BE} {
		raw := encode(text, e)
		assert.Equal(t, e, Text(raw[:40]))
		for name, cut := range map[string]func(io.Reader) io.Reader{
			"whole": func(r io.Reader) io.Reader { return r }, "bytes": iotest.OneByteReader,
			"halves": iotest.HalfReader, "end with data": iotest.DataErrReader,
		} {
			got, err := io.ReadAll(e.Reader(cut(bytes.NewReader(raw))))
			require.NoError(t, err)
			assert.Equal(t, text, string(got), "encoding %d, %s", e, name)
		}
	}
	assert.Equal(t, UTF16LE, Text(encode("1;2;3;4;5;6", UTF16LE)[2:]), "without its mark")
	assert.Equal(t, UTF8, Text([]byte("Temp \xb0C;1;2;3")), "Latin-1 passes as it is")
}

func encode(s string, e Encoding) []byte {
	switch e {
	case UTF8Mark:
		return append([]byte{0xef, 0xbb, 0xbf}, s...)
	case UTF16LE, UTF16BE:
		var out []byte
		units := append([]uint16{0xfeff}, utf16Of(s)...)
		for _, u := range units {
			if e == UTF16LE {
				out = append(out, byte(u), byte(u>>8))
			} else {
				out = append(out, byte(u>>8), byte(u))
			}
		}
		return out
	}
	return []byte(s)
}

func utf16Of(s string) []uint16 {
	var out []uint16
	for _, c := range s {
		if c >= 0x10000 {
			c -= 0x10000
			out = append(out, uint16(0xd800+c>>10), uint16(0xdc00+c&0x3ff))
			continue
		}
		out = append(out, uint16(c))
	}
	return out
}

// FuzzDecoders feeds any bytes to every decoder, alone and behind a checksum.
func FuzzDecoders(f *testing.F) {
	for _, line := range sound() {
		f.Add(line)
	}
	check := anyLine(f)
	f.Fuzz(func(t *testing.T, line []byte) { check(t, line[:min(len(line), 512)]) })
}

// sound are lines that some decoder reads.
func sound() (lines [][]byte) {
	for _, s := range specimens {
		for _, l := range s.lines {
			lines = append(lines, []byte(l), []byte(withXor(l)))
		}
	}
	for _, c := range layouts() {
		log := logOf(c.header, c.line)
		lines = append(lines, []byte(log[0]), []byte(log[200]))
	}
	return lines
}

// anyLine hands a line to every decoder, which reads it or says by name why not.
func anyLine(t require.TestingT) func(require.TestingT, []byte) {
	var streams []*Stream
	for _, s := range specimens {
		for _, extra := range []string{"", " checksum=xor", " pair=yes", " interval=1s", " thousands=comma"} {
			l, err := Parse(s.setting)
			require.NoError(t, err)
			switch extra {
			case " checksum=xor":
				l.Checksum = "xor"
			case " pair=yes":
				l.Pair = true
			case " interval=1s":
				l.Interval = 1
			case " thousands=comma":
				l.Grouping = "comma"
			}
			stream, err := NewStream(l)
			require.NoError(t, err)
			streams = append(streams, stream)
		}
	}
	return func(t require.TestingT, line []byte) {
		for i, s := range streams {
			got, err := s.Line(line, math.NaN(), 0)
			if err != nil {
				if _, ok := err.(*Refusal); !ok {
					require.Fail(t, "a refusal has a name", "%v from %q", err, line)
				}
				continue
			}
			if s.Lines() != got.Line || overloaded(got.Volts) || overloaded(got.Amps) {
				require.Fail(t, "a sample that is none", "stream %d gives %+v from %q", i, got, line)
			}
		}
	}
}

// FuzzFit feeds any text, cut into lines, to Fit. Short ones, of a few lines each, since
// many short texts find more than a few long ones; TestMangledLogs has the long ones.
func FuzzFit(f *testing.F) {
	for _, text := range soundLogs() {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) { anyLog(t, text[:min(len(text), 256)]) })
}

// soundLogs are logs whose layout Fit finds.
func soundLogs() (logs [][]byte) {
	for _, c := range layouts() {
		var b bytes.Buffer
		for _, l := range logOf(c.header, c.line)[80:92] {
			fmt.Fprintln(&b, l)
		}
		logs = append(logs, b.Bytes())
	}
	return logs
}

// anyLog hands a log to Fit: what it finds can be set, or it says that it finds
// nothing.
func anyLog(t require.TestingT, text []byte) {
	fitted, err := Fit(bytes.Split(text[:min(len(text), 4096)], []byte("\n")), Options{Live: true})
	if err != nil {
		require.ErrorIs(t, err, ErrUndecodable)
		return
	}
	again, err := Parse(fitted.Setting)
	require.NoError(t, err)
	require.Equal(t, fitted.Setting, again.String())
}
