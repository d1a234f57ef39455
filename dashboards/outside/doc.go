// Package outside holds what all have to observe who send something to another
// machine.
//
// The problem: the other side may be slow, broken or somebody else, and an address
// or an answer may hold a secret.
//
// The promise: secrets come from files and are read anew at each use; a redirect is
// followed only to the same host; of an answer only so much is read; what an error
// says is fit for a log.
package outside
