//go:build !unix

package capture

const nonBlocking = 0
