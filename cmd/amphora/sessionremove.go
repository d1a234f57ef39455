package main

import (
	"context"
	"fmt"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/cmd/amphora/daemon"

	"github.com/spf13/cobra"
)

func sessionRemove(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "remove ID...",
		Short: "Take charges out that came from other logs",
		Long: "Takes charges out of the logbook that `amphora session add` put there, with their curves: those of a wrong log, or under a\n" +
			"wrong battery. What was recorded here stays, for the journal would tell it again; `amphora session assign` says of which\n" +
			"battery it was.",
		Example: "  amphora session remove night-20240314T214000Z",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			dir, err := d.folder()
			if err != nil {
				return err
			}
			removed := []analyze.Session{}
			err = d.readBook(c.Context(), func(book *logbook.Book) error {
				for _, id := range args {
					session, err := remove(c.Context(), book, dir, id)
					if err != nil {
						return err
					}
					removed = append(removed, session)
					if !asJSON {
						fmt.Fprintf(s.out, "%s is out of the logbook\n", id)
					}
				}
				return nil
			})
			if err == nil && asJSON {
				err = writeJSON(s.out, removed)
			}
			return err
		},
	}
	jsonFlag(c, &asJSON)
	return c
}

// remove takes one charge out of the logbook that was not recorded here, and its curve.
func remove(ctx context.Context, book *logbook.Book, dir, id string) (analyze.Session, error) {
	session, err := book.Session(ctx, id)
	if err != nil {
		return analyze.Session{}, err
	}
	if session.JournalFrom != "" {
		return analyze.Session{}, fmt.Errorf("%s was recorded here and stays; if it was a charge of another battery, `amphora session assign %s BATTERY` says so", id, id)
	}
	if err := book.DropSession(ctx, id); err != nil {
		return analyze.Session{}, err
	}
	if err := daemon.DropShape(dir, id); err != nil {
		return analyze.Session{}, fmt.Errorf("%s is out of the logbook, but its curve is still there: %w", id, err)
	}
	return session.Summary, nil
}
