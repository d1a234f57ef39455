package analyze

import (
	"encoding/json"
	"math"
	"strconv"
)

// Number is a quantity that may be unknown: NaN in here, null in JSON. JSON
// shows nine significant digits, which is more than any meter tells and few
// enough to hide the last bits of the arithmetic.
type Number float64

// MarshalJSON writes null for an unknown number.
func (n Number) MarshalJSON() ([]byte, error) {
	if !Known(n) {
		return []byte("null"), nil
	}
	s := strconv.FormatFloat(float64(n), 'g', 9, 64)
	f, _ := strconv.ParseFloat(s, 64)
	return strconv.AppendFloat(nil, f, 'f', -1, 64), nil
}

// UnmarshalJSON reads null as unknown.
func (n *Number) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*n = Number(math.NaN())
		return nil
	}
	f, err := strconv.ParseFloat(string(b), 64)
	*n = Number(f)
	return err
}

// Name is a name that may be unknown: empty in here, null in JSON.
type Name string

// MarshalJSON writes null for an unknown name.
func (n Name) MarshalJSON() ([]byte, error) { return orNull(n, string(n)) }

// Count is a number of things that may be unknown: 0 in here, null in JSON.
type Count int

// MarshalJSON writes null for an unknown number.
func (n Count) MarshalJSON() ([]byte, error) { return orNull(n, int(n)) }

// orNull writes what is not the zero of its type as it is written plainly.
func orNull[T comparable](x T, plain any) ([]byte, error) {
	var unknown T
	if x == unknown {
		return []byte("null"), nil
	}
	return json.Marshal(plain)
}
