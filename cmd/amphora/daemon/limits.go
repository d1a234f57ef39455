package daemon

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"time"

	"amphora/analyze"
	"amphora/capture/journal"
	"amphora/dashboards/live"
)

// Limits that somebody set while the program was running are kept in the data
// folder: a crash in the night must not forget them. The newest word counts, so
// they give way once the configuration says something else than it did then.
type setLimits struct {
	At         time.Time      `json:"at"`
	Configured analyze.Limits `json:"configured"` // at that time
	Limits     analyze.Limits `json:"limits"`
}

// ErrNoChannel says that no channel has the name.
var ErrNoChannel = errors.New("there is no such channel")

// Limit sets what a channel's owner wants to be warned of, from now on; what is
// nil is as configured, and all of it nil takes back what was set before. It is
// the analysis that is told: no charger and no meter hears of it.
func (d *Daemon) Limit(name string, n live.NewLimits) (live.Limits, error) {
	c := d.channel(name)
	if c == nil {
		return live.Limits{}, ErrNoChannel
	}
	c.limiting.Lock() // apart from mu: a disk that does not answer must not hold up the lines
	defer c.limiting.Unlock()
	configured := c.set.Options.Limits
	set := setLimits{At: c.clock.Wall().UTC(), Configured: configured, Limits: overlaid(configured, n)}
	at, err := &set.At, error(nil)
	if n == (live.NewLimits{}) {
		at, err = nil, c.forgetLimits()
	} else {
		err = c.keepLimits(set)
	}
	if err != nil {
		return live.Limits{}, err
	}
	c.log.Info("limits set", "channel", name, "hours", set.Limits.Seconds/3600, "charge_ah", set.Limits.Charge/3600, "celsius", set.Limits.Hottest, "volts", set.Limits.Volts, "as_configured", at == nil)
	c.mu.Lock()
	defer c.mu.Unlock()
	c.inForce, c.limitsSet, c.story.opt.Limits = set.Limits, at, set.Limits
	c.story.machine.Limit(set.Limits)
	c.status.stale = true
	c.publish()
	return c.limits(), nil
}

// overlaid is what is configured with what was asked for in its place.
func overlaid(l analyze.Limits, n live.NewLimits) analyze.Limits {
	for _, q := range []struct {
		from *float64
		unit float64
		into *float64
	}{
		{n.Hours, 3600, &l.Seconds}, {n.ChargeAh, 3600, &l.Charge}, {n.Celsius, 1, &l.Hottest}, {n.Volts, 1, &l.Volts},
	} {
		if q.from != nil {
			*q.into = *q.from * q.unit
		}
	}
	if n.ChargeAh != nil {
		l.ChargeFactor = 0
	}
	return l
}

// limits are those in force, as the hub shows them.
func (c *channel) limits() live.Limits {
	l, unknown := c.inForce, analyze.Number(analyze.Unknown())
	v := live.Limits{Hours: unknown, ChargeAh: unknown, Celsius: unknown, Volts: unknown, SetAt: c.limitsSet}
	given := func(into *analyze.Number, x float64) {
		if x > 0 {
			*into = analyze.Number(x)
		}
	}
	given(&v.Hours, l.Seconds/3600)
	given(&v.ChargeAh, l.Charge/3600)
	given(&v.ChargeAh, l.ChargeFactor*c.story.opt.Capacity/3600)
	given(&v.Celsius, l.Hottest)
	given(&v.Volts, l.Volts)
	return v
}

func (c *channel) limitsFile() string {
	return filepath.Join(c.data, "state", "limits", journal.FolderName(c.set.Name)+".json")
}

// forgetLimits writes down that none are set.
func (c *channel) forgetLimits() error {
	if err := os.Remove(c.limitsFile()); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("take the limits back: %w", err)
	}
	return nil
}

// keepLimits writes down what was set.
func (c *channel) keepLimits(set setLimits) error { return writeState(c.limitsFile(), set) }

// recallLimits takes what was set before the program was last stopped, unless the
// configuration has changed its mind since.
func (c *channel) recallLimits() {
	c.inForce = c.set.Options.Limits
	var set setLimits
	switch err := readState(c.limitsFile(), &set); {
	case errors.Is(err, fs.ErrNotExist): // nothing was set
	case err != nil:
		c.log.Warn("the limits that were set cannot be read; those of the configuration hold", "channel", c.set.Name, "error", err)
	case !reflect.DeepEqual(set.Configured, c.inForce):
		c.log.Info("the configuration has other limits than before; they hold in place of those that were set", "channel", c.set.Name, "set", set.At)
		if err := c.forgetLimits(); err != nil {
			c.log.Warn("limits", "channel", c.set.Name, "error", err)
		}
	default:
		c.inForce, c.limitsSet = set.Limits, &set.At
	}
}
