package decoders

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Forms of a clock or of a duration, and what was read of them.
func TestClocksThatAreSpelt(t *testing.T) {
	for text, want := range map[string]float64{
		"1h02m03s":       3723,
		"62m 03s":        3723,
		"21h40":          78000,
		"1d 20:00:05":    158405,
		"1 day, 2:03:04": 93784,
		"2 days 1h":      176400,
	} {
		s, n := clockAt([]byte(text), formHMS)
		assert.Equal(t, len(text), n, text)
		assert.Equal(t, want, s, text)
	}
	for _, text := range []string{"5s", "5s 1m", "3 m", "7 mV", "1h 2h", "12d3x", "5m03", "21h4"} {
		_, n := clockAt([]byte(text), formHMS)
		assert.Zero(t, n, text)
	}
}

// A column of 20.40 is one of clocks where it is called so, where it goes back at midnight,
// or where its minutes are full at sixty.
func TestClocksWithAPoint(t *testing.T) {
	column := func(name string, cells ...string) *column {
		c := &column{name: name, said: understand(name)}
		for _, cell := range cells {
			c.cells = append(c.cells, []byte(cell))
		}
		return c
	}
	assert.True(t, column("Uhrzeit", "20.40", "20.41").dotted(0))
	assert.True(t, column("Zeit", "23.58", "23.59", "00.00", "00.01").dotted(0))
	assert.False(t, column("Zeit", "20.40", "20.41").dotted(0), "or minutes, or hours")
	assert.False(t, column("Spannung", "20.40", "20.41").dotted(0))
	full := []string{"20.56", "20.57", "20.58", "20.59", "21.00", "21.01"}
	assert.False(t, column("", full...).dotted(0), "once may be chance")
	assert.False(t, column("", "1.00", "2.00", "3.00", "4.00", "5.00", "6.00", "7.00", "8.00", "9.00").dotted(0), "a row a minute")
	var twice []string
	for m := 20*60 + 50; m < 22*60+5; m += 5 {
		twice = append(twice, string([]byte{'2', byte('0' + m/60 - 20), '.', byte('0' + m%60/10), byte('0' + m%10)}))
	}
	assert.True(t, column("", twice...).dotted(0))
}

// The row behind a time may begin with the sign of a number, and a day of the week is no
// name of a time: it is another one behind midnight.
func TestWhatStandsBesideATime(t *testing.T) {
	time, row := timeBefore([]byte("20:40:05 -0.50;13.8"), ';')
	assert.Equal(t, "20:40:05", string(time))
	assert.Equal(t, "-0.50;13.8", string(row))
	_, row = timeBefore([]byte("20:40:05 -> 0.50;13.8"), ';')
	assert.Equal(t, "0.50;13.8", string(row))
	_, row = timeBefore([]byte("20:40:05 -"), ';')
	assert.Equal(t, "-", string(row))
	assert.True(t, roamingTime([][]byte{[]byte("Sat 20:40:05 U=13.8"), []byte("Sat 20:40:06 U=13.8")}, '.'))
	assert.False(t, roamingTime([][]byte{[]byte("at 20:40:05 U=13.8"), []byte("at 20:40:06 U=13.8")}, '.'))
}
