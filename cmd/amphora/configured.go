package main

import (
	"fmt"
	"io"
	"log/slog"

	"amphora/analyze"
	"amphora/capture"
	"amphora/capture/journal"
	"amphora/cmd/amphora/config"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/notify"
	"amphora/dashboards/push"
)

// firstUsual says which configuration counts where nobody names one.
const firstUsual = "the first that is there of " + config.UsualPlaces

// loadConfig reads a configuration and shows what is wrong with it. It is refused where that
// counts for anything.
func loadConfig(file string, out io.Writer, counts func([]config.Problem) int) (*config.Config, error) {
	if file == "" {
		found, ok := config.Find()
		if !ok {
			return nil, usagef("there is no configuration at any of %s: name one with --config, or begin with: amphora check --example > amphora.yaml", config.UsualPlaces)
		}
		file = found
	}
	cfg, problems := config.Load(file)
	for _, p := range problems {
		fmt.Fprintln(out, p)
	}
	if cfg == nil || counts(problems) > 0 {
		return nil, usagef("%s cannot be used: see above", file)
	}
	return cfg, nil
}

// daemonConfig is a configuration as the daemon takes it.
func daemonConfig(cfg *config.Config, in *capture.Input, log *slog.Logger) (daemon.Config, error) {
	data, err := config.DataDir(cfg.Data)
	if err != nil {
		return daemon.Config{}, err
	}
	d := daemon.Config{
		Data: data, Clock: capture.SystemClock{}, Log: log,
		Journal: journal.Options{SyncEvery: cfg.Journal.Sync},
		Retain:  journal.Policy{MaxAge: cfg.Journal.Keep, MinFree: cfg.Journal.MinFree},
		Notify:  notify.Options{Targets: notifyTargets(cfg), Rules: cfg.Telling},
		Push:    pushTargets(cfg),
		Brokers: brokers(cfg, data),
	}
	for _, c := range cfg.Channels {
		how := settingOf(&c)
		set := daemon.Settings{Name: c.Name, Decoder: how.decoder, Options: how.options, Silence: c.Limits.Silence}
		if len(c.Feeds) == 1 {
			set.Follow = c.Feeds[0].Source.File
		}
		for k := range c.Feeds {
			source, err := c.Feeds[k].Source.Capture(in)
			if err != nil {
				return d, fmt.Errorf("channel %q: %w", c.Name, err)
			}
			if k == 0 {
				set.Source = source
			} else {
				set.Current = &source
			}
		}
		d.Channels = append(d.Channels, set)
	}
	return d, nil
}

// pushTargets are the places that everything is pushed to.
func pushTargets(cfg *config.Config) []push.Target {
	var targets []push.Target
	for _, p := range cfg.Push {
		if p.Influx != nil {
			targets = append(targets, p.Influx)
		}
	}
	return targets
}

// analyzeLimits are a channel's limits as the analysis takes them.
func analyzeLimits(l config.Limits) analyze.Limits {
	return analyze.Limits{
		Seconds: l.Duration.Seconds(), Charge: l.Charge, ChargeFactor: l.ChargeFactor,
		Hottest: l.Celsius, Volts: l.Volts, Silence: l.Silence.Seconds(),
	}
}

// notifyTargets are those whom a configuration names.
func notifyTargets(cfg *config.Config) []notify.Target {
	var targets []notify.Target
	for _, n := range cfg.Notify {
		targets = append(targets, n.Target())
	}
	return targets
}
