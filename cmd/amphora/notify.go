package main

import (
	"errors"
	"fmt"
	"time"

	"amphora/analyze"
	"amphora/cmd/amphora/config"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/notify"

	"github.com/spf13/cobra"
)

func notifyCommand(s streams) *cobra.Command {
	c := asGroup(&cobra.Command{
		Use:     "notify",
		Short:   "Try out who is told, and say that an alarm was seen",
		Example: "  amphora notify test --config amphora.yaml\n  amphora notify ack --channel bench",
	})
	c.AddCommand(notifyTest(s), notifyAck(s))
	return c
}

func notifyTest(s streams) *cobra.Command {
	var file string
	c := &cobra.Command{
		Use:   "test",
		Short: "Send a test message to everybody who is to be told",
		Long: "Sends a message to each target under notify: in a configuration, one try each, and prints what became of\n" +
			"it. The exit status is 1 if one did not get through. A daemon may be at work.",
		Example: "  amphora notify test --config amphora.yaml",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			cfg, err := loadConfig(file, s.err, config.Forbidding)
			if err != nil {
				return err
			}
			targets := notifyTargets(cfg)
			if len(targets) == 0 {
				return usagef("%s names nobody under notify:, so there is nobody to tell; amphora check --example shows how", cfg.File)
			}
			lost, names := 0, notify.Names(targets)
			for k, t := range targets {
				began := time.Now()
				if err := notify.Try(c.Context(), t, began); err != nil {
					lost++
					fmt.Fprintf(s.out, "%s: failed: %v\n", names[k], err)
					continue
				}
				fmt.Fprintf(s.out, "%s: delivered, took %.1f s\n", names[k], time.Since(began).Seconds())
			}
			if lost > 0 {
				return fmt.Errorf("%d of %d did not get through", lost, len(targets))
			}
			return nil
		},
	}
	c.Flags().StringVar(&file, "config", "", "the configuration (default: "+firstUsual+")")
	return c
}

func notifyAck(s streams) *cobra.Command {
	var d dataFlag
	var channel string
	c := &cobra.Command{
		Use:   "ack",
		Short: "Say that the alarms that hold were seen, so that they are not repeated",
		Long: "Alarms are repeated where telling: has repeat:, until they clear or somebody says that they were seen. A\n" +
			"daemon at work notices within some seconds. It changes nothing of the charge: look after that yourself.",
		Example: "  amphora notify ack\n  amphora notify ack --channel bench",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			data, err := d.folder()
			if err != nil {
				return err
			}
			held, err := notify.Acknowledge(daemon.NotifyDir(data), channel)
			if err != nil {
				return err
			}
			if len(held) == 0 {
				return errors.New("no alarm holds that was not acknowledged before")
			}
			for _, h := range held {
				fmt.Fprintf(s.out, "acknowledged: %s, %s, since %s\n", h.Channel, h.Code, analyze.TimeOfDay(h.Since.Local(), "2006-01-02 15:04:05"))
			}
			return nil
		},
	}
	d.register(c)
	c.Flags().StringVar(&channel, "channel", "", "only the alarms of this channel")
	return c
}
