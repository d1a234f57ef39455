package daemon

import (
	"context"
	"testing"

	"amphora/analyze"
	"amphora/analyze/logbook"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// While a summary is being written a newer one of the same session comes, which ends at the same time: what the
// rest told later. It must not be taken for the one just written.
func TestNewerSummaryWhileOneIsWritten(t *testing.T) {
	b := newBookkeeper(nil, quiet())
	summary := func(chargeIn float64) logbook.Session {
		return logbook.Session{Summary: analyze.Session{ID: "bench-1", EndS: 45660, ChargeInAh: analyze.Number(chargeIn)}}
	}
	b.put(summary(73.315))
	id, writing, ok := b.take()
	require.True(t, ok)
	b.put(summary(73.322))
	b.done(id, writing)

	id, writing, ok = b.take()
	require.True(t, ok, "the newer one waits")
	assert.InDelta(t, 73.322, float64(writing.session.Summary.ChargeInAh), 0)
	b.done(id, writing)
	_, _, ok = b.take()
	assert.False(t, ok)
}

// A charge that ends, and a question about its battery, may come just when nothing more was seen to wait: the answer
// must know the charge.
func TestTheBookIsAskedOnceAllIsInIt(t *testing.T) {
	b := newBookkeeper(nil, quiet())
	_, _, ok := b.take()
	require.False(t, ok)
	asked := false
	b.put(logbook.Session{Summary: analyze.Session{ID: "bench-1"}})
	b.then(func(context.Context) { asked = true })
	assert.False(t, b.answer(t.Context()))
	assert.False(t, asked)

	id, writing, _ := b.take()
	b.done(id, writing)
	assert.True(t, b.answer(t.Context()))
	assert.True(t, asked)
}
