package decoders

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Registers: the words of a meter's registers in hex, behind unit, function and
// address, as capture wrote them down; !2 is a refusal.
//
//	1/4/0=04F1 1/4/2=00000DAC
//
// A field's key says where it stands, and how the words make a number: the type,
// the value of one count in the field's unit, and the order of the bytes where it
// is not the standard one, 1/4/2/int32/0.001/word-swapped.
var registersEntry = Entry{
	Name:  "registers",
	About: "registers of a meter, 1/4/0=04F1",
	New:   newRegisters,
}

type registers struct {
	layout *Layout
	places []registerPlace // of the fields
}

// registerPlace is where a field stands and how it is written.
type registerPlace struct {
	where string // unit, function and address
	kind  string
	scale float64
	order ByteOrder
}

// RegisterTypes are the ways in which registers make a number, with the bytes of
// each; signed ones are in two's complement, floats those of IEEE 754.
var RegisterTypes = map[string]int{"uint16": 2, "int16": 2, "uint32": 4, "int32": 4, "float32": 4, "float64": 8}

// ByteOrder says how the bytes ABCD of a number lie in its registers.
type ByteOrder string

// The orders. The standard one is Big.
const (
	Big         ByteOrder = "big"          // AB CD
	WordSwapped ByteOrder = "word-swapped" // CD AB
	ByteSwapped ByteOrder = "byte-swapped" // BA DC
	Little      ByteOrder = "little"       // DC BA
)

func newRegisters(l *Layout) (Decoder, error) {
	if len(l.Fields) == 0 {
		return nil, errors.New("registers need a field such as voltage=1/4/0/uint16/0.01:V")
	}
	d := &registers{layout: l}
	for i := range l.Fields {
		p, err := parseRegister(l.Fields[i].Key)
		if err != nil {
			return nil, fmt.Errorf("register %q: %w, want text like 1/4/0/uint16/0.01", l.Fields[i].Key, err)
		}
		if l.Fields[i].unit == nil {
			return nil, fmt.Errorf("register %q has no unit", l.Fields[i].Key)
		}
		d.places = append(d.places, p)
	}
	return d, nil
}

func parseRegister(key string) (registerPlace, error) {
	parts := strings.Split(key, "/")
	if len(parts) < 5 || len(parts) > 6 {
		return registerPlace{}, fmt.Errorf("%d parts", len(parts))
	}
	p := registerPlace{where: strings.Join(parts[:3], "/"), kind: parts[3], order: Big}
	if len(parts) == 6 {
		p.order = ByteOrder(parts[5])
	}
	if RegisterTypes[p.kind] == 0 {
		return p, fmt.Errorf("type %q is not known", p.kind)
	}
	if p.order != Big && p.order != WordSwapped && p.order != ByteSwapped && p.order != Little {
		return p, fmt.Errorf("order %q is not known", p.order)
	}
	var err error
	if p.scale, err = strconv.ParseFloat(parts[4], 64); err != nil || !known(p.scale) || p.scale == 0 {
		return p, fmt.Errorf("scale %q is no number but zero", parts[4])
	}
	return p, nil
}

// Decode reads the registers that are wanted.
func (d *registers) Decode(line []byte, r *Reading) error {
	*r = blank
	var err error
	found := false
	for rest := line; len(rest) > 0; {
		var one []byte
		one, rest, _ = bytes.Cut(rest, []byte(" "))
		where, words, ok := bytes.Cut(one, []byte("="))
		if !ok {
			continue
		}
		for i := range d.places {
			p := &d.places[i]
			if string(where) != p.where {
				continue
			}
			found = true
			if len(words) == 0 || words[0] == '!' {
				continue // not answered, or refused
			}
			x, e := p.value(words)
			if e != nil {
				err = e
				continue
			}
			f := &d.layout.Fields[i]
			if x = f.unit.si(x); f.Negate {
				x = -x
			}
			r[f.Quantity] = x
		}
	}
	if !found {
		return ErrNotMine
	}
	return err
}

// value makes a number of words in hex. NaN is blank.
func (p *registerPlace) value(words []byte) (float64, error) {
	var b [8]byte
	size := RegisterTypes[p.kind]
	if len(words) != 2*size {
		return blank[Time], ErrTorn
	}
	for i := range size {
		high, low := nibble(words[2*i]), nibble(words[2*i+1])
		if high > 15 || low > 15 {
			return blank[Time], ErrNumber
		}
		b[p.at(i, size)] = high<<4 | low
	}
	x := p.number(b)
	if notANumber(x) {
		return blank[Time], nil
	}
	if math.IsInf(x, 0) || overloaded(x) {
		return blank[Time], ErrOverload
	}
	return x * p.scale, nil
}

// at is where byte i of what came stands in the number.
func (p *registerPlace) at(i, size int) int {
	if p.order == WordSwapped || p.order == Little {
		i = size - 2 - i/2*2 + i%2
	}
	if p.order == ByteSwapped || p.order == Little {
		i ^= 1
	}
	return i
}

// number reads the bytes of a number, the highest first.
func (p *registerPlace) number(b [8]byte) float64 {
	switch p.kind {
	case "uint16":
		return float64(binary.BigEndian.Uint16(b[:]))
	case "int16":
		return float64(int16(binary.BigEndian.Uint16(b[:])))
	case "uint32":
		return float64(binary.BigEndian.Uint32(b[:]))
	case "int32":
		return float64(int32(binary.BigEndian.Uint32(b[:])))
	case "float32":
		return float64(math.Float32frombits(binary.BigEndian.Uint32(b[:])))
	}
	return math.Float64frombits(binary.BigEndian.Uint64(b[:]))
}
