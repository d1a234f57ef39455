package journal

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"amphora/capture"
)

// ExportLines writes the text of all lines that r still has, as the device sent
// them, each ended by LF. Remarks of capture itself are left out.
func ExportLines(w io.Writer, r *Reader) error {
	out := bufio.NewWriterSize(w, 64<<10)
	for r.Next() {
		rec := r.Record()
		if rec.Flags&capture.NotLine != 0 {
			continue
		}
		out.Write(rec.Text) // bufio keeps the first error for Flush
		out.WriteByte('\n')
	}
	if err := out.Flush(); err != nil {
		return fmt.Errorf("export the journal: %w", err)
	}
	return r.Err()
}

// ExportCSV writes all records that r still has as comma-separated values
// (RFC 4180) under a heading: number, wall clock in UTC, seconds since boot,
// flags, and the text with unprintable bytes escaped as in the journal. A text
// that a spreadsheet would take for a formula gets a ' in front.
func ExportCSV(w io.Writer, r *Reader) error {
	out := csv.NewWriter(w)
	row := []string{"record", "wall", "boot_s", "flags", "text"}
	err := out.Write(row)
	for err == nil && r.Next() {
		rec := r.Record()
		row[0] = strconv.FormatUint(rec.Seq, 10)
		row[1] = writable(rec.Wall).Format(stampLayout)
		row[2] = string(appendSeconds(nil, rec.Boot))
		row[3] = string(appendFlags(nil, rec.Flags))
		row[4] = defused(string(appendEscaped(nil, rec.Text)))
		err = out.Write(row)
	}
	if err == nil {
		out.Flush()
		err = out.Error()
	}
	if err != nil {
		return fmt.Errorf("export the journal: %w", err)
	}
	return r.Err()
}

// defused keeps a spreadsheet from running text; numbers stay numbers.
func defused(text string) string {
	if text == "" || (text[0] != '=' && text[0] != '+' && text[0] != '-' && text[0] != '@') {
		return text
	}
	if _, err := strconv.ParseFloat(text, 64); err == nil {
		return text
	}
	return "'" + text
}
