package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/analyze/plan"
	"amphora/dashboards/report"

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
		if given["at"] == nil {
			given["at"] = now()
		}
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
			told := "noted for " + noted.Battery
			if odd := oddities(noted, b, now()); odd != "" {
				told += "; " + odd + ": `amphora reading remove` takes it out again"
			}
			return tell(s.out, asJSON, noted, told)
		})
	}
	return c
}

// oddities say what of a reading looks mistyped: a day to come, or a voltage that the
// battery would not even be charged with. It is noted all the same, since the clock or
// the logbook may be what is wrong.
func oddities(r logbook.Reading, b logbook.Battery, now time.Time) string {
	var list []string
	if r.At.After(now.Add(time.Minute)) {
		list = append(list, dated(r.At, now)+" is still to come by this clock")
	}
	if r.Volts != nil && b.Cells != nil && b.Chemistry != nil {
		if most := analyze.HighestVolts(*b.Chemistry, *b.Cells); *r.Volts > most {
			list = append(list, fmt.Sprintf("%.4g V is more than the %.4g V that %s of %s are ever charged to", *r.Volts, most, counted(*b.Cells, "cell"), *b.Chemistry))
		}
	}
	return strings.Join(list, ", and ")
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

func readingTable(w io.Writer, all []logbook.Reading, now time.Time) error {
	if len(all) == 0 {
		_, err := fmt.Fprintln(w, "no readings; `amphora reading add BATTERY` notes one")
		return err
	}
	var rows [][]string
	for _, r := range all {
		rows = append(rows, []string{r.Battery, dated(r.At, now), ago(r.At, now), float(r.Volts, 1), float(r.Ohm, 1000), float(r.Gravity, 1), degrees(r.Celsius), fullByGravity(r), string(r.Remark), string(r.Means)})
	}
	return report.Table(w, []string{"battery", "measured", "", "V", "mohm", "gravity", "C", "full %", "remark", "with"}, rows)
}

// fullByGravity is how full a lead-acid battery was whose acid was weighed. A reading
// without a temperature is taken as one at that of the table.
func fullByGravity(r logbook.Reading) string {
	if r.Gravity == nil {
		return ""
	}
	gravity := *r.Gravity
	if r.Celsius != nil {
		gravity = plan.CorrectGravity(gravity, *r.Celsius)
	}
	return fmt.Sprintf("%.0f", 100*plan.StateFromGravity(gravity))
}
