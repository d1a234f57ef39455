package query

import (
	"encoding/hex"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func bytesOf(t testing.TB, digits string) []byte {
	b, err := hex.DecodeString(strings.ReplaceAll(digits, " ", ""))
	require.NoError(t, err)
	return b
}

// TestChecksumOfPublishedFrames: the check value of CRC-16/MODBUS (37 4B) and
// frames seen in public test code and in makers' documents.
func TestChecksumOfPublishedFrames(t *testing.T) {
	for frame, crc := range map[string]string{
		hex.EncodeToString([]byte("123456789")): "374B",
		"0207":                                  "4112", // serial-line guide, from memory
		"1103006B0003":                          "7687",
		"110306AE4156524340":                    "49AD",
		"110306022B00000064":                    "C8BA", // V1.1b3: 555, 0, 100
		"110400080001":                          "B298",
		"110402000A":                            "F8F4",
		"0B0400000002":                          "7161",
		"0B04040038 3F1B":                       "81B2",
		"010300000002":                          "C40B",
		"01030000000A":                          "C5CD",
		"01030000002C":                          "4417",
		"010400000001":                          "31CA",
		"118302":                                "C134",
		"018402":                                "C2C1",
	} {
		assert.True(t, sound(bytesOf(t, frame+crc)), frame)
	}
}

func TestQuestionsForRegisters(t *testing.T) {
	for _, c := range []struct {
		r   Registers
		rtu string
	}{
		{Registers{0x11, Holding, 0x6b, 3}, "11 03 00 6B 00 03 76 87"},
		{Registers{0x11, Input, 8, 1}, "11 04 00 08 00 01 B2 98"},
		{Registers{0x0b, Input, 0, 2}, "0B 04 00 00 00 02 71 61"},
	} {
		q, err := RTU(c.r)
		require.NoError(t, err)
		assert.Equal(t, c.rtu, Hex([]byte(q.wire)))
		q, err = Network(c.r, 0x1234)
		require.NoError(t, err)
		assert.Equal(t, "12 34 00 00 00 06 "+c.rtu[:17], Hex([]byte(q.wire)))
	}
}

func TestRepliesOfRegisters(t *testing.T) {
	r := Registers{0x11, Holding, 0x6b, 3}
	q, err := RTU(r)
	require.NoError(t, err)
	for name, c := range map[string]struct {
		came  string
		want  Outcome
		words string
		why   byte
		rest  int
	}{
		"published":       {"110306AE415652434049AD", Answer, "AE4156524340", 0, 0},
		"and one byte":    {"110306AE415652434049AD11", Answer, "AE4156524340", 0, 1},
		"cut short":       {"110306AE4156524340", More, "", 0, 9},
		"nothing":         {"", More, "", 0, 0},
		"wrong checksum":  {"110306AE415652434049AE", Garbled, "", 0, 11},
		"illegal address": {"118302C134", Answer, "", 2, 0},
		"other unit":      {"0B04040038 3F1B81B2", Skip, "", 0, 0},
		"other count":     {"110402000AF8F4", Skip, "", 0, 0},
		"echo":            {"1103006B00037687", Skip, "", 0, 0},
		"half the echo":   {"1103006B00", More, "", 0, 5},
		"a zero byte":     {"00110306", Skip, "", 0, 3},
		"noise":           {"FFFEFDFCFB", Garbled, "", 0, 5},
	} {
		o, reply, rest := q.Frame(r, bytesOf(t, c.came))
		assert.Equal(t, c.want, o, name)
		assert.Equal(t, strings.ToLower(c.words), hex.EncodeToString(reply.Words), name)
		assert.Equal(t, c.why, reply.Exception, name)
		assert.Len(t, rest, c.rest, name)
	}
	assert.Equal(t, "exception 2: it has no such register", Reply{Exception: 2}.Why())
	assert.Equal(t, "exception 77", Reply{Exception: 77}.Why())
}

func TestRepliesOfRegistersOverTheNetwork(t *testing.T) {
	r := Registers{0x11, Holding, 0x6b, 1}
	q, err := Network(r, 0x0102)
	require.NoError(t, err)
	for name, c := range map[string]struct {
		came  string
		want  Outcome
		words string
		why   byte
		rest  int
	}{
		"answer":              {"0102 0000 0005 11 03 02 AE41", Answer, "ae41", 0, 0},
		"and one byte":        {"0102 0000 0005 11 03 02 AE41 01", Answer, "ae41", 0, 1},
		"cut short":           {"0102 0000 0005 11 03 02 AE", More, "", 0, 10},
		"only its head":       {"0102 0000 0005", More, "", 0, 6},
		"refused":             {"0102 0000 0003 11 83 02", Answer, "", 2, 0},
		"refused for nothing": {"0102 0000 0003 11 83 00", Skip, "", 0, 0},
		"an earlier answer":   {"0101 0000 0005 11 03 02 AE41 01", Skip, "", 0, 1},
		"other unit":          {"0102 0000 0005 12 03 02 AE41", Skip, "", 0, 0},
		"other function":      {"0102 0000 0005 11 04 02 AE41", Skip, "", 0, 0},
		"other protocol":      {"0102 0100 0005 11 03 02 AE41", Garbled, "", 0, 11},
		"another protocol":    {"0102 0001 0005 11 03 02 AE41", Garbled, "", 0, 11},
		"too short":           {"0102 0000 0002 11 83 02", Garbled, "", 0, 9},
		"too long":            {"0102 0000 00FF 11 03 02", Garbled, "", 0, 9},
	} {
		o, reply, rest := q.Packet(r, bytesOf(t, c.came))
		assert.Equal(t, c.want, o, name)
		assert.Equal(t, c.words, hex.EncodeToString(reply.Words), name)
		assert.Equal(t, c.why, reply.Exception, name)
		assert.Len(t, rest, c.rest, name)
	}
}

// TestQuestionsOfText: what reads passes, whatever its case; what sets, or might,
// does not.
func TestQuestionsOfText(t *testing.T) {
	for _, text := range []string{
		"MEAS:VOLT?", "MEASure:VOLTage:DC?", "meas:volt:dc?", ":MEAS:CURR?", "MEAS:SCAL:CURR:DC?", "READ?", "FETC?", "FETCh?",
		"fetch:volt2?", "MEAS:VOLT? (@1)", "MEAS:VOLT?(@103)", "MEAS:POW?", "FETC:TEMP?",
	} {
		q, err := SCPI(text, "crlf")
		require.NoError(t, err, text)
		assert.Equal(t, text+"\r\n", q.wire)
		assert.Equal(t, text, q.String())
	}
	for _, text := range []string{
		"", "?", "VOLT 14.4", "VOLT?", "MEAS:VOLT", "MEAS:VOLT:DC? 10,0.001", "MEAS:VOLT?;*RST", "*RST;MEAS:VOLT?", "MEAS:VOLT?\n*RST",
		"*RST", "*IDN?", "OUTP ON", "OUTP?", "CONF:VOLT:DC", "INIT;FETC?", "MEAS:VOLT ON?", "MEAS:VOLT??", "MEASU:VOLT?", "MEAS:VOLTA?",
		"MEAS:?", "MEAS::VOLT?", "::MEAS?", "MEAS:VOLT123?", "MEAS:VOLT? (@1,2)", "MEAS:VOLT?  (@1)", "MEAS:VOLT? ", " MEAS:VOLT?", "CAL?", "*TST?",
		"FETC:" + strings.Repeat("VOLT:", 50) + "DC?", "MEAS:VOLT?\x00", "MEAS:VÖLT?",
	} {
		_, err := SCPI(text, "lf")
		assert.ErrorContains(t, err, "is not a query that only reads", "%q", text)
	}
	_, err := SCPI("READ?", "tab")
	assert.ErrorContains(t, err, "want lf, crlf or cr")
}

// TestIdentities are published ones, with their names replaced.
func TestIdentities(t *testing.T) {
	for _, text := range []string{
		"ACME E.O. Works,MX-2200,243478,1.0.1.0", "ACME,1980A,MY12345678,1.00-1.00-2.00-1.00", "ACME, 5100A,0,XXXX",
		"*IDN ACME,4054,00-00-00-13-22,1.01.01.10R1,20.234.3.", "ACME,3500,50,V01.01",
	} {
		assert.True(t, IsIdentity([]byte(text)), text)
	}
	for _, text := range []string{"", "+1.26500000E+01", "12.65,3.5", "-113,\"Undefined header\"", "ACME", "#15hello,x"} {
		assert.False(t, IsIdentity([]byte(text)), text)
	}
}

func TestEntriesOfTheListOfErrors(t *testing.T) {
	for text, want := range map[string][2]bool{
		`0,"No error"`: {true, false}, `+0,"No error"`: {true, false}, `-113,"Undefined header"`: {true, true},
		"12.65": {false, false}, "12,13": {false, false}, `ACME,"x"`: {false, false}, "": {false, false},
	} {
		itIs, fault := IsFault([]byte(text))
		assert.Equal(t, want, [2]bool{itIs, fault}, text)
	}
}

func TestSilenceBetweenFrames(t *testing.T) {
	assert.InDelta(t, 4.010, Silence(9600).Seconds()*1e3, 0.001)
	assert.InDelta(t, 2.005, Silence(19200).Seconds()*1e3, 0.001)
	assert.Equal(t, 1750*time.Microsecond, Silence(115200))
}

// fails is a line that takes some bytes and no more.
type fails int

func (n fails) Write(p []byte) (int, error) { return int(n), errors.New("stuck") }

func TestSendSaysWhatWasSent(t *testing.T) {
	assert.ErrorContains(t, Query{}.Send(fails(0)), "no question")
	q, err := SCPI("READ?", "lf")
	require.NoError(t, err)
	assert.ErrorContains(t, q.Send(fails(2)), "ask READ?, after 2 of 6 bytes: stuck")
	var b strings.Builder
	require.NoError(t, q.Send(&b))
	assert.Equal(t, "READ?\n", b.String())
	assert.Equal(t, "*IDN?\r", Identity("cr").wire)
	assert.Equal(t, "SYST:ERR?\r\n", Faults("crlf").wire)
}
