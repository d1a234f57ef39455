package decoders

import "math"

// A device that counts in whole thousandths, and has no value to give, often gives the
// largest or the smallest number that its register holds: 65535, 32767 or -32768 mA. (Of
// 32 bits they are no battery's.) In base units nobody counts so far.
//
// A battery may pass through 32.767 V as well. That row is not missed.

// voidCounts are such numbers, the nearest to nought first.
var voidCounts = [...]float64{32767, -32768, 65535}

// voids are what they come to, as a layout counts one quantity.
type voids struct {
	from   float64 // from here on a value may be one, whatever its sign; infinite where none can
	values [len(voidCounts)]float64
}

func newVoids(l *Layout, q Quantity) voids {
	v := voids{from: math.Inf(1)}
	for i := range l.Fields {
		if f := &l.Fields[i]; f.Quantity == q && f.unit != nil && f.unit.div > f.unit.mul {
			for k, count := range voidCounts {
				v.values[k] = f.unit.si(count)
				if f.Negate {
					v.values[k] = -v.values[k]
				}
			}
			v.from = math.Abs(v.values[0])
		}
	}
	return v
}

// has tells whether a value stands for none.
func (v *voids) has(x float64) bool {
	if !(math.Abs(x) >= v.from) {
		return false
	}
	for _, void := range v.values {
		if x == void {
			return true
		}
	}
	return false
}
