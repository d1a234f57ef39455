package decoders

import "bytes"

// A terminal or a logger may write when a row came before it, with other marks between
// than the row has itself. The time is then the first column.
//
//	20:40:05.123 -> 13.82,3.500
//	[2026-03-14 20:40:05] 13,82;3,50
//	Sat Mar 14 20:40:05 2026  13.82  3.50

// timeBefore cuts the time that a line begins with from the row, nil where there is
// none, or where sep follows it and makes it a column like any other: of blanks only where
// none are in the time itself, as behind a day of the week.
func timeBefore(line []byte, sep byte) (time, row []byte) {
	begin := 0
	for begin < len(line) && (line[begin] == ' ' || line[begin] == '[' || line[begin] == '(') {
		begin++
	}
	day := weekdayAt(line[begin:])
	end := begin + day
	n := timeLength(line[end:])
	if n == 0 && day > 0 {
		end = begin
		_, n = stampAt(line[begin:], formMDY)
	}
	if n == 0 {
		return nil, nil
	}
	end += n
	at := end
	for at < len(line) && bytes.IndexByte([]byte(" \t])>:|;,-"), line[at]) >= 0 {
		if line[at] == sep && (sep != ' ' || day == 0) && len(bytes.TrimSpace(line[end:at])) == 0 {
			return nil, nil
		}
		if line[at] == '-' && !bytes.HasPrefix(line[at:], []byte("->")) {
			break // the sign of a number
		}
		at++
	}
	if at == end || at == len(line) {
		return nil, nil
	}
	return line[begin:end], line[at:]
}

// behindTime is a line without the time before it.
func (l *Layout) behindTime(line []byte) []byte {
	if l.Before {
		if _, row := timeBefore(line, l.Separator); row != nil {
			return row
		}
	}
	return line
}

// timesBefore tells whether the rows of a log have times before them.
func timesBefore(lines [][]byte, sep byte) bool {
	with, rows := 0, 0
	for _, l := range lines {
		if !MayBeRow(l) {
			continue
		}
		rows++
		if bytes.IndexByte(l, sep) < 0 {
			continue
		}
		if _, row := timeBefore(l, sep); bytes.IndexByte(row, sep) >= 0 {
			with++
		}
	}
	return with > 2 && with*10 > rows*9
}
