package web

import (
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
)

// filterOf reads what to list of the charges: battery, channel, outcome, text, since
// and until (RFC 3339, the end excluded), sort (started, battery, outcome, charge or
// length; with a - before it, falling; as it stands, rising) and limit.
func filterOf(r *http.Request) (f logbook.Filter, err error) {
	q := r.URL.Query()
	f = logbook.Filter{
		Battery: q.Get("battery"), Channel: q.Get("channel"), Outcome: analyze.Outcome(q.Get("outcome")), Text: q.Get("text"),
		Order: orderOf(q.Get("sort")),
	}
	if f.Limit, err = number(q.Get("limit"), "limit", logbook.DefaultPage, 1, logbook.LongestPage); err != nil {
		return f, err
	}
	if f.Outcome != "" && !slices.Contains(outcomes, f.Outcome) {
		return f, fmt.Errorf("outcome is %q, want one of %s", f.Outcome, strings.Trim(strings.ReplaceAll(fmt.Sprint(outcomes), " ", ", "), "[]"))
	}
	if f.Since, err = moment(q.Get("since"), "since"); err != nil {
		return f, err
	}
	if f.Until, err = moment(q.Get("until"), "until"); err != nil {
		return f, err
	}
	return f, nil
}

var outcomes = []analyze.Outcome{analyze.Complete, analyze.CutShort, analyze.Running, analyze.NoCharge, analyze.Faulted}

func orderOf(text string) logbook.Order {
	o := logbook.Order{By: logbook.OrderBy(text), Rising: text != ""}
	if text != "" && text[0] == '-' {
		o.By, o.Rising = o.By[1:], false
	}
	if o.By == "started" {
		o.By = logbook.ByStart
	}
	return o
}

// moment reads a date with its time out of a query.
func moment(text, name string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return t, fmt.Errorf("%s is %q, want a time like 2026-03-14T21:40:00Z", name, text)
	}
	return t, nil
}

// number reads a whole number out of a query.
func number(text, name string, otherwise, low, high int) (int, error) {
	if text == "" {
		return otherwise, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < low || n > high {
		return 0, problemf(http.StatusBadRequest, "%s is %q, want %d to %d", name, text, low, high)
	}
	return n, nil
}

// seconds reads a time of a session out of a query, s.
func seconds(text, name string, otherwise float64) (float64, error) {
	if text == "" {
		return otherwise, nil
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(x) {
		return 0, problemf(http.StatusBadRequest, "%s is %q, want seconds since the log's first row", name, text)
	}
	return x, nil
}
