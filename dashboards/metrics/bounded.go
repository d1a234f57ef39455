package metrics

import (
	"maps"
	"slices"
	"sync"
)

const (
	// mostReasons is how many reasons of rejection a channel may have series of.
	mostReasons = 40
	// theRest stands for all the others.
	theRest = "other"
)

// bounded keeps the number of series flat however many reasons a channel
// invents. The first ones seen keep their series for good: were they chosen anew
// at each scrape, counters would jump.
type bounded struct {
	mu   sync.Mutex
	seen map[string]map[string]bool // channel, reason
}

// fold returns the counts with the reasons beyond the limit put together.
func (b *bounded) fold(channel string, counts map[string]int) map[string]int {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.seen == nil {
		b.seen = make(map[string]map[string]bool)
	}
	seen := b.seen[channel]
	if seen == nil {
		seen = make(map[string]bool)
		b.seen[channel] = seen
	}
	folded := make(map[string]int, len(counts))
	for _, reason := range slices.Sorted(maps.Keys(counts)) {
		n := counts[reason]
		reason = clean(reason)
		if !seen[reason] {
			if len(seen) >= mostReasons {
				reason = theRest
			} else {
				seen[reason] = true
			}
		}
		folded[reason] += n
	}
	return folded
}
