package capture

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAnotherDeviceThanExpectedIsDoubted(t *testing.T) {
	strange := strings.Repeat("V=12.1\n", 25)
	r := perform(t, func(src *Source, _ *bubbleClock) { src.Expect = regexp.MustCompile("^METER A") },
		[]step{{text: "V=13.1\nMETER A 1.0\nV=13.2\n"}}, []step{{text: strange}}, []step{{text: "METER A 1.0\nV=13.3\n"}})
	assert.Equal(t, []string{"METER A 1.0", "V=13.2", "METER A 1.0", "V=13.3"}, r.texts(0))
	assert.Len(t, r.texts(Doubted), 26, "all of the stranger, and the line before the first proof")
	marks := r.texts(Marked)
	require.Len(t, marks, 1, "said once")
	assert.Contains(t, marks[0], `none of its first 20 lines matches "^METER A"`)
}

func TestNoPieceOfALineProvesADevice(t *testing.T) {
	long := "METER A" + strings.Repeat("x", maxLine) + "METER A\n"
	r := perform(t, func(src *Source, _ *bubbleClock) { src.Expect = regexp.MustCompile("METER A") },
		[]step{{text: long}, {text: "V=13.1\nMETER A 1.0\nV=13.2\n"}})
	assert.Equal(t, []string{"METER A 1.0", "V=13.2"}, r.texts(0))
	assert.Len(t, r.texts(Doubted), 3, "the two pieces, and what came before the proof")
}

func TestExpectationsAreChecked(t *testing.T) {
	src, err := Serial{Port: "/dev/ttyS0", Expect: "^METER A"}.Source()
	require.NoError(t, err)
	assert.True(t, src.Expect.MatchString("METER A 1.0"))
	_, err = Serial{Port: "/dev/ttyS0", Expect: "METER ("}.Source()
	assert.ErrorContains(t, err, "METER (")
	_, err = asked(&Serial{Port: "/dev/ttyS0", Expect: "METER"}, nil, nil)
	assert.ErrorContains(t, err, "expect is for")
}
