//go:build !unix

package main

// handOver has nothing to do where a file belongs to whoever owns its folder.
func handOver(string) error { return nil }
