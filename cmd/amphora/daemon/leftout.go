package daemon

import (
	"errors"
	"fmt"

	"amphora/analyze"
	"amphora/capture"
	"amphora/dashboards/live"
)

// leaveOut goes on without a channel whose journal cannot be used: the others are recorded all
// the same. It shows, and is told, like lines that cannot be written, for that is what comes of it.
func (d *Daemon) leaveOut(c *channel, why error) {
	name := c.set.Name
	d.leftOut = errors.Join(d.leftOut, fmt.Errorf("channel %q is not recorded until the next start: %w", name, why))
	d.cfg.Log.Error("the channel is left out, and nothing of it is recorded until the next start: see to its folder of the journal", "channel", name, "error", why)
	unknown := analyze.Number(analyze.Unknown())
	d.hub.Publish(live.Channel{
		Name: name, Battery: live.Text(c.set.Options.Battery),
		Source:   live.Source{Name: c.set.source(), State: "not recorded until the next start"},
		SilenceS: c.set.Silence.Seconds(), StageSinceS: unknown,
		Journal:  live.Journal{Degraded: live.Text(why.Error())},
		Limits:   live.Limits{Hours: unknown, ChargeAh: unknown, Celsius: unknown, Volts: unknown},
		ClockSet: capture.ClockSet(c.clock.Wall()),
	})
	if c.notes != nil {
		c.noteUnwritten("nothing is recorded of this channel until the next start: "+why.Error(), c.clock.Wall())
	}
}
