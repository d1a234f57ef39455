//go:build linux

package e2e

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// observer sits at a port and keeps its own copy of what was said there. It takes
// lines apart by itself.
type observer struct {
	channel string
	layout  madeup.Layout
	copy    []heard
	marks   []mark // that the record must hold
	found   []mark // that it does
}

// heard is a line of the copy.
type heard struct {
	text     string
	day      int
	row      row
	isRow    bool // as far as anybody can tell
	usable   bool // and nothing happened to it
	damaged  bool // on purpose
	atStake  bool // said less than a second before a kill
	cuttable bool // said just before a stop
}

func (o *observer) hear(text string, day int, damaged bool) {
	h := heard{text: text, day: day, damaged: damaged}
	h.row, h.isRow = o.read(text)
	h.usable = h.isRow && !damaged
	o.copy = append(o.copy, h)
}

// read takes a row apart.
func (o *observer) read(text string) (r row, ok bool) {
	if o.layout == madeup.Labelled {
		at, hasTime := labelled(text, "t")
		amps, hasAmps := labelled(text, "A")
		_, hasVolts := labelled(text, "V")
		return row{at, amps}, hasTime && hasVolts && hasAmps
	}
	columns := strings.Split(text, ",")
	if len(columns) != 3 {
		return r, false
	}
	var numbers [3]float64
	for k := range columns {
		x, err := strconv.ParseFloat(strings.TrimSpace(columns[k]), 64)
		if k == 0 && o.layout == madeup.DateTime {
			var at time.Time
			at, err = time.Parse(time.RFC3339, columns[0])
			x = float64(at.UnixMilli()) / 1000
		}
		if err != nil {
			return r, false
		}
		numbers[k] = x
	}
	return row{numbers[0], numbers[2]}, true
}

// labelled is the first number that stands behind a label.
func labelled(text, label string) (x float64, ok bool) {
	_, text, ok = strings.Cut(text, label+"=")
	if !ok {
		return 0, false
	}
	end := strings.IndexFunc(text, func(r rune) bool { return !strings.ContainsRune("+-.0123456789", r) })
	if end >= 0 {
		text = text[:end]
	}
	x, err := strconv.ParseFloat(text, 64)
	return x, err == nil
}

// tornByAKill tells whether a record is missing that a kill tore in the middle, which happens
// where a page of the file ends: the program has put the piece beside it. Whether the line was at
// stake then, compare looks.
func tornByAKill(said string) bool {
	at := missingRecord.FindStringSubmatch(said)
	if at == nil {
		return false
	}
	_, err := os.Stat(at[1] + ".torn-" + at[2])
	return err == nil
}

func TestOnlyWhatAKillToreMayBeMissing(t *testing.T) {
	segment := filepath.Join(t.TempDir(), "2026-03-29-000000002760.log")
	const lost = ", byte 253861, 0 bytes: records are missing; record 5268 is lost\n"
	require.False(t, tornByAKill("amphora: journal "+segment+".zst"+lost))
	require.NoError(t, os.WriteFile(segment+".torn-253861", nil, 0o600))
	require.True(t, tornByAKill("amphora: journal "+segment+".zst"+lost))
	require.True(t, tornByAKill("amphora: journal "+segment+lost))
	require.False(t, tornByAKill("amphora: journal "+segment+", byte 99, 0 bytes: records are missing; record 7 is lost\n"))
	require.False(t, tornByAKill("amphora: journal "+segment+", byte 253861, 91 bytes: the checksum is wrong\n"))
}

var missingRecord = regexp.MustCompile(`journal (\S+\.log)(?:\.zst)?, byte (\d+), 0 bytes: records are missing`)

// written is a record as the program exports it.
type written struct{ flags, text string }

// exported is what amphora journal export gives of a channel.
func exported(t testing.TB, data, channel string) (records []written) {
	t.Helper()
	status, out, said := amphora(t, "journal", "export", "--csv", "--channel", channel, data)
	require.Zero(t, status, said)
	for line := range strings.Lines(said) {
		assert.True(t, tornByAKill(line), "damage in the journal: %s", line)
	}
	rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	require.NoError(t, err)
	last := 0
	for _, r := range rows[1:] {
		number, err := strconv.Atoi(r[0])
		require.NoError(t, err)
		require.Greater(t, number, last, "numbers only grow")
		last = number
		if quoted := strings.TrimPrefix(r[4], "'"); quoted != "" && strings.ContainsRune("=+-@", rune(quoted[0])) {
			r[4] = quoted // as no line begins, lest a spreadsheet ran it
		}
		text, err := strconv.Unquote(`"` + strings.ReplaceAll(r[4], `"`, `\"`) + `"`)
		require.NoError(t, err, "%s", r[4])
		records = append(records, written{r[3], text})
	}
	return records
}

func (w *written) is(flag string) bool {
	for f := range strings.SplitSeq(w.flags, "+") {
		if f == flag {
			return true
		}
	}
	return false
}

func (w *written) mark() bool { return w.is("opened") || w.is("lost") || w.is("marked") }

// compare goes through copy and record side by side: each line stands there once, in
// its order, byte for byte. What was at stake in a kill may be missing, whole or in
// part. Of what the program could not use the copy takes note. What is wrong is
// returned, at most so much of it.
func (o *observer) compare(records []written) (wrong []string) {
	const most = 10
	next, afterOpening := 0, false
	complain := func(format string, args ...any) {
		if len(wrong) < most {
			wrong = append(wrong, o.channel+": "+fmt.Sprintf(format, args...))
		}
	}
	for k := 0; k < len(records); k++ {
		w := &records[k]
		if w.mark() {
			afterOpening = afterOpening || w.is("opened")
			o.found = append(o.found, mark{flag: w.flags, begins: w.text, from: next, to: o.behind(next)})
			continue
		}
		if w.is("fragment") && !afterOpening {
			complain("called a fragment, though it was not the first line: %q", w.text)
		}
		afterOpening = false
		at := o.find(next, w.text)
		if at < 0 {
			if cut := o.findCut(next, w.text); cut >= 0 {
				o.copy[cut].usable = false
				continue
			}
			complain("never said, twice, or out of order: record %d, %q", k, w.text)
			continue
		}
		for ; next < at; next++ {
			if !o.copy[next].atStake && !o.copy[next].cuttable {
				complain("lost: %q", o.copy[next].text)
			}
			o.copy[next].usable = false
		}
		if w.is("fragment") {
			o.copy[at].usable = false
		}
		next = at + 1
	}
	for ; next < len(o.copy); next++ {
		complain("lost at the end: %q", o.copy[next].text)
	}
	return wrong
}

// behind is from where on the copy's lines must be on record, given that those before a
// place are.
func (o *observer) behind(from int) int {
	for from < len(o.copy) && (o.copy[from].atStake || o.copy[from].cuttable) {
		from++
	}
	return from
}

// reach is how many lines may be missing in one place.
const reach = 200

// find looks for a line in the copy.
func (o *observer) find(from int, text string) int {
	for k := from; k < min(from+reach, len(o.copy)); k++ {
		if o.copy[k].text == text {
			return k
		}
		if !o.copy[k].atStake && !o.copy[k].cuttable {
			break
		}
	}
	return -1
}

// findCut looks for one of which this is the beginning or the end.
func (o *observer) findCut(from int, text string) int {
	for k := from; k < min(from+reach, len(o.copy)); k++ {
		h := &o.copy[k]
		if !h.atStake && !h.cuttable {
			break
		}
		if strings.HasSuffix(h.text, text) || strings.HasPrefix(h.text, text) {
			return k
		}
	}
	return -1
}

// rows are the usable rows of a day.
func (o *observer) rows(day int) (rows []row) {
	for _, h := range o.copy {
		if h.day == day && h.usable {
			rows = append(rows, h.row)
		}
	}
	return rows
}

// damaged counts the lines that were damaged on purpose.
func (o *observer) damaged() (n int) {
	for _, h := range o.copy {
		if h.damaged {
			n++
		}
	}
	return n
}
