package web

import (
	"net/http"

	"amphora/analyze"
	"amphora/dashboards/curve"
)

const (
	fewestPoints = 12 // so many rows may a single peak of everything take
	usualPoints  = 2000
	mostPoints   = 20_000
)

// samples is a curve, one list a quantity: a third of the size of a list of
// rows, and the form in which pictures want it.
type samples struct {
	Session string           `json:"session"`
	AtS     []analyze.Number `json:"at_s"` // s since the log's first row
	Volts   []analyze.Number `json:"volts"`
	Amps    []analyze.Number `json:"amps"`
	Celsius []analyze.Number `json:"celsius"`
}

// getSamples shows the curve of a charge in so few points that every peak stays.
func (s *Server) getSamples(w http.ResponseWriter, r *http.Request) error {
	n, err := number(r.URL.Query().Get("points"), "points", usualPoints, fewestPoints, mostPoints)
	if err != nil {
		return err
	}
	id := r.PathValue("id")
	points, err := s.options.Samples(r.Context(), id)
	if err != nil {
		return err
	}
	points = curve.Downsample(points, n)
	list := func(value func(curve.Point) float64) []analyze.Number {
		column := make([]analyze.Number, len(points))
		for i, p := range points {
			column[i] = analyze.Number(value(p))
		}
		return column
	}
	return writeJSON(w, http.StatusOK, samples{
		Session: id,
		AtS:     list(func(p curve.Point) float64 { return p.At }),
		Volts:   list(func(p curve.Point) float64 { return p.Volts }),
		Amps:    list(func(p curve.Point) float64 { return p.Amps }),
		Celsius: list(func(p curve.Point) float64 { return p.Celsius }),
	})
}
