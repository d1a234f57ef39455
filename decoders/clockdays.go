package decoders

// A duration may have its days before a third colon.
//
//	0:20:40:05   1:02:03:04.5
//
// Hours that are none tell that the last number is a part of a second instead.

// dayClock reads d:hh:mm:ss at the start of b. A fraction belongs to few days only: else
// it is a value behind a clock and a colon.
func dayClock(b []byte) (s float64, n int) {
	const few = 10
	days, n := digits(b)
	if n == 0 || n > 3 {
		return 0, 0
	}
	s = float64(days) * day
	for _, part := range [...]struct {
		most    int
		seconds float64
	}{{23, 3600}, {59, 60}, {60, 1}} {
		if n >= len(b) || b[n] != ':' {
			return 0, 0
		}
		x, k := digits(b[n+1:])
		if k != 2 || x > part.most {
			return 0, 0
		}
		s += float64(x) * part.seconds
		n += 1 + k
	}
	if n+1 < len(b) && b[n] == '.' && b[n+1]-'0' <= 9 {
		if days >= few {
			return 0, 0
		}
		x, k := digits(b[n+1:])
		return s + float64(x)/pow10[k], n + 1 + k
	}
	return s, n
}

// dayClocks tells that the cells of a column of clocks are such.
func dayClocks(cells [][]byte) bool {
	with := 0
	for _, cell := range cells {
		if _, n := dayClock(trim(cell)); n > 0 && n == len(trim(cell)) {
			with++
		}
	}
	return with*2 > len(cells)
}
