// Package logbook remembers batteries over the years: what they are, what was
// measured on them by hand, every charge that was recorded, and what somebody
// wrote beside it.
//
// Two kinds of things stand in the book. What a person typed (batteries,
// readings, notes) exists nowhere else: it is only ever added to or changed by
// a person, and it is carried over even out of a damaged file. Sessions are
// worked out from the raw record and may be written over at any time.
//
// The book is one SQLite file that several processes may use at once. A change
// has reached the disk when the call that made it returns. The package has no
// clock: whoever writes something down says when.
//
// It does not know how a charge is judged or recorded, nor about any network.
package logbook
