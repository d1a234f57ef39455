package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"amphora/analyze/logbook"

	"github.com/spf13/cobra"
)

func readingCommand(s streams) *cobra.Command {
	var d dataFlag
	c := asGroup(&cobra.Command{
		Use:     "reading",
		Short:   "Note what was measured on a battery by hand",
		Example: "  amphora reading add mower --volts 12.73V --ohm 29mohm --celsius 18C\n  amphora reading list mower",
	})
	d.register(c)
	c.AddCommand(readingAdd(s, &d), readingList(s, &d), readingRemove(s, &d))
	return c
}

func readingAdd(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "add BATTERY",
		Short: "Note a reading",
		Example: "  amphora reading add mower --volts 12.73V --remark \"20 h after the charge\"\n" +
			"  amphora reading add car --gravity 1.265 --celsius 18C --at 2026-03-14T21:40",
		Args: cobra.ExactArgs(1),
	}
	given := fieldFlags(c, readingFields)
	jsonFlag(c, &asJSON)
	c.RunE = func(c *cobra.Command, args []string) error {
		at, _ := given["at"].(time.Time)
		at, err := moment(at)
		if err != nil {
			return err
		}
		given["at"] = at
		r, err := logbook.NewReading(args[0], given)
		if err != nil {
			return wrongFields(err)
		}
		return d.readBook(c.Context(), func(book *logbook.Book) error {
			noted, err := book.AddReading(c.Context(), r)
			if err != nil {
				return err
			}
			b, err := book.Battery(c.Context(), noted.Battery)
			if err != nil {
				return err
			}
			answer := noted.Noted(b, now())
			return tell(s.out, asJSON, answer, "noted for "+noted.Battery+doubted(answer.Mistyped, "amphora reading remove", "takes it out again"))
		})
	}
	return c
}

func readingList(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:     "list [BATTERY]",
		Short:   "List the readings of a battery, or of all",
		Example: "  amphora reading list mower\n  amphora reading list --json",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			var all []logbook.Reading
			err := d.readBook(c.Context(), func(book *logbook.Book) error {
				names, err := batteryNames(c, book, args)
				if err != nil {
					return err
				}
				for _, name := range names {
					some, err := book.Readings(c.Context(), name)
					if err != nil {
						return err
					}
					all = append(all, some...)
				}
				return nil
			})
			if err != nil && (len(args) > 0 || !errors.Is(err, errNoBook)) {
				return err
			}
			if asJSON {
				return writeJSON(s.out, orNone(all))
			}
			return readingTable(s.out, all, now())
		},
	}
	jsonFlag(c, &asJSON)
	return c
}

func readingRemove(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "remove BATTERY WHEN",
		Short: "Take a reading out again that was mistyped",
		Long: "Takes out the reading of a battery that was measured then, as `amphora reading list` shows it, or that has this\n" +
			"id, as `amphora reading list --json` does. It is told once more, and gone.",
		Example: "  amphora reading remove mower \"2026-03-14 21:40\"\n  amphora reading remove mower 20260314T214000.000Z-0001",
		Args:    cobra.ExactArgs(2),
		RunE: func(c *cobra.Command, args []string) error {
			return d.readBook(c.Context(), func(book *logbook.Book) error {
				all, err := book.Readings(c.Context(), args[0])
				if err != nil {
					return err
				}
				r, err := readingOf(all, args[0], args[1])
				if err != nil {
					return err
				}
				if err := book.DropReading(c.Context(), r.ID); err != nil {
					return err
				}
				if asJSON {
					return writeJSON(s.out, r)
				}
				fmt.Fprintln(s.out, "taken out:")
				return readingTable(s.out, []logbook.Reading{r}, now())
			})
		},
	}
	jsonFlag(c, &asJSON)
	return c
}

// readingOf is the one with an id, or that was measured when a list says it was.
func readingOf(all []logbook.Reading, battery, when string) (logbook.Reading, error) {
	var found []logbook.Reading
	for _, r := range all {
		if r.ID == when || dated(r.At, now()) == strings.Replace(when, "T", " ", 1) {
			found = append(found, r)
		}
	}
	switch len(found) {
	case 0:
		return logbook.Reading{}, fmt.Errorf("no reading of %s was measured at %q; `amphora reading list %s` shows when they were", battery, when, battery)
	case 1:
		return found[0], nil
	}
	return logbook.Reading{}, fmt.Errorf("%d readings of %s were measured at %q; name one by its id, which `amphora reading list %s --json` shows", len(found), battery, when, battery)
}

// batteryNames are the named ones, or all.
func batteryNames(c *cobra.Command, book *logbook.Book, named []string) ([]string, error) {
	if len(named) > 0 {
		return named, nil
	}
	all, err := book.Batteries(c.Context())
	var names []string
	for _, b := range all {
		names = append(names, b.Name)
	}
	return names, err
}
