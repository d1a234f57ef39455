package metrics

import (
	"slices"
	"strconv"
	"sync"
	"time"
)

// syncLimits are the upper bounds by which sync times are counted, in s: from a
// good solid-state disk to a card that is about to die.
var syncLimits = []float64{0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 10}

// limitLabel has the labels of the bounds, and behind them of no bound.
var limitLabel = limitLabels()

func limitLabels() (all []string) {
	for _, limit := range syncLimits {
		all = append(all, label("le", strconv.FormatFloat(limit, 'g', -1, 64)))
	}
	return append(all, label("le", "+Inf"))
}

// durations counts how long things took.
type durations struct {
	counts []uint64 // by the first limit that is not below; one more for none
	sum    time.Duration
}

// observed holds the durations of every channel.
type observed struct {
	mu sync.Mutex
	of map[string]*durations
}

func (o *observed) add(channel string, took time.Duration) {
	o.mu.Lock()
	defer o.mu.Unlock()
	d := o.of[channel]
	if d == nil {
		if o.of == nil {
			o.of = make(map[string]*durations)
		}
		d = &durations{counts: make([]uint64, len(syncLimits)+1)}
		o.of[channel] = d
	}
	k, _ := slices.BinarySearch(syncLimits, took.Seconds())
	d.counts[k]++
	d.sum += took
}

// syncTimes writes the histogram of every channel that has one.
func syncTimes(w *writer, s *scene) {
	s.syncs.mu.Lock()
	defer s.syncs.mu.Unlock()
	for _, c := range s.channels {
		d := s.syncs.of[c.Name]
		if d == nil {
			continue
		}
		within := uint64(0)
		for k, n := range d.counts {
			within += n
			w.line("_bucket", float64(within), []string{c.label, limitLabel[k]})
		}
		w.line("_sum", d.sum.Seconds(), []string{c.label})
		w.line("_count", float64(within), []string{c.label})
	}
}
