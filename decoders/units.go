package decoders

import (
	"bytes"
	"strings"
)

// Quantity is what a value of a line may be.
type Quantity int

// The quantities of a Reading. All four of time may stand in one log: Time
// counts from somewhere, Stamp is a full date and time, Date and Clock are its
// halves.
const (
	Time    Quantity = iota // s, elapsed
	Clock                   // s since midnight
	Date                    // s since 1970-01-01, of that day's midnight
	Stamp                   // s since 1970-01-01 UTC
	Volts                   // V
	Amps                    // A into the battery
	Celsius                 // degrees Celsius
	Counter                 // C
	Watts                   // W
	Joules                  // J
	quantities
)

var quantityNames = [quantities]string{
	"time", "clock", "date", "stamp", "voltage", "current", "temperature", "counter", "power", "energy",
}

// String is the quantity's name in a setting.
func (q Quantity) String() string { return quantityNames[q] }

// none stands for "no quantity known".
const none Quantity = -1

// unit is a unit of a quantity: SI = (value - zero) * mul / div. Of mul and
// div one is 1, so that a value in milli-units is rounded once only.
type unit struct {
	name           string
	of             Quantity
	mul, div, zero float64
}

// unitsOf are the units of a quantity.
func unitsOf(q Quantity) (list []*unit) {
	for i := range units {
		if units[i].of == q {
			list = append(list, &units[i])
		}
	}
	return list
}

func (u *unit) si(x float64) float64 {
	if u.zero != 0 {
		x -= u.zero
	}
	if u.mul != 1 {
		x *= u.mul
	}
	if u.div != 1 {
		x /= u.div
	}
	return x
}

// units lists the units; the first of a quantity is the one for a value whose
// unit nobody stated. The spelling in upper and lower case matters only where
// two units differ in nothing else, and none here do.
var units = []unit{
	{"s", Time, 1, 1, 0},
	{"ms", Time, 1, 1e3, 0},
	{"us", Time, 1, 1e6, 0},
	{"min", Time, 60, 1, 0},
	{"h", Time, 3600, 1, 0},
	{"d", Time, 86400, 1, 0},
	{"ds", Time, 1, 10, 0},
	{"cs", Time, 1, 1e2, 0},
	{"V", Volts, 1, 1, 0},
	{"mV", Volts, 1, 1e3, 0},
	{"uV", Volts, 1, 1e6, 0},
	{"kV", Volts, 1e3, 1, 0},
	{"cV", Volts, 1, 1e2, 0},
	{"dV", Volts, 1, 10, 0},
	{"A", Amps, 1, 1, 0},
	{"mA", Amps, 1, 1e3, 0},
	{"uA", Amps, 1, 1e6, 0},
	{"kA", Amps, 1e3, 1, 0},
	{"cA", Amps, 1, 1e2, 0},
	{"dA", Amps, 1, 10, 0},
	{"C", Celsius, 1, 1, 0},
	{"K", Celsius, 1, 1, 273.15},
	{"F", Celsius, 1, 1.8, 32},
	{"dC", Celsius, 1, 10, 0},
	{"cC", Celsius, 1, 1e2, 0},
	{"mC", Celsius, 1, 1e3, 0},
	{"Ah", Counter, 3600, 1, 0},
	{"mAh", Counter, 3.6, 1, 0},
	{"uAh", Counter, 0.0036, 1, 0},
	{"As", Counter, 1, 1, 0},
	{"W", Watts, 1, 1, 0},
	{"mW", Watts, 1, 1e3, 0},
	{"kW", Watts, 1e3, 1, 0},
	{"J", Joules, 1, 1, 0},
	{"Wh", Joules, 3600, 1, 0},
	{"mWh", Joules, 3.6, 1, 0},
	{"kWh", Joules, 3.6e6, 1, 0},
}

// spellings are other ways to write a unit, in lower case.
var spellings = map[string]string{
	"sec": "s", "secs": "s", "second": "s", "seconds": "s", "sek": "s", "sekunden": "s", "secondes": "s", "segundos": "s",
	"msec": "ms", "millis": "ms", "milliseconds": "ms", "usec": "us", "µs": "us", "\xb5s": "us", "μs": "us", "micros": "us",
	"mins": "min", "minute": "min", "minutes": "min", "minuten": "min", "minutos": "min",
	"hr": "h", "hrs": "h", "hour": "h", "hours": "h", "std": "h", "stunde": "h", "stunden": "h", "heures": "h", "horas": "h",
	"day": "d", "days": "d", "tage": "d", "jours": "d",
	"volt": "V", "volts": "V", "vdc": "V", "millivolt": "mV", "millivolts": "mV", "mvdc": "mV", "µv": "uV", "\xb5v": "uV", "μv": "uV",
	"amp": "A", "amps": "A", "ampere": "A", "amperes": "A", "adc": "A", "madc": "mA", "milliamp": "mA", "milliamps": "mA",
	"milliampere": "mA", "milliamperes": "mA", "µa": "uA", "\xb5a": "uA", "μa": "uA",
	"°c": "C", "\xb0c": "C", "\xb0": "C", // the sign of degree in UTF-8 and in Latin-1
	"ºc": "C", "˚c": "C", "℃": "C", "degc": "C", "deg": "C", "°": "C", "celsius": "C", "'c": "C", "grad": "C",
	"kelvin": "K", "°f": "F", "\xb0f": "F", "degf": "F", "fahrenheit": "F",
	"a.h": "Ah", "a·h": "Ah", "amphours": "Ah", "ma.h": "mAh", "ma·h": "mAh", "coulomb": "As", "coulombs": "As", "amph": "Ah",
	"a*h": "Ah", "ma*h": "mAh", "ampere-hours": "Ah", "amperestunden": "Ah",
	"watt": "W", "watts": "W", "milliwatt": "mW", "milliwatts": "mW",
	"в": "V", "В": "V", "мв": "mV", "мВ": "mV", "а": "A", "А": "A", "ма": "mA", "мА": "mA", "°С": "C", "°с": "C", // Cyrillic ones
	"ач": "Ah", "Ач": "Ah", "мач": "mAh", "мАч": "mAh", "А·ч": "Ah", "мА·ч": "mAh", "вт": "W", "Вт": "W", "Втч": "Wh", "Вт·ч": "Wh",
	"с": "s", "сек": "s", "мс": "ms", "мин": "min", "ч": "h", "хв": "min",
	"w.h": "Wh", "w·h": "Wh", "w*h": "Wh", "watthours": "Wh", "joule": "J", "joules": "J", "ws": "J",
}

// unitsByLetter lists the units by the first letter, in lower case.
var unitsByLetter = func() (by [256][]int) {
	for i := range units {
		c := lower(units[i].name[0])
		by[c] = append(by[c], i)
	}
	return by
}()

// base is the unit of a quantity whose unit nobody stated.
func base(q Quantity) *unit {
	for i := range units {
		if units[i].of == q {
			return &units[i]
		}
	}
	return nil
}

// unitNamed finds a unit by its text, of quantity q or, with none, of any.
func unitNamed(b []byte, q Quantity) *unit {
	if len(b) == 0 || len(b) > 16 {
		return nil
	}
	for _, i := range unitsByLetter[lower(b[0])] {
		if u := &units[i]; (q == none || u.of == q) && foldEqual(b, u.name) && !u.capital(string(b)) {
			return u
		}
	}
	if q == none && len(b) == 1 && b[0] < 0x80 {
		return nil
	}
	var low [16]byte
	for i, c := range b {
		low[i] = lower(c)
	}
	if name, ok := spellings[string(low[:len(b)])]; ok {
		return unitNamed([]byte(name), q)
	}
	return nil
}

// capital tells that a text has the unit in capitals, where these are a word of the trade: CV and CC
// are stages of a charge and DC is its kind of current, not hundredths of a volt and of a degree and tenths of
// one. Nobody writes the other parts with a capital c or d either.
func (u *unit) capital(text string) bool {
	return len(u.name) == 2 && (u.name[0] == 'c' || u.name[0] == 'd') && strings.Contains(text, strings.ToUpper(u.name))
}

// prefixAt is the part or multiple, as a letter behind a number, that b is; 0 for none.
func prefixAt(b []byte) byte {
	switch {
	case len(b) == 1 && (b[0] == 'm' || b[0] == 'k' || b[0] == 'u'):
		return b[0]
	case string(b) == "µ", string(b) == "μ", string(b) == "\xb5":
		return 'u'
	}
	return 0
}

// under is the unit of a cell that has a prefix only, 350m below a heading of amperes; nil
// for another cell. Behind a time m may be minutes.
func (u *unit) under(cell []byte) *unit {
	prefix := prefixAt(cell)
	if prefix == 0 || u.of <= Stamp {
		return nil
	}
	var name [8]byte
	name[0] = prefix
	return unitNamed(name[:1+copy(name[1:], u.name)], u.of)
}

// trim takes blanks and quotes off a cell.
func trim(b []byte) []byte {
	if n := len(b); n > 0 && b[0] > '\'' && b[n-1] > '\'' { // above all of them
		return b
	}
	b = bytes.Trim(b, " \t\r\x00")
	if len(b) >= 2 && (b[0] == '"' || b[0] == '\'') && b[len(b)-1] == b[0] {
		b = bytes.Trim(b[1:len(b)-1], " \t")
	}
	return b
}
