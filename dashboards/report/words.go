package report

import (
	"bytes"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// pageWidth is how many characters a line of running text may take.
const pageWidth = 100

// Clean makes text that came from outside safe to show in a terminal: control
// characters become question marks.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r >= 0x7f && r < 0xa0 {
			return '?'
		}
		return r
	}, s)
}

// Paragraph writes words behind a lead, in lines of 100 characters; the later
// lines stand under the first word.
func Paragraph(w io.Writer, lead, text string) error {
	return fold(w, lead, utf8.RuneCountInString(lead), text)
}

// fold writes words behind a lead, the later lines indented by so many blanks.
func fold(w io.Writer, lead string, indent int, text string) error {
	var b bytes.Buffer
	b.WriteString(lead)
	at := utf8.RuneCountInString(lead)
	for n, word := range strings.Fields(Clean(text)) {
		size := utf8.RuneCountInString(word)
		if n > 0 && at+1+size > pageWidth {
			b.WriteString("\n" + strings.Repeat(" ", indent))
			at = indent
		} else if n > 0 {
			b.WriteByte(' ')
			at++
		}
		b.WriteString(word)
		at += size
	}
	b.WriteByte('\n')
	_, err := w.Write(b.Bytes())
	return err
}

// Table writes rows under their heads. Columns of numbers stand to the right,
// all others to the left; an empty cell shows as a dash. Cells are cleaned.
func Table(w io.Writer, heads []string, rows [][]string) error {
	widths, right := make([]int, len(heads)), make([]bool, len(heads))
	for c, head := range heads {
		widths[c] = utf8.RuneCountInString(head)
		texts, numbers := 0, 0
		for _, row := range rows {
			cell := shown(row[c])
			widths[c] = max(widths[c], utf8.RuneCountInString(cell))
			switch {
			case numeric(cell):
				numbers++
			case cell != nothing:
				texts++
			}
		}
		right[c] = numbers > 0 && texts == 0
	}
	var b bytes.Buffer
	write := func(row []string, cellOf func(string) string) {
		var line strings.Builder
		for c, text := range row {
			cell := cellOf(text)
			space := strings.Repeat(" ", widths[c]-utf8.RuneCountInString(cell))
			if right[c] {
				line.WriteString(space + cell + "  ")
			} else {
				line.WriteString(cell + space + "  ")
			}
		}
		b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
	write(heads, Clean)
	for _, row := range rows {
		write(row, shown)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// nothing is what an empty cell shows.
const nothing = "-"

func shown(cell string) string {
	if cell == "" {
		return nothing
	}
	return Clean(cell)
}

func numeric(cell string) bool {
	_, err := strconv.ParseFloat(cell, 64)
	return err == nil
}
