// Package notify tells people what happened to a charge: through a webhook, a
// command or an e-mail.
//
// The problem: the network is down when it matters, a reading dances on its
// limit, the program is killed and started fifty times in a night. A message that
// never comes costs a battery, and messages that never end are switched off.
//
// The promise: Tell takes constant time and never waits. What rises is told once
// and what clears is told once, however often the program is started anew; what
// was told to nobody yet is kept on disk and tried again until it has arrived.
// Each message bears an ID that stays the same over all tries, so that a receiver
// that gets one twice, after a crash, can tell.
//
// It judges nothing: what is odd about a charge is said by package analyze.
package notify
