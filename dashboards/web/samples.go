package web

import (
	"cmp"
	"context"
	"math"
	"net/http"
	"slices"

	"amphora/dashboards/curve"
)

const (
	fewestPoints = 12 // so many rows may a single peak of everything take
	usualPoints  = 2000
	mostPoints   = 20_000
)

// getSamples shows the curve of a charge, or a stretch of it, in so few points that
// every peak stays.
func (s *Server) getSamples(w http.ResponseWriter, r *http.Request) error {
	n, err := number(r.URL.Query().Get("points"), "points", usualPoints, fewestPoints, mostPoints)
	if err != nil {
		return err
	}
	from, err := seconds(r.URL.Query().Get("from"), "from", math.Inf(-1))
	if err != nil {
		return err
	}
	to, err := seconds(r.URL.Query().Get("to"), "to", math.Inf(1))
	if err != nil {
		return err
	}
	id := r.PathValue("id")
	points, err := s.rows(r.Context(), id, n > usualPoints || !math.IsInf(from, 0) || !math.IsInf(to, 0))
	if err != nil {
		return err
	}
	points = curve.Downsample(between(points, from, to), n)
	return writeJSON(w, http.StatusOK, struct {
		Session string `json:"session"`
		curve.Columns
	}{id, curve.ColumnsOf(points)})
}

// rows are those of a charge: all of them, or, where that will do, its shape.
func (s *Server) rows(ctx context.Context, id string, all bool) ([]curve.Point, error) {
	if !all && s.options.Shape != nil {
		if points, err := s.options.Shape(ctx, id); err != nil || points != nil {
			return points, err
		}
	}
	life := shelfLifeGrowing
	if kept, err := s.book.Session(ctx, id); err == nil && kept.Settled {
		life = shelfLife
	}
	return s.shelf.get(ctx, id, life)
}

// between is a stretch of a curve, with the row before it and the one after, so that
// its line reaches to both ends.
func between(points []curve.Point, from, to float64) []curve.Point {
	byTime := func(p curve.Point, t float64) int { return cmp.Compare(p.At, t) }
	first, _ := slices.BinarySearchFunc(points, from, byTime)
	end, _ := slices.BinarySearchFunc(points, to, byTime)
	first, end = max(first-1, 0), min(end+1, len(points))
	return points[first:max(first, end)]
}
