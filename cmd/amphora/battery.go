package main

import (
	"context"
	"errors"
	"slices"
	"time"

	"amphora/analyze/condition"
	"amphora/analyze/logbook"
	"amphora/analyze/quantity"
	"amphora/dashboards/report"

	"github.com/spf13/cobra"
)

func batteryCommand(s streams) *cobra.Command {
	var d dataFlag
	c := asGroup(&cobra.Command{
		Use:     "battery",
		Short:   "Keep the logbook's batteries",
		Long:    "Keeps what you know of your batteries: sessions and readings refer to them by name.",
		Example: "  amphora battery add mower --chemistry lead-agm --capacity 17Ah --bought 2025-04\n  amphora battery list",
	})
	d.register(c)
	c.AddCommand(batteryAdd(s, &d), batteryList(s, &d), batteryShow(s, &d), batteryEdit(s, &d), batteryRetire(s, &d), batteryRemove(s, &d))
	return c
}

func batteryAdd(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:     "add NAME",
		Short:   "Add a battery",
		Example: "  amphora battery add mower --chemistry lead-agm --capacity 17Ah --rated-hours 20h --bought 2025-04",
		Args:    cobra.ExactArgs(1),
	}
	given := fieldFlags(c, batteryFields)
	jsonFlag(c, &asJSON)
	c.RunE = func(c *cobra.Command, args []string) error {
		given["name"] = args[0]
		b, err := logbook.NewBattery(given)
		if err != nil {
			return wrongFields(err)
		}
		return d.writeBook(c.Context(), func(book *logbook.Book) error {
			if err := book.AddBattery(c.Context(), b); err != nil {
				return err
			}
			answer := b.Noted(now())
			return tell(s.out, asJSON, answer, "added "+b.Name+doubted(answer.Mistyped, "amphora battery edit "+b.Name, "mends it"))
		})
	}
	return c
}

func batteryList(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	var uncharged float64
	c := &cobra.Command{
		Use:   "list",
		Short: "List the batteries, and when each was last charged",
		Long: "Lists the batteries, and when each was last charged. With --uncharged only those in use that have had no charge\n" +
			"for so long, and nothing at all where there are none: a weekly job that mails its output reminds you of them.",
		Example: "  amphora battery list\n  amphora battery list --uncharged 42d\n  amphora battery list --json",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			all := []logbook.Battery{}
			last := map[string]logbook.Session{}
			err := d.readBook(c.Context(), func(book *logbook.Book) (err error) {
				if all, err = book.Batteries(c.Context()); err != nil {
					return err
				}
				last, err = lastCharges(c.Context(), book, all)
				return err
			})
			if err != nil && !errors.Is(err, errNoBook) {
				return err
			}
			if uncharged > 0 {
				all = unchargedFor(uncharged, all, last, now())
			}
			switch {
			case asJSON:
				return writeJSON(s.out, orNone(all))
			case uncharged > 0 && len(all) == 0:
				return nil
			}
			return batteryTable(s.out, all, last, now())
		},
	}
	c.Flags().Func("uncharged", "only those in use without a charge for so `long`, like 42d", func(text string) (err error) {
		uncharged, err = quantity.Time.ParsePositive(text, "")
		return err
	})
	jsonFlag(c, &asJSON)
	return c
}

// unchargedFor are the batteries in use whose last charge began so many seconds ago, or that
// have had none.
func unchargedFor(long float64, all []logbook.Battery, last map[string]logbook.Session, now time.Time) []logbook.Battery {
	return slices.DeleteFunc(all, func(b logbook.Battery) bool {
		s, charged := last[b.Name]
		recent := charged && s.Summary.Started != nil && now.Sub(*s.Summary.Started).Seconds() < long
		return recent || b.Retired != nil
	})
}

// lastCharges are the newest charges of batteries, by their names.
func lastCharges(ctx context.Context, book *logbook.Book, all []logbook.Battery) (map[string]logbook.Session, error) {
	last := map[string]logbook.Session{}
	for _, b := range all {
		found, err := book.Sessions(ctx, logbook.Filter{Battery: b.Name, Limit: 1})
		if err != nil {
			return nil, err
		}
		if len(found) > 0 {
			last[b.Name] = found[0]
		}
	}
	return last, nil
}

func batteryShow(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:     "show BATTERY",
		Short:   "Show a battery, how it ages, its readings and its last charges",
		Long:    "Shows a battery, how it has changed over the months and what that means, its readings and its last charges.\nAs JSON it is the battery with its condition.",
		Example: "  amphora battery show mower",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return d.readBook(c.Context(), func(book *logbook.Book) error {
				b, err := book.Battery(c.Context(), args[0])
				if err != nil {
					return err
				}
				h, err := report.History(c.Context(), book, b, 0)
				if err != nil {
					return err
				}
				if asJSON {
					return writeJSON(s.out, struct {
						logbook.Battery
						Condition condition.Condition `json:"condition"`
					}{b, h.Condition})
				}
				return batteryPage(s.out, h, now())
			})
		},
	}
	jsonFlag(c, &asJSON)
	return c
}

func batteryEdit(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:     "edit BATTERY",
		Short:   "Change what is known of a battery",
		Long:    "Changes the given fields of a battery; an empty value makes a field unknown.",
		Example: "  amphora battery edit mower --capacity 18Ah --note \"\"",
		Args:    cobra.ExactArgs(1),
	}
	given := fieldFlags(c, batteryFields)
	jsonFlag(c, &asJSON)
	c.RunE = func(c *cobra.Command, args []string) error {
		if len(given) == 0 {
			return usagef("nothing to change in %q: give a field, like --capacity 18Ah", args[0])
		}
		return d.readBook(c.Context(), func(book *logbook.Book) error {
			b, err := book.EditBattery(c.Context(), args[0], given)
			if err != nil {
				return err
			}
			answer := b.Noted(now())
			return tell(s.out, asJSON, answer, "changed "+b.Name+doubted(answer.Mistyped, "amphora battery edit "+b.Name, "mends it"))
		})
	}
	return c
}

func batteryRetire(s streams, d *dataFlag) *cobra.Command {
	var asJSON, undo bool
	var at time.Time
	c := &cobra.Command{
		Use:     "retire BATTERY",
		Short:   "Note that a battery is in use no more",
		Long:    "Notes that a battery is in use no more. It stays in the logbook with all its charges.",
		Example: "  amphora battery retire mower\n  amphora battery retire mower --undo",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if undo && !at.IsZero() {
				return usagef("--undo makes it be in use again, so that there is no time for --at")
			}
			return d.readBook(c.Context(), func(book *logbook.Book) error {
				if undo {
					b, err := book.EditBattery(c.Context(), args[0], logbook.Fields{"retired": nil})
					if err != nil {
						return err
					}
					return tell(s.out, asJSON, b, "in use again: "+b.Name)
				}
				at, err := moment(at)
				if err != nil {
					return err
				}
				b, err := book.RetireBattery(c.Context(), args[0], at)
				if err != nil {
					return err
				}
				answer := b.Noted(now())
				return tell(s.out, asJSON, answer, "retired "+b.Name+doubted(answer.Mistyped, "amphora battery retire "+b.Name+" --undo", "takes it back"))
			})
		},
	}
	whenFlag(c, &at, "`time` when it went out of use (default: now)")
	c.Flags().BoolVar(&undo, "undo", false, "it is in use again")
	jsonFlag(c, &asJSON)
	return c
}

func batteryRemove(s streams, d *dataFlag) *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:   "remove BATTERY",
		Short: "Take a battery out again that was mistyped",
		Long: "Takes out a battery that has no charges and no readings, such as one whose name was mistyped. It is told once more,\n" +
			"and gone. One that has any stays; `amphora battery retire` notes that it is in use no more.",
		Example: "  amphora battery remove mowre",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return d.readBook(c.Context(), func(book *logbook.Book) error {
				b, err := book.Battery(c.Context(), args[0])
				if err != nil {
					return err
				}
				if err := book.DropBattery(c.Context(), b.Name); err != nil {
					return err
				}
				return tell(s.out, asJSON, b, "taken out: "+b.Name)
			})
		},
	}
	jsonFlag(c, &asJSON)
	return c
}
