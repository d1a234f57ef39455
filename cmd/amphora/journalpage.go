package main

import (
	"fmt"
	"io"
	"path/filepath"

	"amphora/capture/journal"
	"amphora/dashboards/report"
)

func damages(segments []journal.SegmentReport) int {
	n := 0
	for _, s := range segments {
		n += len(s.Damage)
	}
	return n
}

func segmentPage(w io.Writer, dir string, segments []journal.SegmentReport) error {
	if len(segments) == 0 {
		_, err := fmt.Fprintf(w, "%s: nothing recorded\n", dir)
		return err
	}
	var rows [][]string
	for _, s := range segments {
		state := "in order"
		switch {
		case len(s.Damage) > 0:
			state = fmt.Sprintf("damaged, %d times", len(s.Damage))
		case s.Unfinished > 0:
			state = fmt.Sprintf("in order; a last line of %d bytes has no end yet", s.Unfinished)
		}
		rows = append(rows, []string{s.Channel, filepath.Base(s.Path), fmt.Sprint(s.First), fmt.Sprint(s.Records), fmt.Sprint(s.Bytes), state})
	}
	if err := report.Table(w, []string{"channel", "file", "from record", "records", "bytes", "state"}, rows); err != nil {
		return err
	}
	for _, s := range segments {
		for _, damage := range s.Damage {
			if err := report.Paragraph(w, "  ", damage.Error()); err != nil {
				return err
			}
		}
	}
	return nil
}

// segmentView is what was found in one file, as JSON has it.
type segmentView struct {
	Channel    string       `json:"channel"`
	File       string       `json:"file"`
	First      uint64       `json:"first"`
	Records    uint64       `json:"records"`
	Bytes      int64        `json:"bytes"`
	Packed     bool         `json:"packed"`
	Unfinished int64        `json:"unfinished_bytes"`
	Damage     []damageView `json:"damage"`
}

type damageView struct {
	File   string `json:"file"`
	Offset int64  `json:"offset"`
	Length int64  `json:"length"`
	First  uint64 `json:"first"` // of the records lost
	Lost   uint64 `json:"lost"`
	Cause  string `json:"cause"`
}

func segmentViews(segments []journal.SegmentReport) []segmentView {
	views := make([]segmentView, 0, len(segments))
	for _, s := range segments {
		v := segmentView{s.Channel, s.Path, s.First, s.Records, s.Bytes, s.Packed, s.Unfinished, []damageView{}}
		for _, d := range s.Damage {
			v.Damage = append(v.Damage, damageView{d.File, d.Offset, d.Length, d.First, d.Lost, d.Cause.Error()})
		}
		views = append(views, v)
	}
	return views
}
