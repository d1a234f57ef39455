package decoders

import (
	"bytes"
	"strings"
)

// Marks and tail: a line may stand between marks and end in a checksum, two
// or four hexadecimal digits.
//
//	$13.82,3.50*5C
//	<V=13.82 I=3.50;A7F3>
//
// Names of a setting: a kind of checksum, +start where it counts the start
// mark, +mark where it counts the mark before itself, +swapped for low byte
// first; "unverified" for a tail of unknown kind; "none" for marks alone.
type checksum struct {
	kind    string
	width   int // hexadecimal digits
	sum     func([]byte) uint
	start   bool // the start mark counts
	mark    bool // the mark before the checksum counts
	swapped bool
}

var checksumKinds = []checksum{
	{kind: "xor", width: 2, sum: xor8},
	{kind: "sum", width: 2, sum: func(b []byte) uint { return sum(b) & 0xff }},
	{kind: "negated-sum", width: 2, sum: func(b []byte) uint { return -sum(b) & 0xff }},
	{kind: "crc8", width: 2, sum: func(b []byte) uint { return crcHigh(b, 8, 0x07, 0) }},
	{kind: "crc8-reflected", width: 2, sum: func(b []byte) uint { return crcLow(b, 0x8c, 0) }},
	{kind: "sum16", width: 4, sum: func(b []byte) uint { return sum(b) & 0xffff }},
	{kind: "crc16-ccitt", width: 4, sum: func(b []byte) uint { return crcHigh(b, 16, 0x1021, 0xffff) }},
	{kind: "crc16-xmodem", width: 4, sum: func(b []byte) uint { return crcHigh(b, 16, 0x1021, 0) }},
	{kind: "crc16-modbus", width: 4, sum: func(b []byte) uint { return crcLow(b, 0xa001, 0xffff) }},
	{kind: "crc16-arc", width: 4, sum: func(b []byte) uint { return crcLow(b, 0xa001, 0) }},
	{kind: "crc16-kermit", width: 4, sum: func(b []byte) uint { return crcLow(b, 0x8408, 0) }},
	{kind: "unverified"},
	{kind: "none"},
}

func checksumNames() []string {
	var names []string
	for _, c := range checksumKinds {
		names = append(names, c.kind)
	}
	return names
}

func checksumNamed(name string) *checksum {
	parts := strings.Split(name, "+")
	for _, c := range checksumKinds {
		if c.kind != parts[0] {
			continue
		}
		for _, p := range parts[1:] {
			switch p {
			case "start":
				c.start = true
			case "mark":
				c.mark = true
			case "swapped":
				c.swapped = true
			default:
				return nil
			}
		}
		return &c
	}
	return nil
}

func (c *checksum) name() string {
	s := c.kind
	if c.start {
		s += "+start"
	}
	if c.mark {
		s += "+mark"
	}
	if c.swapped {
		s += "+swapped"
	}
	return s
}

// framed takes marks and tail off before the decoder within sees the line.
type framed struct {
	inner Decoder
	check *checksum
}

// Decode verifies and passes on. A line without its tail that would else be a
// reading was cut short.
func (d *framed) Decode(line []byte, r *Reading) error {
	p := takeApart(line)
	if d.check.kind == "none" {
		return d.inner.Decode(trimMarks(line), r)
	}
	if p.tail == nil {
		if err := d.inner.Decode(trimMarks(line), r); err != nil {
			return err
		}
		return ErrTorn
	}
	if d.check.sum != nil && !d.check.holds(p) {
		*r = blank
		return ErrChecksum
	}
	return d.inner.Decode(p.body, r)
}

// parts are a line's: start mark, body, mark and tail.
type parts struct {
	line, body, tail []byte
	begin, mark      int // where the body begins, where the mark before the tail stands
}

func startMark(c byte) bool { return strings.IndexByte("$!#<[@:~&/>%\x02", c) >= 0 }

// takeApart finds the tail: the last two or four hexadecimal digits after a
// mark, before at most one end mark. Without a tail, tail is nil.
func takeApart(line []byte) parts {
	line = bytes.TrimRight(line, " \t\r")
	p := parts{line: line}
	if len(line) > 0 && startMark(line[0]) {
		p.begin = 1
	}
	end := len(line)
	if end > 0 && strings.IndexByte(">]#!$;~\x03\x04", line[end-1]) >= 0 {
		end--
	}
	i := end
	for i > 0 && nibble(line[i-1]) < 16 {
		i--
	}
	if i <= p.begin+1 || strings.IndexByte("*,;| #:^&\x03", line[i-1]) < 0 {
		return p
	}
	if k := end - i; k != 2 && k != 4 {
		own := p.begin > 0 && strings.IndexByte("*|^\x03", line[i-1]) >= 0 && bytes.IndexByte(line[:i-1], line[i-1]) < 0
		if k == 0 || k > 8 || !own {
			return p // of another length only behind a mark that stands nowhere else
		}
	}
	p.mark, p.tail = i-1, line[i:end]
	p.body = bytes.TrimRight(line[p.begin:p.mark], " ")
	return p
}

// trimMarks takes the marks off a line without a tail.
func trimMarks(line []byte) []byte {
	line = bytes.Trim(line, " \t\r")
	if len(line) > 0 && startMark(line[0]) {
		line = line[1:]
	}
	if n := len(line); n > 0 && strings.IndexByte(">]#!$;*~\x03\x04", line[n-1]) >= 0 {
		line = line[:n-1]
	}
	return line
}

func (c *checksum) holds(p parts) bool {
	if len(p.tail) != c.width {
		return false
	}
	said := uint(0)
	for _, d := range p.tail {
		said = said<<4 | uint(nibble(d))
	}
	begin, end := p.begin, p.mark
	if c.start {
		begin = 0
	}
	if c.mark {
		end++
	}
	if c.swapped {
		said = said>>8 | said&0xff<<8
	}
	return c.sum(p.line[begin:end]) == said
}

func xor8(b []byte) (x uint) {
	for _, c := range b {
		x ^= uint(c)
	}
	return x
}

func sum(b []byte) (x uint) {
	for _, c := range b {
		x += uint(c)
	}
	return x
}

// crcHigh is a cyclic redundancy check, high bit first.
func crcHigh(b []byte, width, poly, crc uint) uint {
	top := uint(1) << (width - 1)
	for _, c := range b {
		crc ^= uint(c) << (width - 8)
		for range 8 {
			if crc&top != 0 {
				crc = crc<<1 ^ poly
			} else {
				crc <<= 1
			}
		}
	}
	return crc & (top<<1 - 1)
}

// crcLow is a cyclic redundancy check, low bit first; poly is reversed.
func crcLow(b []byte, poly, crc uint) uint {
	for _, c := range b {
		crc ^= uint(c)
		for range 8 {
			if crc&1 != 0 {
				crc = crc>>1 ^ poly
			} else {
				crc >>= 1
			}
		}
	}
	return crc
}
