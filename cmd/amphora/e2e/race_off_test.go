//go:build !race

package e2e

// raced tells whether the program under test looks for data races too, which
// makes it several times slower and larger.
const raced = false
