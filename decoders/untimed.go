package decoders

import "fmt"

// untimed takes the time between the rows, in which nothing tells the time, as it was
// stated, as the log says, or as the rows show by themselves.
func (t *table) untimed(f *Fitted, s *sample, best guess, o Options) *Unfit {
	t.layout.Interval = o.Interval
	if o.Live || o.Interval > 0 {
		return nil
	}
	interval, remark := StatedInterval(s.all)
	why := fmt.Sprintf("rows are %.4g s apart: the log says %q", interval, remark)
	if interval <= 0 {
		interval, why = t.repeated()
	}
	if interval <= 0 {
		interval, why = t.paced(best)
	}
	if interval <= 0 {
		return &Unfit{
			Found: t.seen() + ", voltage and current among them, but no time",
			Need:  "state the time between rows with --interval, for instance --interval 10s", near: 3,
		}
	}
	f.Evidence = append(f.Evidence, why)
	t.layout.Interval = interval
	return nil
}

// repeated is the interval between rows in a column that says it in each.
func (t *table) repeated() (interval float64, why string) {
	for k, c := range t.cols {
		if c.what != isNumber || !c.stands() || c.median <= 0 || !hasAny(c.name, "dt", "delta", "interval", "period", "intervall", "intervalle") {
			continue
		}
		u := base(Time)
		if c.said.unit != nil {
			u = c.said.unit
		}
		if u.of == Time {
			interval = u.si(c.median)
			return interval, fmt.Sprintf("rows are %.4g s apart: %s says so in each", interval, t.label(k))
		}
	}
	return 0, ""
}
