// Package label reads what people type off a battery's label and about their
// charger, for the planner.
//
// The problem: a label says 74 Ah, 420 Wh or 85 min, and the same figures are
// typed behind the flags of a command and into the fields of a page.
//
// The promise: both understand the same text, with the same units, and refuse
// the same slips in the same words. What the figures come to, package plan says.
package label

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"amphora/analyze"
	"amphora/analyze/plan"
	"amphora/analyze/quantity"
)

// Field is one thing that may be told of a battery and its charger.
type Field struct {
	Name  string // of the flag, and of the field of a form
	Usage string // for people; what stands for the value is between backquotes
	read  func(in *plan.Input, text string) error
}

// Read puts what somebody typed into the input. A bare number is in the unit
// that the usage names.
func (f Field) Read(in *plan.Input, text string) error { return f.read(in, text) }

// Fields are all that the planner takes, in the order in which people look for
// them on a label.
func Fields() []Field {
	amount := func(k quantity.Kind, bare string, into func(*plan.Input) *float64) func(*plan.Input, string) error {
		return func(in *plan.Input, text string) (err error) {
			*into(in), err = k.Parse(text, bare)
			return err
		}
	}
	return []Field{
		{"reserve-minutes", "reserve capacity on the label: `minutes` at 25 A", amount(quantity.Time, "min", func(in *plan.Input) *float64 { return &in.Reserve })},
		{"capacity", "`capacity` on the label, like 35Ah, or 420Wh as lithium packs have it", readCapacity},
		{"rated-hours", "`hours` over which the capacity is rated (default: 20 for lead-acid, 5 for the others)", func(in *plan.Input, text string) (err error) {
			in.RatedTime, err = RatedTime(text)
			return err
		}},
		{"cold-cranking", "cold-cranking `amperes` on the label, which tell no capacity", func(in *plan.Input, text string) (err error) {
			in.ColdCranking, err = ColdCranking(text)
			return err
		}},
		{"chemistry", "`kind` of battery: " + strings.Join(analyze.ChemistryNames(), ", ") + " (default: lead-flooded)", readChemistry},
		{"cells", "`number` of cells in series (default: 6 for lead-acid)", readCells},
		{"volts", "nominal `voltage`, instead of --cells", amount(quantity.Voltage, "V", func(in *plan.Input) *float64 { return &in.Volts })},
		{"depth", "`share` that was taken out, like 60% or 0.6 (default: all of it)", readDepth},
		{"rate", "`current` to plan with: 3.5A, 10% of the capacity, or 0.1C (default: the cautious one)", readRate},
		{"celsius", "`temperature` at the battery (default: 25C)", amount(quantity.Temperature, "C", func(in *plan.Input) *float64 { return &in.Celsius })},
		{"timer", "`hours` after which the charger ends by itself", amount(quantity.Time, "h", func(in *plan.Input) *float64 { return &in.Timer })},
		{"lead-length", "`length` of the leads, one way, like 1.5m", amount(quantity.Length, "m", func(in *plan.Input) *float64 { return &in.LeadLength })},
		{"lead-area", "`cross-section` of the leads, like 2.5mm2", amount(quantity.Area, "mm2", func(in *plan.Input) *float64 { return &in.LeadArea })},
	}
}

// Read reads a whole form, by the names of the fields; what is empty was not
// told. Every field that cannot be read is an error of its own, a *plan.Wrong.
func Read(given map[string]string) (plan.Input, []error) {
	in := plan.NewInput()
	var wrong []error
	rest := maps.Clone(given)
	for _, f := range Fields() {
		text := strings.TrimSpace(given[f.Name])
		delete(rest, f.Name)
		if text == "" {
			continue
		}
		if err := f.Read(&in, text); err != nil {
			wrong = append(wrong, &plan.Wrong{Of: f.Name, Why: err.Error()})
		}
	}
	for _, name := range slices.Sorted(maps.Keys(rest)) {
		wrong = append(wrong, &plan.Wrong{Of: name, Why: fmt.Sprintf("%q is nothing that the planner takes", name)})
	}
	return in, wrong
}

// readCapacity reads ampere-hours, or watt-hours where the unit says so. The
// last one given counts.
func readCapacity(in *plan.Input, text string) error {
	charge, err := quantity.Charge.Parse(text, "Ah")
	energy := analyze.Unknown()
	if err != nil {
		var other error
		if energy, other = quantity.Energy.Parse(text, ""); other != nil {
			return Rated(text, err)
		}
		charge = analyze.Unknown()
	}
	in.Capacity, in.Energy = charge, energy
	return nil
}

// readRate reads a current, or a share of the capacity an hour, which the trade
// also writes with a C behind it, or as C/10.
func readRate(in *plan.Input, text string) error {
	number := strings.TrimRight(text, "Cc")
	if share, err := strconv.ParseFloat(number, 64); err == nil && number != text && analyze.Known(share) {
		in.Rate, in.RateShare = analyze.Unknown(), share
		return nil
	}
	if hours, err := strconv.ParseFloat(strings.TrimLeft(text, "Cc/ "), 64); err == nil && overHours().MatchString(text) && hours > 0 {
		in.Rate, in.RateShare = analyze.Unknown(), 1/hours
		return nil
	}
	amps, share, err := quantity.Current.ParseAmountOrShare(text, "A")
	if err != nil {
		return fmt.Errorf("%w, or a share of the capacity like 10%% or 0.1C", err)
	}
	in.Rate, in.RateShare = amps, share
	return nil
}

func readDepth(in *plan.Input, text string) (err error) {
	in.Depth, err = quantity.ParseFraction(text)
	return err
}

func readChemistry(in *plan.Input, text string) (err error) {
	in.Chemistry, err = analyze.ParseChemistry(text)
	return err
}

func readCells(in *plan.Input, text string) error {
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		return fmt.Errorf("%q is no number of cells, want a whole number like 6", text)
	}
	in.Cells = n
	return nil
}
