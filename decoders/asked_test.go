package decoders

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestFormsOfAnAnswer: published forms of numbers, and what is no reading.
func TestFormsOfAnAnswer(t *testing.T) {
	for answer, want := range map[string]struct {
		amps float64
		err  error
	}{
		"+250":            {250, nil},   // NR1
		"12.65":           {12.65, nil}, // NR2
		"+1.26500000E+01": {12.65, nil}, // NR3
		"+1.26512340E+01": {12.651234, nil},
		"-3.5e-3":         {-0.0035, nil},
		"#HFF":            {255, nil},
		"#Q17":            {15, nil},
		"#b101":           {5, nil},
		"#H1G":            {math.NaN(), ErrNumber},
		"#15hello":        {math.NaN(), ErrNumber}, // a block
		"3.5 A":           {3.5, nil},
		"3500 mA":         {3.5, nil},
		":MEAS:CURR 3.5":  {3.5, nil},
		"CURR 3.5 A":      {3.5, nil},
		"3.5,12.65":       {3.5, nil},
		"9.91E37":         {math.NaN(), nil},
		"+9.91E+37":       {math.NaN(), nil},
		"9.91000000E+37":  {math.NaN(), nil},
		"9.9E37":          {math.NaN(), ErrOverload},
		"-9.9E37":         {math.NaN(), ErrOverload},
		"OVERLOAD":        {math.NaN(), ErrOverload},
		"NAN":             {math.NaN(), nil},
		"ACME,1980A":      {math.NaN(), ErrNumber},
		`\x80\xff`:        {math.NaN(), ErrNumber},
		"":                {math.NaN(), nil},
	} {
		var r Reading
		err := decoderOf(t, "answers current=CURR?:A").Decode([]byte(`CURR?="`+answer+`"`), &r)
		assert.Equal(t, want.err, err, answer)
		assert.InDelta(t, want.amps, r[Amps], 0, answer)
	}
}

func TestAnAnswerInAnotherBaseIsNegatedToo(t *testing.T) {
	var r Reading
	assert.NoError(t, decoderOf(t, "answers current=CURR?:A:negate").Decode([]byte(`CURR?="#HFF"`), &r))
	assert.Equal(t, -255.0, r[Amps])
	assert.Equal(t, ErrNumber, decoderOf(t, "answers clock=TIME?").Decode([]byte(`TIME?="#HFF"`), &r), "a base makes no clock")
}

// What was not answered is blank, and a sentinel that is no number of the
// standard must not pass for volts (one bench ohm-meter sends 1.0000E+8).
func TestAnAnswerThatIsMissing(t *testing.T) {
	for line, want := range map[string]error{
		`MEAS:VOLT? (@1)="12.65" MEAS:CURR?=`:           ErrBlankAmps,
		`MEAS:VOLT? (@1)= MEAS:CURR?="3.5"`:             ErrBlankVolts,
		`MEAS:VOLT? (@1)="+1.0000E+8" MEAS:CURR?="3.5"`: ErrRange,
		`MEAS:VOLT? (@1)="9.91E37" MEAS:CURR?="3.5"`:    ErrBlankVolts,
		`MEAS:VOLT?="12.65"`:                            ErrNotMine,
		`MEAS:VOLT? (@1)="12.65`:                        ErrNotMine,
	} {
		s := streamOf(t, `answers voltage="MEAS:VOLT? (@1)":V current="MEAS:CURR?":A`)
		_, err := s.Line([]byte(line), 0, 0)
		assert.Equal(t, want, err, line)
	}
}

// TestFormsOfRegisters: the float and the words are published ones.
func TestFormsOfRegisters(t *testing.T) {
	for key, want := range map[string]struct {
		words string
		amps  float64
		err   error
	}{
		"uint16/0.01":            {"04F1", 12.65, nil},
		"int16/0.001":            {"F254", -3.5, nil},
		"int16/-0.001":           {"F254", 3.5, nil},
		"uint32/1":               {"0038 3F1B", 56<<16 + 16155, nil},
		"int32/0.001":            {"FFFF F254", -3.5, nil},
		"float32/1":              {"414C CCCD", 12.800000190734863, nil},
		"float32/1/word-swapped": {"CCCD 414C", 12.800000190734863, nil},
		"float32/1/byte-swapped": {"4C41 CDCC", 12.800000190734863, nil},
		"float32/1/little":       {"CDCC 4C41", 12.800000190734863, nil},
		"uint16/1/little":        {"F104", 0x04f1, nil},
		"float64/1":              {"4029 4CCC CCCC CCCD", 12.65, nil},
		"float64/1/word-swapped": {"CCCD CCCC 4CCC 4029", 12.65, nil},
		"float64/1/little":       {"CDCC CCCC CC4C 2940", 12.65, nil},
		"float32/2":              {"7FC0 0000", math.NaN(), nil},
		"float32/3":              {"7F80 0000", math.NaN(), ErrOverload},
		"float32/4":              {"7F7F FFFF", math.NaN(), ErrOverload},
		"uint16/5":               {"04F", math.NaN(), ErrTorn},
		"uint16/6":               {"04G1", math.NaN(), ErrNumber},
		"uint32/7":               {"04F1", math.NaN(), ErrTorn},
		"uint16/8":               {"!2", math.NaN(), nil},
		"uint16/9":               {"", math.NaN(), nil},
	} {
		var r Reading
		line := "1/4/0=" + strings.ReplaceAll(want.words, " ", "")
		err := decoderOf(t, "registers current=1/4/0/"+key+":A").Decode([]byte(line), &r)
		assert.Equal(t, want.err, err, key)
		assert.InDelta(t, want.amps, r[Amps], 1e-12, key)
	}
}

func TestWrongSettingsOfAskedMeters(t *testing.T) {
	for setting, want := range map[string]string{
		"answers":                                  "need a field",
		"answers voltage=READ?#0:V":                "1 to 9",
		"registers":                                "need a field",
		"registers voltage=4/0:V":                  "2 parts",
		"registers voltage=1/4/0/bcd/1:V":          `type "bcd"`,
		"registers voltage=1/4/0/uint16/0:V":       `scale "0"`,
		"registers voltage=1/4/0/uint16/x:V":       `scale "x"`,
		"registers voltage=1/4/0/uint16/1/mixed:V": `order "mixed"`,
		"registers clock=1/4/0/uint16/1:h:m:s":     "has no unit",
	} {
		_, err := Parse(setting)
		assert.ErrorContains(t, err, want, setting)
	}
}
