package decoders

import (
	"fmt"
	"math"
	"strings"
)

// weigh says how sure the meaning is, and what else it may be.
func (t *table) weigh(f *Fitted, tm *timing, best, second guess) {
	fields := len(t.layout.Fields)
	if len(tm.fields) > 1 {
		fields -= len(tm.fields) - 1 // a time over several columns is one
	}
	f.score = best.score + 8*t.share*t.clean*t.clean + 0.1*float64(fields)
	margin := best.score - second.score
	f.Confidence = t.clean * math.Min(1, t.share+0.3) * (1 - 0.5*math.Exp(-math.Max(0, margin))) * (1 - math.Exp(-best.score/3))
	if best.amps >= 0 && t.cols[best.amps].levels <= 1 && t.cols[best.amps].said.of != Amps {
		f.Confidence *= 0.4
		f.doubt("the current never changes in these lines; more lines, or a name, would prove it", "")
	}
	if margin < 1.5 {
		f.doubt(fmt.Sprintf("it may also be that %s is the voltage and %s the current", t.label(second.volts), t.label(second.amps)), t.with(second, *tm))
	}
	if tm.unsure != nil {
		f.Confidence *= 0.8
		f.doubt(tm.unsure.what, strings.Replace(t.layout.String(), ":"+tm.unsure.from, ":"+tm.unsure.to, 1))
	}
	if c := tm.numbered(t); c >= 0 {
		f.doubt(fmt.Sprintf("%s may be the number of the row rather than a time; then leave it out and state the time between rows with --interval", t.label(c)), "")
	}
	f.Named = t.names(best)
	f.stated = f.Told && f.Difference == "" && t.stated()
}

// names tells whether voltage and current, or the power in place of one of them, are called so.
func (t *table) names(g guess) bool {
	for col, of := range map[int]Quantity{g.volts: Volts, g.amps: Amps, g.watts: Watts} {
		if col >= 0 && t.cols[col].said.of != of {
			return false
		}
	}
	return true
}

// doubt adds what may be otherwise; other is the setting with which it would be, "" for none.
func (f *Fitted) doubt(what, other string) {
	if f.Difference != "" {
		what = f.Difference + "; also, " + what
	}
	f.Difference = what
	if f.RunnerUp == "" {
		f.RunnerUp = other
	}
}

// with is the setting by another guess at voltage and current.
func (t *table) with(g guess, tm timing) string {
	other := *t
	other.layout.Fields = append([]Field(nil), tm.fields...)
	other.measureFields(&Fitted{Layout: &other.layout}, g)
	other.order()
	return other.layout.String()
}

// stated tells that a header names each column of a table without a flaw.
func (t *table) stated() bool {
	for _, c := range t.cols {
		if c.name == "" || c.said.of == none || c.said.unit == nil {
			return false
		}
	}
	return t.layout.Kind == columnsEntry.Name && t.layout.Width > 0 && t.layout.Stops == nil && t.clean == 1 && t.share > 0.99
}
