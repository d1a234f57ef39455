package query

import (
	"encoding/binary"
	"fmt"
)

// Network makes the question for registers as it goes over TCP:
//
//	TTTT 0000 LLLL UU FF AAAA NNNN
//	number of the exchange, protocol 0, length of what follows, unit, then as RTU
//
// The meter sends the number of the exchange back, so that a late answer is known
// for what it is.
func Network(r Registers, exchange uint16) (Query, error) {
	if err := r.Check(); err != nil {
		return Query{}, err
	}
	body := r.body()
	frame := binary.BigEndian.AppendUint16(nil, exchange)
	frame = append(frame, 0, 0, 0, byte(1+len(body)), r.Unit)
	return Query{name: r.name(), wire: string(append(frame, body...))}, nil
}

// Packet looks at the bytes that came since q, made by Network of r, was asked. A
// sound packet that answers another question is skipped. Garbled means that the
// beginning of the next packet cannot be found any more.
func (q Query) Packet(r Registers, came []byte) (o Outcome, reply Reply, rest []byte) {
	if len(came) < 7 {
		return More, Reply{}, came
	}
	length := int(binary.BigEndian.Uint16(came[4:]))
	if came[2] != 0 || came[3] != 0 || length < 3 || length > 254 {
		return Garbled, Reply{}, came
	}
	if len(came) < 6+length {
		return More, Reply{}, came
	}
	rest = came[6+length:]
	if string(came[:2]) != q.wire[:2] {
		return Skip, Reply{}, rest
	}
	reply, mine := r.reply(came[6], came[7:6+length])
	if !mine {
		return Skip, Reply{}, rest
	}
	return Answer, reply, rest
}

// Hex shows bytes as people write frames.
func Hex(frame []byte) string {
	const most = 32
	if len(frame) > most {
		return fmt.Sprintf("% X ... (%d bytes)", frame[:most], len(frame))
	}
	return fmt.Sprintf("% X", frame)
}
