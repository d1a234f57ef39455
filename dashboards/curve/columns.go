package curve

import "amphora/analyze"

// Columns are rows as JSON has them, one list a quantity: a third of the size of a
// list of rows, and the form in which pictures want it.
type Columns struct {
	AtS     []analyze.Number `json:"at_s"` // s since the log's first row
	Volts   []analyze.Number `json:"volts"`
	Amps    []analyze.Number `json:"amps"`
	Celsius []analyze.Number `json:"celsius"`
}

// ColumnsOf turns rows into lists, which are empty where there is none.
func ColumnsOf(points []Point) Columns {
	list := func(value func(*Point) float64) []analyze.Number {
		column := make([]analyze.Number, len(points))
		for i := range points {
			column[i] = analyze.Number(value(&points[i]))
		}
		return column
	}
	return Columns{
		AtS:     list(func(p *Point) float64 { return p.At }),
		Volts:   list(func(p *Point) float64 { return p.Volts }),
		Amps:    list(func(p *Point) float64 { return p.Amps }),
		Celsius: list(func(p *Point) float64 { return p.Celsius }),
	}
}

// Points are the rows again; ok is false where the lists are not of one length.
func (c Columns) Points() (points []Point, ok bool) {
	n := len(c.AtS)
	if len(c.Volts) != n || len(c.Amps) != n || len(c.Celsius) != n {
		return nil, false
	}
	points = make([]Point, n)
	for i := range points {
		points[i] = Point{At: float64(c.AtS[i]), Volts: float64(c.Volts[i]), Amps: float64(c.Amps[i]), Celsius: float64(c.Celsius[i])}
	}
	return points, true
}
