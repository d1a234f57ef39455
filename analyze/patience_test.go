package analyze_test

import (
	"math"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

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
	note := func(events []analyze.Event) {
		for _, e := range events {
			if _, before := seen[e.Finding.Code]; e.Kind == analyze.FindingRaised && !before {
				seen[e.Finding.Code] = e.Seen
			}
		}
	}
	for _, s := range n.rows {
		note(m.Step(s))
	}
	note(m.Silent(silence))
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

// telltales are nights that show every finding, the made-up ones first.
func telltales() (all []telltale) {
	for _, n := range append(madeup.Troubles(), madeup.Nights()...) {
		rows, _ := n.Collect()
		all = append(all, telltale{known(n), rows})
	}
	lead := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 40 * hour}
	hung := climbing(12, 5, func(h float64) float64 { return 12.2 + 0.1*h })
	hang(hung, 4*120, 5*120)
	cold, overload := rise(12.4), rise(14.4)
	for k := range cold {
		cold[k].Celsius = -5
	}
	overload[100].Amps = 9.9e37
	return append(all,
		telltale{lead, climbing(24, 5, func(h float64) float64 { return 12 + 0.1*h })},
		telltale{lead, level(24)},
		telltale{lead, hung},
		telltale{lead, rise(17)},
		telltale{lead, overload},
		telltale{analyze.Options{Chemistry: analyze.LiIon, Cells: 3}, cold},
		telltale{analyze.Options{}, script(10, idle(600, 12.2), power(3*hour, 12, 14.4, 72), fade(2*hour, 14.4, 5, hour), idle(hour, 13))},
	)
}

// level is a charge whose current levels off at held voltage for so many hours.
func level(hours float64) []analyze.Sample {
	rows := rise(14.4)
	for s := 0.0; s < hours*hour; s += 20 {
		rows = append(rows, reading(3*hour+s, 14.4, 0.9+3.6*math.Exp(-s/(4*hour))))
	}
	return rows
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

// What is off keeps nothing else from being told, and ends no charge.
func TestOffIsAsIfItWereNotThere(t *testing.T) {
	o := analyze.Options{Chemistry: analyze.LeadAGM, Cells: 6, Capacity: 60 * hour, Tail: analyze.Tail{Amps: 0.3}}
	assert.Equal(t, []string{analyze.CodeNoTaper}, codes(live(o, level(36)).document))
	o.Patience = analyze.Patience{analyze.CodeNoTaper: analyze.Never}
	assert.Contains(t, codes(live(o, level(36)).document), analyze.CodeRunningLong)

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
