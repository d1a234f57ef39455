package main

import (
	"errors"

	"amphora/analyze/logbook"
	"amphora/analyze/plan"
	"amphora/dashboards/label"
	"amphora/dashboards/report"

	"github.com/spf13/cobra"
)

func planCommand(s streams) *cobra.Command {
	in := plan.NewInput()
	var d dataFlag
	var battery string
	var asJSON bool
	c := &cobra.Command{
		Use:   "plan",
		Short: "Say what to set a charger to, from the battery's label",
		Long: "Says what to set a charger to: current, voltages, timer and capacity cut-off, how long it will take,\n" +
			"and what to mind. Every figure comes with its reason. The battery maker's own figures go before it.",
		Example: "  amphora plan --reserve-minutes 85 --chemistry lead-flooded\n" +
			"  amphora plan --capacity 17Ah --rated-hours 20 --chemistry lead-agm --depth 60% --celsius 10C\n" +
			"  amphora plan --capacity 80Wh --chemistry li-ion --cells 5 --rate 0.5C\n" +
			"  amphora plan --battery mower --depth 60%",
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			if battery != "" {
				if err := d.readBook(c.Context(), func(book *logbook.Book) error {
					b, err := book.Battery(c.Context(), battery)
					labelled(&in, b, c.Flags().Changed)
					return err
				}); err != nil {
					return err
				}
			}
			advice, err := plan.Plan(in)
			if wrong, ok := errors.AsType[*plan.Wrong](err); ok {
				return usagef("--%s: %w", wrong.Of, err)
			}
			if err != nil {
				return err
			}
			if asJSON {
				return writeJSON(s.out, advice)
			}
			return report.Plan(s.out, advice)
		},
	}
	planFlags(c, &in)
	c.Flags().StringVar(&battery, "battery", "", "a battery of the logbook: what stands there of its label need not be said again")
	d.register(c)
	jsonFlag(c, &asJSON)
	return c
}

// planFlags lets a command fill the input with quantities.
func planFlags(c *cobra.Command, in *plan.Input) {
	for _, f := range label.Fields() {
		c.Flags().Func(f.Name, f.Usage, func(text string) error { return f.Read(in, text) })
	}
}

// labelled takes what the logbook has of a battery's label and no flag told.
func labelled(in *plan.Input, b logbook.Battery, told func(flag string) bool) {
	if b.Chemistry != nil && !told("chemistry") {
		in.Chemistry = *b.Chemistry
	}
	if b.Cells != nil && !told("cells") && !told("volts") {
		in.Cells = *b.Cells
	}
	if told("capacity") || told("reserve-minutes") {
		return
	}
	if b.CapacityAh != nil {
		in.Capacity = *b.CapacityAh * 3600
	}
	if b.CapacityHours != nil && !told("rated-hours") {
		in.RatedTime = *b.CapacityHours * 3600
	}
	if b.ReserveMinutes != nil {
		in.Reserve = *b.ReserveMinutes * 60
	}
}
