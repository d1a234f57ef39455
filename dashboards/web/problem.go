package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"os"
	"strconv"
	"strings"

	"amphora/analyze/logbook"
	"amphora/analyze/plan"
)

// problem is an answer that is not what was asked for, in the form of RFC 9457.
// Its type is about:blank, by which the title is that of the status.
type problem struct {
	Type   string `json:"type"`
	Title  string `json:"title"`
	Status int    `json:"status"`
	Detail string `json:"detail"` // what is wrong and what to do
	// Invalid names the fields of the request that cannot be taken.
	Invalid []invalidField `json:"invalid,omitempty"`

	header http.Header
}

type invalidField struct {
	Field  string `json:"field"`
	Detail string `json:"detail"`
}

// longestDetail bounds an answer that quotes the request, in bytes.
const longestDetail = 600

func problemf(status int, format string, args ...any) *problem {
	detail := fmt.Sprintf(format, args...)
	if len(detail) > longestDetail {
		detail = detail[:longestDetail] + " ..."
	}
	return &problem{
		Type: "about:blank", Title: http.StatusText(status), Status: status,
		Detail: strings.ToValidUTF8(detail, "\uFFFD"), header: make(http.Header),
	}
}

// with adds a header to the answer.
func (p *problem) with(key, value string) *problem {
	p.header.Add(key, value)
	return p
}

// retryAfter tells when to ask again, s.
func (p *problem) retryAfter(seconds int) *problem {
	return p.with("Retry-After", strconv.Itoa(max(1, seconds)))
}

func (p *problem) Error() string { return p.Detail }

func (p *problem) write(w http.ResponseWriter) {
	maps.Copy(w.Header(), p.header)
	w.Header().Set("Content-Type", "application/problem+json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(p.Status)
	_ = json.NewEncoder(w).Encode(p) // the asker may be gone, and nobody else wants to know
}

// problemOf is what to answer to an error. What the program did not expect is
// not shown: it may hold what is nobody's business, and it goes to the log.
func (s *Server) problemOf(r *http.Request, err error) *problem {
	if p, ok := errors.AsType[*problem](err); ok {
		return p
	}
	if fields := invalidFields(err); len(fields) > 0 {
		p := problemf(http.StatusUnprocessableEntity, "%s", err.Error())
		p.Invalid = fields
		return p
	}
	switch {
	case errors.Is(err, logbook.ErrNotFound):
		return problemf(http.StatusNotFound, "%s", err.Error())
	case errors.Is(err, logbook.ErrExists), errors.Is(err, logbook.ErrUnsettled):
		return problemf(http.StatusConflict, "%s", err.Error())
	case errors.Is(err, logbook.ErrBusy):
		return problemf(http.StatusServiceUnavailable, "%s", logbook.ErrBusy.Error()).retryAfter(1)
	case errors.Is(err, context.Canceled), errors.Is(err, os.ErrDeadlineExceeded):
		return problemf(http.StatusServiceUnavailable, "the request was given up; try again").retryAfter(1)
	}
	s.log.Error("request failed", "method", r.Method, "path", r.URL.Path, "error", err)
	return problemf(http.StatusInternalServerError, "something went wrong here; the log of the program says what")
}

// invalidFields finds every field that an error complains of.
func invalidFields(err error) []invalidField {
	if several, ok := err.(interface{ Unwrap() []error }); ok {
		var all []invalidField
		for _, e := range several.Unwrap() {
			all = append(all, invalidFields(e)...)
		}
		return all
	}
	if i, ok := errors.AsType[*logbook.Invalid](err); ok {
		return []invalidField{{i.Field, problemf(0, "%s", i.Why).Detail}}
	}
	if p, ok := errors.AsType[*plan.Wrong](err); ok {
		return []invalidField{{p.Of, problemf(0, "%s", p.Why).Detail}}
	}
	return nil
}
