package quantity

import "strings"

// Kind is what a quantity measures. It decides which units are accepted and
// which SI unit the value comes back in.
type Kind int

// The kinds. The zero Kind is none.
const (
	None        Kind = iota
	Voltage          // V
	Current          // A
	Resistance       // ohm
	Charge           // C; labels say Ah
	Energy           // J; labels say Wh
	Time             // s
	Temperature      // degrees Celsius
	Length           // m
	Area             // m2
)

// String names the kind with its article, to be used in a sentence.
func (k Kind) String() string { return kinds[k].name }

// unit is a symbol and what one of it is in the SI unit of its kind. Only
// temperatures have an offset: SI value = value*factor + offset.
type unit struct {
	symbol string
	factor float64
	offset float64
}

type kind struct {
	name    string
	example string // shown in errors
	units   []unit
}

var kinds = [...]kind{
	None:    {name: "a number"},
	Voltage: {"a voltage", "14.4V", []unit{{symbol: "V", factor: 1}, {symbol: "mV", factor: 1e-3}, {symbol: "kV", factor: 1e3}, {symbol: "uV", factor: 1e-6}, {symbol: "µV", factor: 1e-6}}},
	Current: {"a current", "3.5A", []unit{{symbol: "A", factor: 1}, {symbol: "mA", factor: 1e-3}, {symbol: "kA", factor: 1e3}, {symbol: "uA", factor: 1e-6}, {symbol: "µA", factor: 1e-6}}},
	Resistance: {"a resistance", "29mohm", []unit{
		{symbol: "ohm", factor: 1}, {symbol: "mohm", factor: 1e-3}, {symbol: "kohm", factor: 1e3}, {symbol: "uohm", factor: 1e-6},
		{symbol: "ohms", factor: 1}, {symbol: "mohms", factor: 1e-3},
		// Both the Greek letter and the ohm sign are on keyboards.
		{symbol: "Ω", factor: 1}, {symbol: "mΩ", factor: 1e-3}, {symbol: "kΩ", factor: 1e3}, {symbol: "µΩ", factor: 1e-6},
		{symbol: "\u2126", factor: 1}, {symbol: "m\u2126", factor: 1e-3}}},
	Charge: {"a charge", "35Ah", []unit{{symbol: "Ah", factor: 3600}, {symbol: "mAh", factor: 3.6}, {symbol: "C", factor: 1}, {symbol: "As", factor: 1}}},
	Energy: {"an energy", "420Wh", []unit{{symbol: "Wh", factor: 3600}, {symbol: "kWh", factor: 3.6e6}, {symbol: "mWh", factor: 3.6}, {symbol: "J", factor: 1}, {symbol: "kJ", factor: 1e3}}},
	Time: {"a time", "20h", []unit{
		{symbol: "s", factor: 1}, {symbol: "ms", factor: 1e-3}, {symbol: "min", factor: 60}, {symbol: "h", factor: 3600}, {symbol: "d", factor: 86400},
		{symbol: "m", factor: 60}, {symbol: "sec", factor: 1}, {symbol: "hr", factor: 3600},
		{symbol: "minute", factor: 60}, {symbol: "minutes", factor: 60}, {symbol: "hour", factor: 3600}, {symbol: "hours", factor: 3600},
		{symbol: "day", factor: 86400}, {symbol: "days", factor: 86400}}},
	Temperature: {"a temperature", "18C", []unit{
		{symbol: "C", factor: 1}, {symbol: "°C", factor: 1}, {symbol: "K", factor: 1, offset: absoluteZero},
		{symbol: "F", factor: 5.0 / 9, offset: -160.0 / 9}, {symbol: "°F", factor: 5.0 / 9, offset: -160.0 / 9}}},
	Length: {"a length", "1.5m", []unit{{symbol: "m", factor: 1}, {symbol: "cm", factor: 1e-2}, {symbol: "mm", factor: 1e-3}, {symbol: "ft", factor: 0.3048}, {symbol: "in", factor: 0.0254}}},
	Area:   {"a cross-section", "2.5mm2", []unit{{symbol: "mm2", factor: 1e-6}, {symbol: "mm²", factor: 1e-6}, {symbol: "cm2", factor: 1e-4}, {symbol: "m2", factor: 1}}},
}

// absoluteZero in degrees Celsius; nothing is colder.
const absoluteZero = -273.15

// find looks a symbol up among the kind's units. Upper and lower case do not
// matter, except for a leading m: "MA" is a million amperes to some and a
// thousandth to others, so it is neither.
func (k Kind) find(symbol string) (unit, bool) {
	for _, u := range kinds[k].units {
		if u.symbol == symbol {
			return u, true
		}
	}
	if strings.HasPrefix(symbol, "M") {
		return unit{}, false
	}
	for _, u := range kinds[k].units {
		if strings.EqualFold(u.symbol, symbol) {
			return u, true
		}
	}
	return unit{}, false
}

// symbols lists the kind's units for an error message.
func (k Kind) symbols() string {
	var names []string
	for _, u := range kinds[k].units {
		names = append(names, u.symbol)
	}
	return strings.Join(names, ", ")
}

// kindOf finds the first kind that has a symbol, None where none does.
func kindOf(symbol string) Kind {
	for k := range kinds {
		if _, ok := Kind(k).find(symbol); ok {
			return Kind(k)
		}
	}
	return None
}
