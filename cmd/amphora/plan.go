package main

import (
	"fmt"
	"strconv"
	"strings"

	"amphora/analyze"
	"amphora/analyze/plan"
	"amphora/analyze/quantity"
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
	f := c.Flags()
	for _, q := range []struct {
		name, bare string
		kind       quantity.Kind
		into       *float64
		usage      string
	}{
		{"reserve-minutes", "min", quantity.Time, &in.Reserve, "reserve capacity on the label: `minutes` at 25 A"},
		{"rated-hours", "h", quantity.Time, &in.RatedTime, "`hours` over which the capacity is rated (default: 20 for lead-acid, 5 for the others)"},
		{"cold-cranking", "A", quantity.Current, &in.ColdCranking, "cold-cranking `amperes` on the label, which tell no capacity"},
		{"volts", "V", quantity.Voltage, &in.Volts, "nominal `voltage`, instead of --cells"},
		{"celsius", "C", quantity.Temperature, &in.Celsius, "`temperature` at the battery (default: 25C)"},
		{"timer", "h", quantity.Time, &in.Timer, "`hours` after which the charger ends by itself"},
		{"lead-length", "m", quantity.Length, &in.LeadLength, "`length` of the leads, one way, like 1.5m"},
		{"lead-area", "mm2", quantity.Area, &in.LeadArea, "`cross-section` of the leads, like 2.5mm2"},
	} {
		f.Func(q.name, q.usage, func(text string) (err error) {
			*q.into, err = q.kind.Parse(text, q.bare)
			return err
		})
	}
	f.Func("capacity", "`capacity` on the label, like 35Ah, or 420Wh as lithium packs have it", func(text string) error {
		return parseCapacity(text, in)
	})
	f.Func("depth", "`share` that was taken out, like 60% or 0.6 (default: all of it)", func(text string) (err error) {
		in.Depth, err = quantity.ParseFraction(text)
		return err
	})
	f.Func("rate", "`current` to plan with: 3.5A, 10% of the capacity, or 0.1C (default: the cautious one)", func(text string) error {
		return parseRate(text, in)
	})
	f.Func("chemistry", "`kind` of battery: "+chemistryNames()+" (default: lead-flooded)", func(text string) (err error) {
		in.Chemistry, err = analyze.ParseChemistry(text)
		return err
	})
	f.IntVar(&in.Cells, "cells", 0, "`number` of cells in series (default: 6 for lead-acid)")
}

// parseCapacity reads ampere-hours, or watt-hours where the unit says so. The
// last one given counts.
func parseCapacity(text string, in *plan.Input) error {
	charge, err := quantity.Charge.Parse(text, "Ah")
	energy := analyze.Unknown()
	if err != nil {
		var other error
		if energy, other = quantity.Energy.Parse(text, ""); other != nil {
			return err
		}
		charge = analyze.Unknown()
	}
	in.Capacity, in.Energy = charge, energy
	return nil
}

// parseRate reads a current, or a share of the capacity an hour, which the trade
// also writes with a C behind it.
func parseRate(text string, in *plan.Input) error {
	if share, err := strconv.ParseFloat(strings.TrimRight(text, "Cc"), 64); err == nil && strings.HasSuffix(strings.ToUpper(text), "C") {
		in.Rate, in.RateShare = analyze.Unknown(), share
		return nil
	}
	amps, share, err := quantity.Current.ParseAmountOrShare(text, "A")
	if err != nil {
		return fmt.Errorf("%w, or a share of the capacity like 10%% or 0.1C", err)
	}
	in.Rate, in.RateShare = amps, share
	return nil
}

func chemistryNames() string {
	var names []string
	for _, c := range analyze.Chemistries() {
		names = append(names, string(c))
	}
	return strings.Join(names, ", ")
}
