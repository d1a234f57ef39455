package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"

	"github.com/spf13/cobra"
)

func sessionCommand(s streams) *cobra.Command {
	var d dataFlag
	c := asGroup(&cobra.Command{
		Use:     "session",
		Short:   "Look at recorded charges and write notes beside them",
		Example: "  amphora session list --battery mower\n  amphora session show ID",
	})
	d.register(c)
	c.AddCommand(sessionList(s, &d), sessionShow(s, &d), sessionAnnotate(s, &d))
	return c
}

func sessionList(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	var filter logbook.Filter
	var before string
	c := &cobra.Command{
		Use:     "list",
		Short:   "List the recorded charges, the newest first",
		Example: "  amphora session list --battery mower --limit 10\n  amphora session list --json",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			var all []logbook.Session
			err := d.readBook(c.Context(), func(book *logbook.Book) error {
				if before != "" {
					last, err := book.Session(c.Context(), before)
					if err != nil {
						return fmt.Errorf("--before: %w", err)
					}
					filter.Before = last.Cursor()
				}
				var err error
				all, err = book.Sessions(c.Context(), filter)
				return err
			})
			if err != nil && !errors.Is(err, errNoBook) {
				return err
			}
			if asJSON {
				return writeJSON(s.out, withNotes(all))
			}
			return sessionTable(s.out, all, now())
		},
	}
	c.Flags().StringVar(&filter.Battery, "battery", "", "of this `battery` only")
	c.Flags().StringVar(&filter.Channel, "channel", "", "of this `channel` only")
	c.Flags().IntVar(&filter.Limit, "limit", logbook.DefaultPage, "how many at most")
	c.Flags().StringVar(&before, "before", "", "older than the charge of this `ID`, the last of an earlier list")
	jsonFlag(c, &asJSON)
	return c
}

func sessionShow(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:     "show ID",
		Short:   "Show a recorded charge",
		Long:    "Shows a recorded charge with its notes. As JSON it is the summary that amphora analyze gives of a charge, and notes.",
		Example: "  amphora session show ID\n  amphora session show ID --json",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return d.readBook(c.Context(), func(book *logbook.Book) error {
				session, err := book.Session(c.Context(), args[0])
				if err != nil {
					return err
				}
				if asJSON {
					return writeJSON(s.out, noted{session.Summary, session.Notes})
				}
				return sessionPage(s.out, session, now())
			})
		},
	}
	jsonFlag(c, &asJSON)
	return c
}

func sessionAnnotate(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	var at time.Time
	c := &cobra.Command{
		Use:     "annotate ID WORDS...",
		Short:   "Write a note beside a recorded charge",
		Example: "  amphora session annotate ID the fan ran all night",
		Args:    cobra.MinimumNArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			if at.IsZero() {
				at = now()
			}
			return d.readBook(c.Context(), func(book *logbook.Book) error {
				note, err := book.Annotate(c.Context(), args[0], at, strings.Join(args[1:], " "))
				if err != nil {
					return err
				}
				return tell(s.out, asJSON, note, "noted beside "+note.Session)
			})
		},
	}
	whenFlag(c, &at, "`time` of the note (default: now)")
	jsonFlag(c, &asJSON)
	return c
}

// noted is the document of a recorded charge: its summary, and what people wrote beside it.
type noted struct {
	analyze.Session
	Notes []logbook.Note `json:"notes"`
}

// withNotes are the documents of some recorded charges.
func withNotes(all []logbook.Session) []noted {
	out := make([]noted, len(all))
	for n, s := range all {
		out[n] = noted{s.Summary, s.Notes}
	}
	return out
}

// summaries are the summaries of some recorded charges.
func summaries(all []logbook.Session) []analyze.Session {
	out := make([]analyze.Session, len(all))
	for n, s := range all {
		out[n] = s.Summary
	}
	return out
}
