package decoders

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func streamOf(t testing.TB, setting string) *Stream {
	l, err := Parse(setting)
	require.NoError(t, err)
	s, err := NewStream(l)
	require.NoError(t, err)
	return s
}

func decoderOf(t testing.TB, setting string) Decoder {
	l, err := Parse(setting)
	require.NoError(t, err)
	d, err := entryNamed(l.Kind).New(l)
	require.NoError(t, err)
	return d
}

func TestRefusalsAreNamed(t *testing.T) {
	s := streamOf(t, "columns separator=comma width=4 time=1:s voltage=2:V current=3:A temperature=4:C")
	for i, c := range []struct {
		line string
		err  *Refusal
	}{
		{"time_s,voltage_V,current_A,temperature_C", ErrNotMine},
		{"1,12.6,,20", ErrBlankAmps},
		{"2,,3.5,20", ErrBlankVolts},
		{"3,,,", ErrBlank},
		{"4,OL,3.5,20", ErrOverload}, {"4,0.L,3.5,20", ErrOverload}, {"4,12.6,0L,20", ErrOverload}, {"4,12.6,1.#INF,20", ErrOverload},
		{"5,12.6,3.4e38,20", ErrOverload},
		{"6,12.6,9.9E37,20", ErrOverload}, {"6,12.6,9.91E37,20", ErrBlankAmps}, {"6,9.91E37,3.5,20", ErrBlankVolts},
		{"7,12.6,3x5,20", ErrNumber},
		{"8,12.6,3.", ErrTorn},
		{"9,12.6,3.510,12.6,3.5,20", ErrTorn},
		{"10,12650,3.5,20", ErrRange},
		{"9187918740,12.6,3.5,20", ErrRange}, // the beginning of one time, and another
		{",12.6,3.5,20", ErrBlankTime},
		{"# 12,12.6,3.5,20 is a remark", ErrNotMine},
	} {
		got, err := s.Line([]byte(c.line), math.NaN(), 0)
		assert.Equal(t, c.err, err, c.line)
		assert.Equal(t, i+1, got.Line)
	}
	assert.Equal(t, 17, s.rows)
	assert.Equal(t, "blank current", ErrBlankAmps.Error())
}

// A moment that a damaged line makes can be beyond what nanoseconds can tell, which would
// come round to the years before 1970.
func TestMomentsBeyondBeliefAreRefused(t *testing.T) {
	s := streamOf(t, "columns separator=comma width=3 stamp=1:unix voltage=2:V current=3:A")
	for line, want := range map[string]error{"1795665400,12.6,3.5": nil, "17956654001,12.6,3.5": ErrRange, "-9187918740,12.6,3.5": ErrRange} {
		_, err := s.Line([]byte(line), math.NaN(), 0)
		assert.Equal(t, want == nil, err == nil, line)
		if want != nil {
			assert.ErrorIs(t, err, want, line)
		}
	}
}

func TestRowWithTemperatureAlone(t *testing.T) {
	s := streamOf(t, "columns separator=comma time=1:s voltage=2:V current=3:A temperature=4:C")
	got, err := s.Line([]byte("423.7,,,24.37"), math.NaN(), 0)
	require.NoError(t, err)
	assert.Equal(t, 24.37, got.Celsius)
	assert.Equal(t, 423.7, got.At)
	assert.True(t, math.IsNaN(got.Volts) && math.IsNaN(got.Amps))
}

func TestHalvesAreJoined(t *testing.T) {
	s := streamOf(t, "labelled pair=yes voltage=U:V current=I:A")
	for _, c := range []struct {
		line string
		err  error
		v, i float64
	}{
		{"U=12.1V", ErrHalf, 0, 0},
		{"I=3.5A", nil, 12.1, 3.5},
		{"I=3.4A", ErrHalf, 0, 0}, // the voltage before it was lost
		{"U=12.3V", nil, 12.3, 3.4},
		{"U=12.4V", ErrHalf, 0, 0},
		{"U=12.5V", ErrHalf, 0, 0}, // the current between was lost
		{"I=3.3A", nil, 12.5, 3.3},
	} {
		got, err := s.Line([]byte(c.line), 1, 0)
		if c.err != nil {
			assert.Equal(t, c.err, err, c.line)
			continue
		}
		require.NoError(t, err, c.line)
		assert.Equal(t, c.v, got.Volts, c.line)
		assert.Equal(t, c.i, got.Amps, c.line)
	}
}

func TestATimeMayHaveALineOfItsOwn(t *testing.T) {
	s := streamOf(t, "labelled pair=yes time=t:s voltage=U:V current=I:A")
	for _, c := range []struct {
		line     string
		err      error
		at, v, i float64
	}{
		{"t=10", ErrHalf, 0, 0, 0},
		{"U=12.1V", ErrHalf, 0, 0, 0},
		{"I=3.5A", nil, 10, 12.1, 3.5},
		{"t=20", ErrHalf, 0, 0, 0},
		{"U=12.2V", ErrHalf, 0, 0, 0},
		{"t=30", ErrHalf, 0, 0, 0}, // the current of 20 s was lost, and its voltage goes with it
		{"I=3.3A", ErrHalf, 0, 0, 0},
		{"U=12.3V", nil, 30, 12.3, 3.3},
	} {
		got, err := s.Line([]byte(c.line), 1, 0)
		if c.err != nil {
			assert.Equal(t, c.err, err, c.line)
			continue
		}
		require.NoError(t, err, c.line)
		assert.Equal(t, []float64{c.at, c.v, c.i}, []float64{got.At - s.offset, got.Volts, got.Amps}, c.line)
	}
}

func TestIntervalCountsRowsAlsoRejectedOnes(t *testing.T) {
	s := streamOf(t, "columns separator=comma interval=10s voltage=1:V current=2:A")
	var at []float64
	for _, l := range []string{"volt,amp", "12,1", "12,", "# note", "12,1"} {
		if got, err := s.Line([]byte(l), math.NaN(), 0); err == nil {
			at = append(at, got.At)
		}
	}
	assert.Equal(t, []float64{0, 20}, at)
}

func TestChecksumIsVerified(t *testing.T) {
	s := streamOf(t, "labelled checksum=xor voltage=V:V current=A:A")
	for line, want := range map[string]error{
		withXor("V=13.82 A=04.10"):  nil,
		"$V=13.82 A=04.10*00":       ErrChecksum,
		"$V=13.82 A=04.1":           ErrTorn,
		"$ready*21":                 ErrChecksum,
		"hello":                     ErrNotMine,
		withXor("nothing in it 12"): ErrNotMine,
	} {
		_, err := s.Line([]byte(line), 0, 0)
		assert.Equal(t, want, err, line)
	}
}

// Check values of "123456789" as the catalogue of parametrised CRC algorithms
// lists them (from memory): SMBUS, MAXIM-DOW, IBM-3740, XMODEM, MODBUS, ARC,
// KERMIT. Sums and xor by hand.
// Every kind of tail is found by itself, and named.
func TestChecksumsAreFound(t *testing.T) {
	for _, kind := range checksumKinds {
		for v := range 8 {
			c := kind
			c.start, c.mark, c.swapped = v&1 != 0, v&2 != 0, v&4 != 0
			if c.sum == nil || c.swapped && c.width == 2 {
				continue
			}
			var lines [][]byte
			for k := range 20 {
				line := fmt.Appendf(nil, "$13.%02d,3.5%d*", 3*k, k%7)
				counted := line[1:]
				if c.start {
					counted = line
				}
				if !c.mark {
					counted = counted[:len(counted)-1]
				}
				sum := c.sum(counted)
				if c.swapped {
					sum = sum>>8 | sum&0xff<<8
				}
				lines = append(lines, fmt.Appendf(line, "%0*X", c.width, sum))
			}
			name, _ := findChecksum(lines)
			found := checksumNamed(name)
			require.NotNil(t, found.sum, c.name())
			for _, l := range lines {
				assert.True(t, found.holds(takeApart(l)), "%s, found as %s", c.name(), name)
			}
		}
	}
}

func TestChecksumsOfTheDigits(t *testing.T) {
	for name, want := range map[string]uint{
		"crc8": 0xf4, "crc8-reflected": 0xa1, "crc16-ccitt": 0x29b1, "crc16-xmodem": 0x31c3,
		"crc16-modbus": 0x4b37, "crc16-arc": 0xbb3d, "crc16-kermit": 0x2189,
		"xor": 0x31, "sum": 0xdd, "negated-sum": 0x23, "sum16": 0x1dd,
	} {
		assert.Equal(t, want, checksumNamed(name).sum([]byte("123456789")), name)
	}
}

// A live source of which one line tells a time far ahead, since two halves became one,
// goes on by its own clock. A clock that is set back goes on by the arrivals.
func TestOneTimeFarAheadMovesNoOther(t *testing.T) {
	s := streamOf(t, "columns separator=comma time=1:s voltage=2:V current=3:A")
	said := []float64{1000, 1020, 1040, 11060, 1080, 1100, 1120, 1180, 1160, 1180, 500, 520}
	want := []float64{1000, 1020, 1040, 11060, 1080, 1100, 1120, 1180, 1160, 1180, 1200, 1220}
	for k := range said {
		sample, err := s.Line(fmt.Appendf(nil, "%g,12.5,1.0", said[k]), 20*float64(k), 0)
		require.NoError(t, err)
		assert.Equal(t, want[k], sample.At, "row %d", k)
	}
}

// Nor does a line that tells a time of the past: it is put where it came, and the next
// one where it belongs. A clock that is set back by little more than a row goes on from
// there.
func TestOneTimeOfThePastMovesNoOther(t *testing.T) {
	s := streamOf(t, "columns separator=comma time=1:s voltage=2:V current=3:A")
	said := []float64{1000, 1020, 1040, 10, 1080, 1100, 1075, 1095, 1115, 1, 1175}
	want := []float64{1000, 1020, 1040, 1060, 1080, 1100, 1120, 1140, 1160, 1180, 1220}
	for k := range said {
		sample, err := s.Line(fmt.Appendf(nil, "%g,12.5,1.0", said[k]), 20*float64(k), 0)
		require.NoError(t, err)
		assert.Equal(t, want[k], sample.At, "row %d", k)
	}
}
