package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"

	"amphora/analyze"
)

// writeDocument writes what writeJSON would, one session at a time: five years of
// nights are not held as text a second time, and a third for the indent.
func writeDocument(w io.Writer, d *analyze.Document) error {
	b := bufio.NewWriter(w)
	b.WriteString("{\n  \"log\": ")
	if err := writeIndented(b, d.Log, "  "); err != nil {
		return err
	}
	b.WriteString(",\n  \"sessions\": [")
	before := "\n    "
	for k := range d.Sessions {
		b.WriteString(before)
		before = ",\n    "
		if err := writeIndented(b, &d.Sessions[k], "    "); err != nil {
			return err
		}
	}
	b.WriteString("\n  ]\n}\n")
	return b.Flush() // tells of the first error of all
}

// writeIndented writes a value as JSON that is part of a larger one.
func writeIndented(w io.Writer, v any, before string) error {
	var text bytes.Buffer
	e := json.NewEncoder(&text)
	e.SetIndent(before, "  ")
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return err
	}
	_, err := w.Write(bytes.TrimSuffix(text.Bytes(), []byte("\n")))
	return err
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
