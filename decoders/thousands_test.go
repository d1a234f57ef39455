package decoders

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestUngroup(t *testing.T) {
	for _, c := range []struct{ by, in, want string }{
		{"point", "12.100;3.500;950", "12100;3500;950"},
		{"point", "1.234.567,5", "1234567,5"},
		{"point", "0.123;12.65;1.2345;v1.234;-1.234", "0.123;12.65;1.2345;v1.234;-1234"},
		{"point", "14.03.2026 21:40:05.123;12.100", "14.03.2026 21:40:05.123;12100"},
		{"comma", `"12,100","3,500",17`, `"12100","3500",17`},
		{"apostrophe", "12'100;3’500;1'23", "12100;3500;1'23"},
		{"blank", "12 100;3\u202f500;1\u00a0234 V", "12100;3500;1234 V"},
	} {
		assert.Equal(t, c.want, string(groupingNamed(c.by).ungroup(nil, []byte(c.in))), c.in)
	}
}

// The point of a usual log is a decimal mark, whatever the digits behind it.
func TestDecimalsAreNotGrouped(t *testing.T) {
	for _, header := range []string{"", "s;V;A"} {
		lines := bytesOf(logOf(header, func(_ int, r row) string { return fmt.Sprintf("%.3f;%.3f;%.3f", r.t, r.v, r.i) }))
		f, err := Fit(head(lines), Options{})
		require.NoError(t, err)
		assert.Empty(t, f.Layout.Grouping)
		assert.Empty(t, f.Difference)
	}
}

// A whole number in a smaller range of the meter is no small number in groups: 950 mA beside 1.250 A.
func TestRangesAreNoGroups(t *testing.T) {
	for _, form := range []string{"%.0f,%.3f,V,%s,%s", "%.0f,%.3fV,%s%s", "%.0f;%.3f;V;%s;%s", "%.0f\t%.3f\tV\t%s\t%s"} {
		lines := bytesOf(logOf("", func(_ int, r row) string {
			if r.i < 1 {
				return fmt.Sprintf(form, r.t, r.v, fmt.Sprintf("%.0f", r.i*1000), "mA")
			}
			return fmt.Sprintf(form, r.t, r.v, fmt.Sprintf("%.3f", r.i), "A")
		}))
		f, err := Fit(lines, Options{})
		if err != nil {
			t.Errorf("%s: %v", form, err)
			continue
		}
		assert.Empty(t, f.Layout.Grouping, form)
		assert.Greater(t, f.Share, 0.99, form)
	}
}

// Where all numbers have the mark and no unit is stated, both answers are shown.
func TestGroupsThatNothingTellsShowBoth(t *testing.T) {
	lines := bytesOf(logOf("", func(_ int, r row) string {
		if r.i < 1.5 {
			return ""
		}
		return fmt.Sprintf("%.3f;%.3f;%.3f", 5000+r.t*1.003, r.v, r.i)
	}))
	f, err := Fit(head(lines), Options{})
	require.NoError(t, err)
	t.Log(f.Setting, f.Confidence, f.Evidence, f.RunnerUp, f.Difference)
	assert.NotContains(t, f.Setting, "thousands", "four digits before a point are no group")
	lines = bytesOf(logOf("t/s;U;I", func(k int, r row) string {
		if r.i < 1.5 {
			return ""
		}
		return fmt.Sprintf("%.3f;%.3f;%.3f", 1+float64(k)*0.01, r.v, r.i)
	}))
	f, err = Fit(head(lines), Options{})
	require.NoError(t, err)
	t.Log(f.Setting, f.Confidence, f.Evidence, f.RunnerUp, f.Difference)
	assert.Contains(t, f.Difference, "thousand")
	assert.Contains(t, f.RunnerUp, "thousands=point")
}

// A header may state units in which only groups make sense, and nothing else tell.
func TestGroupsInStatedThousandths(t *testing.T) {
	lines := bytesOf(logOf("t/s;U/mV;I/mA", func(k int, r row) string {
		if r.i < 1.5 {
			return ""
		}
		return fmt.Sprintf("%d;%.3f;%.3f", k, r.v, r.i)
	}))
	f, err := Fit(head(lines), Options{})
	require.NoError(t, err)
	assert.Equal(t, "point", f.Layout.Grouping)
}

// Half of the currents are above a thousand, and that half could not be read else.
func TestSomeApostrophesAreEnough(t *testing.T) {
	lines := [][]byte{[]byte("time (ms), current (mA), voltage (V), temp (C), unit, fan")}
	for k := range 83 {
		mA := "-10"
		switch {
		case k > 60:
			mA = fmt.Sprint(900 - 15*(k-60))
		case k > 19:
			mA = "1'330"
		}
		lines = append(lines, fmt.Appendf(nil, "%d, %s, %.2f, 26.8, A1, %d", 60000*k+317, mA, 18.4+0.03*float64(min(k, 60)), 1200+k%7))
	}
	f, err := Fit(lines, Options{})
	require.NoError(t, err)
	assert.Equal(t, "apostrophe", f.Layout.Grouping)
}
