package mqtt

import (
	"testing"
	"time"

	"amphora/analyze"

	"github.com/stretchr/testify/assert"
)

// What is found without a charge is said, and it is no charge that has ended.
func TestAFindingWithoutAChargeIsSaid(t *testing.T) {
	b := newBystander(time.Second)
	c := bench(b.now)
	c.Session = &analyze.Session{ID: "bench-0s", Outcome: analyze.NoCharge, Findings: []analyze.Finding{
		{Code: analyze.CodeReversePolarity, Severity: analyze.Alarm, EndS: none, Message: "the voltage is negative"}}}
	b.hub.Publish(c)
	all := b.after(time.Second)
	assert.Equal(t, "alarm", object(t, all["bench/findings"])["worst"])
	assert.Nil(t, object(t, all["bench/charge"])["session"])
	assert.Empty(t, all["bench/session"])
	c.Session = running()
	b.hub.Publish(c)
	assert.Empty(t, b.after(time.Second)["bench/session"], "nor has it when one begins")
}
