package main

import (
	"fmt"
	"io"
	"os"

	"amphora/dashboards/durable"
)

// writeWhole writes a file whole or not at all, and never over the one that it
// was made from.
func writeWhole(file, input string, write func(io.Writer) error) error {
	if was, err := os.Stat(file); err == nil && input != "" {
		if from, err := os.Stat(input); err == nil && os.SameFile(was, from) {
			return usagef("--out %s would write over the log itself", file)
		}
	}
	if err := durable.Write(file, 0o644, write); err != nil {
		return fmt.Errorf("write %s: %w", file, err)
	}
	return nil
}
