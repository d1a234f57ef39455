//go:build linux

package e2e

import (
	"fmt"
	"math"
	"net/url"
	"slices"
	"time"

	"amphora/analyze/madeup"
	"amphora/dashboards/testhelp"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// toldNight is a night as the API tells of it.
type toldNight struct {
	ID          string
	Channel     string
	Started     time.Time
	ChargeInAh  float64 `json:"charge_in_ah"`
	ChargeInU95 float64 `json:"charge_in_ah_u95"`
	Findings    []struct{ Code, Severity, Message string }
	Gaps        []struct {
		StartS float64 `json:"start_s"`
		EndS   float64 `json:"end_s"`
	}
}

// told are all the nights of a channel by the API, the oldest first.
func (h *house) told(channel string) (all []toldNight) {
	h.t.Helper()
	before := ""
	for {
		var page struct {
			Sessions []toldNight
			Next     string
		}
		h.program.fetch("/api/v1/sessions?limit=100"+before, &page)
		for _, n := range page.Sessions {
			if n.Channel == channel {
				all = append(all, n)
			}
		}
		if page.Next == "" {
			break
		}
		before = "&before=" + url.QueryEscape(page.Next)
	}
	slices.SortFunc(all, func(a, b toldNight) int { return a.Started.Compare(b.Started) })
	return all
}

// checkRecord holds the journal against each observer's copy.
func (h *house) checkRecord() {
	h.t.Helper()
	for _, o := range h.observers {
		assert.Empty(h.t, o.compare(exported(h.t, h.disk.inside, o.channel)))
	}
}

// checkNights holds the logbook against the observers' own sums, and the nights
// themselves.
func (h *house) checkNights(days []day) {
	h.t.Helper()
	for k, o := range h.observers {
		told := h.told(o.channel)
		if !assert.Equal(h.t, len(days), len(told), "%s: a charge a day:\n%s", o.channel, list(told)) {
			continue
		}
		for n, d := range days {
			h.checkNight(o, d.nights[k], n, told[n])
		}
	}
}

func (h *house) checkNight(o *observer, n madeup.Night, day int, told toldNight) {
	rows := o.rows(day)
	in, _ := ampHours(rows)
	doubt, _ := o.doubtful(day)
	_, before := o.doubtful(day - 1)
	assert.InDelta(h.t, in, told.ChargeInAh, 1e-4*in+0.003+doubt+before+o.toldAgain(day-1), "%s: day %d, %s: ampere-hours", o.channel, day, n.Name)
	if unbroken(rows) {
		truth := n.Truth().Charges[0]
		assert.InDelta(h.t, float64(truth.InAh), told.ChargeInAh, told.ChargeInU95+doubt+before, "%s: day %d, %s: what truly flowed", o.channel, day, n.Name)
	}
	h.checkFindings(o, n, day, told, rows)
}

// unbroken reports whether every row of a night was heard.
func unbroken(rows []row) bool {
	for k := range rows[1:] {
		if rows[k+1].at-rows[k].at > rowEvery {
			return false
		}
	}
	return rows[0].amps < 0.05 // from before its charge
}

// chargingGaps counts the gaps of a night that lie within its charge.
func chargingGaps(rows []row) (gaps int) {
	for k := range rows[1:] {
		if rows[k+1].at-rows[k].at > 10*rowEvery && rows[k].amps > 0.05 && rows[k+1].amps > 0.05 {
			gaps++
		}
	}
	return gaps
}

// endUnheard reports whether nobody heard the current of a night cease, for so long that it
// may have been the charge's own end; or heard it soon after such a time, of which nothing
// tells whether a battery nobody named had come to its end meanwhile.
func endUnheard(rows []row) bool {
	const soon, least = 0.05, 0.02 // of the charge: what is soon, and what such a time takes at least (blindPeak in analyze/blind.go)
	began, gapFrom, gapTo, last := math.NaN(), math.NaN(), math.NaN(), math.NaN()
	for k := range rows[1:] {
		a, b := rows[k], rows[k+1]
		if a.amps <= 0.05 {
			continue
		}
		if !(began <= a.at) {
			began = a.at
		}
		if last = a.at; b.at-a.at > 10*rowEvery {
			gapFrom, gapTo = a.at, b.at
		}
	}
	return gapFrom == last || gapTo-gapFrom >= least*(gapFrom-began) && last-gapTo < soon*(last-began)
}

func (h *house) checkFindings(o *observer, n madeup.Night, day int, told toldNight, rows []row) {
	trouble, any := troubles[n.Name]
	codes := []string{}
	for _, f := range told.Findings {
		codes = append(codes, f.Code)
		if f.Severity != "note" {
			assert.True(h.t, any && (f.Code == trouble.must || slices.Contains(trouble.may, f.Code)), "%s: day %d, %s: false %s %s: %s", o.channel, day, n.Name, f.Severity, f.Code, f.Message)
		}
	}
	atItsEnd := trouble.must == "current-dropped" || trouble.must == "open-circuit"
	if any && !(atItsEnd && endUnheard(rows)) {
		assert.Contains(h.t, codes, trouble.must, "%s: day %d, %s", o.channel, day, n.Name)
	}
	if chargingGaps(rows) > 0 {
		assert.Contains(h.t, codes, "data-gap", "%s: day %d, %s", o.channel, day, n.Name)
	}
}

// checkPush holds what the push target has against the copies: each row once, in one
// series, with its current. What is left of a damaged line may be a point by itself, at
// a time that nobody said.
func (h *house) checkPush() {
	h.t.Helper()
	testhelp.Until(h.t, "everything pushed", func() bool { p := h.program.view(household[0].name).Push; return len(p) == 1 && p[0].Pending == 0 })
	for _, o := range h.observers {
		points := h.shelf.all("charge_sample,channel=" + o.channel + ",")
		require.NotEmpty(h.t, points)
		have := make(map[int64][]found)
		for _, p := range points {
			at := p.at.Sub(points[0].at).Milliseconds()
			have[at] = append(have[at], p)
		}
		missing, retold, strays := o.comparePushed(have)
		assert.Empty(h.t, missing, "%s: at the push target, of %d from %v on", o.channel, len(points), points[0])
		assert.LessOrEqual(h.t, retold, 3*len(h.lives), "%s: told again with another stage", o.channel)
		assert.LessOrEqual(h.t, strays, o.damaged(), "%s: points that nobody said", o.channel)
	}
}

// comparePushed looks for each row among the points, by their time in ms since the first
// row. What is missing is returned, at most so much of it. What is told again after a kill
// may have another stage, right where one stage follows the other: the program has
// learned the meter's noise from fewer rows. strays are points that are no row's.
func (o *observer) comparePushed(have map[int64][]found) (missing []string, retold, strays int) {
	const most = 10
	first, said := math.NaN(), make(map[int64]bool)
	for _, l := range o.copy {
		if math.IsNaN(first) && l.usable {
			first = l.row.at
		}
		at := int64((l.row.at-first)*1000 + 0.5)
		said[at] = true
		points := have[at]
		if !l.usable {
			continue // it may be a point, or none
		}
		same := slices.DeleteFunc(slices.Clone(points), func(p found) bool { return p.fields["current"] != l.row.amps })
		strays += len(points) - len(same)
		retold += max(len(same)-1, 0)
		if len(points) == 0 && len(missing) < most {
			missing = append(missing, fmt.Sprintf("day %d, %s", l.day, l.text))
		}
	}
	for at, points := range have {
		if !said[at] {
			strays += len(points)
		}
	}
	return missing, retold, strays
}

// list names the nights, for a person who looks for the one too many.
func list(told []toldNight) (text string) {
	for _, n := range told {
		text += fmt.Sprintf("%s %.3f Ah\n", n.ID, n.ChargeInAh)
	}
	return text
}
