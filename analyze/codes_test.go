package analyze_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
)

// For every finding code there is a night on which it must come, with a date, within a
// time and with the numbers in its message, and its nearest innocent neighbours: nights
// just on the good side, which must bring no warning and no alarm at all.

// severities is the table of codes that people and programs rely on, with the severity
// that each usually has.
var severities = map[string]analyze.Severity{
	"stalled": analyze.Warning, "running-long": analyze.Warning, "over-capacity": analyze.Warning,
	"voltage-not-reached": analyze.Warning, "no-taper": analyze.Warning, "thermal-runaway": analyze.Alarm,
	"over-temperature": analyze.Alarm, "over-voltage": analyze.Alarm, "under-temperature": analyze.Alarm,
	"reverse-polarity": analyze.Alarm, "open-circuit": analyze.Alarm, "current-dropped": analyze.Warning,
	"accepts-little": analyze.Note, "interrupted": analyze.Note, "power-limited": analyze.Note,
	"pulsed": analyze.Note, "meter-silent": analyze.Warning, "meter-frozen": analyze.Warning,
	"data-gap": analyze.Note, "clock-step": analyze.Note, "overload-reading": analyze.Note,
}

// must is a night on which a code must come.
type must struct {
	code, name string
	severity   analyze.Severity  // "" is the code's usual one
	of         []analyze.Options // each of these; without any, nothing is known
	rows       func() []analyze.Sample
	begins     float64  // s, when what is wrong begins
	give       float64  // s by which the finding's date may differ from that
	within     float64  // s after it, by which somebody has been told
	ends       float64  // s, when what is wrong is over; 0 where it lasts
	settles    float64  // s by which the finding's end may differ from that
	says       []string // in the message, numbers first of all
}

// neighbour is a night beside one of those on which nothing is wrong.
type neighbour struct {
	code, name string
	of         []analyze.Options
	rows       func() []analyze.Sample
	note       bool // the code comes, but as a note
	halts      bool // the current is away for long: that is shown meanwhile, and told to nobody
}

func musts() []must {
	return slices.Concat(hazardNights(), looseNights(), progressNights(), stalledNights(), shortedNights(), leaptNights(), saggingNights(), endNights(), upkeepNights(), meterNights(), stuckNights())
}

func neighbours() []neighbour {
	return slices.Concat(hazardNeighbours(), looseNeighbours(), progressNeighbours(), stalledNeighbours(), shortedNeighbours(), leaptNeighbours(), endNeighbours(), upkeepNeighbours(), meterNeighbours(), stuckNeighbours())
}

func TestEveryFindingCodeHasItsSeverity(t *testing.T) {
	assert.Equal(t, severities, analyze.FindingCodes())
}

func TestEveryFindingCodeHasItsNightAndAnInnocentNeighbour(t *testing.T) {
	var must, neighbour []string
	for _, n := range musts() {
		must = append(must, n.code)
	}
	for _, n := range neighbours() {
		neighbour = append(neighbour, n.code)
	}
	for code := range analyze.FindingCodes() {
		assert.Contains(t, must, code, "no night on which it must come")
		assert.Contains(t, neighbour, code, "no night beside it on which nothing must come")
	}
}

func TestEveryFindingComesInTime(t *testing.T) {
	for _, n := range musts() {
		t.Run(n.code+"/"+n.name, func(t *testing.T) {
			t.Parallel()
			for _, o := range orNothing(n.of) {
				n.check(t, o, n.rows())
			}
		})
	}
}

func TestNothingComesOfAnInnocentNeighbour(t *testing.T) {
	for _, n := range neighbours() {
		t.Run(n.code+"/"+n.name, func(t *testing.T) {
			t.Parallel()
			for _, o := range orNothing(n.of) {
				n.check(t, o, n.rows())
			}
		})
	}
}

func orNothing(of []analyze.Options) []analyze.Options {
	if len(of) == 0 {
		return []analyze.Options{{}}
	}
	return of
}

func (n *must) check(t *testing.T, o analyze.Options, rows []analyze.Sample) {
	w := watching{t: t, m: analyze.New(o)}
	by := n.begins + n.within
	var then analyze.Document
	w.live(rows, func(s analyze.Sample) {
		if s.At > by && then.Sessions == nil {
			then = w.m.Document()
		}
	})
	end := w.m.Document()
	if then.Sessions == nil {
		then = end
	}
	early, late := findingIn(then, n.code), findingIn(end, n.code)
	require.NotNil(t, early, "by %s there are %s", analyze.Clock(by), listed(then))
	require.NotNil(t, late, "once there, it stays on record")
	usual := n.severity
	if usual == "" {
		usual = severities[n.code]
	}
	assert.Equal(t, usual, early.Severity)
	assert.InDelta(t, n.begins, float64(early.AtS), n.give, "when it began")
	assert.Equal(t, early.AtS, late.AtS, "the date stands")
	for _, words := range n.says {
		assert.Contains(t, early.Message, words)
	}
	assert.Regexp(t, `[0-9]`, early.Message, "the numbers")
	if usual != analyze.Note {
		assert.Equal(t, n.ends > 0 && n.ends <= by, analyze.Known(early.EndS), "it holds by then, unless it is over")
		require.Contains(t, w.told, n.code)
		assert.LessOrEqual(t, w.told[n.code], by, "somebody is told")
		assert.Equal(t, n.ends > 0, w.over[n.code], "and told when it is over")
	}
	if n.ends == 0 {
		assert.False(t, analyze.Known(late.EndS), "it lasts, yet it cleared at %s", analyze.Clock(float64(late.EndS)))
	} else {
		assert.InDelta(t, n.ends, float64(late.EndS), n.settles, "when it cleared")
	}
	assert.LessOrEqual(t, len(w.codes(end))-1, 2, "besides its own: %s", listed(end))
}

func (n *neighbour) check(t *testing.T, o analyze.Options, rows []analyze.Sample) {
	w := watching{t: t, m: analyze.New(o)}
	k, looks := 0, len(rows)/30+1
	w.live(rows, func(analyze.Sample) {
		if k++; k%looks == 0 {
			n.quiet(t, w.m.Document(), n.halts)
		}
	})
	n.quiet(t, w.m.Document(), false)
	for code := range w.told {
		assert.Equal(t, analyze.Note, w.worst[code], code)
	}
}

// quiet: no warning and no alarm, and not the code, unless it may come as a note; nor
// that the current has dropped, unless it halts.
func (n *neighbour) quiet(t *testing.T, d analyze.Document, halts bool) {
	for _, s := range d.Sessions {
		for _, f := range s.Findings {
			if halts && f.Code == analyze.CodeCurrentDropped {
				continue
			}
			require.Equal(t, analyze.Note, f.Severity, "%s: %s", f.Code, f.Message)
			require.False(t, f.Code == n.code && !n.note, "%s: %s", f.Code, f.Message)
		}
	}
}

// watching is a night as somebody lives through it.
type watching struct {
	t     *testing.T
	m     *analyze.Machine
	told  map[string]float64 // when somebody was first told of a code, s
	worst map[string]analyze.Severity
	over  map[string]bool // told to be
}

// live gives the rows one by one, and listens for them every ten seconds meanwhile.
func (w *watching) live(rows []analyze.Sample, seen func(analyze.Sample)) {
	w.told, w.worst, w.over = map[string]float64{}, map[string]analyze.Severity{}, map[string]bool{}
	for k, s := range rows {
		if k > 0 {
			for wait := 10.0; wait < s.At-rows[k-1].At; wait += 10 {
				w.hear(rows[k-1].At+wait, w.m.Silent(wait))
			}
		}
		seen(s)
		w.hear(s.At, w.m.Step(s))
	}
}

func (w *watching) hear(at float64, events []analyze.Event) {
	for _, e := range events {
		switch {
		case e.Kind == analyze.FindingRaised:
			w.tell(e.Finding, at)
		case e.Kind == analyze.FindingCleared:
			w.over[e.Finding.Code] = true
		case e.Session != nil:
			for _, f := range e.Session.Findings {
				w.tell(f, at)
			}
		}
	}
}

func (w *watching) tell(f analyze.Finding, at float64) {
	assert.NotEmpty(w.t, f.Message, f.Code)
	if _, ok := w.told[f.Code]; !ok {
		w.told[f.Code] = at
	}
	if f.Severity != analyze.Note || w.worst[f.Code] == "" {
		w.worst[f.Code] = f.Severity
	}
}

// codes are all that were told, or stand in a document.
func (w *watching) codes(d analyze.Document) map[string]bool {
	all := map[string]bool{}
	for code := range w.told {
		all[code] = true
	}
	for _, s := range d.Sessions {
		for _, f := range s.Findings {
			all[f.Code] = true
		}
	}
	return all
}

func findingIn(d analyze.Document, code string) *analyze.Finding {
	for _, s := range d.Sessions {
		for k := range s.Findings {
			if s.Findings[k].Code == code {
				return &s.Findings[k]
			}
		}
	}
	return nil
}

func listed(d analyze.Document) string {
	var b strings.Builder
	for _, s := range d.Sessions {
		fmt.Fprintf(&b, "(%s", s.Outcome)
		for _, f := range s.Findings {
			fmt.Fprintf(&b, "; %s %s at %s: %s", f.Severity, f.Code, analyze.Clock(float64(f.AtS)), f.Message)
		}
		b.WriteString(")")
	}
	return b.String()
}

// warmed gives rows a temperature over time.
func warmed(rows []analyze.Sample, celsius func(t float64) float64) []analyze.Sample {
	for k := range rows {
		rows[k].Celsius = math.Round(celsius(rows[k].At)*10) / 10
	}
	return rows
}
