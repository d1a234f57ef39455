package web

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/dashboards/live"
)

// What was found without a charge is in the live state, and no charge of the list.
func TestASessionWithoutAChargeStandsInNoList(t *testing.T) {
	b := newBench(t)
	none := charge("bench-0s", "mower", evening, analyze.NoCharge)
	none.Findings = []analyze.Finding{{Code: analyze.CodeReversePolarity, Severity: analyze.Alarm, EndS: unknown}}
	b.hub.Publish(live.Channel{Name: "bench", Session: &none})
	assert.Empty(t, b.get(t, "/api/v1/sessions")["sessions"])
	found := b.get(t, "/api/v1/channels/bench")["session"].(map[string]any)
	assert.Equal(t, "no-charge", found["outcome"])
	assert.Len(t, found["findings"], 1)
	assert.Equal(t, "no-charge", b.get(t, "/api/v1/sessions/bench-0s")["outcome"])
}

func TestRunningChargesStandInTheList(t *testing.T) {
	b := newBench(t)
	kept := charge("bench-2", "mower", evening.Add(time.Hour), analyze.Running)
	old := charge("bench-1", "mower", evening, analyze.Complete)
	for _, s := range []logbook.Session{{Summary: old, Settled: true}, {Summary: kept}} {
		require.NoError(t, b.book.PutSession(t.Context(), s))
	}
	now := kept
	now.ChargeInAh = 7.25
	b.hub.Publish(live.Channel{Name: "bench", Session: &now})
	other := charge("shed-1", "boat", evening.Add(30*time.Minute), analyze.Running)
	other.Channel = "shed"
	b.hub.Publish(live.Channel{Name: "shed", Session: &other})

	list := func(query string) (ids []string, first map[string]any) {
		for _, s := range b.get(t, "/api/v1/sessions"+query)["sessions"].([]any) {
			if first == nil {
				first = s.(map[string]any)
			}
			ids = append(ids, s.(map[string]any)["id"].(string))
		}
		return ids, first
	}
	ids, first := list("")
	assert.Equal(t, []string{"bench-2", "shed-1", "bench-1"}, ids)
	assert.Equal(t, 7.25, first["charge_in_ah"], "as it is now, not as the logbook has it")
	ids, _ = list("?battery=boat")
	assert.Equal(t, []string{"shed-1"}, ids)
	ids, _ = list("?channel=bench")
	assert.Equal(t, []string{"bench-2", "bench-1"}, ids)
	ids, _ = list("?before=bench-2")
	assert.Equal(t, []string{"shed-1", "bench-1"}, ids)
	ids, _ = list("?before=shed-1")
	assert.Equal(t, []string{"bench-1"}, ids, "one that the logbook does not have yet")
	half := evening.Add(30 * time.Minute)
	ids, _ = list("?before=" + half.Add(time.Second).Format(time.RFC3339))
	assert.Equal(t, []string{"shed-1", "bench-1"}, ids, "what began before a time")
	ids, _ = list("?before=" + half.Format(time.RFC3339))
	assert.Equal(t, []string{"bench-1"}, ids)
	ids, _ = list("?until=" + half.Format(time.RFC3339) + "&before=" + half.Add(time.Hour).Format(time.RFC3339))
	assert.Equal(t, []string{"bench-1"}, ids, "the earlier of two ends")
	assert.Equal(t, 400, b.ask("GET", "/api/v1/sessions?sort=charge&before="+half.Format(time.RFC3339), "").Code)
	assert.Equal(t, 400, b.ask("GET", "/api/v1/sessions?sort=charge&before=bench-2", "").Code, "what comes behind it would be another one each day")
	assert.Equal(t, 7.25, b.get(t, "/api/v1/sessions/bench-2")["charge_in_ah"])
	assert.Equal(t, "shed-1", b.get(t, "/api/v1/sessions/shed-1")["id"])

	settled := kept
	settled.ChargeInAh = 8
	require.NoError(t, b.book.PutSession(t.Context(), logbook.Session{Summary: settled, Settled: true}))
	_, first = list("")
	assert.Equal(t, 8.0, first["charge_in_ah"], "what is settled is final")
	assert.Equal(t, 8.0, b.get(t, "/api/v1/sessions/bench-2")["charge_in_ah"])
}

// However the pages fall, every charge stands in them once, the newest first.
func TestPagesHoldEveryChargeOnce(t *testing.T) {
	b := newBench(t)
	var want []string
	for n := range 7 {
		s := charge(fmt.Sprintf("c-%d", n), "mower", evening.Add(time.Duration(n)*time.Hour), analyze.Complete)
		want = append(want, s.ID)
		if n%3 == 1 { // not in the book, or in both
			b.hub.Publish(live.Channel{Name: s.ID, Session: &s})
		}
		if n != 4 {
			require.NoError(t, b.book.PutSession(t.Context(), logbook.Session{Summary: s}))
		}
	}
	undated := charge("undated", "mower", evening, analyze.Running)
	undated.Started = nil
	b.hub.Publish(live.Channel{Name: "undated", Session: &undated})
	want = append([]string{"undated"}, want...)
	slices.Reverse(want)
	for limit := 1; limit <= 9; limit++ {
		var got []string
		before := ""
		for {
			page := b.get(t, fmt.Sprintf("/api/v1/sessions?limit=%d&before=%s", limit, before))
			for _, s := range page["sessions"].([]any) {
				got = append(got, s.(map[string]any)["id"].(string))
			}
			next, more := page["next"].(string)
			if !more {
				break
			}
			before = next
		}
		assert.Equal(t, want, got, "limit %d", limit)
	}
}

func TestSessionsAreSearchedAndSorted(t *testing.T) {
	b := newBench(t)
	for n, ah := range []analyze.Number{5, 9, 1} {
		s := charge(fmt.Sprintf("c-%d", n), []string{"mower", "boat", "mower"}[n], evening.AddDate(0, 0, n), analyze.Complete)
		s.ChargeInAh = ah
		require.NoError(t, b.book.PutSession(t.Context(), logbook.Session{Summary: s}))
	}
	running := charge("c-9", "boat", evening.AddDate(0, 0, 9), analyze.Running)
	b.hub.Publish(live.Channel{Name: "bench", Session: &running})
	for query, want := range map[string][]string{
		"":                           {"c-9", "c-2", "c-1", "c-0"},
		"?sort=started":              {"c-0", "c-1", "c-2"},
		"?sort=-charge":              {"c-1", "c-0", "c-2"},
		"?sort=charge&battery=mower": {"c-2", "c-0"},
		"?text=BOAT":                 {"c-1"},
		"?outcome=running":           {"c-9"},
		"?since=2026-03-16T00:00:00Z&until=2026-03-17T00:00:00Z": {"c-2"},
	} {
		got := b.get(t, "/api/v1/sessions"+query)
		var ids []string
		for _, s := range got["sessions"].([]any) {
			ids = append(ids, s.(map[string]any)["id"].(string))
		}
		assert.Equal(t, want, ids, query)
	}
	page := b.get(t, "/api/v1/sessions?sort=-charge&limit=2")
	assert.Equal(t, 3.0, page["total"])
	assert.Equal(t, "after-2", page["next"])
	for _, query := range []string{"sort=colour", "since=yesterday", "until=2026", "before=after-0"} {
		w := b.ask("GET", "/api/v1/sessions?"+query, "")
		assert.Contains(t, []int{400, 422}, w.Code, query)
	}
	w := b.ask("GET", "/api/v1/sessions?outcome=done", "")
	assert.Equal(t, 400, w.Code)
	assert.Contains(t, w.Body.String(), "want one of complete, cut-short, running, no-charge, faulted")
}
