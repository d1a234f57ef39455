package decoders

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFitSaysWhatItNeeds(t *testing.T) {
	pairs := bytesOf(logOf("", layouts()[0].line))
	for i := range pairs { // voltage and current alone
		pairs[i] = []byte(strings.Join(strings.Split(string(pairs[i]), ",")[1:3], ","))
	}
	newestFirst := nightLines(func(r row) string { return r.at().Format("2006-01-02 15:04:05") + comma(";%.3f;%.3f", r.v, r.i) })
	slices.Reverse(newestFirst)
	half := func(name string) [][]byte {
		return bytesOf(logOf("time_s,"+name, func(k int, r row) string { return fmt.Sprintf("%d,%.3f", 5*k, r.i) }))
	}
	for name, c := range map[string]struct {
		lines [][]byte
		need  string
	}{
		"volts alone":  {half("voltage_V"), "a charge needs both"},
		"amps alone":   {half("current_A"), "a charge needs both"},
		"half a name":  {half("x"), "--decoder"},
		"no lines":     {nil, "--decoder"},
		"prose":        {bytesOf([]string{"nothing to see here", "move on"}), "--decoder"},
		"no time":      {pairs, "--interval"},
		"newest first": {newestFirst, "turn the log round"},
		"one column":   {bytesOf([]string{"1", "2", "3"}), "--decoder"},
		"row numbers":  {bytesOf([]string{"1,1", "2,2", "3,3", "4,4", "5,5"}), "--decoder"},
		"binary noise": {[][]byte{{0, 1, 2, 255, 254}, {7, 7, 7}}, "--decoder"},
	} {
		_, err := Fit(c.lines, Options{})
		var unfit *Unfit
		require.True(t, errors.As(err, &unfit), name)
		assert.ErrorIs(t, err, ErrUndecodable)
		assert.Contains(t, unfit.Need, c.need, name)
		assert.NotEmpty(t, unfit.Found, name)
	}
}

// Of lines that are none of a log the first that says something is shown.
func TestFitShowsWhatItCannotRead(t *testing.T) {
	_, err := Fit(bytesOf([]string{"", " ", "READY. type help", "READY. type help"}), Options{})
	assert.ErrorContains(t, err, `4 of them, begin with "READY. type help"`)
	_, err = Fit(bytesOf([]string{"", ""}), Options{})
	assert.ErrorContains(t, err, `begin with ""`)
}

func TestFitOfASourceWithOneQuantity(t *testing.T) {
	lines := nightLines(func(r row) string { return strings.TrimSpace(comma("%.3f", r.v)) })
	f, err := Fit(lines, Options{Live: true, Only: Volts})
	require.NoError(t, err)
	assert.Equal(t, "voltage_V", f.Columns)
	got, err := streamOf(t, f.Setting).Line(lines[0], 5, 0)
	require.NoError(t, err)
	assert.InDelta(t, 12.2, got.Volts, 0.01)

	lines = nightLines(func(r row) string { return fmt.Sprintf("OK;%.0f;%.3f;%.1f", r.t, r.v, r.celsius) })
	f, err = Fit(lines, Options{Live: true, Only: Volts})
	require.NoError(t, err)
	assert.Contains(t, f.Setting, "time=2:s voltage=3:V", "neither a word nor the time is the voltage")
	assert.Empty(t, f.Difference, "that another is a current is no question here")
}

func TestDayOrMonthFirstIsAskedForWhereNothingTells(t *testing.T) {
	lines := bytesOf(logOf("date,V,A", func(_ int, r row) string {
		return r.at().AddDate(0, 0, -10).Format("02/01/2006 15:04:05") + ",12.6,3.5"
	})[:100])
	f, err := Fit(lines, Options{})
	require.NoError(t, err)
	assert.Contains(t, f.Setting, formDMY)
	assert.Contains(t, f.RunnerUp, formMDY)
	assert.Contains(t, f.Difference, "month")

	for header, written := range map[string]func(r row) string{
		"date,V,A":       func(r row) string { return r.at().AddDate(0, 0, -10).Format("01/02/2006 03:04:05 PM") + ",12.6,3.5" },
		"date,V,A,T (F)": func(r row) string { return r.at().AddDate(0, 0, -10).Format("01/02/2006 15:04:05") + ",12.6,3.5,68.2" },
	} {
		f, err := Fit(bytesOf(logOf(header, func(_ int, r row) string { return written(r) })[:100]), Options{})
		require.NoError(t, err)
		assert.Contains(t, f.Setting, formMDY, "as by who writes like this")
		assert.Contains(t, f.RunnerUp, formDMY)
	}
}

func TestSettingsReadBack(t *testing.T) {
	for _, s := range []string{
		"columns separator=comma width=3 time=1:s voltage=2:V current=3:A:negate",
		"columns separator=blanks decimal=comma checksum=crc16-modbus+swapped date=1:d-m-y clock=2:h:m:s voltage=3:mV current=4:mA",
		`labelled pair=yes interval=2.5s voltage="bat volts":V current="a:b":A`,
		"json stamp=ts:unix-ms voltage=battery.volts:V current=battery.amps:A counter=q:mAh",
		`answers voltage="MEAS:VOLT? (@1)":V current=CURR?:A`,
		"registers voltage=1/4/0/uint16/0.01:V current=1/4/2/float32/1/word-swapped:A",
		`pattern decimal=comma voltage=voltage:V current=current_mA:mA:negate match=(?P<voltage>[\d,]+) V (?P<current_mA>\S+)`,
	} {
		l, err := Parse(s)
		require.NoError(t, err, s)
		assert.Equal(t, s, l.String())
	}
	l, err := Parse(`pattern (?P<voltage>[\d.]+) V at (?P<stamp_unixms>\d+)`)
	require.NoError(t, err)
	assert.Equal(t, "voltage_V, stamp_unix-ms", l.Describe())

	l, err = Parse("columns separator=blanks stops=8 stops=10.20 decimal=comma decimal=point voltage=1:V")
	require.NoError(t, err)
	assert.Equal(t, "columns separator=blanks stops=10.20 voltage=1:V", l.String(), "of two words for one thing the last counts")
}

func TestWrongSettingsSayWhatIsWrong(t *testing.T) {
	for s, want := range map[string]string{
		"":                                     "not known",
		"colums x":                             "known are auto, json, labelled",
		"columns":                              "separator=",
		"columns separator=dash voltage=1:V":   "dash",
		"columns separator=comma voltage=1:mA": "unit",
		"columns separator=comma voltage=x:V":  "column",
		"columns separator=comma voltage=1 time=1":   "at once",
		"columns separator=comma width=1 voltage=2":  "width",
		"columns separator=comma speed=1":            "speed",
		"columns separator=comma date=1:q voltage=2": "form",
		"labelled voltage":                           "no =",
		`labelled voltage="a:V`:                      "quote",
		"labelled":                                   "field",
		"json":                                       "field",
		"pattern":                                    "regular expression",
		"pattern (?P<voltage>":                       "missing",
		"pattern (?P<speed>x)":                       "speed",
		"pattern abc":                                "named group",
		"labelled interval=5V u=1":                   "interval",
		"labelled checksum=md voltage=V:V":           "checksum",
		"labelled checksum=xor+end voltage=V:V":      "checksum",
		"labelled interval=0s voltage=V:V":           "interval",
		"labelled decimal=dash voltage=V:V":          "neither point nor comma",
		"labelled signs=odd voltage=V:V":             "neither typeset nor plain",
		"labelled thousands=dash voltage=V:V":        "apostrophe",
		"labelled pair=perhaps voltage=V:V":          "neither yes nor no",
		"labelled before=volts voltage=V:V":          "only time",
		"columns separator=comma width=65 voltage=1": "from 1 to 64",
		"columns separator=blanks stops=8.8 time=1":  "rising",
		"turns width=1 voltage=1":                    "from 2 to 6",
		"turns width=2 voltage=3":                    "from 1 to 2",
		"turns width=2 voltage=1 current=1":          "at once",
	} {
		_, err := Parse(s)
		assert.ErrorContains(t, err, want, s)
	}
}

// firstOf gives the first so many lines.
func firstOf(lines [][]byte) func(int) [][]byte {
	return func(most int) [][]byte { return lines[:min(most, len(lines))] }
}

// Fewer lines must not come to another setting than all of them.
func TestBriefFitIsTheSame(t *testing.T) {
	for _, name := range openLogs(t) {
		lines := head(linesOf(t, name))
		all, err := Fit(lines, Options{})
		require.NoError(t, err)
		brief, err := FitBriefly(firstOf(lines), Options{})
		require.NoError(t, err)
		require.Equal(t, all.Setting, brief.Setting, name)
	}
}

func TestAThousandMilliamperesAreNoVoltage(t *testing.T) {
	var lines [][]byte
	for k := range 400 {
		amps := 1000 + k%5
		if k < 10 || k > 350 {
			amps = 0
		}
		lines = append(lines, fmt.Appendf(nil, "%d,%d,%d", 20000*k, 9800+amps/10+3*k, amps))
	}
	f, err := Fit(lines, Options{})
	require.NoError(t, err)
	assert.Equal(t, "time_ms, voltage_mV, current_mA", f.Columns)
}

// The recorder lost its time in mid-charge, and counts on from 1970.
func TestAClockThatFellBackTo1970IsStillOne(t *testing.T) {
	for _, step := range []int{1, 10, 60} {
		lines := [][]byte{[]byte("unix_time,voltage_V,current_A")}
		for k := range 600 {
			at := 1773524400 + k*step
			if k >= 300 {
				at = 40 + k*step
			}
			lines = append(lines, fmt.Appendf(nil, "%d,%.3f,%.2f", at, 12.5+0.002*float64(k), 5.0))
		}
		fitted, err := Fit(lines, Options{})
		require.NoError(t, err)
		assert.Contains(t, fitted.Setting, "stamp=1:unix ", "a row every %d s", step)
	}
}
