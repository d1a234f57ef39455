// Package push says how what the channels measure is handed to places outside of
// this machine; the packages below it are those places.
//
// The problem: a server far away is down when it likes, for a week if it likes, and
// the recording must not notice. Yet every reading of that week should arrive.
//
// The promise: a Sink takes what a record of the journal brought in constant time
// and never waits. It says up to which record it has everything safe, delivered or
// on disk; what lies behind that is told again from the journal after a crash, so
// that the journal, which is written anyway, is also the first copy of what waits.
//
// It decides nothing: what a charge is was said by package analyze.
package push
