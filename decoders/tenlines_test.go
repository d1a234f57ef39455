package decoders

import (
	"encoding/binary"
	"encoding/hex"
	"testing"
)

// hexWords is a decoder in ten lines, as DEVELOPERS.md shows it: $04F1,0DAC is
// 12.65 V and 3.5 A in hexadecimal hundredths and thousandths.
var hexEntry = Entry{Name: "hex", About: "two words in hexadecimal, $04F1,0DAC", New: func(l *Layout) (Decoder, error) {
	l.Fields = []Field{{Quantity: Volts, Key: "1", Form: "V"}, {Quantity: Amps, Key: "2", Form: "A"}}
	return hexWords{}, nil
}}

type hexWords struct{}

func (hexWords) Decode(line []byte, r *Reading) error {
	*r = blank
	if len(line) != 10 || line[0] != '$' || line[5] != ',' {
		return ErrNotMine
	}
	var v, a [2]byte
	if _, err := hex.Decode(v[:], line[1:5]); err != nil {
		return ErrNumber
	}
	if _, err := hex.Decode(a[:], line[6:]); err != nil {
		return ErrNumber
	}
	r[Volts], r[Amps] = float64(binary.BigEndian.Uint16(v[:]))/100, float64(int16(binary.BigEndian.Uint16(a[:])))/1000
	return nil
}

func TestADecoderInTenLinesConforms(t *testing.T) {
	d, err := hexEntry.New(new(Layout))
	if err != nil {
		t.Fatal(err)
	}
	conforms(t, hexEntry.Name, d, []string{"$04F1,0DAC", "$04f1,fff6"})
}
