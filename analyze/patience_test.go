package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// telltale is a night that shows something, after which the meter says no more.
type telltale struct {
	o    analyze.Options
	rows []analyze.Sample
}

// told is what comes of it with a patience: for each code when it was first seen, s;
// at the end for what is seen of a charge as a whole.
func (n *telltale) told(p analyze.Patience) (seen map[string]float64, d analyze.Document) {
	const silence = 3000 // s
	o := n.o
	o.Patience = p
	m := analyze.New(o)
	seen = map[string]float64{}
	note := func(at float64, events []analyze.Event) {
		for _, e := range events {
			if _, before := seen[e.Finding.Code]; e.Kind == analyze.FindingRaised && !before {
				seen[e.Finding.Code] = at
			}
		}
	}
	for _, s := range n.rows {
		note(s.At, m.Step(s))
	}
	note(n.rows[len(n.rows)-1].At, m.Silent(silence))
	d = m.Document()
	for _, s := range d.Sessions {
		for _, code := range codesOf(&s) {
			if _, before := seen[code]; !before {
				seen[code] = float64(s.EndS) + silence
			}
		}
	}
	return seen, d
}

// telltales are the nights on which findings must come, the first for each code.
func telltales() (all []telltale) {
	seen := map[string]bool{}
	for _, n := range musts() {
		if !seen[n.code] {
			seen[n.code] = true
			all = append(all, telltale{orNothing(n.of)[0], n.rows()})
		}
	}
	return all
}

// Every finding can be silenced and stretched: then it is told later, or not at all.
func TestPatience(t *testing.T) {
	shown := map[string]bool{}
	for _, n := range telltales() {
		before, _ := n.told(nil)
		for code, at := range before {
			if shown[code] {
				continue
			}
			shown[code] = true
			after, _ := n.told(analyze.Patience{code: analyze.Never})
			assert.NotContains(t, after, code, "off")
			after, _ = n.told(analyze.Patience{code: 100})
			if later, told := after[code]; told {
				assert.Greater(t, later, at, code)
			}
			after, _ = n.told(analyze.Patience{code: 0.3})
			require.Contains(t, after, code, "with less patience it is told all the more")
			assert.LessOrEqual(t, after[code], at, code)
		}
	}
	for code := range analyze.FindingCodes() {
		assert.Contains(t, shown, code, "a night that shows it")
	}
}

// Twice the patience waits twice as long, for a voltage that stands after its first hour, and until a
// current that has dropped is shown, or a cell's voltage; half of it, half as long.
func TestPatienceStretchesTheWait(t *testing.T) {
	stands := slowly(16, 5, func(float64) float64 { return 12.3 })()
	drops := script(10, before, ramp(2*anHour, 12.6, 13.2, 5, 5), settle(anHour/2, 13, 12.7, 900))
	shorts := falling(12.5, 13.2, 3, 2.15, 1)()
	for factor, wait := range map[float64]float64{0.5: 2.5, 1: 5, 2: 10} {
		assert.InDelta(t, 300+anHour+wait*anHour, shownAt(agm100, analyze.CodeStalled, factor, stands), 300)
		assert.InDelta(t, 600+2*anHour+wait*60, shownAt(agm17, analyze.CodeCurrentDropped, factor, drops), 60)
		assert.InDelta(t, fell+2*wait*60, shownAt(agm100, analyze.CodeVoltageNotReached, factor, shorts), 90)
	}
}

// shownAt is when a finding first stands in the document, s, as looked at every minute.
func shownAt(o analyze.Options, code string, patience float64, rows []analyze.Sample) float64 {
	o.Patience = analyze.Patience{code: patience}
	m := analyze.New(o)
	looked := 0.0
	for _, s := range rows {
		m.Step(s)
		if s.At < looked+60 {
			continue
		}
		if looked = s.At; findingIn(m.Document(), code) != nil {
			return s.At
		}
	}
	return math.Inf(1)
}

// What is off keeps nothing else from being told, and ends no charge.
func TestOffIsAsIfItWereNotThere(t *testing.T) {
	o := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 60 * anHour, Tail: analyze.Tail{Amps: 0.3}}
	assert.Equal(t, []string{analyze.CodeNoTaper, analyze.CodeRunningLong}, warnings(run(o, lengthy(36, 0.9)())))
	o.Patience = analyze.Patience{analyze.CodeNoTaper: analyze.Never}
	assert.Equal(t, []string{analyze.CodeRunningLong}, warnings(run(o, lengthy(36, 0.9)())))

	for _, n := range telltales() {
		_, d := n.told(nil)
		last := &d.Sessions[len(d.Sessions)-1]
		if last.Outcome != analyze.Faulted {
			continue
		}
		off := analyze.Patience{}
		for code, severity := range analyze.FindingCodes() {
			if severity == analyze.Alarm {
				off[code] = analyze.Never
			}
		}
		_, d = n.told(off)
		assert.NotEqual(t, analyze.Faulted, d.Sessions[len(d.Sessions)-1].Outcome)
	}
}

func TestPatienceIsSetInWords(t *testing.T) {
	var p analyze.Patience
	for _, text := range []string{"0x", "-1x", "NaN", "Inf", "1e9x", "never", "", "2y", "101x", "0.05"} {
		assert.ErrorContains(t, p.Set(analyze.CodeStalled, text), "is neither off nor a factor from 0.1x to 100x", text)
	}
	assert.ErrorContains(t, p.Set("stale", "2x"), `there is no finding "stale", want one of accepts-little, clock-step, `)
	assert.Empty(t, p)
	require.NoError(t, p.Set(analyze.CodeStalled, "2x"))
	require.NoError(t, p.Set(analyze.CodeNoTaper, "off"))
	require.NoError(t, p.Set(analyze.CodeInterrupted, "2.5 x"))
	require.NoError(t, p.Set(analyze.CodePulsed, "3"))
	assert.Equal(t, analyze.Patience{analyze.CodeStalled: 2, analyze.CodeNoTaper: analyze.Never, analyze.CodeInterrupted: 2.5, analyze.CodePulsed: 3}, p)
}
