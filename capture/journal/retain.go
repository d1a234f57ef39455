package journal

import (
	"cmp"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"amphora/capture"
)

// Policy says when old segments may go. Zero fields set no limit.
type Policy struct {
	MaxAge  time.Duration // remove what is older
	MinFree uint64        // bytes to keep free on the disk, removing the oldest first
}

// Retain removes old segments and returns those it removed, oldest first.
//
// The newest segment of a channel stays, and so does every segment for which
// covered says no, with all that came after it in its channel: covered tells
// whether session summaries hold all that segment First to Last can tell. Where the
// clock cannot be believed nothing is removed, and where it leapt ahead nothing for its
// sake until a day has gone by.
func (j *Journal) Retain(p Policy, covered func(Segment) bool, now time.Time) ([]Segment, error) {
	if !capture.ClockSet(now) || p == (Policy{}) {
		return nil, nil
	}
	j.files.Lock()
	defer j.files.Unlock()
	all, unknown := j.everything()
	now = proved(all, now)
	old := j.removable(all, covered, now)
	for i, o := range old {
		due, err := j.mustGo(o, p, now)
		if err != nil || !due {
			return segmentsOf(old[:i]), errors.Join(unknown, err)
		}
		if err := j.remove(o.Segment); err != nil {
			return segmentsOf(old[:i]), fmt.Errorf("remove old journal %s: %w", o.Path, err)
		}
	}
	return segmentsOf(old), unknown
}

// aged is a segment with the time by which all of it had been written, as far as
// its neighbours can tell: a clock that was not set must not make it look old.
type aged struct {
	Segment
	end time.Time
}

// everything lists the segments of each channel. One that cannot be listed is passed over:
// the disk is to be kept from filling all the same.
func (j *Journal) everything() (all [][]Segment, err error) {
	names, err := listChannels(j.opt.FS, j.dir)
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		segs, cannot := listSegments(j.opt.FS, j.dir, name)
		err = errors.Join(err, cannot)
		all = append(all, segs)
	}
	return all, err
}

// proved is the time up to which the clock has proved itself: the end of the last whole day
// on which something was recorded, and after it something else. A clock may leap ahead by
// decades, and all would be old by it; by such a clock nobody has lived for a day yet.
func proved(all [][]Segment, now time.Time) (until time.Time) {
	for _, segs := range all {
		for _, seg := range segs[:max(len(segs)-1, 0)] {
			end := seg.Day.AddDate(0, 0, 1)
			if capture.ClockSet(seg.Day) && !end.After(now) && end.After(until) {
				until = end
			}
		}
	}
	return until
}

// removable lists what may go, oldest first.
func (j *Journal) removable(all [][]Segment, covered func(Segment) bool, now time.Time) (old []aged) {
	for _, segs := range all {
		ends := endTimes(segs, now)
		for i, seg := range segs {
			if i == len(segs)-1 || j.busy(seg) || !covered(seg) {
				break
			}
			old = append(old, aged{seg, ends[i]})
		}
	}
	slices.SortStableFunc(old, func(a, b aged) int {
		return cmp.Or(a.end.Compare(b.end), cmp.Compare(a.Channel, b.Channel), cmp.Compare(a.First, b.First))
	})
	return old
}

// endTimes estimates for each segment when it was complete: a day after the day
// in its name, but never before the segments that precede it, and from its
// successor where its own day comes from a clock that was not set. Days in the
// future are no evidence.
func endTimes(segs []Segment, now time.Time) []time.Time {
	ends := make([]time.Time, len(segs))
	later := now
	for i := len(segs) - 1; i >= 0; i-- {
		if day := segs[i].Day; capture.ClockSet(day) && !day.After(now) {
			later = day.AddDate(0, 0, 1)
		}
		ends[i] = later
	}
	for i := 1; i < len(ends); i++ {
		if ends[i].Before(ends[i-1]) {
			ends[i] = ends[i-1]
		}
	}
	return ends
}

// mustGo tells whether the policy wants o removed.
func (j *Journal) mustGo(o aged, p Policy, now time.Time) (bool, error) {
	if p.MaxAge > 0 && now.Sub(o.end) > p.MaxAge {
		return true, nil
	}
	if p.MinFree == 0 {
		return false, nil
	}
	free, err := j.opt.FS.Free(j.dir)
	if err != nil {
		return false, fmt.Errorf("ask for the free space: %w", err)
	}
	return free < p.MinFree, nil
}

// remove takes a segment away with everything of its name: a copy that
// compression left behind, tails set aside.
func (j *Journal) remove(seg Segment) error {
	folder := filepath.Dir(seg.Path)
	stem, _, _ := strings.Cut(filepath.Base(seg.Path), ".")
	names, err := j.opt.FS.ReadDir(folder)
	if err != nil {
		return err
	}
	for _, name := range names {
		if strings.HasPrefix(name, stem+".") {
			if err := j.opt.FS.Remove(filepath.Join(folder, name)); err != nil {
				return err
			}
		}
	}
	return nil
}

func segmentsOf(list []aged) []Segment {
	var segs []Segment
	for _, a := range list {
		segs = append(segs, a.Segment)
	}
	return segs
}
