package mqtt

import (
	"time"

	"amphora/dashboards/push"
)

// Status is how it goes, without waiting.
func (t *Target) Status() push.Status {
	t.mu.Lock()
	s := t.status
	t.mu.Unlock()
	s.Pending, s.Dropped = t.out.waiting()
	return s
}

// Name is the broker's, for labels and logs: it holds no secret.
func (t *Target) Name() string { return t.status.Name }

// connected notes that a broker has let us in.
func (t *Target) connected(v Version) {
	t.met = time.Now()
	t.mu.Lock()
	t.status.Since, t.status.Why = time.Time{}, ""
	t.mu.Unlock()
	if !t.quiet {
		t.log.Info("push: connected to the broker", "version", v.String())
		t.quiet = true
	}
}

// failed notes that there is no connection any more, or none yet, and why. Of many
// failures it logs one a minute.
func (t *Target) failed(err error) {
	now := t.wall().UTC()
	t.mu.Lock()
	t.status.Failures++
	t.status.Why = err.Error()
	if t.status.Since.IsZero() {
		t.status.Since = now
	}
	t.mu.Unlock()
	t.complain("push: the broker cannot be told; what it is to know waits", "error", err)
}

// refused notes that the broker does not take a message.
func (t *Target) refused(m *message, why error) {
	t.mu.Lock()
	t.status.Refused++
	t.mu.Unlock()
	t.complain("push: the broker refuses a message, which is left out", "topic", m.topic, "error", why)
}

func (t *Target) complain(what string, details ...any) {
	if now := time.Now(); t.logged.IsZero() || now.Sub(t.logged) >= logEvery {
		t.log.Warn(what, details...)
		t.logged, t.quiet = now, false
	}
}
