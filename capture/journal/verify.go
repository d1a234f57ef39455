package journal

// SegmentReport is what Verify found in one segment.
type SegmentReport struct {
	Segment
	Bytes      int64 // of the file, as it is on the disk
	Records    uint64
	Damage     []*Damage
	Unfinished int64 // bytes of a last line without an end; see Reader.Unfinished
}

// Verify reads everything in a data folder and reports on each segment, channel
// by channel in order. Damage is in the report; the error is for a folder that
// cannot be read at all. Nothing is changed, and a writer may be at work.
func Verify(dir string) ([]SegmentReport, error) { return verify(osFS{}, dir) }

func verify(fsys FS, dir string) ([]SegmentReport, error) {
	names, err := listChannels(fsys, dir)
	if err != nil {
		return nil, err
	}
	var all []SegmentReport
	for _, name := range names {
		reports, err := verifyChannel(fsys, dir, name)
		if err != nil {
			return nil, err
		}
		all = append(all, reports...)
	}
	return all, nil
}

func verifyChannel(fsys FS, dir, name string) ([]SegmentReport, error) {
	r, err := newReader(fsys, dir, name, 0)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	reports := make([]SegmentReport, len(r.segs))
	total := len(r.segs)
	current := func() *SegmentReport { return &reports[total-len(r.segs)] }
	for i, seg := range r.segs {
		reports[i].Segment = seg
		// A segment may be compressed or removed meanwhile: 0 is then the size.
		reports[i].Bytes, _ = fsys.Size(seg.Path)
	}
	r.OnDamage = func(d *Damage) { current().Damage = append(current().Damage, d) }
	for r.Next() {
		current().Records++
	}
	if total > 0 {
		reports[total-1].Unfinished = r.Unfinished()
	}
	return reports, r.Err()
}
