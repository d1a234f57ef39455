package main

import (
	"errors"
	"fmt"

	"amphora/analyze/logbook"
	"amphora/cmd/amphora/daemon"

	"github.com/spf13/cobra"
)

func sessionAssign(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	var file string
	c := &cobra.Command{
		Use:   "assign ID BATTERY",
		Short: "Say of which battery a recorded charge was",
		Long: "Tells a charge again from the journal as that of another battery, with what the logbook knows of it, and puts it under\n" +
			"that one. It stays there when the logbook is built anew. The newest charge of a channel may still be revised: for that\n" +
			"one change `battery:` in the configuration and reload.",
		Example: "  amphora session assign bench-20260314T214000Z car",
		Args:    cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			dir, err := d.folder()
			if err != nil {
				return err
			}
			settings, err := channelSettings(file, s.err)
			if err != nil {
				return err
			}
			return d.readBook(c.Context(), func(book *logbook.Book) error {
				session, err := book.Session(c.Context(), args[0])
				if err != nil {
					return err
				}
				b, err := book.Battery(c.Context(), args[1])
				if err != nil {
					return err
				}
				set := settings.of(session.Summary.Channel)
				now, err := daemon.Assign(c.Context(), book, dir, session, b.Name, set.decoder, set.options)
				if errors.Is(err, daemon.ErrNoRecord) {
					return fmt.Errorf("%s: %v; if you have its log, `amphora session add --battery %s` puts it under that one", args[0], err, b.Name)
				}
				if err != nil {
					return err
				}
				return tell(s.out, asJSON, now, fmt.Sprintf("%s is a charge of %s now", now.ID, b.Name))
			})
		},
	}
	c.Flags().StringVar(&file, "config", "", "the configuration whose channel settings apply (default: "+firstUsual+")")
	jsonFlag(c, &asJSON)
	return c
}
