package main

import (
	"fmt"
	"os"

	"amphora/analyze/logbook"

	"github.com/spf13/cobra"
)

// logbookCommand holds what is done with the logbook as a whole.
func logbookCommand(s streams) *cobra.Command {
	var d dataFlag
	c := asGroup(&cobra.Command{
		Use:     "logbook",
		Short:   "Copy the logbook, or take it to another machine",
		Example: "  amphora logbook backup /media/stick/logbook.db\n  amphora logbook export >logbook.json",
	})
	d.register(c)
	c.AddCommand(logbookBackup(s, &d), logbookExport(s, &d), logbookImport(s, &d))
	return c
}

func logbookBackup(s streams, d *dataFlag) *cobra.Command {
	return &cobra.Command{
		Use:   "backup FILE",
		Short: "Copy the logbook to a new file",
		Long: "Copies the logbook to a new file, and checks the copy. A daemon may be at work. A plain copy of logbook.db\n" +
			"would lack what is newest, which stands in a file beside it. To go back to a copy, stop the daemon and put it in\n" +
			"the place of logbook.db, without those beside it (logbook.db-wal, logbook.db-shm).",
		Example: "  amphora logbook backup /media/stick/logbook.db",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return d.readBook(c.Context(), func(book *logbook.Book) error {
				if err := book.Backup(c.Context(), args[0]); err != nil {
					return err
				}
				_, err := fmt.Fprintln(s.out, "copied the logbook to", args[0])
				return err
			})
		},
	}
}

func logbookExport(s streams, d *dataFlag) *cobra.Command {
	return &cobra.Command{
		Use:     "export",
		Short:   "Print everything in the logbook as JSON",
		Example: "  amphora logbook export >logbook.json",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			return d.readBook(c.Context(), func(book *logbook.Book) error { return book.Export(c.Context(), s.out) })
		},
	}
}

func logbookImport(s streams, d *dataFlag) *cobra.Command {
	return &cobra.Command{
		Use:   "import FILE",
		Short: "Add what was exported from another logbook",
		Long: "Adds everything in an exported document, or nothing. What the logbook has stays: a charge that it knows is left\n" +
			"as it is, and where a battery, reading or note differs nothing is added.",
		Example: "  amphora logbook import logbook.json",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			file, err := os.Open(args[0])
			if err != nil {
				return err
			}
			defer file.Close()
			return d.writeBook(c.Context(), func(book *logbook.Book) error {
				if err := book.Import(c.Context(), file); err != nil {
					return err
				}
				_, err := fmt.Fprintln(s.out, "added what is in", args[0])
				return err
			})
		},
	}
}
