package daemon

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"amphora/analyze"
	"amphora/analyze/madeup"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var long = os.Getenv("AMPHORA_LONG") != ""

// Twenty times in each of twelve nights the source is away for a second to twenty
// minutes: none of the nights ends for it, or becomes two, and each ends for the
// reason for which it would have ended, unless that is what nobody saw. Nor does any of
// them warn of what happened unseen.
func TestRandomLossesEndNoCharge(t *testing.T) {
	rounds := 4
	if long {
		rounds = 100
	}
	nights := madeup.Nights()
	nights = slices.DeleteFunc(nights, func(n madeup.Night) bool { return !n.Good })[:12]
	for _, n := range nights {
		t.Run(n.Name, func(t *testing.T) {
			t.Parallel()
			all := rows(n, 10)
			_, want := perform(t, plainLines, said(all))
			for round := range rounds {
				rng := rand.New(rand.NewPCG(uint64(round), 20))
				losses := randomSpans(rng, all[len(all)-1].at, 20, 20*60)
				kept, script := lossy(all, losses)
				_, got := perform(t, plainLines, script)
				require.Len(t, got, len(want), "round %d", round)
				for k := range want {
					if !hidden(want[k], losses) {
						assert.Equal(t, want[k].Outcome, got[k].Outcome, "round %d", round)
						assert.Equal(t, want[k].EndedBy, got[k].EndedBy, "round %d", round)
						assert.Empty(t, warnings(&got[k]), "round %d", round)
					}
				}
				in, unseen := charge(got)
				sum := integral(kept)
				assert.InDelta(t, sum, in, 0.01*sum+0.001, "round %d", round)
				assert.Positive(t, unseen)
			}
		})
	}
}

// warnings are what a session warns of; that rows are missing is but a note.
func warnings(s *analyze.Session) (messages []string) {
	for _, f := range s.Findings {
		if f.Severity != analyze.Note {
			messages = append(messages, f.Code+": "+f.Message)
		}
	}
	return messages
}

// hidden tells whether nobody listened to what a charge is judged by: its first
// minutes, which alone tell that a battery was full already, and what ended it.
func hidden(s analyze.Session, losses []span) bool {
	end := float64(s.EndS)
	if finish := float64(s.FinishS); !math.IsNaN(finish) {
		end = finish
	}
	begin := float64(s.StartS)
	return slices.ContainsFunc(losses, func(l span) bool {
		return l.from < begin+600 && l.to > begin || l.from < float64(s.EndS)+60 && l.to > end-600
	})
}

// span is a stretch of a night, s.
type span struct{ from, to float64 }

// randomSpans are so many stretches of a night, of a second to the longest, s, with
// five minutes between them at least. In a short night they are shorter.
func randomSpans(rng *rand.Rand, night float64, many int, longest float64) (spans []span) {
	longest = min(longest, night/float64(2*many))
	for len(spans) < many {
		from := rng.Float64() * night
		to := from + 1 + rng.Float64()*(longest-1)
		if !slices.ContainsFunc(spans, func(s span) bool { return s.from < to+300 && s.to > from-300 }) {
			spans = append(spans, span{from, to})
		}
	}
	return spans
}

// lossy takes the source away for some stretches. It returns the rows that are
// left, and the script.
func lossy(all []row, losses []span) (kept []row, script []act) {
	before := 0.0
	script = append(script, act{say: "\n"})
	for _, r := range all {
		last := &script[len(script)-1]
		if slices.ContainsFunc(losses, func(l span) bool { return r.at >= l.from && r.at < l.to }) {
			if !last.lost {
				script = append(script, act{lost: true})
			}
			continue
		}
		text := r.line()
		if last.lost {
			text = "\n" + text // the line that began before we were back
		}
		script = append(script, act{wait: seconds(r.at - before), say: text})
		kept, before = append(kept, r), r.at
	}
	return kept, script
}
