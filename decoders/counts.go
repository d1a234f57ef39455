package decoders

import (
	"math"
	"strconv"
	"strings"
)

// A column may count in parts or multiples of a unit. Its name then says what one count
// is worth, or by what the value was multiplied:
//
//	t (0.1 s)   voltage x0.01V   temp_0.1C   T (1/10 °C)
//	U (2 mV)    I_10mA           voltage [V*100]
//
// A tenth, a hundredth or a thousandth is nothing else. Other numbers may be a range or a
// nominal value, 12 V: they are believed of whole numbers only, and as far as somebody
// would count in so much.

// coarsest is what a count in other numbers may be worth at most, in the SI unit.
const coarsest = 0.1

// partUnit is so much of a unit, "0.1s" or "2mV"; nil where the text is none.
func partUnit(text string, q Quantity) *unit {
	n := 0
	for n < len(text) && (text[n]-'0' <= 9 || text[n] == '.' || text[n] == ',') {
		n++
	}
	count := strings.ReplaceAll(text[:n], ",", ".")
	x, err := strconv.ParseFloat(count, 64)
	of := unitNamed([]byte(strings.TrimLeft(text[n:], " ")), q)
	if err != nil || of == nil || n > 8 || x <= 0 || x == 1 {
		return nil
	}
	u := *of
	u.name = count + of.name
	if u.zero /= x; x < 1 && u.mul == 1 && math.Abs(math.Round(1/x)*x-1) < 1e-6 {
		u.div *= math.Round(1 / x) // rounded once
	} else {
		u.mul *= x
	}
	return &u
}

// countUnit is the unit that a name gives to one count, nil for none; sure where it needs
// no whole numbers to be believed.
func countUnit(name string, q Quantity) (u *unit, sure bool) {
	text := strings.TrimRight(name, ")]> ")
	if u = multiplied(text, q); u != nil {
		return u, false
	}
	end := strings.LastIndexAny(text, "0123456789") + 1
	begin := end
	for begin > 0 && (text[begin-1]-'0' <= 9 || text[begin-1] == '.' || text[begin-1] == ',') {
		begin--
	}
	before, count, rest := text[:begin], text[begin:end], text[end:]
	if of, ok := strings.CutSuffix(before, "1/"); ok { // 1/10
		if x, err := strconv.ParseFloat(count, 64); err == nil {
			before, count = of, strconv.FormatFloat(1/x, 'f', -1, 64)
		}
	}
	if u = partUnit(count+rest, q); u == nil || !standsAlone(before) {
		return nil, false
	}
	switch strings.ReplaceAll(count, ",", ".") {
	case "0.1", "0.01", "0.001":
		return u, true
	}
	apart := rest[0] == ' ' && !strings.HasSuffix(before, "(") && !strings.HasSuffix(before, "[") // cell 2 mV
	if apart || u.mul/u.div > coarsest {
		return nil, false
	}
	return u, false
}

// multiplied is the unit of V*100, V x100 or voltage_x100.
func multiplied(text string, q Quantity) *unit {
	head := strings.TrimRight(text, "0123456789")
	by, err := strconv.ParseFloat(text[len(head):], 64)
	if err != nil || by < 2 {
		return nil
	}
	head = strings.TrimRight(head, " ")
	for _, sign := range []string{"*", "×", " x", " X", "_x"} {
		if of, ok := strings.CutSuffix(head, sign); ok {
			of = strings.TrimRight(of, " ")
			of = of[strings.LastIndexAny(of, " [(_/")+1:]
			if unitNamed([]byte(of), q) == nil && wordQuantity(strings.ToLower(of)) == q {
				of = base(q).name
			}
			return partUnit(strconv.FormatFloat(1/by, 'f', -1, 64)+of, q)
		}
	}
	return nil
}

// standsAlone tells that a number behind this text is no part of a word, ch2mV.
func standsAlone(before string) bool {
	if n := len(before); n > 1 && lower(before[n-1]) == 'x' { // x0.01V
		before = before[:n-1]
	}
	before = strings.TrimSuffix(strings.TrimSuffix(before, "×"), "*")
	return before == "" || strings.IndexByte(" ([_/,=", before[len(before)-1]) >= 0
}
