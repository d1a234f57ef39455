package mqtt

import "time"

// Status is how a Target does.
type Status struct {
	Name      string     // the broker's, without anything secret
	Connected bool       // now
	Version   string     // of MQTT that is spoken; empty where nobody listens
	Since     *time.Time // when that began
	Trouble   string     // why the last try failed; empty while connected
	Pending   int        // messages that wait
	Failures  uint64     // connections that failed or broke, and messages refused
	Dropped   uint64     // messages given up
}

// Status is how it does now.
func (t *Target) Status() Status {
	t.mu.Lock()
	s := t.status
	t.mu.Unlock()
	s.Pending, s.Dropped = t.out.waiting()
	return s
}

// Name is the broker's, for labels and logs.
func (t *Target) Name() string { return t.status.Name }

// connected notes that a broker has let us in.
func (t *Target) connected(v Version) {
	now := t.wall().UTC()
	t.mu.Lock()
	t.status.Connected, t.status.Version, t.status.Since, t.status.Trouble = true, v.String(), &now, ""
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
	t.status.Trouble = err.Error()
	if t.status.Connected || t.status.Since == nil {
		t.status.Since = &now
	}
	t.status.Connected, t.status.Version = false, ""
	t.mu.Unlock()
	t.complain("push: the broker cannot be told; what it is to know waits", "error", err)
}

// refused notes that the broker does not take a message.
func (t *Target) refused(m *message, why error) {
	t.mu.Lock()
	t.status.Failures++
	t.mu.Unlock()
	t.complain("push: the broker refuses a message, which is left out", "topic", m.topic, "error", why)
}

func (t *Target) complain(what string, details ...any) {
	if now := time.Now(); t.logged.IsZero() || now.Sub(t.logged) >= logEvery {
		t.log.Warn(what, details...)
		t.logged, t.quiet = now, false
	}
}
