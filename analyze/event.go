package analyze

// Event is a change that a sample brought about. What is seen late is dated
// back.
type Event struct {
	Kind    EventKind
	At      float64 // s since the log's first row, when it happened
	Stage   StageName
	Finding Finding
	Session *Session // with SessionBegan, SessionOver and SessionClosed; of another charge than the one under way, with FindingCleared
	Why     string
}

// EventKind names what an event is about.
type EventKind string

// The kinds of events.
const (
	SessionBegan   EventKind = "session-began"
	StageBegan     EventKind = "stage-began"
	FindingRaised  EventKind = "finding-raised"
	FindingCleared EventKind = "finding-cleared"
	SessionOver    EventKind = "session-over"   // no more current; the rest is still watched
	SessionClosed  EventKind = "session-closed" // nothing will be added any more
)
