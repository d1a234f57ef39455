package analyze

// larger and smaller are max and min for numbers that are known, on the way of every
// row: the builtin ones ask about NaN and the sign of zero as well, which takes as
// long as all the rest of what is done with a number there.

func larger(a, b float64) float64 {
	if a > b {
		return a
	}
	return b
}

func smaller(a, b float64) float64 {
	if a < b {
		return a
	}
	return b
}
