// Package e2e tests the built program from outside: lines go in through a
// pseudo-terminal, as from a charger, and what is asked comes out over HTTP, from
// the journal and from the exit status. It holds tests only.
//
// Most of it runs with every go test. AMPHORA_LONG=1 plays the long versions, which
// also measure: 200 kills in one night, a minute of 64 channels.
//
//	AMPHORA_LONG=1 go test -v -timeout 30m ./cmd/amphora/e2e
//
// The files named soak live through months: soakplan what happens in them, soakhouse and
// soakclock where, soakfaults, soakoutage, soakdamage and soaktime what goes wrong,
// soakobserver who looks on, soakchecks, soakmarks and soakleaks what is judged in the end.
package e2e
