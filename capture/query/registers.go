package query

import (
	"encoding/binary"
	"fmt"
)

// The functions that read registers; there is no way to name another.
const (
	Holding = 3 // read holding registers
	Input   = 4 // read input registers
)

// Registers are those that one question of Modbus reads.
type Registers struct {
	Unit     byte   // 1 to 247; 0 would be everybody, above is reserved
	Function byte   // Holding or Input
	Address  uint16 // as sent
	Count    int    // words, 1 to 125
}

// Check says what is wrong with them, if anything.
func (r Registers) Check() error {
	switch {
	case r.Function != Holding && r.Function != Input:
		return fmt.Errorf("function %d does not read registers, want 3 or 4", r.Function)
	case r.Unit < 1 || r.Unit > 247:
		return fmt.Errorf("unit %d is not one of 1 to 247", r.Unit)
	case r.Count < 1 || r.Count > 125:
		return fmt.Errorf("%d registers cannot be read at once, want 1 to 125", r.Count)
	case int(r.Address)+r.Count > 1<<16:
		return fmt.Errorf("register %d is the last: %d from address %d are too many", 1<<16-1, r.Count, r.Address)
	}
	return nil
}

// name is how they stand in the journal: unit, function and address.
func (r Registers) name() string { return fmt.Sprintf("%d/%d/%d", r.Unit, r.Function, r.Address) }

// body is the question without what a serial line or a network puts around it.
func (r Registers) body() []byte {
	b := binary.BigEndian.AppendUint16([]byte{r.Function}, r.Address)
	return binary.BigEndian.AppendUint16(b, uint16(r.Count))
}

// Reply is what a meter answered.
type Reply struct {
	Words     []byte // two bytes a register, the high one first; nil with an Exception
	Exception byte   // why the meter refused; 0: it did not
}

// exceptions are the reasons for which a meter refuses.
var exceptions = map[byte]string{
	1: "it does not know the function", 2: "it has no such register", 3: "it does not read so many registers",
	4: "it is out of order", 5: "it needs longer", 6: "it is busy", 8: "its memory has a fault",
	10: "the gateway has no way to it", 11: "it does not answer the gateway",
}

// Why says in words why a meter refused.
func (r Reply) Why() string {
	if why, known := exceptions[r.Exception]; known {
		return fmt.Sprintf("exception %d: %s", r.Exception, why)
	}
	return fmt.Sprintf("exception %d", r.Exception)
}

// reply reads an answer whose frame has been found sound; ok is false where it
// answers another question.
func (r Registers) reply(unit byte, body []byte) (reply Reply, ok bool) {
	switch {
	case unit != r.Unit:
	case len(body) == 2 && body[0] == r.Function|0x80 && body[1] != 0: // there is no exception 0
		return Reply{Exception: body[1]}, true
	case len(body) == 2+2*r.Count && body[0] == r.Function && int(body[1]) == 2*r.Count:
		return Reply{Words: body[2:]}, true
	}
	return Reply{}, false
}
