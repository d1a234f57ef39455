// Package live holds what is seen of the channels right now.
//
// The problem: one goroutine a channel produces readings all night, and any
// number of pages, scrapes and pushers want to look at them. None of those may
// ever hold the recording up.
//
// The promise: Publish takes constant time and waits for nobody who looks. What is
// looked at is a copy. A reading that has grown too old is no reading any more,
// whoever asks. Nothing is kept for those who look seldom: each sees how things
// stand by then.
//
// It does not decode or judge anything and keeps nothing on disk.
package live
