package daemon

import (
	"context"
	"errors"
	"sync"
	"time"

	"amphora/capture"
)

// source is the name of where the lines come from.
func (s *Settings) source() string {
	if s.Current == nil {
		return s.Source.Name
	}
	return voltageTag + s.Source.Name + ", " + currentTag + s.Current.Name
}

// warning is what the owner should know of it before the night, "" if nothing.
func (s *Settings) warning() string {
	text := s.Source.Warning
	if s.Current != nil && s.Current.Warning != "" {
		if text != "" {
			text += "; "
		}
		text += s.Current.Warning
	}
	return text
}

// listenToTwo hears two meters at once and puts their frames into one order, that
// of their arrival. It ends when both have.
func (c *channel) listenToTwo(ctx context.Context) error {
	var order sync.Mutex
	var last time.Duration
	hear := func(tag string, src capture.Source) error {
		return capture.Run(ctx, src, c.clock, func(f capture.Frame) error {
			order.Lock()
			defer order.Unlock()
			// Stamped a moment before one that was let in first.
			f.Boot = max(f.Boot, last)
			last = f.Boot
			f = tagged(tag, f)
			c.frame(&f)
			return nil
		})
	}
	errs := make([]error, 2)
	var both sync.WaitGroup
	both.Go(func() { errs[0] = hear(voltageTag, c.set.Source) })
	both.Go(func() { errs[1] = hear(currentTag, *c.set.Current) })
	both.Wait()
	for _, err := range errs {
		if !errors.Is(err, capture.ErrEnded) {
			return errors.Join(errs...)
		}
	}
	return capture.ErrEnded
}
