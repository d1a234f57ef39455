package analyze

// Flowed is what has flowed into the battery since the log's first row, C, up to
// the row at a time in s. It lags two rows behind the last one: an interval is
// judged by what comes after it. It is false before the first interval.
func (m *Machine) Flowed() (at, in float64, ok bool) {
	return m.last().t, m.sum.in, m.started
}
