package capture

import (
	"encoding/binary"
	"encoding/hex"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"amphora/capture/query"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// twoReads are the voltage in one register and the current in two.
var twoReads = []query.Registers{
	{Unit: 17, Function: query.Input, Address: 0, Count: 1},
	{Unit: 17, Function: query.Holding, Address: 2, Count: 2},
}

const words = "17/4/0=04F1 17/3/2=00000DAC"

// bytesOf reads hex digits.
func bytesOf(digits string) string {
	b, err := hex.DecodeString(strings.ReplaceAll(digits, " ", ""))
	if err != nil {
		panic(err)
	}
	return string(b)
}

// framed puts the checksum behind a frame. It goes the other way round than the
// program does: bit by bit from the high end, over reflected bytes.
func framed(body string) string {
	crc := uint16(0xffff)
	for _, c := range []byte(body) {
		var mirrored byte
		for k := range 8 {
			mirrored |= c >> k & 1 << (7 - k)
		}
		crc ^= uint16(mirrored) << 8
		for range 8 {
			carry := crc&0x8000 != 0
			crc <<= 1
			if carry {
				crc ^= 0x8005
			}
		}
	}
	var sum uint16
	for k := range 16 {
		sum |= crc >> k & 1 << (15 - k)
	}
	return string(binary.LittleEndian.AppendUint16([]byte(body), sum))
}

// bodyFor is what a sound meter answers, without what goes around it.
func bodyFor(request string) string {
	switch request {
	case bytesOf("11 04 0000 0001"):
		return bytesOf("11 04 02 04F1")
	case bytesOf("11 03 0002 0002"):
		return bytesOf("11 03 04 00000DAC")
	}
	return ""
}

// soundFrame answers over a serial line, soundPacket over the network.
func soundFrame(request string, _ int) []said {
	body := bodyFor(request[:6])
	if framed(request[:6]) != request || body == "" {
		return nil
	}
	return now(framed(body))
}

func soundPacket(request string, _ int) []said {
	body := bodyFor(request[6:])
	if request[2:6] != "\x00\x00\x00\x06" || body == "" {
		return nil
	}
	return now(request[:4] + string([]byte{0, byte(len(body))}) + body)
}

func askRegisters(t *testing.T, network bool, answer func(string, int) []said, lines int, check func(*instrument, reading)) {
	synctest.Test(t, func(t *testing.T) {
		m := &instrument{cut: cutFrame, answer: answer}
		hush := query.Silence(9600)
		if network {
			m.cut, hush = cutPacket, 0
		}
		meter := &registerMeter{reads: twoReads, network: network}
		meter.poll = newPoll(m.onPipe(t), time.Second, time.Second, hush, meter.round)
		r := readLines(t, meter.poll, lines)
		require.NoError(t, meter.poll.Close())
		time.Sleep(time.Hour) // simulated: the meter has said what it was about to say
		check(m, r)
	})
}

// onlyReads checks that every request reads registers.
func onlyReads(t *testing.T, m *instrument, network bool) {
	t.Helper()
	require.NotEmpty(t, m.requests())
	for _, request := range m.requests() {
		if network {
			assert.Contains(t, []byte{3, 4}, request[7], "% X", request)
			continue
		}
		assert.Contains(t, []byte{3, 4}, request[1], "% X", request)
	}
}

// TestFaultsOfAMeterWithRegisters lets one thing go wrong at the request given;
// what is handed out before and after is right.
func TestFaultsOfAMeterWithRegisters(t *testing.T) {
	const blank = "17/4/0=04F1 17/3/2="
	sound := framed(bytesOf("11 03 04 00000DAC"))
	for _, c := range []struct {
		name    string
		network bool
		say     []said // to the second request; nil: nothing
		lines   []string
		remark  string
	}{
		{"no answer", false, nil, []string{blank, words, words}, "no answer to 17/3/2 within 1s"},
		{"half an answer", false, now(sound[:6]), []string{blank, words, words}, "half an answer to 17/3/2: 11 03 04 00 00 0D"},
		{"wrong checksum", false, now(sound[:7] + "\x00\x00"), []string{blank, words, words}, "is no answer: 11 03 04 00 00 0D AC 00 00"},
		{"garbage", false, now("\xff\xfe\xfd\xfc\xfb"), []string{blank, words, words}, "is no answer: FF FE FD FC FB"},
		{"another unit's answer first", false, now(framed(bytesOf("12 03 04 11112222")) + sound), []string{words, words, words}, ""},
		{"another unit's answer alone", false, now(framed(bytesOf("12 03 04 11112222"))), []string{blank, words, words}, "no answer to 17/3/2"},
		{"the answer to another question", false, now(framed(bytesOf("11 04 02 04F1"))), []string{blank, words, words}, "no answer to 17/3/2"},
		// Which answer was whose is not certain then: that round is dropped.
		{"one byte too many", false, now(sound + "\x11"), []string{words, words}, "more came than was asked for: 11"},
		{"echo", false, now(framed(bytesOf("11 03 0002 0002")) + sound), []string{words, words, words}, ""},
		{"a zero byte at the turn", false, now("\x00" + sound), []string{words, words, words}, ""},
		{"in pieces", false, []said{{0, sound[:1]}, {time.Millisecond, sound[1:4]}, {time.Millisecond, sound[4:]}}, []string{words, words, words}, ""},
		{"late", false, []said{{1500 * time.Millisecond, sound}}, []string{blank, words, words}, "answers are waited for 3s from now on"},
		{"refused", false, now(framed(bytesOf("11 83 02"))), []string{"17/4/0=04F1 17/3/2=!2", words, words}, "refuses to read 17/3/2: exception 2: it has no such register"},

		{"no answer", true, nil, []string{blank, words, words}, "no answer to 17/3/2 within 1s"},
		{"half an answer", true, now(bytesOf("0002 0000 0007 11 03 04 0000")), []string{blank, words, words}, "half an answer"},
		{"garbage", true, now("HTTP/1.1 400 Bad Request\r\n"), []string{blank, words, words}, "is no answer: 48 54 54 50"},
		{"another exchange first", true, now(bytesOf("0001 0000 0007 11 03 04 11112222 0002 0000 0007 11 03 04 00000DAC")), []string{words, words, words}, ""},
		{"another unit's answer alone", true, now(bytesOf("0002 0000 0007 12 03 04 11112222")), []string{blank, words, words}, "no answer to 17/3/2"},
		{"late", true, []said{{1500 * time.Millisecond, bytesOf("0002 0000 0007 11 03 04 00000DAC")}}, []string{blank, words, words}, "answers are waited for 3s"},
		{"refused", true, now(bytesOf("0002 0000 0003 11 83 0B")), []string{"17/4/0=04F1 17/3/2=!11", words, words}, "exception 11: it does not answer the gateway"},
	} {
		name := c.name + map[bool]string{false: ", serial", true: ", network"}[c.network]
		t.Run(name, func(t *testing.T) {
			sound := map[bool]func(string, int) []said{false: soundFrame, true: soundPacket}[c.network]
			answer := func(request string, n int) []said {
				if n == 2 {
					return c.say
				}
				return sound(request, n)
			}
			askRegisters(t, c.network, answer, len(c.lines), func(m *instrument, r reading) {
				require.NoError(t, r.err)
				assert.Equal(t, c.lines, r.lines)
				assert.Contains(t, strings.Join(r.remarks, "\n"), c.remark)
				if c.remark == "" {
					assert.Empty(t, r.remarks)
				}
				onlyReads(t, m, c.network)
			})
		})
	}
}

func TestADeadMeterWithRegistersIsLost(t *testing.T) {
	for _, network := range []bool{false, true} {
		askRegisters(t, network, func(string, int) []said { return nil }, 1, func(m *instrument, r reading) {
			assert.ErrorContains(t, r.err, "5 rounds failed")
			assert.Len(t, m.requests(), 5)
			onlyReads(t, m, network)
		})
	}
}

func TestAMeterWithRegistersOverTheNetworkComesBack(t *testing.T) {
	m := &instrument{cut: cutPacket, answer: soundPacket}
	comesBack(t, m, words, func(way *TCP) (Source, error) {
		return Modbus{TCP: way, Reads: twoReads, Every: time.Millisecond}.Source()
	})
	onlyReads(t, m, true)
}

func TestSettingsOfModbusAreChecked(t *testing.T) {
	way := &TCP{Address: "meter.local:502"}
	for want, c := range map[string]Modbus{
		"exactly one of serial and tcp": {Reads: twoReads},
		"asks for nothing":              {TCP: way},
		"function 6 does not read":      {TCP: way, Reads: []query.Registers{{Unit: 1, Function: 6, Count: 1}}},
		"unit 248 is not one":           {TCP: way, Reads: []query.Registers{{Unit: 248, Function: 3, Count: 1}}},
		"not one of tcp and rtu":        {TCP: way, Framing: "ascii", Reads: twoReads},
		"behind tcp":                    {Serial: &Serial{Port: "/dev/null"}, Framing: "tcp", Reads: twoReads},
		"126 registers cannot":          {TCP: way, Reads: []query.Registers{{Unit: 1, Function: 3, Count: 126}}},
		"from address 65535":            {TCP: way, Reads: []query.Registers{{Unit: 1, Function: 3, Address: 65535, Count: 2}}},
	} {
		_, err := c.Source()
		assert.ErrorContains(t, err, want)
	}
}
