package web

import (
	"encoding/json"
	"log/slog"
	"net/http"
	"time"

	"amphora/analyze/logbook"
	"amphora/dashboards/live"
)

// Server answers requests. It is an http.Handler, and Serve runs it.
type Server struct {
	options Options
	live    *live.Hub
	book    *logbook.Book
	now     func() time.Time
	log     *slog.Logger

	mux     *http.ServeMux
	hosts   hosts
	login   *login
	tls     *certificate // nil where plain HTTP is spoken
	streams *streams
	shelf   *shelf
	costly  chan struct{} // a place for one who asks for what costs much
}

// New makes a server. It fails where the access files cannot be used.
func New(o Options) (*Server, error) {
	s := &Server{
		options: o, live: o.Live, book: o.Book, now: o.Now, log: o.Log,
		hosts: newHosts(o.Hostname, o.Access.Hosts), streams: newStreams(), shelf: newShelf(o.Samples), costly: make(chan struct{}, 1),
	}
	if s.now == nil {
		s.now = time.Now
	}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	var err error
	if s.login, err = newLogin(o.Access, s.now, s.log); err != nil {
		return nil, err
	}
	if s.tls, err = newCertificate(o.Access, s.log); err != nil {
		return nil, err
	}
	s.mux, err = s.routes()
	return s, err
}

// routes is the whole interface, on a mux of its own so that no package can add
// debug pages behind our back.
func (s *Server) routes() (*http.ServeMux, error) {
	m := http.NewServeMux()
	for pattern, h := range map[string]handler{
		"GET /api/v1/channels":                   s.getChannels,
		"GET /api/v1/channels/{name}":            s.getChannel,
		"GET /api/v1/channels/{name}/lines":      s.getLines,
		"GET /api/v1/channels/{name}/layout":     s.getLayout,
		"POST /api/v1/channels/{name}/limits":    s.postLimits,
		"GET /api/v1/ports":                      s.getPorts,
		"GET /api/v1/plan":                       s.getPlan,
		"GET /api/v1/live":                       s.getLive,
		"GET /api/v1/meanings":                   s.getMeanings,
		"GET /api/v1/sessions":                   s.getSessions,
		"GET /api/v1/sessions/{id}":              s.getSession,
		"PATCH /api/v1/sessions/{id}":            s.patchSession,
		"GET /api/v1/sessions/{id}/samples":      s.getSamples,
		"GET /api/v1/sessions/{id}/notes":        s.getNotes,
		"POST /api/v1/sessions/{id}/notes":       s.postNote,
		"GET /api/v1/sessions/{id}/report":       s.getReport,
		"GET /api/v1/batteries":                  s.getBatteries,
		"POST /api/v1/batteries":                 s.postBattery,
		"GET /api/v1/batteries/{name}":           s.getBattery,
		"PATCH /api/v1/batteries/{name}":         s.patchBattery,
		"GET /api/v1/batteries/{name}/condition": s.getCondition,
		"GET /api/v1/batteries/{name}/readings":  s.getReadings,
		"POST /api/v1/batteries/{name}/readings": s.postReading,
		"GET /-/healthy":                         s.getHealthy,
		"GET /-/ready":                           s.getReady,
	} {
		m.Handle(pattern, s.answer(h))
	}
	if s.options.Metrics != nil {
		m.Handle("GET /metrics", s.options.Metrics)
	}
	return m, addPage(m)
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	secure(w.Header())
	deadlines(w, r)
	if err := s.refuse(r); err != nil {
		s.problemOf(r, err).write(w)
		return
	}
	// The mux's own refusals are plain text; ask it first what it would do.
	if h, pattern := s.mux.Handler(r); pattern == "" {
		s.refusalOf(h, r).write(w)
		return
	}
	s.mux.ServeHTTP(w, r)
}

// refusalOf is a refusal of the mux as a problem.
func (s *Server) refusalOf(h http.Handler, r *http.Request) *problem {
	v := &verdict{header: make(http.Header)}
	h.ServeHTTP(v, r)
	if v.status != http.StatusMethodNotAllowed {
		return notFound(r)
	}
	allow := v.header.Get("Allow")
	return problemf(v.status, "%s is not possible here, only %s", r.Method, allow).with("Allow", allow)
}

// verdict takes the status of an answer and drops the rest.
type verdict struct {
	header http.Header
	status int
}

func (v *verdict) Header() http.Header         { return v.header }
func (v *verdict) Write(b []byte) (int, error) { return len(b), nil }
func (v *verdict) WriteHeader(status int)      { v.status = status }

// handler answers a request or says what kept it from doing so.
type handler func(http.ResponseWriter, *http.Request) error

func (s *Server) answer(h handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if err := h(w, r); err != nil {
			s.problemOf(r, err).write(w)
		}
	})
}

// writeJSON answers with a document. It is written out in whole before the first
// byte goes, so that what cannot be written is still an error.
func writeJSON(w http.ResponseWriter, status int, document any) error {
	text, err := json.Marshal(document)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = w.Write(append(text, '\n')) // the asker may be gone
	return nil
}

// listOf makes an empty list of none, which in JSON would be null.
func listOf[T any](all []T) []T {
	if all == nil {
		return []T{}
	}
	return all
}
