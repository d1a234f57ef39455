//go:build race

package curve

// slowdown is what the race detector costs, about.
const slowdown = 10
