// Package mqtt tells an MQTT broker how the channels stand.
//
// The problem: home dashboards and automations listen to a broker, which may be
// away for a night, refuse us, accept and never answer, or vanish in the middle of
// a message; and what it retains goes on being believed after we are gone.
//
// The promise: nothing here ever waits for the broker but its own goroutines. Every
// wait of theirs has an end: a connection without an acknowledgement for a minute is
// given up for a new one, and ten seconds after a broker is back it knows how things
// stand. Of states the newest counts; charges that ended are kept in their order, so
// many at most, and what was dropped is counted. A reading that has grown too old is
// taken back, and "offline" is said when we stop and, by the broker, when we die.
//
// It listens to nothing that a broker says: nobody can steer anything through it.
package mqtt
