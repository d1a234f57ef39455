package capture

import (
	"io"
	"net"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"amphora/capture/query"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	volt = "MEAS:VOLT:DC?"
	curr = "MEAS:CURR:DC?"
	both = `MEAS:VOLT:DC?="+1.26500000E+01" MEAS:CURR:DC?="+3.50000000E+00"`
)

// askText asks a simulated meter of text in simulated time.
func askText(t *testing.T, answer func(string, int) []said, lines int, check func(*instrument, reading, time.Duration)) {
	synctest.Test(t, func(t *testing.T) {
		m := &instrument{cut: cutLine, answer: answer}
		meter := &textMeter{end: "lf"}
		for _, text := range []string{volt, curr} {
			q, err := query.SCPI(text, "lf")
			require.NoError(t, err)
			meter.values = append(meter.values, q)
		}
		meter.poll = newPoll(m.onPipe(t), time.Second, 2*time.Second, 0, meter.round)
		start := time.Now()
		r := readLines(t, meter.poll, lines)
		took := time.Since(start)
		require.NoError(t, meter.poll.Close())
		time.Sleep(time.Hour) // simulated: the meter has said what it was about to say
		check(m, r, took)
	})
}

func TestAMeterIsAskedInItsBeat(t *testing.T) {
	askText(t, textAnswers(usual), 4, func(m *instrument, r reading, took time.Duration) {
		require.NoError(t, r.err)
		assert.Equal(t, []string{both, both, both, both}, r.lines)
		assert.Equal(t, []string{`the meter is "BENCH,100,0,1.0"`}, r.remarks)
		assert.InDelta(t, 3, took.Seconds(), 0.1, "once a second")
		assert.Equal(t, []string{"*IDN?\n", volt + "\n", curr + "\n", volt + "\n", curr + "\n"}, m.requests()[:5])
	})
}

func TestASlowMeterIsNotRushed(t *testing.T) {
	slow := func(request string, n int) []said {
		return []said{{1500 * time.Millisecond, usual[strings.TrimSpace(request)]}}
	}
	askText(t, slow, 3, func(m *instrument, r reading, took time.Duration) {
		require.NoError(t, r.err)
		assert.InDelta(t, 10.5, took.Seconds(), 0.2, "seven answers of 1.5 s each, and nothing asked meanwhile")
	})
}

// TestALateAnswerIsNotTakenForTheNext has the meter answer after one and a half
// times what it is given: at each question, and at one now and then.
func TestALateAnswerIsNotTakenForTheNext(t *testing.T) {
	for name, every := range map[string]int{"always": 1, "every fifth": 5, "every seventh": 7} {
		t.Run(name, func(t *testing.T) {
			late := func(request string, n int) []said {
				if n%every == 0 {
					return []said{{3 * time.Second, usual[strings.TrimSpace(request)]}}
				}
				return now(usual[strings.TrimSpace(request)])
			}
			askText(t, late, 30, func(m *instrument, r reading, _ time.Duration) {
				require.NoError(t, r.err)
				whole := 0
				for _, line := range r.lines {
					blank := strings.NewReplacer(`="+1.26500000E+01"`, "=", `="+3.50000000E+00"`, "=").Replace(both)
					half := strings.Replace(both, `"+3.50000000E+00"`, "", 1)
					assert.Contains(t, []string{both, half, blank}, line, "never a current for a voltage")
					if line == both {
						whole++
					}
				}
				assert.GreaterOrEqual(t, whole, 28, "more time is given from then on")
				assert.Contains(t, strings.Join(r.remarks, "\n"), "was dropped; answers are waited for 6s from now on")
			})
		})
	}
}

func TestPatienceWithAMeterHasAnEnd(t *testing.T) {
	ever := func(request string, n int) []said {
		wait := map[int]time.Duration{4: 5 * time.Second, 8: 18 * time.Second}[n]
		return []said{{wait, usual[strings.TrimSpace(request)]}}
	}
	askText(t, ever, 9, func(_ *instrument, r reading, _ time.Duration) {
		require.NoError(t, r.err)
		told := strings.Join(r.remarks, "\n")
		assert.Contains(t, told, "answers are waited for 10s from now on")
		assert.Contains(t, told, "answers are waited for 30s from now on")
	})
}

// TestFaultsOfAMeterOfText: each has its say in the record, and the readings that
// are handed out are right.
func TestFaultsOfAMeterOfText(t *testing.T) {
	at := func(which int, say []said) func(string, int) []said {
		return func(request string, n int) []said {
			if n == which {
				return say
			}
			return textAnswers(usual)(request, n)
		}
	}
	for _, c := range []struct {
		name   string
		answer func(string, int) []said
		first  string // line
		remark string
	}{
		{"no answer", at(3, nil), `MEAS:VOLT:DC?="+1.26500000E+01" MEAS:CURR:DC?=`, "no answer to MEAS:CURR:DC? within 2s"},
		{"half an answer", at(2, now("+1.26")), both, "half an answer to MEAS:VOLT:DC?: 2B 31 2E 32 36"},
		{"two answers", at(2, now("+1.2E+01\n+1.3E+01\n")), both, "more came than was asked for: 2B 31 2E 33"},
		{"another one before the next question", at(2, []said{{0, "+1.2E+01\n"}, {shortestHush / 2, "+1.3E+01\n"}}), both,
			"bytes came unasked before MEAS:CURR:DC?: 2B 31 2E 33"},
		{"endless garbage", at(2, now(strings.Repeat("x", 2000))), both, "is no answer: 78 78"},
		{"echo", func(request string, n int) []said { return now(request + usual[strings.TrimSpace(request)]) }, both, "the meter is"},
		{"CR alone", func(request string, n int) []said {
			return now(strings.Replace(usual[strings.TrimSpace(request)], "\n", "", 1))
		}, both, "the meter is"},
		{"an end in two pieces", func(request string, n int) []said {
			text := usual[strings.TrimSpace(request)]
			return []said{{0, text[:len(text)-1]}, {100 * time.Microsecond, "\n"}}
		}, both, "the meter is"},
		{"overload", at(2, now("+9.90000000E+37\n")), `MEAS:VOLT:DC?="+9.90000000E+37" MEAS:CURR:DC?="+3.50000000E+00"`, "the meter is"},
		{"bytes that are no text", at(2, now("\x80\xff\"\n")), `MEAS:VOLT:DC?="\x80\xff\"" MEAS:CURR:DC?="+3.50000000E+00"`, "the meter is"},
	} {
		t.Run(c.name, func(t *testing.T) {
			askText(t, c.answer, 3, func(m *instrument, r reading, _ time.Duration) {
				require.NoError(t, r.err)
				assert.Equal(t, []string{c.first, both, both}, r.lines)
				assert.Contains(t, strings.Join(r.remarks, "\n"), c.remark)
				for _, request := range m.requests() {
					assert.Contains(t, usual, strings.TrimSpace(request), "nothing but questions")
				}
			})
		})
	}
}

func TestAMeterWithoutNameAndList(t *testing.T) {
	bare := func(request string, n int) []said {
		if strings.HasPrefix(request, "MEAS") && n != 5 {
			return now(usual[strings.TrimSpace(request)])
		}
		return nil
	}
	askText(t, bare, 5, func(m *instrument, r reading, _ time.Duration) {
		require.NoError(t, r.err)
		all := strings.Join(m.requests(), "")
		assert.Equal(t, 1, strings.Count(all, "*IDN?"))
		assert.Equal(t, 1, strings.Count(all, "SYST:ERR?"), "what is never answered is asked once")
		assert.Equal(t, both, r.lines[4])
	})
}

// TestTheListOfErrorsIsReadOut: after a failure, entry by entry, until it is empty.
func TestTheListOfErrorsIsReadOut(t *testing.T) {
	list := []string{"-113,\"Undefined header\"\n", "-410,\"Query INTERRUPTED\"\n"}
	answer := func(request string, n int) []said {
		switch {
		case n == 2:
			return nil
		case strings.HasPrefix(request, "SYST") && len(list) > 0:
			first := list[0]
			list = list[1:]
			return now(first)
		}
		return now(usual[strings.TrimSpace(request)])
	}
	askText(t, answer, 6, func(m *instrument, r reading, _ time.Duration) {
		require.NoError(t, r.err)
		assert.Equal(t, []string{
			`the meter is "BENCH,100,0,1.0"`, "no answer to MEAS:VOLT:DC? within 2s",
			`the meter tells an error: "-113,\"Undefined header\""`, `the meter tells an error: "-410,\"Query INTERRUPTED\""`,
		}, r.remarks)
		assert.Equal(t, 3, strings.Count(strings.Join(m.requests(), ""), "SYST:ERR?"))
	})
}

func TestADeadMeterIsLostAfterFiveRounds(t *testing.T) {
	dead := func(_ string, n int) []said {
		if n == 1 {
			return now(usual["*IDN?"])
		}
		return nil
	}
	askText(t, dead, 1, func(m *instrument, r reading, _ time.Duration) {
		assert.ErrorContains(t, r.err, "5 rounds failed one after the other; the last: no answer to")
		assert.ErrorAs(t, r.err, new(unheeded), "its line was there")
		assert.Empty(t, r.lines)
	})
}

// A meter that fails now and then, all night long, is told of once a minute at most.
func TestPassingFailuresAreToldSeldom(t *testing.T) {
	halting := func(request string, n int) []said {
		if n%9 == 8 {
			return now("+1.26")
		}
		return textAnswers(usual)(request, n)
	}
	askText(t, halting, 60, func(_ *instrument, r reading, took time.Duration) {
		require.NoError(t, r.err)
		told := strings.Count(strings.Join(r.remarks, "\n"), "half an answer")
		assert.GreaterOrEqual(t, told, 2)
		assert.LessOrEqual(t, told, 1+int(took.Minutes()))
	})
}

func TestAMeterThatTalksByItselfIsToldOf(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		far, near := net.Pipe()
		go io.Copy(io.Discard, far)
		go func() {
			for err := error(nil); err == nil; time.Sleep(500 * time.Millisecond) {
				_, err = io.WriteString(far, "12.65 V\r\n")
			}
		}()
		meter := &textMeter{end: "lf"}
		meter.poll = newPoll(timedLine{near, "pipe"}, time.Second, 2*time.Second, 0, meter.round)
		r := readLines(t, meter.poll, 1)
		require.Error(t, r.err)
		assert.Contains(t, r.err.Error(), "talks without being asked")
		require.NoError(t, far.Close())
		time.Sleep(time.Second) // simulated: both goroutines see it
	})
}

func TestOneQuestionForBothValues(t *testing.T) {
	m := &instrument{cut: cutLine, answer: textAnswers(map[string]string{"*IDN?": "BENCH,1,0,0\n", "FETC?": "+12.65,+3.5\n"})}
	address := m.onNetwork(t)
	src, err := SCPI{TCP: &TCP{Address: address}, Voltage: "FETC?", Current: "FETC?", Every: time.Millisecond}.Source()
	assert.Equal(t, "tcp:"+address, src.Name)
	l := listenTo(t, src, err)
	assert.Equal(t, `FETC?="+12.65,+3.5"`, l.wait(0, 1)[0])
}

func TestSettingsOfSCPIAreChecked(t *testing.T) {
	way := &TCP{Address: "meter.local:5025"}
	for want, c := range map[string]SCPI{
		"exactly one of serial and tcp":  {Voltage: volt},
		"asks for nothing":               {TCP: way},
		"not a query that only reads":    {TCP: way, Voltage: "VOLT 14.4"},
		"want lf, crlf or cr":            {TCP: way, Voltage: volt, End: "tab"},
		"host:port":                      {TCP: &TCP{Address: "meter"}, Voltage: volt},
		"want none, odd, even, mark":     {Serial: &Serial{Port: "p", Parity: "x"}, Voltage: volt},
		`"MEAS:VOLT?;*RST" is not a que`: {TCP: way, Current: "MEAS:VOLT?;*RST"},
	} {
		_, err := c.Source()
		assert.ErrorContains(t, err, want)
	}
}

func TestAMeterOverTheNetworkComesBack(t *testing.T) {
	m := &instrument{cut: cutLine, answer: textAnswers(usual)}
	comesBack(t, m, both, func(way *TCP) (Source, error) {
		return SCPI{TCP: way, Voltage: volt, Current: curr, Every: time.Millisecond}.Source()
	})
	for _, request := range m.requests() {
		assert.Contains(t, usual, strings.TrimSpace(request))
	}
}

// TestNoStreamCanBeWrittenTo: not those that only listen, nor those that ask.
func TestNoStreamCanBeWrittenTo(t *testing.T) {
	for _, s := range []Stream{connection{}, &port{}, &poll{}} {
		_, can := s.(io.Writer)
		assert.False(t, can, "%T", s)
	}
	var l line = timedLine{}
	_, can := l.(io.Writer)
	assert.False(t, can)
}
