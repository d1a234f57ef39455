package decoders

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// A name of a value tells its quantity by a whole word, or by part of a long one
// (languages that compound, and those that write no blanks). Words of the trade in languages
// of Europe stand beside the English ones.
var nameWords = map[Quantity][]string{
	Time:    {"time", "elapsed", "t", "zeit", "dauer", "laufzeit", "temps", "duree", "durée", "tiempo", "seconds", "runtime", "uptime", "duration", "millis", "secs", "sec", "minutes", "hours", "epoch", "unix", "timestamp", "ts", "timestamps", "zeitstempel", "marca", "horodatage", "datetime", "tijd", "tijdstip", "tempo", "czas", "čas", "tid", "tick", "ticks", "jiffies", "aika", "idő", "zaman", "süre", "timp", "vrijeme", "время", "час", "χρόνος", "χρονος", "시간", "时间", "時間"},
	Clock:   {"clock", "uhrzeit", "heure", "hora", "uhr", "ora", "uur", "godzina", "hodina", "klokkeslett", "kellonaika", "időpont", "saat", "vreme", "ώρα", "ωρα", "시각", "時刻"},
	Date:    {"date", "datum", "fecha", "jour", "tag", "päivä", "dátum", "tarih", "dată", "дата", "ημερομηνία", "日期", "日付", "날짜"},
	Volts:   {"voltage", "volt", "volts", "v", "u", "vbat", "vbatt", "ubat", "ubatt", "vavg", "uavg", "vmin", "umin", "vmax", "umax", "vdc", "udc", "spannung", "tension", "tensión", "voltaje", "vb", "ub", "uout", "vout", "mv", "tensione", "tensão", "spanning", "spänning", "spænding", "napięcie", "napiecie", "napětí", "napeti", "spenning", "jännite", "feszültség", "feszultseg", "gerilim", "voltaj", "tensiune", "tensiunea", "napon", "napätie", "напряжение", "напряжения", "напруга", "напруги", "напрежение", "τάση", "ταση", "vset", "uset", "vin", "uin", "vpv", "upv"},
	Amps:    {"current", "curr", "amp", "amps", "ampere", "amperes", "a", "i", "ibat", "ibatt", "idc", "iavg", "imin", "imax", "strom", "courant", "intensite", "intensité", "corriente", "intensidad", "iout", "ib", "ma", "corrente", "stroom", "ström", "strøm", "prąd", "prad", "proud", "virta", "áram", "aram", "akım", "akim", "curent", "curentul", "struja", "struje", "ток", "тока", "струм", "струму", "ρεύμα", "ρευμα", "ένταση", "natężenie", "intensità", "iset", "iin", "ipv"},
	Celsius: {"temp", "temperature", "temperatur", "température", "temperatura", "tbat", "tbatt", "celsius", "degc", "tb", "temperatuur", "teplota", "lämpötila", "hőmérséklet", "homerseklet", "sıcaklık", "sicaklik", "temperatură", "температура", "температури", "θερμοκρασία"},
	Counter: {"capacity", "charge", "counter", "ladung", "kapazität", "kapazitaet", "capacité", "capacite", "carga", "capacidad", "ah", "mah", "q", "cap", "amphours", "coulombs", "capacità", "capaciteit", "pojemność", "pojemnosc", "kapacita", "kapasitet", "kapasiteetti", "varaus", "kapacitás", "töltés", "kapasite", "capacitate", "kapacitet", "laddning", "ladning", "ёмкость", "емкость", "заряд", "ємність", "χωρητικότητα"},
	Watts:   {"power", "leistung", "puissance", "potencia", "p", "watt", "watts", "pwr", "w", "potenza", "vermogen", "moc", "výkon", "vykon", "effekt", "teho", "teljesítmény", "güç", "putere", "snaga", "potência", "мощность", "потужність", "ισχύς"},
	Joules:  {"energy", "energie", "énergie", "energía", "energia", "wh", "mwh", "e", "arbeit", "energi", "enerji", "energija", "энергия", "энергії", "енергія", "ενέργεια"},
}

var nameParts = []struct {
	part string
	of   Quantity
}{
	{"spannung", Volts}, {"spanning", Volts}, {"voltage", Volts}, {"strom", Amps}, {"stroom", Amps}, {"current", Amps}, {"temperatur", Celsius},
	{"timestamp", Time}, {"elapsed", Time}, {"leistung", Watts}, {"energie", Joules}, {"energy", Joules},
	{"ladung", Counter}, {"kapaz", Counter}, {"capacity", Counter}, {"uhrzeit", Clock}, {"datum", Date}, {"zeit", Time},
	{"time", Time}, {"date", Date}, {"power", Watts}, {"volt", Volts}, {"ampere", Amps},
	{"gerilim", Volts}, {"akım", Amps}, {"spänning", Volts}, {"spænding", Volts}, {"spenning", Volts}, {"jännit", Volts}, {"feszültség", Volts}, {"ström", Amps}, {"strøm", Amps}, {"virta", Amps}, {"áram", Amps},
	{"tidpunkt", Time}, {"tidspunkt", Time}, {"lämpötil", Celsius}, {"hőmérséklet", Celsius},
	{"电压", Volts}, {"電圧", Volts}, {"전압", Volts}, {"电流", Amps}, {"電流", Amps}, {"전류", Amps}, {"温度", Celsius}, {"溫度", Celsius}, {"온도", Celsius},
	{"電力量", Joules}, {"能量", Joules}, {"에너지", Joules}, {"功率", Watts}, {"電力", Watts}, {"전력", Watts}, {"容量", Counter}, {"용량", Counter},
	{"时间", Time}, {"時間", Time}, {"日時", Time}, {"時刻", Clock}, {"시간", Time}, {"시각", Clock}, {"日期", Date},
}

// indexWords name a row number; aside words a value that is not the
// battery's own (a setting, an input, one cell of many).
var (
	indexWords = []string{"scan", "entry", "messung", "mesure", "muestra", "lfd", "n", "no", "nr", "num", "#", "index", "idx", "row", "sample", "record", "rec", "seq", "line", "zeile", "cycle", "step", "count", "id", "point", "data_point", "numero", "número", "fila"}
	asideWords = append([]string{"set", "setpoint", "target", "limit", "max", "vmin", "umin", "imin", "vmax", "umax", "imax", "soll", "input", "in", "ref", "panel", "pv", "solar", "load", "aux", "cmin", "cmax", "cutoff", "nominal", "rated", "mains", "ac", "ambient", "std", "sd", "sigma", "error", "last", "vset", "uset", "iset", "vin", "uin", "iin", "vpv", "upv", "ipv", "umgebung", "ambiente", "ambiante", "otoczenie", "okolí", "omgeving", "omgivning", "minimum", "maximum", "lowest", "highest", "peak", "raw", "remaining", "left", "restzeit", "restdauer", "restant", "restante", "pozostało", "zbývá"}, cellWords...)
	cellWords  = []string{"cell", "zelle", "cellule", "celda", "cella", "ogniwo"}
	otherWords = append([]string{"ohm", "mohm", "ohms", "Ω", "mΩ", "ω", "mω", "ri", "esr", "resistance", "impedance", "widerstand", "innenwiderstand", "résistance", "resistencia", "resistenza", "weerstand", "resistans", "modstand", "motstand", "rezystancja", "odpor", "otpor", "сопротивление", "опір", "抵抗", "内阻", "저항", "soc", "percent", "duty", "rpm", "hz", "humidity", "pressure", "rssi", "dbm", "board", "pcb", "cpu", "mcu", "mosfet", "fet", "heatsink", "chip"}, checkWords...)
	checkWords = []string{"cs", "crc", "chk", "chksum", "checksum", "bcc", "lrc"} // of hexadecimal digits, and 8A is no current
	outWords   = []string{"discharge", "discharging", "entladestrom", "entladung", "décharge", "descarga"}
)

// naming is what a name says about its value.
type naming struct {
	of    Quantity // none if the name says nothing
	unit  *unit    // nil if it states none
	count *unit    // the unit of whole numbers, if it states one for these; else nil
	index bool     // a row number
	aside bool     // not the battery's own
	out   bool     // counts out of the battery
	other bool     // something that is no quantity here
}

// understand reads a header cell, label or key: "Battery voltage [mV]".
func understand(name string) naming {
	n := naming{of: none}
	words := nameTokens(name)
	if len(words) == 0 {
		return n
	}
	if u := lastUnit(words); u != nil && !u.capital(name) {
		n.unit, n.of = u, u.of
		if k := len(words) - 2; k > 0 && words[k] == "in" {
			words = slices.Delete(words, k, k+1) // voltage in V, and no input
		}
	}
	n.other = strings.Contains(name, "%")
	for _, w := range words {
		n.index = n.index || slices.Contains(indexWords, w)
		n.aside = n.aside || slices.Contains(asideWords, w) || cellsOwn(w)
		n.other = n.other || slices.Contains(otherWords, w)
		n.out = n.out || slices.Contains(outWords, w)
	}
	said := saidOf(name, words)
	if n.unit != nil && n.unit.name == "min" && said > Stamp {
		n.unit, n.of, n.aside = nil, none, true // the least, and no minutes
	}
	n.aside = n.aside || said > Stamp && words[0] == "min" // min_voltage_V
	if said != none {
		n.settle(said, words, bracketed(name) && wordless(said, words))
	}
	if n.of != none {
		if u, sure := countUnit(name, n.of); sure {
			n.unit = u
		} else {
			n.count = u
		}
	}
	if n.of != none && n.of != Counter {
		n.index = false
	}
	return n
}

// cellsOwn tells the word for one of many cells with its number: Cell1, Zelle03.
func cellsOwn(word string) bool {
	cell := strings.TrimRight(word, "0123456789")
	return len(cell) < len(word) && len(cell) > 3 && slices.Contains(asideWords, cell)
}

// prefixes are the parts and multiples of units in words.
var prefixes = map[string]string{"deci": "d", "centi": "c", "milli": "m", "micro": "u", "kilo": "k"}

// lastUnit is the unit at the end of a name, nil for none: V, deci C or decivolts.
func lastUnit(words []string) *unit {
	if k := slices.Index(words, "of"); k > 0 {
		words = words[:k] // second of day
	}
	last := words[len(words)-1]
	if u := unitNamed([]byte(last), none); u != nil {
		if k := len(words) - 2; k >= 0 && u == base(u.of) && prefixes[words[k]] != "" {
			u = unitNamed([]byte(prefixes[words[k]]+u.name), u.of)
		}
		return u
	}
	for word, sign := range prefixes {
		of, ok := strings.CutPrefix(last, word)
		if u := unitNamed([]byte(of), none); ok && u != nil && u == base(u.of) {
			return unitNamed([]byte(sign+u.name), u.of)
		}
	}
	return nil
}

// settle brings the words and the unit of a name together: the words rule,
// except that a unit can turn "charge" into a current ("charge (A)").
//
// A letter, which may be a channel's, tells less than a unit in brackets: "Channel A (V)".
func (n *naming) settle(said Quantity, words []string, letter bool) {
	switch {
	case letter && n.unit != nil && n.unit.of > Stamp:
	case n.unit == nil || n.of == said:
		n.of = said
	case n.of == Celsius && said == Counter:
		n.of, n.unit = Counter, unitNamed([]byte("As"), Counter)
	case said == Counter, said == Time, said == Clock, said == Date, len(words) == 1:
		// the unit knows better
	default:
		if last := words[len(words)-1]; len(last) == 1 {
			n.of, n.unit = said, nil
		}
	}
}

// bracketed tells a name that ends in brackets, as one with its unit does.
func bracketed(name string) bool {
	name = strings.TrimRight(name, " ")
	return name != "" && strings.IndexByte(")]}", name[len(name)-1]) >= 0
}

// wordless tells that no word of a name says the quantity, but a letter alone.
func wordless(of Quantity, words []string) bool {
	return !slices.ContainsFunc(words, func(w string) bool { return wordQuantity(w) == of })
}

// saidOf is the quantity that a name says. Of a path the last part tells, and of a label what stands behind
// its last colon: the current of ENERGY.Current is no energy, and "I/charger: v" no current.
func saidOf(name string, words []string) Quantity {
	if of := namedQuantity(nameTokens(name[strings.LastIndexAny(name, ".:")+1:])); of != none {
		return of
	}
	return namedQuantity(words)
}

// namedQuantity is the first that is named; a charge only where nothing else is, for
// "charge current" is a current.
func namedQuantity(words []string) Quantity {
	charge := none
	for _, w := range words {
		switch q := wordQuantity(w); q {
		case none:
		case Counter:
			charge = q
		default:
			return q
		}
	}
	if charge != none {
		return charge
	}
	for _, w := range words {
		for q := Quantity(0); q < quantities; q++ {
			if slices.Contains(nameWords[q], w) {
				return q
			}
		}
	}
	for _, w := range words {
		if letter := strings.TrimRight(w, "0123456789"); len(letter) == 1 && len(w) > 1 && strings.Contains("uvi", letter) {
			return map[byte]Quantity{'u': Volts, 'v': Volts, 'i': Amps}[letter[0]] // U1; T1 is of anything
		}
	}
	return none
}

// channelOf is the number of the channel in a name, 2 in I2 or "Voltage 2"; 0 for none.
func channelOf(name string) int {
	for _, w := range nameTokens(name) {
		if n, err := strconv.Atoi(strings.TrimLeft(w, "abcdefghijklmnopqrstuvwxyz")); err == nil {
			return n
		}
	}
	return 0
}

func hasAny(name string, words ...string) bool {
	for _, t := range nameTokens(name) {
		if slices.Contains(words, t) {
			return true
		}
	}
	return false
}

// wordQuantity is what a word names that is more than a unit or a letter.
func wordQuantity(w string) Quantity {
	for q := Quantity(0); q < quantities; q++ {
		if len(w) > 1 && slices.Contains(nameWords[q], w) && unitNamed([]byte(w), none) == nil {
			return q
		}
	}
	for _, p := range nameParts {
		if len(w) > 4 && strings.Contains(w, p.part) {
			return p.of
		}
	}
	return none
}

// nameTokens cuts a name into words in lower case: at anything that is not a
// letter, digit or sign of degree, and where lower case turns to upper.
func nameTokens(name string) []string {
	var words []string
	var w strings.Builder
	end := func() {
		if w.Len() > 0 {
			words = append(words, strings.ToLower(w.String()))
			w.Reset()
		}
	}
	var before, before2 rune
	for _, c := range name {
		switch {
		case unicode.IsLetter(c) && unicode.IsUpper(c) && unicode.IsLower(before) && unicode.IsLower(before2): // two, or mV would fall apart
			end()
			w.WriteRune(c)
		case unicode.IsLetter(c), unicode.IsDigit(c), c == '°', c == '#':
			w.WriteRune(c)
		default:
			end()
		}
		before2, before = before, c
	}
	end()
	return words
}
