// Package influx pushes readings and charges to servers that take line protocol
// over HTTP: those with a database (/write) and those with an organization and a
// bucket (/api/v2/write).
//
// The problem: the server is away, slow, full, wrongly configured, or does not like
// one point among five thousand; and the recording must not notice.
//
// The promise: every point arrives, with its own time and always the same tags, in
// order, whatever happens in between; a point that comes twice overwrites itself.
// What the server will never take is put aside in a file together with its reason,
// and only that. What is given up beyond the limit on disk is counted.
package influx
