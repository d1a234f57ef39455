package analyze

// rest is what is seen after the current has stopped.
type rest struct {
	rows     int
	ended    bool    // current has flowed since
	from, to float64 // s
	last     float64 // V
	sumV     float64
}

func (r *rest) add(m *row, stop float64) {
	r.from = stop
	r.rows++
	r.to, r.last = m.t, m.v
	r.sumV += m.v
}

func (r *rest) fit() *RestFit {
	if r.rows < 2 {
		return nil
	}
	return &RestFit{
		DurationS: Number(r.to - r.from), LastV: Number(r.last),
		SettledV: Number(Unknown()), SettledVU95: Number(Unknown()), StateOfCharge: Number(Unknown()),
	}
}
