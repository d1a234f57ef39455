package decoders

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestBytesThatNobodyWroteAreNoHeading(t *testing.T) {
	assert.True(t, byHand([]byte("Zeit [s];Spannung [V];Temp [\xb0C]")))
	assert.True(t, byHand([]byte("время\tнапряжение\tток")))
	assert.False(t, byHand([]byte("V,\x01A,t")))
	assert.False(t, byHand([]byte("\xc4\xf1V,\xe8\xb0A,\xff")))
	assert.Nil(t, headingOf([]byte(strings.Repeat("v,", 200)), ','), "more cells than columns")
}

// What has a time before each row has it before the heading, too, or lacks it there.
func TestAHeadingBehindATime(t *testing.T) {
	l := Layout{Separator: ';', Before: true}
	want := []string{"", "t", "V", "A"}
	assert.Equal(t, want, l.headerCells([]byte("20:40:05 -> t;V;A"), 4))
	assert.Equal(t, want, l.headerCells([]byte("t;V;A"), 4))
}

// Set in blanks, a unit may stand behind each name or be one.
func TestUnitsInAHeadingSetInBlanks(t *testing.T) {
	assert.Equal(t, []string{"time s", "voltage V"}, headingOf([]byte("time [s] voltage [V]"), ' '))
	assert.Equal(t, []string{"s", "V", "A", "Ah"}, headingOf([]byte("s V A Ah"), ' '))
	assert.Equal(t, []string{"t", "V", "A", "Ah"}, headingOf([]byte("t V A Ah"), ' '))
}
