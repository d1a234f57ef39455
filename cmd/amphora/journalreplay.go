package main

import (
	"context"
	"fmt"
	"os"
	"text/tabwriter"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/capture/journal"
	"amphora/cmd/amphora/daemon"

	"github.com/spf13/cobra"
)

func journalReplay(s streams, d *dataFlag) *cobra.Command {
	var r replayFlags
	c := &cobra.Command{
		Use:   "replay [DIR]",
		Short: "Tell again what the journal in a data folder tells",
		Long: "Decodes and judges every line of the journal anew, as the analysis is today, and lists the charges.\n" +
			"With --rebuild they take the place of the sessions in the logbook; batteries, readings and notes that\n" +
			"people typed are never touched. The settings of the channels come from a configuration, if there is one.",
		Example: "  amphora journal replay /var/lib/amphora\n  amphora journal replay /var/lib/amphora --rebuild",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			dir, err := d.record(args)
			if err != nil {
				return err
			}
			return r.run(c.Context(), s, dir)
		},
	}
	f := c.Flags()
	f.BoolVar(&r.rebuild, "rebuild", false, "put what was found into the logbook")
	f.StringVar(&r.channel, "channel", "", "only this channel")
	f.StringVar(&r.file, "config", "", "the configuration whose channel settings apply")
	f.BoolVar(&r.json, "json", false, "print the sessions as JSON")
	return c
}

type replayFlags struct {
	rebuild bool
	json    bool
	channel string
	file    string
}

func (r *replayFlags) run(ctx context.Context, s streams, data string) error {
	names, err := journal.Channels(data)
	if err != nil {
		return err
	}
	if len(names) == 0 {
		return usagef("%s holds no journal; name the folder that serve was given as data", data)
	}
	settings, err := channelSettings(r.file, s.err)
	if err != nil {
		return err
	}
	var sessions []analyze.Session
	for _, name := range names {
		if r.channel != "" && r.channel != name {
			continue
		}
		set := settings.of(name)
		if set.options, err = knowing(ctx, data, set.options); err != nil {
			return err
		}
		told, err := daemon.Retell(ctx, data, name, set.decoder, set.options)
		if err != nil {
			return err
		}
		for _, t := range told {
			sessions = append(sessions, t.Session)
		}
		if r.rebuild {
			if err := rebuild(ctx, s, data, name, told); err != nil {
				return err
			}
		}
	}
	if r.json {
		return writeJSON(s.out, map[string]any{"sessions": sessions})
	}
	return listSessions(s, sessions)
}

// knowing asks the logbook of the data folder, if it has one, about the battery.
func knowing(ctx context.Context, data string, o analyze.Options) (analyze.Options, error) {
	if _, err := os.Stat(daemon.BookFile(data)); err != nil || o.Battery == "" {
		return o, nil
	}
	book, err := logbook.Open(ctx, daemon.BookFile(data))
	if err != nil {
		return o, err
	}
	defer book.Close()
	return daemon.Knowing(ctx, book, o)
}

func rebuild(ctx context.Context, s streams, data, name string, told []daemon.Told) error {
	book, err := logbook.Open(ctx, daemon.BookFile(data))
	if err != nil {
		return err
	}
	defer book.Close()
	put, dropped, err := daemon.Rebuild(ctx, book, name, told)
	fmt.Fprintf(s.err, "channel %s: %d sessions written to the logbook, %d taken out that the journal does not tell of\n", name, put, dropped)
	return err
}

func listSessions(s streams, sessions []analyze.Session) error {
	if len(sessions) == 0 {
		_, err := fmt.Fprintln(s.out, "the journal tells of no charge")
		return err
	}
	w := tabwriter.NewWriter(s.out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(w, "SESSION\tOUTCOME\tENDED BY\tWENT IN\tLASTED")
	for k := range sessions {
		x := &sessions[k]
		fmt.Fprintf(w, "%s\t%s\t%s\t%.2f Ah\t%s\n", x.ID, x.Outcome, x.EndedBy, float64(x.ChargeInAh), analyze.Clock(float64(x.EndS-x.StartS)))
	}
	return w.Flush()
}
