package daemon

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/dashboards/testhelp"
	"amphora/decoders"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// gentle is a night whose charger starts softly, so that no single row decides.
func gentle(t testing.TB) madeup.Night {
	n := madeup.Named("mower-two-hour-timer")
	n.Charger.SoftStart = 600
	return n
}

// timed is a row with the device's own time and counter, as they stand after a start.
func (r row) timed(since, ah float64) string {
	return fmt.Sprintf("t=%.0f V=%.3f A=%.3f Ah=%.4f\r\n", r.at-since, r.volts, r.amps, ah)
}

const timedLines = "labelled time=t:s voltage=V:V current=A:A counter=Ah:Ah"

// Opening the port resets the device: a banner, then its time and its counter begin at
// nothing again. What it counted before is neither forgotten nor counted twice.
func TestDeviceThatBeginsAnewAtEachOpening(t *testing.T) {
	all := rows(gentle(t), 5)
	script, before, since, ah := []act{{say: "\nMETER 1.0\r\nready\r\n"}}, 0.0, 0.0, 0.0
	for k, r := range all {
		text := r.timed(since, ah)
		if k > 0 && k%300 == 0 {
			script = append(script, act{lost: true})
			since, ah = r.at, 0
			text = "\x00\xfeMETER 1.0\r\nready\r\n" + r.timed(since, ah)
		}
		script = append(script, act{wait: seconds(r.at - before), say: text})
		before, ah = r.at, ah+5*r.amps/3600
	}
	_, got := perform(t, timedLines, script)
	require.Len(t, got, 1)
	in, _ := charge(got)
	assert.InEpsilon(t, integral(all), in, 0.002, "but what flowed while it started")
}

// At each opening the first line is half a line, and what is left of it looks like a
// reading: 2.650,2.000 of 12.650,2.000. It is told of and not counted.
func TestHalfALineIsNoReading(t *testing.T) {
	all := rows(gentle(t), 5)[:600]
	var script []act
	before, halves := 0.0, 0
	for k, r := range all {
		text := fmt.Sprintf("%06.3f,%.3f\r\n", r.volts, r.amps)
		if k%100 == 0 {
			script = append(script, act{lost: true})
			text = text[1:]
			halves++
		}
		script = append(script, act{wait: seconds(r.at - before), say: text})
		before = r.at
	}
	for _, decoder := range []string{"auto", "columns separator=comma voltage=1:V current=2:A"} {
		s, _ := perform(t, decoder, script)
		assert.EqualValues(t, len(all)-halves, s.rows, decoder)
		assert.Equal(t, halves, s.refused["line cut short or joined"], decoder)
	}
}

// A receiver that is overrun drops bytes, in the middle of one line and of another
// further on. The halves that are joined alarm nobody, and what looks right among them
// is little: a line without a checksum proves nothing.
func TestHolesInTheStreamInventNoCharge(t *testing.T) {
	all := rows(gentle(t), 5)
	whole := integral(all)
	for round := range 20 {
		rng := rand.New(rand.NewPCG(uint64(round), 12))
		script, dropping, kept := said(all), 0, []row(nil)
		for k := 1; k < len(script); k++ {
			a := &script[k]
			if dropping == 0 && rng.IntN(200) == 0 {
				dropping = 1 + rng.IntN(4096)
				from := rng.IntN(len(a.say))
				cut := min(dropping, len(a.say)-from)
				dropping -= cut
				a.say = a.say[:from] + a.say[from+cut:]
				continue
			}
			cut := min(dropping, len(a.say))
			dropping -= cut
			a.say = a.say[cut:]
			if cut == 0 {
				kept = append(kept, all[k-1])
			}
		}
		s, got := perform(t, plainLines, script)
		assert.NotEmpty(t, s.refused, "the halves are told of")
		require.Len(t, got, 1)
		in, _ := charge(got)
		assert.InEpsilon(t, integral(kept), in, 0.03, "round %d", round)
		assert.Less(t, in, 1.01*whole, "round %d", round)
		for _, f := range got[0].Findings {
			assert.NotEqual(t, analyze.Alarm, f.Severity, "round %d: %s", round, f.Message)
		}
	}
}

// Of two adapters with one name the other is found at times. What it says is recorded and
// not counted; what the right one says is, from its first line on.
func TestAnotherDeviceBehindTheSameNameIsNotCounted(t *testing.T) {
	right, wrong := rows(gentle(t), 5), rows(madeup.Named("car-flat"), 5)
	half := len(right) / 2
	script := []act{{say: "\nMETER A\r\n"}}
	script = append(script, said(right[:half])[1:]...)
	script = append(script, act{lost: true})
	for k, r := range wrong[2000:2065] {
		if k == 5 {
			script = append(script, act{lost: true}) // too soon to be sure
		}
		script = append(script, act{wait: 5 * time.Second, say: "\n" + r.line()})
	}
	other := slices.Clone(script)
	script = append(script, act{lost: true}, act{wait: 5 * time.Second, say: "\nready\r\nMETER A\r\n"})
	for _, r := range right[half:] {
		script = append(script, act{wait: 5 * time.Second, say: r.line()})
	}
	expect := func(src *capture.Source) { src.Expect = regexp.MustCompile("^METER A$") }
	for _, decoder := range []string{"auto", plainLines} {
		s, _ := performAt(t, testhelp.NewClock(evening), decoder, other, expect)
		assert.Contains(t, (&channel{story: s}).hint(), "another device")

		s, got := performAt(t, testhelp.NewClock(evening), decoder, script, expect)
		assert.Empty(t, (&channel{story: s}).hint())
		assert.EqualValues(t, len(right), s.rows, "each row of the right one")
		assert.GreaterOrEqual(t, s.refused["from another device than expected"], 2*60+5, "its rows and what is between, of the one that went soon too")
		require.Len(t, got, 1)
		in, _ := charge(got)
		assert.InEpsilon(t, integral(right), in, 0.01)
		require.NotEmpty(t, got[0].Gaps, "which is a gap")
	}
}

// In the middle of a night the meter begins to say something else: a hint tells of it
// until it is a meter again.
func TestReadingsCeaseWhileLinesGoOn(t *testing.T) {
	all := said(rows(gentle(t), 5)[:101])
	hint := func(script []act) string {
		s, _ := perform(t, plainLines, script)
		boot := s.last.boot + 2*time.Second*time.Duration(len(script)-100)
		return (&channel{story: s, latest: capture.Frame{Boot: boot}}).hint()
	}
	script := all[:100:100]
	for k := range 40 {
		if k < linesToTell {
			assert.Empty(t, hint(script), k)
		} else {
			assert.Regexp(t, "for [0-9a-z ]+ none of them has been a reading; .* not a reading", hint(script), k)
		}
		script = append(script, act{wait: 2 * time.Second, say: fmt.Sprintf("E%02d SENSOR\r\n", k)})
	}
	assert.Empty(t, hint(append(script, all[100])))
}

// A meter that refuses what it is asked for is not at a wrong line rate.
func TestAMeterThatRefusesHasAHintOfItsOwn(t *testing.T) {
	for _, c := range []struct{ decoder, line string }{
		{`registers voltage="1/4/0/uint16/0.01/big":V current="1/4/2/int32/0.001/big":A`, "1/4/0=!2 1/4/2=!2\n"},
		{`answers voltage="MEAS:VOLT?":V current="MEAS:CURR?":A`, `MEAS:VOLT?="**ERROR" MEAS:CURR?="**ERROR"` + "\n"},
	} {
		var script []act
		for range linesToTell {
			script = append(script, act{wait: time.Second, say: c.line})
		}
		s, _ := perform(t, c.decoder, script)
		assert.Regexp(t, "the meter answers, but no reading comes of it: .+asked for", (&channel{story: s}).hint())
	}
}

// At a wrong rate, or while it boots, a device sends noise. A minute of it costs a
// minute, and leaves a hint while it lasts.
func TestNoiseBeforeTheFirstLine(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 0))
	var script []act
	for range 600 {
		noise := make([]byte, 96)
		for k := range noise {
			noise[k] = byte(rng.Uint32())
		}
		script = append(script, act{wait: 100 * time.Millisecond, say: string(noise)})
	}
	dumb := slices.Clone(script[:60]) // so little that none of it ends a line: nothing is cut for minutes
	for k := range dumb {
		dumb[k].say = strings.NewReplacer("\r", "", "\n", "").Replace(dumb[k].say[:8])
	}
	sparse := make([]act, 80) // eight seconds in which a line ends now and then
	for k := range sparse {
		sparse[k] = act{wait: 100 * time.Millisecond, say: script[k].say[:12]}
	}
	all := rows(gentle(t), 5)
	for _, decoder := range []string{"auto", plainLines} {
		for _, noise := range [][]act{script, script[:60], dumb, sparse} {
			s, _ := perform(t, decoder, noise)
			assert.Contains(t, (&channel{story: s}).hint(), "line rate (baud)", "%s, after %d", decoder, len(noise))
		}
		s, _ := perform(t, decoder, append(dumb[:len(dumb):len(dumb)], said(all[:40])...))
		c := &channel{story: s}
		assert.Empty(t, c.hint(), decoder)

		// Soon after the last of it everything is understood.
		s, _ = perform(t, decoder, append(script[:len(script):len(script)], said(all[:40])...))
		c.story = s
		assert.Empty(t, c.hint(), decoder)
		assert.EqualValues(t, 40, s.rows, decoder)
		_, got := perform(t, decoder, append(script[:len(script):len(script)], said(all)...))
		require.Len(t, got, 1, decoder)
		in, _ := charge(got)
		assert.InEpsilon(t, integral(all), in, 1e-3, decoder)
	}
}

// The bridge, the host or this program stands still for a minute or longer, again and
// again, and then all lines come in one moment. Their time of arrival is not when they
// were measured; the charge is the same.
func TestBacklogAfterAFreezeIsCountedAsItFlowed(t *testing.T) {
	all := rows(gentle(t), 1)
	rng := rand.New(rand.NewPCG(17, 0))
	script, before := []act{{say: "\n"}}, 0.0
	for k := 0; k < len(all); {
		many := 1
		if rng.IntN(500) == 0 {
			many = 60 + rng.IntN(240)
		}
		var text strings.Builder
		for ; many > 0 && k < len(all); many, k = many-1, k+1 {
			text.WriteString(all[k].line())
		}
		now := all[k-1].at
		script = append(script, act{wait: seconds(now - before), say: text.String()})
		before = now
	}
	_, got := perform(t, plainLines, script)
	require.Len(t, got, 1)
	in, unseen := charge(got)
	assert.InEpsilon(t, integral(all), in, 1e-3)
	assert.Zero(t, unseen)
}

// A source repeats its last fifty lines at each connection, or each writer of a pipe does.
// Where they tell the time they count once; where they do not they fill, at most, the time
// that it was away.
func TestLastLinesThatComeAgainCountOnce(t *testing.T) {
	all := rows(gentle(t), 5)
	whole := integral(all)
	for name, form := range map[string]func(row) string{
		timedLines: func(r row) string { return r.timed(0, 0) },
		plainLines: row.line,
	} {
		for _, away := range []act{{lost: true}, {gone: true}} {
			script, before := []act{{say: "\n"}}, 0.0
			for k, r := range all {
				text := form(r)
				if k >= 50 && k%250 == 0 {
					script = append(script, away)
					text = "\n" + again(all[k-50:k], form) + text
				}
				script = append(script, act{wait: seconds(r.at - before), say: text})
				before = r.at
			}
			_, got := perform(t, name, script)
			require.Len(t, got, 1, name)
			in, _ := charge(got)
			assert.InEpsilon(t, whole, in, 0.002, "%s %v", name, away)
		}
	}
}

func again(rows []row, form func(row) string) string {
	var text strings.Builder
	for _, r := range rows {
		text.WriteString(form(r))
	}
	return text.String()
}

// Where a counter tells that lines are repeated, they do not fill the time that the source
// was away. One that began anew tells nothing of the kind.
func TestLinesThatAreCountedFillNoGap(t *testing.T) {
	const countedLines = "labelled voltage=V:V current=A:A counter=Ah:Ah"
	all := rows(gentle(t), 5)[:1000]
	ah := make(map[float64]float64, len(all))
	for k := 1; k < len(all); k++ {
		ah[all[k].at] = ah[all[k-1].at] + 5*all[k].amps/3600
	}
	counted := func(r row) string { return fmt.Sprintf("V=%.3f A=%.3f Ah=%.4f\r\n", r.volts, r.amps, ah[r.at]) }
	for _, away := range []act{{lost: true}, {gone: true}} {
		script := append(saying(all[:500], counted), away)
		script = append(script, act{wait: 10 * time.Minute, say: "\n" + again(all[450:500], counted) + counted(all[500])})
		late := slices.Clone(all[501:])
		began := ah[all[500].at]
		for _, r := range late {
			ah[r.at] -= began // as after a reset
		}
		script = append(script, saying(late, counted)[2:]...)
		s, got := perform(t, countedLines, script)
		assert.Equal(t, 49, s.refused[decoders.ErrRepeated.Error()], "the last of them may be new")
		require.Len(t, got, 1)
		in, unseen := charge(got)
		assert.InDelta(t, 600, unseen, 6, "%v", away)
		assert.InEpsilon(t, integral(all), in, 0.01)
		for _, r := range late {
			ah[r.at] += began
		}
	}
}

// Once something new was said, a reading that equals an old one is a reading.
func TestEqualReadingsAfterALossAreCounted(t *testing.T) {
	script := []act{{say: "\n"}}
	for k := range 200 {
		r := row{at: float64(k % 100 * 5), volts: 13, amps: 2} // its clock begins anew at the loss
		if k == 100 {
			r.volts = 12.9
			script = append(script, act{lost: true}, act{say: "\n"})
		}
		script = append(script, act{wait: 5 * time.Second, say: r.timed(0, 0)})
	}
	s, _ := perform(t, timedLines, script)
	assert.EqualValues(t, 200, s.rows, s.refused)
}

// However the bytes of a night are cut on their way, it is the same night.
func TestNightCutIntoAnyPieces(t *testing.T) {
	cuts := 40
	if long {
		cuts = 1000
	}
	n := gentle(t)
	n.Layout, n.Meter.Every = madeup.Semicolons, 30
	log := "\n" + string(n.Log())
	end := 0.0
	for s := range n.Samples() {
		end = s.At
	}
	_, want := perform(t, "auto", cutUp(log, end, func() int { return 100 }))
	require.Len(t, want, 1)
	for k := range cuts {
		rng := rand.New(rand.NewPCG(uint64(k), 9))
		most := 1 << rng.IntN(14)
		_, got := perform(t, "auto", cutUp(log, end, func() int { return 1 + rng.IntN(most) }))
		require.Len(t, got, 1)
		requireSame(t, want[0], got[0])
	}
}

// cutUp says a text in pieces, over so many seconds.
func cutUp(text string, over float64, next func() int) (script []act) {
	each := over / float64(len(text))
	for text != "" {
		size := min(next(), len(text))
		script = append(script, act{wait: seconds(each * float64(size)), say: text[:size]})
		text = text[size:]
	}
	return script
}
