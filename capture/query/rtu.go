package query

import (
	"bytes"
	"encoding/binary"
	"time"
)

// RTU makes the question for registers as it goes over a serial line:
//
//	UU FF AAAA NNNN CC CC
//	unit, function, address, number, checksum with its low byte first
func RTU(r Registers) (Query, error) {
	if err := r.Check(); err != nil {
		return Query{}, err
	}
	frame := append([]byte{r.Unit}, r.body()...)
	frame = binary.LittleEndian.AppendUint16(frame, crc16(frame))
	return Query{name: r.name(), wire: string(frame)}, nil
}

// Frame looks at the bytes that came since q, made by RTU of r, was asked:
//
//	UU FF BB WWWW ... CC CC     the answer, BB bytes of registers
//	UU FF+80 EE CC CC           refused for reason EE
//
// The length is told by the frame itself, and the checksum settles whether it is
// one. The question sent back by a line that echoes is skipped, and so is the
// sound answer of another unit or to another question.
func (q Query) Frame(r Registers, came []byte) (o Outcome, reply Reply, rest []byte) {
	if len(came) > 0 && came[0] == 0 { // no unit: a line whose direction turns often gives one such byte
		return Skip, Reply{}, came[1:]
	}
	if len(came) < 5 { // the shortest frame
		return More, Reply{}, came
	}
	size := 5
	if came[1]&0x80 == 0 {
		size = 3 + int(came[2]) + 2
	}
	if len(came) >= size && sound(came[:size]) {
		reply, mine := r.reply(came[0], came[1:size-2])
		if !mine {
			return Skip, Reply{}, came[size:]
		}
		return Answer, reply, came[size:]
	}
	if bytes.HasPrefix(came, []byte(q.wire)) {
		return Skip, Reply{}, came[len(q.wire):]
	}
	if len(came) < len(q.wire) && bytes.HasPrefix([]byte(q.wire), came) || len(came) < size && plausible(came[0], came[1]) {
		return More, Reply{}, came
	}
	return Garbled, Reply{}, came
}

// plausible reports whether a frame may begin so: on a line with several meters
// those of others are heard too.
func plausible(unit, function byte) bool {
	return unit >= 1 && unit <= 247 && function&0x7f >= 1 && function&0x7f <= 0x2b
}

// sound reports whether a frame's checksum is right.
func sound(frame []byte) bool {
	body := frame[:len(frame)-2]
	return binary.LittleEndian.Uint16(frame[len(body):]) == crc16(body)
}

// crc16 is the checksum of the serial line: polynomial 0xA001 with the low bit
// first, beginning with 0xFFFF.
func crc16(frame []byte) uint16 {
	crc := uint16(0xffff)
	for _, b := range frame {
		crc ^= uint16(b)
		for range 8 {
			if crc&1 != 0 {
				crc = crc>>1 ^ 0xa001
			} else {
				crc >>= 1
			}
		}
	}
	return crc
}

// Silence is how long a line must be quiet before a frame may begin: three and a
// half characters of eleven bits, and 1.75 ms at any speed above 19200 baud
// (Modbus over serial line V1.02, 2.5.1.1, from memory).
func Silence(baud int) time.Duration {
	if baud > 19200 {
		return 1750 * time.Microsecond
	}
	return time.Duration(3.5 * 11 / float64(baud) * float64(time.Second))
}
