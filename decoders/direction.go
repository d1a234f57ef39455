package decoders

import (
	"bytes"
	"slices"
	"strconv"
)

// Direction: a meter that prints a current without its sign says by a word, a letter or a sign of its own
// which way it flows.
//
//	2026-03-14 21:40:00,12.31,2.000,DISCHARGING
//	1773524400;13.82;3.500;+
//
// direction=line looks for the word in the whole line, direction=4 for a cell that is one.

// anywhere in the line may the word stand.
const anywhere = "line"

// ways are words of the trade that stand alone beside a current, not as part of its name: a charge
// may be a count. false is out of the battery.
var ways = map[string]bool{
	"charging": true, "chg": true, "lädt": true, "laedt": true, "laden": true, "ladevorgang": true, "cargando": true, "carica": true,
	"opladen": true, "nabíjení": true, "ładowanie": true, "laddar": true, "lader": true, "cc": true, "cv": true, "bulk": true, "absorption": true, "float": true,
	"заряд": true, "зарядка": true, "充电": true, "充電": true, "charge": true,
	"discharging": false, "discharge": false, "dischg": false, "dchg": false, "dsg": false, "dis": false, "entlädt": false, "entlaedt": false,
	"entladen": false, "entladung": false, "décharge": false, "descargando": false, "descarga": false, "scarica": false, "ontladen": false,
	"vybíjení": false, "rozładowanie": false, "urladdar": false, "utlader": false, "разряд": false, "разрядка": false, "放电": false, "放電": false,
}

// stills are words of the same kind for no current.
var stills = []string{"idle", "rest", "resting", "standby", "ruhe", "ruht", "reposo", "riposo", "rust", "repos", "done", "full", "off"}

// letterWays are cells of which a column must have both.
var letterWays = [][2]string{{"c", "d"}, {"+", "-"}, {"in", "out"}}

// directed gives the current of a line the way that it tells.
type directed struct {
	inner  Decoder
	layout *Layout
	cells  [maxColumns][]byte
}

// Decode reads the line, and counts its current out of the battery where it says so.
func (d *directed) Decode(line []byte, r *Reading) error {
	err := d.inner.Decode(line, r)
	if r[Amps] > 0 && d.layout.flowsOut(line, d.cells[:0]) {
		r[Amps] = -r[Amps]
	}
	return err
}

// flowsOut tells whether a line says that the current flows out of the battery.
func (l *Layout) flowsOut(line []byte, room [][]byte) bool {
	if l.Direction == anywhere {
		_, out, _ := waysOf(line)
		return out
	}
	column, _ := strconv.Atoi(l.Direction)
	cells, _ := l.cut(line, room)
	if column < 1 || column > len(cells) {
		return false
	}
	cell := trim(cells[column-1])
	return slices.ContainsFunc(letterWays, func(w [2]string) bool { return foldEqual(cell, w[1]) })
}

// waysOf tells which ways the words of a line say, and whether one says that nothing flows. A line with
// both ways says nothing: they are names.
func waysOf(line []byte) (in, out, still bool) {
	var low [24]byte
	for len(line) > 0 {
		n := 0
		for n < len(line) && letter(line[n]) && line[n] != '_' {
			n++
		}
		if n > 1 && n <= len(low) {
			for k, c := range line[:n] {
				low[k] = lower(c)
			}
			way, known := ways[string(low[:n])]
			in, out = in || known && way, out || known && !way
			still = still || slices.Contains(stills, string(low[:n]))
		}
		line = line[max(n, 1):]
	}
	return in && !out, out && !in, still
}

// direct looks whether lines whose current has no sign tell its way otherwise. A live source may not have
// shown the other way yet: it is enough that its lines have such words at all.
func (f *Fitted) direct(lines [][]byte, live bool) {
	amps := f.Layout.Field(Amps)
	if amps == nil {
		return
	}
	plain := *f.Layout
	plain.Fields = slices.Clone(plain.Fields)
	plain.Field(Amps).Negate = false
	stream, err := NewStream(&plain)
	if err != nil {
		return
	}
	rows := make([][]byte, 0, len(lines))
	for i, line := range lines {
		sample, err := stream.Line(line, float64(i), 0)
		if err != nil {
			continue
		}
		if sample.Amps < 0 {
			return // it has a sign
		}
		rows = append(rows, line)
	}
	if where := plain.wayTold(rows, live); where != "" {
		plain.Direction = where
		amps.Negate, f.Layout.Direction = false, where
		f.Told = f.Told || !live
		by := "column " + where
		if where == anywhere {
			by = "a word of the line"
		}
		f.Evidence = append(f.Evidence, "the current has no sign; which way it flows is told by "+by)
	}
}

// wayTold is where rows tell the way of their current, "" for nowhere. A word for the way out that is in each
// row is a name.
func (l *Layout) wayTold(rows [][]byte, live bool) string {
	const few, most = 3, 0.9 // rows that tell a way; share of the rows of a live source that have a word
	in, out, still := 0, 0, 0
	for _, line := range rows {
		i, o, s := waysOf(line)
		switch {
		case o:
			out++
		case i:
			in++
		case s:
			still++
		}
	}
	switch {
	case out >= few && len(rows)-out >= few, live && in+still > 0 && float64(in+out+still) > most*float64(len(rows)):
		return anywhere
	case l.Kind != columnsEntry.Name:
		return ""
	}
	for column := 1; column <= l.Width; column++ {
		if !slices.ContainsFunc(l.Fields, func(f Field) bool { return f.Key == strconv.Itoa(column) }) && l.letters(rows, column-1) {
			return strconv.Itoa(column)
		}
	}
	return ""
}

// letters tells whether the cells of a column are letters or signs for two ways, and for hardly
// anything else.
func (l *Layout) letters(rows [][]byte, column int) bool {
	const few = 3
	var room [maxColumns][]byte
	count := make([][2]int, len(letterWays))
	for _, line := range rows {
		cells, n := l.cut(line, room[:0])
		if n <= column {
			return false
		}
		cell := bytes.Trim(trim(cells[column]), `"`)
		if len(cell) > len("out") {
			return false
		}
		for k, w := range letterWays {
			for way := range w {
				if foldEqual(cell, w[way]) {
					count[k][way]++
				}
			}
		}
	}
	return slices.ContainsFunc(count, func(c [2]int) bool {
		return c[0] >= few && c[1] >= few && (c[0]+c[1])*10 > len(rows)*9
	})
}
