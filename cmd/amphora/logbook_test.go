package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/report"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestEveryFieldHasAFlag keeps the flags equal to what the logbook stores, but
// for the names that arguments give and what the logbook itself gives.
func TestEveryFieldHasAFlag(t *testing.T) {
	stored := func(record any, but ...string) (names []string) {
		kind := reflect.TypeOf(record)
		for n := range kind.NumField() {
			if name := kind.Field(n).Tag.Get("json"); !slices.Contains(but, name) {
				names = append(names, name)
			}
		}
		return names
	}
	flags := func(fields []field) (names []string) {
		for _, f := range fields {
			names = append(names, f.name)
		}
		return names
	}
	assert.ElementsMatch(t, stored(logbook.Battery{}, "name", "retired"), flags(batteryFields))
	assert.ElementsMatch(t, stored(logbook.Reading{}, "id", "battery"), flags(readingFields))
}

func TestBatteryOverItsLife(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "not", "there", "yet")
	b := doneJSON[logbook.Battery](t, "battery", "add", "mower", "--data", dir, "--chemistry", "LEAD-AGM", "--capacity", "17000mAh", "--rated-hours", "1200min", "--reserve-minutes", "0.5h", "--note", "new")
	assert.Equal(t, logbook.Battery{Name: "mower", Chemistry: new(analyze.LeadAGM), CapacityAh: new(17.0), CapacityHours: new(20.0), ReserveMinutes: new(30.0), Note: "new"}, b)

	b = doneJSON[logbook.Battery](t, "battery", "edit", "mower", "--data", dir, "--note", "", "--capacity", "0.3")
	assert.Equal(t, new(0.3), b.CapacityAh, "a bare number is ampere-hours, and loses nothing on its way")
	assert.Empty(t, b.Note)
	assert.Equal(t, new(20.0), b.CapacityHours, "what was not given stays")

	assert.Equal(t, "retired mower\n", done(t, "battery", "retire", "mower", "--data", dir, "--at", "2026-03-14T21:40:00Z"))
	b = doneJSON[logbook.Battery](t, "battery", "show", "mower", "--data", dir)
	assert.Equal(t, new(time.Date(2026, 3, 14, 21, 40, 0, 0, time.UTC)), b.Retired)
	assert.Equal(t, "in use again: mower\n", done(t, "battery", "retire", "mower", "--data", dir, "--undo"))
	assert.Nil(t, doneJSON[[]logbook.Battery](t, "battery", "list", "--data", dir)[0].Retired)
	assert.Equal(t, "taken out: mower\n", done(t, "battery", "remove", "mower", "--data", dir))
	assert.Empty(t, doneJSON[[]logbook.Battery](t, "battery", "list", "--data", dir))
}

// The copy is made while another program has the logbook open, and what it wrote last
// stands beside the file.
func TestLogbookIsCopiedAndTakenElsewhere(t *testing.T) {
	dir := newData(t)
	book, err := logbook.Open(t.Context(), daemon.BookFile(dir))
	require.NoError(t, err)
	defer book.Close()
	require.NoError(t, book.AddBattery(t.Context(), logbook.Battery{Name: "newest"}))
	all := done(t, "logbook", "export", "--data", dir)
	require.Contains(t, all, "newest")

	copied, file := t.TempDir(), filepath.Join(t.TempDir(), "logbook.json")
	assert.Equal(t, "copied the logbook to "+daemon.BookFile(copied)+"\n", done(t, "logbook", "backup", daemon.BookFile(copied), "--data", dir))
	assert.Equal(t, all, done(t, "logbook", "export", "--data", copied))
	refused := func(why string, args ...string) {
		code, _, errOut := amphora(t, args...)
		assert.Equal(t, exitFailed, code)
		assert.Contains(t, errOut, why)
	}
	refused("file already exists; name a new file", "logbook", "backup", daemon.BookFile(copied), "--data", dir)

	require.NoError(t, os.WriteFile(file, []byte(all), 0o600))
	elsewhere := filepath.Join(t.TempDir(), "new")
	assert.Equal(t, "added what is in "+file+"\n", done(t, "logbook", "import", file, "--data", elsewhere))
	assert.Equal(t, all, done(t, "logbook", "export", "--data", elsewhere))
	done(t, "battery", "edit", "newest", "--data", elsewhere, "--note", "differs")
	refused("newest", "logbook", "import", file, "--data", elsewhere)
}

func TestEmptyLists(t *testing.T) {
	dir := t.TempDir()
	for _, kind := range []string{"battery", "reading", "session"} {
		assert.Equal(t, "[]\n", done(t, kind, "list", "--json", "--data", dir))
		assert.Regexp(t, "^no ", done(t, kind, "list", "--data", dir))
	}
}

func TestReadings(t *testing.T) {
	dir := newData(t)
	all := doneJSON[[]logbook.Reading](t, "reading", "list", "mower", "--data", dir)
	require.Len(t, all, 2)
	assert.InDelta(t, 10, *all[0].Celsius, 1e-9, "50 F")
	assert.Equal(t, new(0.029), all[1].Ohm)
	assert.Equal(t, all, doneJSON[[]logbook.Reading](t, "reading", "list", "--data", dir), "the car has none")

	before := time.Now().Add(-time.Minute)
	noted := doneJSON[logbook.Reading](t, "reading", "add", "car", "--gravity", "1.265", "--data", dir)
	assert.True(t, noted.At.After(before), "without --at it was measured now")
	assert.Regexp(t, `1\.265 +- +100 `, done(t, "reading", "list", "car", "--data", dir))
	done(t, "reading", "add", "car", "--gravity", "1.225", "--celsius", "10C", "--data", dir)
	assert.Regexp(t, `1\.225 +10 +66 `, done(t, "reading", "list", "car", "--data", dir), "three quarters at 26.7 C are less in the cold")
	done(t, "reading", "add", "car", "--volts", "12.734V", "--celsius", "64F", "--data", dir)
	assert.Regexp(t, `12\.734 +- +- +17\.8 `, done(t, "reading", "list", "car", "--data", dir), "64 F are 17.777… C")
}

// A reading that was mistyped is taken out by what the list shows of it.
func TestMistypedReadingIsTakenOut(t *testing.T) {
	dir := newData(t)
	before := doneJSON[[]logbook.Reading](t, "reading", "list", "mower", "--data", dir)
	for range 2 {
		done(t, "reading", "add", "mower", "--volts", "127.3", "--at", "2026-03-15T08:00", "--data", dir)
	}
	all := doneJSON[[]logbook.Reading](t, "reading", "list", "mower", "--data", dir)
	require.Len(t, all, len(before)+2)

	code, _, errOut := amphora(t, "reading", "remove", "mower", "2026-03-15 08:00", "--data", dir)
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, errOut, `2 readings of mower were measured at "2026-03-15 08:00"; name one by its id`)
	assert.Equal(t, all[len(all)-1], doneJSON[logbook.Reading](t, "reading", "remove", "mower", all[len(all)-1].ID, "--data", dir))
	assert.Regexp(t, `(?s)^taken out:\n.*127\.3`, done(t, "reading", "remove", "mower", "2026-03-15T08:00", "--data", dir))
	assert.Equal(t, before, doneJSON[[]logbook.Reading](t, "reading", "list", "mower", "--data", dir))

	code, _, errOut = amphora(t, "reading", "remove", "mower", "2026-03-15 08:00", "--data", dir)
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, errOut, "no reading of mower was measured at")
}

// TestSessionDocument holds session show to what analyze prints of a charge.
func TestSessionDocument(t *testing.T) {
	dir := newData(t)
	want := recorded(t)
	text, err := json.MarshalIndent(want, "", "  ")
	require.NoError(t, err)
	shown := done(t, "session", "show", want.ID, "--json", "--data", dir)
	assert.Equal(t, strings.TrimSuffix(string(text), "\n}"), shown[:strings.Index(shown, ",\n  \"notes\"")], "notes stand behind it")

	type document = map[string]any
	fromLog := doneJSON[struct{ Sessions []document }](t, "analyze", mowerLog).Sessions[0]
	fromBook := doneJSON[document](t, "session", "show", want.ID, "--data", dir)
	for _, known := range []string{"id", "channel", "battery", "started", "notes"} { // to the daemon alone
		delete(fromLog, known)
		delete(fromBook, known)
	}
	assert.Equal(t, fromLog, fromBook)
}

// Without an ID the newest charge is meant, and a name that no charge bears is said.
func TestSessionShownIsTheNewest(t *testing.T) {
	dir := newData(t)
	id := recorded(t).ID
	for _, args := range [][]string{nil, {"--battery", "mower"}, {"--channel", "bench"}} {
		assert.Contains(t, done(t, append([]string{"session", "show", "--data", dir}, args...)...), id+": channel bench")
	}
	code, _, errOut := amphora(t, "session", "show", "--battery", "boat", "--data", dir)
	assert.Equal(t, exitFailed, code)
	assert.Contains(t, errOut, `no charges recorded of a battery "boat"`)
	code, _, errOut = amphora(t, "session", "show", id, "--battery", "mower", "--data", dir)
	assert.Equal(t, exitUsage, code)
	assert.Contains(t, errOut, "an ID names one charge")
	assert.Equal(t, "no charges recorded of a battery \"boat\" on a channel \"bench\"\n",
		done(t, "session", "list", "--battery", "boat", "--channel", "bench", "--data", dir))
}

// What was not charged for long is listed for a reminder, and nothing else is said.
func TestBatteriesLongUncharged(t *testing.T) {
	now := time.Date(2026, 12, 1, 9, 0, 0, 0, time.UTC)
	charged := func(days int) logbook.Session {
		return logbook.Session{Summary: analyze.Session{Started: new(now.AddDate(0, 0, -days))}}
	}
	left := unchargedFor(42*24*3600, []logbook.Battery{{Name: "car"}, {Name: "caravan"}, {Name: "new"}, {Name: "scrapped", Retired: &now}},
		map[string]logbook.Session{"car": charged(41), "caravan": charged(42), "scrapped": charged(400)}, now)
	var names []string
	for _, b := range left {
		names = append(names, b.Name)
	}
	assert.Equal(t, []string{"caravan", "new"}, names)
	assert.Empty(t, unchargedFor(1e12, []logbook.Battery{{Name: "car"}}, map[string]logbook.Session{"car": charged(41)}, now), "longer than any duration")

	dir := t.TempDir()
	done(t, "battery", "add", "boat", "--data", dir)
	assert.Contains(t, done(t, "battery", "list", "--uncharged", "6h", "--data", dir), "boat")
	done(t, "battery", "retire", "boat", "--data", dir)
	assert.Empty(t, done(t, "battery", "list", "--uncharged", "6h", "--data", dir))
	code, _, errOut := amphora(t, "battery", "list", "--uncharged", "6", "--data", dir)
	assert.Equal(t, exitUsage, code)
	assert.Contains(t, errOut, "has no unit")
}

func TestSessionList(t *testing.T) {
	dir := newData(t)
	id := recorded(t).ID
	ids := func(args ...string) (ids []string) {
		for _, s := range doneJSON[[]analyze.Session](t, append([]string{"session", "list", "--data", dir}, args...)...) {
			ids = append(ids, s.ID)
		}
		return ids
	}
	assert.Equal(t, []string{id}, ids())
	assert.Equal(t, []string{id}, ids("--battery", "mower", "--channel", "bench", "--limit", "1"))
	assert.Empty(t, ids("--battery", "car"))
	assert.Empty(t, ids("--before", id))
}

func TestNotes(t *testing.T) {
	dir := newData(t)
	note := doneJSON[logbook.Note](t, "session", "annotate", recorded(t).ID, "warm", "--data", dir)
	assert.Equal(t, logbook.Text("warm"), note.Text)
	page := done(t, "session", "show", recorded(t).ID, "--data", dir)
	assert.Contains(t, page, "the fan ran")
	assert.Contains(t, page, "warm")

	type document struct{ Notes []logbook.Note }
	one := doneJSON[document](t, "session", "show", recorded(t).ID, "--data", dir)
	require.Len(t, one.Notes, 2)
	assert.Equal(t, note, one.Notes[1])
	assert.Equal(t, []document{one}, doneJSON[[]document](t, "session", "list", "--data", dir))
}

// TestLogbookPages looks at made-up entries at a fixed time in a fixed zone.
func TestLogbookPages(t *testing.T) {
	mower := logbook.Battery{
		Name: "mower", Chemistry: new(analyze.LeadAGM), Cells: new(6), CapacityAh: new(17.0), CapacityHours: new(20.0),
		Bought: "2025-04", Where: "the shed", Retired: new(morning.Add(-40 * 24 * time.Hour)),
	}
	readings := []logbook.Reading{
		{Battery: "mower", At: morning.Add(-14 * 24 * time.Hour), Celsius: new(10.0), Means: "pen"},
		{Battery: "mower", At: morning.Add(-20 * time.Hour), Volts: new(12.73), Ohm: new(0.029), Remark: "20 h after\na charge"},
	}
	charge := logbook.Session{Summary: madeUpCharge(), Notes: []logbook.Note{{At: morning.Add(-time.Hour), Text: "the fan ran"}}}

	var page bytes.Buffer
	require.NoError(t, batteryTable(&page, []logbook.Battery{{Name: "car", ReserveMinutes: new(85.0)}, mower}, map[string]logbook.Session{"mower": {Summary: analyze.Session{Started: new(morning.AddDate(0, 0, -40)), Outcome: analyze.CutShort}}}, morning))
	golden(t, "battery-list", take(&page))
	history := report.Battery{Battery: mower, Readings: readings, Sessions: []logbook.Session{charge}}
	history.Judge()
	require.NoError(t, batteryPage(&page, history, morning))
	golden(t, "battery-show", take(&page))
	require.NoError(t, sessionPage(&page, charge, morning))
	golden(t, "session-show", take(&page))

	dir := newData(t)
	assert.Contains(t, done(t, "battery", "list", "--data", dir), "the shed")
	assert.Contains(t, done(t, "battery", "show", "mower", "--data", dir), "17 Ah over 20 h")
	assert.Contains(t, done(t, "session", "list", "--data", dir), "bench")
	assert.Contains(t, done(t, "reading", "list", "--data", dir), "12.73")
}

// madeUpCharge went on for ten hours; the log was begun two minutes before.
func madeUpCharge() analyze.Session {
	unknown := analyze.Number(analyze.Unknown())
	return analyze.Session{
		ID: "bench-1", Channel: "bench", Battery: "mower", Started: new(morning.Add(-34 * time.Hour)),
		StartS: 120, EndS: 36120, FinishS: 34000, Outcome: analyze.Complete, EndedBy: analyze.EndTailCurrent,
		ChargeInAh: 18.4, ChargeInAhU95: 0.2, ChargeOutAh: 0, EnergyInWh: 250, SetA: 2, HeldV: 14.4, PeakV: 14.41, TailA: 0.3,
		MaxCelsius: unknown, Chemistry: analyze.LeadAGM, Cells: 6,
		Stages:   []analyze.Stage{{Stage: analyze.ConstantCurrent, StartS: 120, EndS: 30000, ChargeAh: 16.6, EnergyWh: 225, MeanV: 13.5, MeanA: 2, Why: "made up"}},
		Findings: []analyze.Finding{{Code: analyze.CodeRunningLong, Severity: analyze.Warning, AtS: 33000, EndS: unknown, Message: "made up as well"}},
	}
}

// take empties a page.
func take(page *bytes.Buffer) string {
	defer page.Reset()
	return page.String()
}

func TestAgo(t *testing.T) {
	for _, c := range []struct {
		at   time.Time
		want string
	}{
		{morning, "just now"},
		{morning.Add(-59 * time.Second), "just now"},
		{morning.Add(-59 * time.Minute), "59 min ago"},
		{morning.Add(-8 * time.Hour), "today"},
		{morning.Add(-8*time.Hour - time.Second), "yesterday"},
		{morning.Add(-5 * 24 * time.Hour), "5 days ago"},
		{morning.Add(-20 * 24 * time.Hour), "2 weeks ago"},
		{morning.AddDate(0, -3, 0), "2 months ago"}, // 90 days
		{morning.AddDate(-3, 0, 0), "3 years ago"},
		{morning.Add(2 * time.Minute), "ahead of this clock"},
	} {
		assert.Equal(t, c.want, ago(c.at, morning), "%s", c.at)
	}
}

func TestParseWhen(t *testing.T) {
	zoned, err := parseWhen("2026-03-14T21:40:00+02:00")
	require.NoError(t, err)
	assert.True(t, zoned.Equal(time.Date(2026, 3, 14, 19, 40, 0, 0, time.UTC)))
	for text, want := range map[string]time.Time{
		"2026-03-14T21:40": time.Date(2026, 3, 14, 21, 40, 0, 0, time.Local),
		"2026-03-14 21:40": time.Date(2026, 3, 14, 21, 40, 0, 0, time.Local),
		"2026-03-14":       time.Date(2026, 3, 14, 0, 0, 0, 0, time.Local),
	} {
		got, err := parseWhen(text)
		require.NoError(t, err)
		assert.True(t, want.Equal(got), text)
	}
}
