package main

import (
	"context"
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
		Example: "  amphora session list --battery mower\n  amphora session show --battery mower",
	})
	d.register(c)
	c.AddCommand(sessionList(s, &d), sessionShow(s, &d), sessionAnnotate(s, &d), sessionAssign(s, &d), sessionAdd(s, &d), sessionRemove(s, &d))
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
			if len(all) == 0 {
				_, err = fmt.Fprintln(s.out, noCharges(filter))
				return err
			}
			return sessionTable(s.out, all, now())
		},
	}
	whoseFlags(c, &filter)
	c.Flags().IntVar(&filter.Limit, "limit", logbook.DefaultPage, "how many at most")
	c.Flags().StringVar(&before, "before", "", "older than the charge of this `ID`, the last of an earlier list")
	jsonFlag(c, &asJSON)
	return c
}

func sessionShow(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	var newest logbook.Filter
	c := &cobra.Command{
		Use:   "show [ID]",
		Short: "Show a recorded charge, the newest unless told which",
		Long: "Shows a recorded charge with its notes: the one of this ID, or else the newest, of all or of a battery or channel.\n" +
			"As JSON it is the summary that amphora analyze gives of a charge, and notes.",
		Example: "  amphora session show\n  amphora session show --battery mower\n  amphora session show ID --json",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 && newest != (logbook.Filter{}) {
				return usagef("an ID names one charge; --battery and --channel look for the newest")
			}
			return d.readBook(c.Context(), func(book *logbook.Book) error {
				session, err := oneSession(c.Context(), book, newest, args)
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
	whoseFlags(c, &newest)
	jsonFlag(c, &asJSON)
	return c
}

// whoseFlags narrow a list of charges down to a battery's or a channel's.
func whoseFlags(c *cobra.Command, filter *logbook.Filter) {
	c.Flags().StringVar(&filter.Battery, "battery", "", "of this `battery` only")
	c.Flags().StringVar(&filter.Channel, "channel", "", "of this `channel` only")
}

// oneSession is the charge that an ID names, or without one the newest that the
// filter lets through.
func oneSession(ctx context.Context, book *logbook.Book, newest logbook.Filter, id []string) (logbook.Session, error) {
	if len(id) > 0 {
		return book.Session(ctx, id[0])
	}
	newest.Limit = 1
	found, err := book.Sessions(ctx, newest)
	if err == nil && len(found) == 0 {
		err = errors.New(noCharges(newest))
	}
	if err != nil {
		return logbook.Session{}, err
	}
	return found[0], nil
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
			at, err := moment(at)
			if err != nil {
				return err
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
