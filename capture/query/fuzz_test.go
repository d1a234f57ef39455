package query

import (
	"bytes"
	"strings"
	"testing"
)

// FuzzSCPI tries to get something through that does more than ask, and reads any
// bytes as an answer.
func FuzzSCPI(f *testing.F) {
	for _, text := range questions {
		f.Add(text, []byte("+1.26500000E+01\r\n"))
	}
	for _, came := range answers {
		f.Add("READ?", []byte(came))
	}
	f.Add("READ?", bytes.Repeat([]byte("x"), longestAnswer+1))
	f.Fuzz(anySCPI)
}

var questions = []string{"MEAS:VOLT:DC?", "READ?", "fetch:curr2? (@101)", "MEAS:VOLT?;*RST", "VOLT 14.4", "OUTP ON\nREAD?", ":MEAS?"}

var answers = []string{"+1.26500000E+01\r\n", "READ?\r\nACME,1,0,1.0\n-113,\"Undefined header\"\r", "9.91E37\n+9.9E37\r\n"}

// anySCPI: nothing but one question gets through, and any bytes are an answer or
// none, and come to an end.
func anySCPI(t *testing.T, text string, came []byte) {
	q, err := SCPI(text, "lf")
	if err == nil {
		body, whole := strings.CutSuffix(q.wire, "\n")
		if !whole || strings.ContainsAny(body, ";\r\n,*\x00") || strings.Count(body, "?") != 1 || len(q.wire) > longest+1 {
			t.Fatalf("%q is more than a question", q.wire)
		}
	}
	for range len(came) + 1 {
		before := len(came)
		o, answer, rest := q.Line(came)
		if o == More && len(rest) != before || o != More && len(rest) >= before && before > 0 || bytes.ContainsAny(answer, "\r\n") {
			t.Fatalf("%d %q %q from %q", o, answer, rest, came)
		}
		IsIdentity(answer)
		if itIs, fault := IsFault(answer); fault && !itIs {
			t.Fatalf("%q is a fault and no entry", answer)
		}
		if o == More || o == Garbled {
			return
		}
		came = rest
	}
	t.Fatal("does not come to an end")
}

// FuzzModbus makes any question, which must read, and reads any bytes as an
// answer, over both ways.
func FuzzModbus(f *testing.F) {
	for _, q := range asked {
		f.Add(q.unit, q.function, q.address, q.count, []byte(q.came))
	}
	f.Fuzz(anyModbus)
}

var asked = []struct {
	unit, function byte
	address        uint16
	count          int
	came           string
}{
	{0x11, 3, 0x6b, 3, "\x11\x03\x06\xae\x41\x56\x52\x43\x40\x49\xad"},
	{0x11, 3, 0x6b, 3, "\x11\x83\x02\xc1\x34"},
	{0x11, 3, 0x6b, 3, "\x11\x03\x00\x6b\x00\x03\x76\x87\x11\x03"},
	{0x0b, 4, 0, 2, "\x00\x0b\x04\x04\x00\x38\x3f\x1b\x81\xb2"},
	{1, 6, 1, 3, "\x12\x34\x00\x00\x00\x07\x01\x04\x04\x00\x00\x0d\xac"},
	{1, 4, 1, 2, "\x12\x34\x00\x00\x00\x07\x01\x04\x04\x00\x00\x0d\xac"},
	{1, 16, 65535, 200, "\x12\x33\x00\x00\x00\x03\x01\x84\x02HTTP/1.1"},
}

// anyModbus: a question reads or is refused, and any bytes are an answer or none,
// and come to an end.
func anyModbus(t *testing.T, unit, function byte, address uint16, count int, came []byte) {
	r := Registers{unit, function, address, count}
	serial, err := RTU(r)
	network, err2 := Network(r, 0x1234)
	if (err == nil) != (err2 == nil) || err != nil && (serial.wire != "" || network.wire != "") {
		t.Fatalf("%+v: %v, %v", r, err, err2)
	}
	if err != nil {
		return
	}
	if f := serial.wire[1]; f != 3 && f != 4 || f != network.wire[7] || len(serial.wire) != 8 || len(network.wire) != 12 {
		t.Fatalf("% X, % X do more than read", serial.wire, network.wire)
	}
	for name, how := range map[string]func(Registers, []byte) (Outcome, Reply, []byte){"serial": serial.Frame, "network": network.Packet} {
		left := came
		for {
			before := len(left)
			o, reply, rest := how(r, left)
			if o == Answer && reply.Exception == 0 && len(reply.Words) != 2*count {
				t.Fatalf("%s: %d bytes for %d registers", name, len(reply.Words), count)
			}
			if o == More || o == Garbled {
				break
			}
			if len(rest) >= before {
				t.Fatalf("%s: does not come to an end", name)
			}
			left = rest
		}
	}
}
