package main

import (
	"context"
	"iter"
	"runtime"
)

// inOrder does something with each of many things, as many at a time as there are
// cores, and gives the results in the order of the things. No more are held than
// are being worked on, so a slow first one holds the others up rather than the
// memory. It ends early when the context does.
func inOrder[T, R any](ctx context.Context, things []T, do func(T) R) iter.Seq[R] {
	return func(yield func(R) bool) {
		ctx, stop := context.WithCancel(ctx)
		defer stop()
		begun := make(chan chan R, runtime.GOMAXPROCS(0)-1) // and the one that is waited for
		go func() {
			defer close(begun)
			for _, thing := range things {
				result := make(chan R, 1)
				select {
				case begun <- result:
				case <-ctx.Done():
					return
				}
				go func() { result <- do(thing) }()
			}
		}()
		for result := range begun {
			select {
			case r := <-result:
				if !yield(r) {
					return
				}
			case <-ctx.Done():
				return
			}
		}
	}
}
