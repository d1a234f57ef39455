package main

import (
	"fmt"
	"io"

	"amphora/analyze"
	"amphora/cmd/amphora/config"
	"amphora/cmd/amphora/daemon"
)

// channelSetting is what a configuration says of a channel that shapes what its
// journal tells.
type channelSetting struct {
	decoder string
	options analyze.Options
}

// settingsByName has them by the channel's name.
type settingsByName map[string]channelSetting

// of gives a channel's setting. One that the configuration does not know is read as if
// nothing were known of it.
func (s settingsByName) of(channel string) channelSetting {
	if set, ok := s[channel]; ok {
		return set
	}
	return channelSetting{decoder: "auto"}
}

// channelSettings come from a file that was named, which must be sound; or else from
// the configuration in the usual places, where there is one and as far as it is sound.
func channelSettings(file string, out io.Writer) (settingsByName, error) {
	all := settingsByName{}
	var cfg *config.Config
	if file != "" {
		var err error
		if cfg, err = loadConfig(file, out, config.Forbidding); err != nil {
			return nil, err
		}
	} else if found, ok := config.Find(); ok {
		var problems []config.Problem
		cfg, problems = config.Load(found)
		for _, p := range problems {
			if !p.Warning { // whether a port is plugged in does not matter to what was recorded
				fmt.Fprintln(out, p)
			}
		}
	}
	if cfg == nil {
		return all, nil
	}
	for k := range cfg.Channels {
		all[cfg.Channels[k].Name] = settingOf(&cfg.Channels[k])
	}
	return all, nil
}

// settingOf is how a channel's lines are decoded and judged, live and later.
func settingOf(c *config.Channel) channelSetting {
	set := channelSetting{decoder: c.Setting(daemon.TwoMeters), options: c.Options}
	set.options.Limits = analyzeLimits(c.Limits)
	return set
}
