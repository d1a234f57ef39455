package decoders

// value reads one cell as the field's quantity, in SI. A blank cell is NaN
// without an error; ErrOverload and ErrNumber are the other outcomes.
func (f *Field) value(cell []byte, decimal byte) (float64, error) {
	cell = trim(cell)
	if len(cell) == 0 {
		return blank[Time], nil
	}
	if f.unit == nil {
		return f.when(cell, decimal)
	}
	x, n := number(cell, decimal)
	if n == 0 {
		return blank[Time], word(cell)
	}
	switch {
	case notANumber(x):
		return blank[Time], nil
	case overloaded(x):
		return blank[Time], ErrOverload
	}
	u := f.unit
	if rest := behind(cell[n:]); len(rest) > 0 {
		if u = unitNamed(rest, f.Quantity); u == nil {
			u = f.unit.under(rest)
		}
		if u == nil {
			return blank[Time], word(cell) // 0.L begins as a number does
		}
	}
	x = u.si(x)
	if f.Negate {
		x = -x
	}
	return x, nil
}

// behind is what follows a number, from its unit on: the unit may be the next cell.
func behind(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == ',' || b[0] == ';' || b[0] == '\t') {
		b = b[1:]
	}
	return b
}

// when reads a time in one of the forms.
func (f *Field) when(cell []byte, decimal byte) (float64, error) {
	var s float64
	var n int
	switch f.Form {
	case formHMS, formMS, formDots, formDigits, formHM, formDHMS:
		s, n = clockCell(cell, f.Form)
	case formUnix, formUnixMs, formUnixUs, formUnixNs, formSerial:
		s, n = number(cell, decimal)
		s = unixSeconds(s, f.Form)
	case formYMD, formDMY, formMDY:
		if f.Quantity == Date {
			s, n = dateAt(cell, f.Form)
		} else {
			s, n = stampAt(cell, f.Form)
		}
	}
	if n == 0 {
		return blank[Time], word(cell)
	}
	return s, nil
}

func unixSeconds(x float64, form string) float64 {
	switch form {
	case formUnixMs:
		return x / 1e3
	case formUnixUs:
		return x / 1e6
	case formUnixNs:
		return x / 1e9
	case formSerial:
		return (x - serialEpoch) * day
	}
	return x
}

// put reads a cell into the reading and keeps the first refusal.
func (f *Field) put(cell []byte, decimal byte, r *Reading, err *error) {
	x, e := f.value(cell, decimal)
	if e != nil {
		if *err == nil || e == ErrOverload {
			*err = e
		}
		return
	}
	f.set(r, x)
}

// set puts what was read into the reading, or adds it to what other columns told.
func (f *Field) set(r *Reading, x float64) {
	if f.adds {
		x += r[f.Quantity]
	}
	r[f.Quantity] = x
}
