package main

import (
	"amphora/analyze/plan"
	"amphora/dashboards/label"
	"amphora/dashboards/report"

	"github.com/spf13/cobra"
)

func planCommand(s streams) *cobra.Command {
	in := plan.NewInput()
	var asJSON bool
	c := &cobra.Command{
		Use:   "plan",
		Short: "Say what to set a charger to, from the battery's label",
		Long: "Says what to set a charger to: current, voltages, timer and capacity cut-off, how long it will take,\n" +
			"and what to mind. Every figure comes with its reason. The battery maker's own figures go before it.",
		Example: "  amphora plan --reserve-minutes 85 --chemistry lead-flooded\n" +
			"  amphora plan --capacity 17Ah --rated-hours 20 --chemistry lead-agm --depth 60% --celsius 10C\n" +
			"  amphora plan --capacity 80Wh --chemistry li-ion --cells 5 --rate 0.5C",
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			advice, err := plan.Plan(in)
			if err != nil {
				return usagef("%w", err)
			}
			if asJSON {
				return writeJSON(s.out, advice)
			}
			return report.Plan(s.out, advice)
		},
	}
	planFlags(c, &in)
	jsonFlag(c, &asJSON)
	return c
}

// planFlags lets a command fill the input with quantities.
func planFlags(c *cobra.Command, in *plan.Input) {
	for _, f := range label.Fields() {
		c.Flags().Func(f.Name, f.Usage, func(text string) error { return f.Read(in, text) })
	}
}
