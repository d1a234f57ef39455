package decoders

import "math"

// cellKind is what most cells of a column are.
type cellKind int

const (
	isBlank cellKind = iota
	isNumber
	isClock
	isDate
	isStamp
	isOverload
	isOther
)

// kindOf tells what a cell is, and its number and unit if it is one.
func kindOf(cell []byte, decimal byte) (kind cellKind, x float64, u *unit) {
	cell = trim(cell)
	if x, n := number(cell, decimal); n > 0 {
		if n == len(cell) {
			switch {
			case notANumber(x):
				return isBlank, math.NaN(), nil
			case overloaded(x):
				return isOverload, math.NaN(), nil
			}
			if len(cell) == 14 && compactStamp(cell) {
				return isStamp, math.NaN(), nil
			}
			return isNumber, x, nil
		}
		if u := unitNamed(behind(cell[n:]), none); u != nil {
			return isNumber, x, u
		}
		switch prefixAt(behind(cell[n:])) {
		case 'm':
			return isNumber, x / 1e3, nil
		case 'u':
			return isNumber, x / 1e6, nil
		case 'k':
			return isNumber, x * 1e3, nil
		}
	}
	switch word(cell) {
	case nil:
		return isBlank, math.NaN(), nil
	case ErrOverload:
		return isOverload, math.NaN(), nil
	}
	if _, n := clockCell(cell, formHMS); n == len(cell) {
		return isClock, math.NaN(), nil
	}
	if _, n := dayClock(cell); n == len(cell) {
		return isClock, math.NaN(), nil
	}
	for _, form := range [...]string{formDMY, formMDY} {
		if _, n := dateAt(cell, form); n == len(cell) {
			return isDate, math.NaN(), nil
		}
		if _, n := stampAt(cell, form); n == len(cell) {
			return isStamp, math.NaN(), nil
		}
	}
	return isOther, math.NaN(), nil
}
