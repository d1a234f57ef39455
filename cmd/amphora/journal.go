package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"amphora/capture/journal"

	"github.com/spf13/cobra"
)

// journalCommand holds what is done with the raw record.
func journalCommand(s streams) *cobra.Command {
	var d dataFlag
	c := asGroup(&cobra.Command{
		Use:     "journal",
		Short:   "Look after the raw record in a data folder",
		Example: "  amphora journal verify /var/lib/amphora\n  amphora journal export --channel bench /var/lib/amphora >bench.log",
	})
	for _, sub := range []*cobra.Command{journalVerify(s, &d), journalExport(s, &d), journalReplay(s, &d)} {
		d.register(sub)
		c.AddCommand(sub)
	}
	return c
}

// errDamaged says that a raw record is not as it was written.
var errDamaged = errors.New("damaged")

func journalVerify(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "verify [DIR]",
		Short: "Read the whole raw record and say what is damaged",
		Long: "Reads the whole raw record in a data folder and says what is damaged, with file and byte; then the exit\n" +
			"status is 1. Nothing is changed, and a daemon may be at work.",
		Example: "  amphora journal verify /var/lib/amphora",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			dir, err := d.record(args)
			if err != nil {
				return err
			}
			segments, err := journal.Verify(dir)
			if err != nil {
				return err
			}
			if asJSON {
				err = writeJSON(s.out, segmentViews(segments))
			} else {
				err = segmentPage(s.out, dir, segments)
			}
			if err != nil {
				return err
			}
			if n := damages(segments); n > 0 {
				return fmt.Errorf("the raw record in %s is %w in %d places, see above; all else can be read", dir, errDamaged, n)
			}
			return nil
		},
	}
	jsonFlag(c, &asJSON)
	return c
}

func journalExport(s streams, d *dataFlag) *cobra.Command {
	var channel string
	var asCSV bool
	c := &cobra.Command{
		Use:   "export [DIR]",
		Short: "Print the raw record of a channel",
		Long: "Prints the lines of a channel as the device sent them; with --csv with number, time and flags. Damage is\n" +
			"passed over and told on standard error.",
		Example: "  amphora journal export --channel bench /var/lib/amphora >bench.log\n  amphora journal export --csv /var/lib/amphora",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			dir, err := d.record(args)
			if err != nil {
				return err
			}
			name, err := oneChannel(dir, channel)
			if err != nil {
				return err
			}
			r, err := journal.NewReader(dir, name, 0)
			if err != nil {
				return err
			}
			defer r.Close()
			r.OnDamage = func(damage *journal.Damage) { fmt.Fprintln(s.err, "amphora:", damage) }
			if asCSV {
				return journal.ExportCSV(s.out, r)
			}
			return journal.ExportLines(s.out, r)
		},
	}
	c.Flags().StringVar(&channel, "channel", "", "the `channel` to print, where there are several")
	c.Flags().BoolVar(&asCSV, "csv", false, "print number, time, flags and text of every record, comma-separated")
	return c
}

// record is the folder that the arguments or the flag name. It must be there.
func (d *dataFlag) record(args []string) (string, error) {
	dir, err := d.folder()
	if len(args) > 0 {
		dir, err = args[0], nil
	}
	if err != nil {
		return "", err
	}
	if _, err := os.Stat(dir); err != nil {
		return "", fmt.Errorf("data folder: %w; name the daemon's data folder", err)
	}
	return dir, nil
}

// oneChannel is the named channel, or the only one there is.
func oneChannel(dir, name string) (string, error) {
	all, err := journal.Channels(dir)
	switch {
	case err != nil:
		return "", err
	case len(all) == 0:
		return "", fmt.Errorf("%s holds no record of any channel", dir)
	case name == "" && len(all) > 1:
		return "", usagef("%s holds several channels: give --channel with one of %s", dir, strings.Join(all, ", "))
	case name == "":
		return all[0], nil
	case !slices.Contains(all, name):
		return "", fmt.Errorf("%s holds no channel %q; it has %s", dir, name, strings.Join(all, ", "))
	}
	return name, nil
}
