// Package spool keeps in order what waits to be delivered, in memory while all is
// well and on disk while it is not.
//
// The problem: a server is away for a week, the program is killed in the middle of
// that, the disk is a card that wears out, or full.
//
// The promise: what was pushed comes out once, in order, after every kind of end.
// A Queue writes to disk only when asked to: as long as the other side takes what
// comes, nothing is written but now and then the place up to which it was taken.
// What a kill takes from memory is told again from the journal, beginning behind
// the last record of each channel that After names. On disk a batch is a file of its
// own, which appears whole or not at all and is removed whole, so that there is no
// torn end to repair and no place in the middle to remember. Beyond its limit the
// oldest batches go and their points are counted; memory stays flat.
//
// It does not know what a point is.
package spool
