package notify

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"amphora/analyze"
	"amphora/dashboards/durable"
)

// ackFolder is where acknowledgements are put for the program that tells, which
// may be another one, or not running at all.
const ackFolder = "ack"

// allChannels is what an acknowledgement holds that means every channel.
const allChannels = "\n"

// Holding is an alarm that holds and that nobody has acknowledged.
type Holding struct {
	Channel, Code string
	Since         time.Time
}

// Acknowledge says that a person knows of the alarms of a channel, or of all
// channels where it is empty: they are not repeated any more. It returns those that
// are known to hold.
func Acknowledge(dir, channel string) ([]Holding, error) {
	b, err := os.ReadFile(filepath.Join(dir, stateFile))
	if err != nil {
		return nil, fmt.Errorf("look for alarms: %w; has a daemon with notify: run on this data folder?", err)
	}
	l, err := parseState(b)
	if err != nil {
		return nil, fmt.Errorf("look for alarms: %w", err)
	}
	var held []Holding
	for _, c := range l.Conditions {
		if c.wantsAck() && (channel == "" || c.Event.Channel == channel) {
			held = append(held, Holding{c.Event.Channel, c.Event.Code, c.Changed})
		}
	}
	slices.SortFunc(held, func(a, b Holding) int { return a.Since.Compare(b.Since) })
	if len(held) == 0 {
		return nil, nil
	}
	if channel == "" {
		channel = allChannels
	}
	name := time.Now().UTC().Format("20060102T150405.000000000")
	if err := durable.Replace(filepath.Join(dir, ackFolder), name, []byte(channel)); err != nil {
		return nil, fmt.Errorf("acknowledge: %w", err)
	}
	return held, nil
}

func (c *condition) wantsAck() bool {
	return c.Holds && c.Event.Severity == analyze.Alarm && !c.Acknowledged
}

func (l *ledger) wantsAck() bool {
	for _, c := range l.Conditions {
		if c.wantsAck() {
			return true
		}
	}
	return false
}

// acknowledge takes the acknowledgements that have come, where they matter.
func (c *Center) acknowledge(now time.Time) {
	if !c.ledger.wantsAck() || now.Sub(c.lastAck) < ackEvery {
		return
	}
	c.lastAck = now
	dir := filepath.Join(c.dir, ackFolder)
	files, err := os.ReadDir(dir)
	if err != nil {
		return // there are none yet
	}
	for _, f := range files {
		if strings.HasPrefix(f.Name(), ".") {
			continue // is being written
		}
		file := filepath.Join(dir, f.Name())
		channel, err := os.ReadFile(file)
		info, gone := f.Info()
		if err != nil || gone != nil {
			continue
		}
		for _, k := range c.ledger.Conditions {
			if k.wantsAck() && !info.ModTime().Before(k.Changed) && (string(channel) == allChannels || k.Event.Channel == string(channel)) {
				k.Acknowledged, c.ledger.dirty = true, true
				c.log.Info("an alarm was acknowledged", "channel", k.Event.Channel, "code", k.Event.Code)
			}
		}
		if !slices.Contains(c.acks, file) {
			c.acks = append(c.acks, file)
		}
	}
}

// forgetAcks takes acknowledgements away, once what they changed is noted.
func (c *Center) forgetAcks() {
	if c.ledger.dirty {
		return
	}
	for _, file := range c.acks {
		if err := os.Remove(file); err != nil {
			c.log.Warn("an acknowledgement cannot be taken away", "error", err)
		}
	}
	c.acks = nil
}
