//go:build linux

package e2e

import (
	"encoding/json"
	"io"
	"net/http"
	"net/http/httptest"
	"sync"
	"testing"
	"time"

	"amphora/dashboards/testhelp"
)

// inbox is a webhook's receiver that takes messages, refuses them, or never answers.
type inbox struct {
	server *httptest.Server

	mu       sync.Mutex
	mood     mood
	tried    int // since the mood changed
	messages []message
}

type mood string

const (
	down    mood = "down"
	hanging mood = "hanging" // it reads the message, and who sent it cannot know
	well    mood = "well"
)

// message is one as it came.
type message struct {
	ID, Title, Message string
	Events             []struct {
		ID, Kind, Code string
		At             time.Time
	}

	header http.Header
	body   []byte
	mood   mood // in which it came
}

func newInbox(t testing.TB) *inbox {
	i := &inbox{mood: down}
	i.server = httptest.NewServer(http.HandlerFunc(i.take))
	t.Cleanup(i.server.Close)
	return i
}

func (i *inbox) take(w http.ResponseWriter, r *http.Request) {
	body, err := io.ReadAll(r.Body)
	m := message{header: r.Header, body: body}
	if err != nil || json.Unmarshal(body, &m) != nil {
		w.WriteHeader(http.StatusBadRequest)
		return
	}
	i.mu.Lock()
	m.mood = i.mood
	i.tried++
	i.messages = append(i.messages, m)
	i.mu.Unlock()
	switch m.mood {
	case down:
		w.WriteHeader(http.StatusServiceUnavailable)
	case hanging:
		<-r.Context().Done()
	}
}

func (i *inbox) turn(m mood) {
	i.mu.Lock()
	defer i.mu.Unlock()
	i.mood, i.tried = m, 0
}

// awaitTry waits until somebody has tried to deliver in this mood.
func (i *inbox) awaitTry(t testing.TB) {
	t.Helper()
	testhelp.Until(t, "a try to deliver", func() bool {
		i.mu.Lock()
		defer i.mu.Unlock()
		return i.tried > 0
	})
}

// came are the messages that came in a mood.
func (i *inbox) came(in mood) (all []message) {
	i.mu.Lock()
	defer i.mu.Unlock()
	for _, m := range i.messages {
		if m.mood == in {
			all = append(all, m)
		}
	}
	return all
}

// eventsOf are the events in messages: the names of each, by what it tells of.
func eventsOf(messages []message) map[string][]string {
	all := map[string][]string{}
	for _, m := range messages {
		for _, e := range m.Events {
			what := e.Kind + " " + e.Code
			all[what] = append(all[what], e.ID)
		}
	}
	return all
}
