//go:build !race

package curve

const slowdown = 1
