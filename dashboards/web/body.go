package web

import (
	"encoding/json"
	"errors"
	"io"
	"maps"
	"mime"
	"net/http"
	"os"
	"slices"

	"amphora/analyze/logbook"
)

const (
	jsonKind  = "application/json"
	mergeKind = "application/merge-patch+json" // RFC 7396, which PATCH follows
)

// longestBody is the most that a request may carry, bytes.
const longestBody = 64 << 10

// readFields reads the one JSON object that a request carries. Other kinds of
// body are refused, since those a browser sends for any page without asking.
func readFields(w http.ResponseWriter, r *http.Request, kinds ...string) (logbook.Fields, error) {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || !slices.Contains(kinds, kind) {
		return nil, problemf(http.StatusUnsupportedMediaType, "send the fields as %s", kinds[0]).with("Accept", kinds[0])
	}
	if r.ContentLength > longestBody {
		return nil, tooLong()
	}
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, longestBody))
	d.UseNumber()
	var fields logbook.Fields
	err = d.Decode(&fields)
	if err == nil {
		if _, after := d.Token(); after != io.EOF {
			err = errors.Join(errors.New("there is something after it"), after)
		}
	}
	switch _, long := errors.AsType[*http.MaxBytesError](err); {
	case long:
		return nil, tooLong()
	case errors.Is(err, os.ErrDeadlineExceeded):
		return nil, problemf(http.StatusRequestTimeout, "the body did not arrive within %v", bodyWithin)
	case err != nil:
		return nil, problemf(http.StatusBadRequest, "the body is not one JSON object: %v", err)
	case deeper(map[string]any(fields), deepest):
		return nil, problemf(http.StatusBadRequest, "values lie within each other more than %d deep", deepest)
	case fields == nil:
		return nil, problemf(http.StatusBadRequest, "the body is null, want a JSON object")
	}
	return fields, nil
}

func tooLong() *problem {
	return problemf(http.StatusRequestEntityTooLarge, "the body is longer than %d bytes", longestBody).with("Connection", "close")
}

// deepest is how far values may lie within each other; none that is known does.
const deepest = 16

// deeper tells a value in which others lie deeper than that.
func deeper(value any, levels int) bool {
	if levels < 0 {
		return true
	}
	down := func(v any) bool { return deeper(v, levels-1) }
	switch v := value.(type) {
	case map[string]any:
		return slices.ContainsFunc(slices.Collect(maps.Values(v)), down)
	case []any:
		return slices.ContainsFunc(v, down)
	}
	return false
}
