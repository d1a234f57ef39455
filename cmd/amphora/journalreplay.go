package main

import (
	"context"
	"fmt"
	"io"
	"os"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/capture/journal"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/report"

	"github.com/spf13/cobra"
)

func journalReplay(s streams, d *dataFlag) *cobra.Command {
	var r replayFlags
	c := &cobra.Command{
		Use:   "replay [DIR]",
		Short: "Tell again what the journal in a data folder tells",
		Long: "Decodes and judges every line of the journal anew, as the analysis is today, and lists the charges.\n" +
			"With --rebuild they take the place of the sessions in the logbook; batteries, readings and notes that\n" +
			"people typed are never touched. The settings of the channels come from a configuration, if there is one.\n" +
			"A session of which the journal does not hold every line any more stays as it is. Damage, and which\n" +
			"sessions stay and why, is told on standard error.",
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
	f.StringVar(&r.file, "config", "", "the configuration whose channel settings apply (default: "+firstUsual+")")
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
	if r.channel != "" {
		if _, err := oneChannel(data, r.channel); err != nil {
			return err
		}
		names = []string{r.channel}
	}
	settings, err := channelSettings(r.file, s.err)
	if err != nil {
		return err
	}
	var sessions []analyze.Session
	for _, name := range names {
		set := settings.of(name)
		if set.options, err = knowing(ctx, data, set.options); err != nil {
			return err
		}
		told, err := daemon.Retell(ctx, data, name, set.decoder, set.options)
		if err != nil {
			return err
		}
		for _, d := range told.Damage {
			fmt.Fprintln(s.err, "amphora:", d)
		}
		for _, note := range told.Notes() {
			fmt.Fprintln(s.err, "amphora:", note)
		}
		for _, t := range told.Told {
			sessions = append(sessions, t.Session)
		}
		if r.rebuild {
			if err := rebuild(ctx, s, data, name, set, told); err != nil {
				return err
			}
		}
	}
	if r.json {
		return writeJSON(s.out, map[string]any{"sessions": orNone(sessions)})
	}
	return toldTable(s.out, sessions)
}

// knowing asks the logbook of the data folder, if it has one, about the battery.
func knowing(ctx context.Context, data string, o analyze.Options) (known analyze.Options, err error) {
	if _, err := os.Stat(daemon.BookFile(data)); err != nil || o.Battery == "" {
		return o, nil
	}
	err = useBook(ctx, daemon.BookFile(data), func(book *logbook.Book) error {
		known, err = daemon.Knowing(ctx, book, o)
		return err
	})
	return known, err
}

func rebuild(ctx context.Context, s streams, data, name string, set channelSetting, told *daemon.Retold) error {
	return useBook(ctx, daemon.BookFile(data), func(book *logbook.Book) error {
		done, err := daemon.Rebuild(ctx, book, data, name, set.decoder, set.options, told)
		for _, note := range done.Notes {
			fmt.Fprintln(s.err, "amphora:", note)
		}
		fmt.Fprintf(s.err, "channel %s: %d sessions written to the logbook, %d taken out that the journal does not tell of, %d left as they are\n",
			name, done.Put, done.Dropped, done.Kept)
		return err
	})
}

// toldTable lists the charges that a journal tells of, one a line.
func toldTable(w io.Writer, sessions []analyze.Session) error {
	if len(sessions) == 0 {
		_, err := fmt.Fprintln(w, "the journal tells of no charge")
		return err
	}
	var rows [][]string
	for _, x := range sessions {
		rows = append(rows, []string{x.ID, string(x.Outcome), string(x.EndedBy), known(x.ChargeInAh, "%.2f"), lasted(x), unseen(x)})
	}
	return report.Table(w, []string{"charge", "outcome", "ended by", "Ah in", "lasted", "unseen"}, rows)
}

// unseen is for how long of a charge nothing was recorded, "" for none of it.
func unseen(x analyze.Session) string {
	sum := 0.0
	for _, g := range x.Gaps {
		sum += max(0, float64(min(g.EndS, x.EndS)-max(g.StartS, x.StartS)))
	}
	if sum == 0 {
		return ""
	}
	return analyze.Clock(sum)
}
