package web

import (
	"errors"
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/dashboards/live"
)

// setup is what a daemon with one channel, bench, would show.
func setup(o *Options) {
	lines := []live.Line{
		{Number: 7, At: evening, Text: "12.61 V", Bytes: 7, Became: live.BecameReading, Volts: 12.61, Amps: unknown, Celsius: unknown},
		{Number: 9, At: evening, Text: `<b>\x1b`, Bytes: 4, Became: live.BecameRefused, Why: "not a number", Volts: unknown, Amps: unknown, Celsius: unknown},
	}
	o.Setup = Setup{
		Ports: func() (any, error) { return []string{"a port"}, nil },
		Lines: func(channel string, after uint64) ([]live.Line, bool) {
			switch {
			case channel != "bench":
				return nil, false
			case after >= 9:
				return nil, true
			case after >= 7:
				return lines[1:], true
			}
			return lines, true
		},
		Identify: func(channel string) (any, bool) { return map[string]any{"proposals": []any{}}, channel == "bench" },
		Limit: func(channel string, n live.NewLimits) (live.Limits, bool, error) {
			if n.Hours != nil && *n.Hours == 13 {
				return live.Limits{}, true, errors.New("the disk is full")
			}
			number := func(x *float64) analyze.Number {
				if x == nil {
					return unknown
				}
				return analyze.Number(*x)
			}
			return live.Limits{Hours: number(n.Hours), ChargeAh: number(n.ChargeAh), Celsius: number(n.Celsius), Volts: number(n.Volts), SetAt: new(evening)}, channel == "bench", nil
		},
	}
}

func TestRawLinesAreShownAfterTheOnesSeen(t *testing.T) {
	b := newBench(t, setup)
	all := b.get(t, "/api/v1/channels/bench/lines")["lines"].([]any)
	require.Len(t, all, 2)
	assert.Equal(t, map[string]any{
		"number": 7.0, "at": "2026-03-14T21:40:00Z", "meter": nil, "text": "12.61 V", "bytes": 7.0, "became": "reading", "why": nil,
		"volts": 12.61, "amps": nil, "celsius": nil,
	}, all[0])
	assert.Equal(t, "not a number", all[1].(map[string]any)["why"])
	assert.Len(t, b.get(t, "/api/v1/channels/bench/lines?after=7")["lines"], 1)
	assert.Equal(t, []any{}, b.get(t, "/api/v1/channels/bench/lines?after=9")["lines"])
	assert.Equal(t, http.StatusBadRequest, b.ask("GET", "/api/v1/channels/bench/lines?after=-1", "").Code)
	assert.Equal(t, http.StatusNotFound, b.ask("GET", "/api/v1/channels/attic/lines", "").Code)
	assert.Equal(t, []any{"a port"}, b.get(t, "/api/v1/ports")["ports"])
	assert.Equal(t, []any{}, b.get(t, "/api/v1/channels/bench/layout")["proposals"])
	assert.Equal(t, http.StatusNotFound, b.ask("GET", "/api/v1/channels/attic/layout", "").Code)
}

func TestWithoutADaemonThereIsNoSetup(t *testing.T) {
	b := newBench(t)
	for _, path := range []string{"/api/v1/ports", "/api/v1/channels/bench/lines", "/api/v1/channels/bench/layout"} {
		assert.Equal(t, http.StatusNotFound, b.ask("GET", path, "").Code, path)
	}
	assert.Equal(t, http.StatusNotFound, b.ask("POST", "/api/v1/channels/bench/limits", "{}").Code)
}

// What costs much is done for one at a time; the others wait, and nobody forever.
func TestCostlyRequestsTakeTurns(t *testing.T) {
	going, goOn := make(chan struct{}), make(chan struct{})
	b := newBench(t, setup, func(o *Options) {
		o.Setup.Ports = func() (any, error) { going <- struct{}{}; <-goOn; return nil, nil }
	})
	first := make(chan int)
	go func() { first <- b.ask("GET", "/api/v1/ports", "").Code }()
	<-going
	second := make(chan int)
	go func() { second <- b.ask("GET", "/api/v1/channels/bench/layout", "").Code }()
	select {
	case <-second:
		t.Error("two at a time")
	case <-time.After(20 * time.Millisecond):
	}
	goOn <- struct{}{}
	assert.Equal(t, http.StatusOK, <-first)
	assert.Equal(t, http.StatusOK, <-second)
}

func TestLimitsAreSet(t *testing.T) {
	b := newBench(t, setup)
	w := b.ask("POST", "/api/v1/channels/bench/limits", `{"hours":26,"charge_ah":67.3,"celsius":null}`)
	require.Equal(t, http.StatusOK, w.Code, w.Body)
	assert.Equal(t, map[string]any{"hours": 26.0, "charge_ah": 67.3, "celsius": nil, "volts": nil, "set_at": "2026-03-14T21:40:00Z"}, document(t, w.Body.Bytes()))
	assert.Equal(t, http.StatusNotFound, b.ask("POST", "/api/v1/channels/attic/limits", `{}`).Code)
	assert.Equal(t, http.StatusInternalServerError, b.ask("POST", "/api/v1/channels/bench/limits", `{"hours":13}`).Code)
	for body, detail := range map[string]string{
		`{"hours":0}`:         "hours is 0, want more than 0 and at most 8760 h",
		`{"hours":1e999}`:     "hours is 1e999, want more than 0 and at most 8760 h",
		`{"hours":"26h"}`:     `hours is "26h", want a number`,
		`{"celsius":212}`:     "celsius is 212, want more than 0 and at most 100 degrees Celsius",
		`{"charge_ah":[[1]]}`: "charge_ah is [[1]], want a number",
		`{"amps":3}`:          "amps is not known; known are hours, charge_ah, celsius, volts",
		`{"volts":-1,"hours":-1}`: "hours is -1, want more than 0 and at most 8760 h\n" +
			"volts is -1, want more than 0 and at most 1000 V",
	} {
		w := b.ask("POST", "/api/v1/channels/bench/limits", body)
		assert.Equal(t, http.StatusUnprocessableEntity, w.Code, body)
		assert.Equal(t, detail, document(t, w.Body.Bytes())["detail"], body)
	}
	assert.Equal(t, http.StatusMethodNotAllowed, b.ask("GET", "/api/v1/channels/bench/limits", "").Code)
}

func TestPlanIsThatOfTheCommand(t *testing.T) {
	b := newBench(t)
	plan := b.get(t, "/api/v1/plan?reserve-minutes=85&chemistry=lead-flooded&celsius=10C&timer=2h&capacity=")
	assert.Equal(t, "lead-flooded", plan["chemistry"])
	assert.InDelta(t, 85/2.4, plan["capacity"].(map[string]any)["at_25_a_ah"], 1e-6, "the definition of reserve capacity")
	assert.Contains(t, plan["limits_yaml"], "limits: {hours: ")
	assert.NotEmpty(t, plan["warnings"])
	assert.NotEmpty(t, plan["cautions"])
	assert.Equal(t, []any{}, b.get(t, "/api/v1/plan?capacity=17Ah&timer=30h")["warnings"])
	for query, field := range map[string]string{
		"capacity=17V": "capacity", "capacity=-3Ah": "capacity", "capacity=1e300Ah": "capacity", "cells=six": "cells", "cells=1001": "cells",
		"cells=5&volts=12": "cells", "volts=7.1": "volts", "volts=1e9": "volts", "depth=150%25": "depth", "rate=fast": "rate", "rate=nanC": "rate", "rate=infC": "rate",
		"celsius=400": "celsius", "chemistry=potato": "chemistry", "rated-hours=20": "rated-hours", "lead-length=2m": "lead-area", "lead-area=2": "lead-length",
		"reserve-minutes=85&chemistry=li-ion": "reserve-minutes", "colour=red": "colour", "timer=0": "timer", "cold-cranking=-1": "cold-cranking",
	} {
		w := b.ask("GET", "/api/v1/plan?"+query, "")
		require.Equal(t, http.StatusUnprocessableEntity, w.Code, "%s: %s", query, w.Body)
		invalid := document(t, w.Body.Bytes())["invalid"].([]any)
		require.Len(t, invalid, 1, query)
		assert.Equal(t, field, invalid[0].(map[string]any)["field"], query)
		assert.NotEmpty(t, invalid[0].(map[string]any)["detail"], query)
	}
	w := b.ask("GET", "/api/v1/plan?cells=x&capacity=y&colour=z", "")
	assert.Len(t, document(t, w.Body.Bytes())["invalid"], 3, "all that is wrong at once")
}

func TestConditionOfABattery(t *testing.T) {
	b := newBench(t)
	require.Equal(t, http.StatusCreated, b.ask("POST", "/api/v1/batteries", `{"name":"mower","chemistry":"lead-agm","cells":6,"capacity_ah":17}`).Code)
	c := b.get(t, "/api/v1/batteries/mower/condition")
	assert.Equal(t, "not-enough-data", c["verdict"].(map[string]any)["state"])
	assert.Equal(t, []any{}, c["trends"])
	for n := range 8 {
		s := charge("bench-"+string(rune('a'+n)), "mower", evening.AddDate(0, n, 0), analyze.Complete)
		s.ChargeInAh = analyze.Number(14 - float64(n)/4)
		require.NoError(t, b.book.PutSession(t.Context(), logbook.Session{Summary: s, Settled: true}))
	}
	c = b.get(t, "/api/v1/batteries/mower/condition")
	assert.Equal(t, 8.0, c["charges"])
	var absorbed map[string]any
	for _, trend := range c["trends"].([]any) {
		if trend.(map[string]any)["quantity"] == "absorbed-charge" {
			absorbed = trend.(map[string]any)
		}
	}
	require.NotNil(t, absorbed)
	require.Len(t, absorbed["points"], 8)
	assert.Equal(t, map[string]any{"at": "2026-03-14T23:35:40Z", "value": 14.0, "u95": 0.08, "session": "bench-a"}, absorbed["points"].([]any)[0])
	assert.Equal(t, true, absorbed["enough"])
	assert.Equal(t, http.StatusNotFound, b.ask("GET", "/api/v1/batteries/attic/condition", "").Code)
}
