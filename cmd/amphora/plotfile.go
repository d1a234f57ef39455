package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"amphora/analyze"
	"amphora/dashboards/curve"
	"amphora/dashboards/plot"
)

func plottable(file string, logs []string) error {
	if file == "" {
		return nil
	}
	if len(logs) > 1 {
		return usagef("--plot draws one log, but %d were given", len(logs))
	}
	if info, err := os.Stat(logs[0]); err == nil && info.IsDir() {
		return usagef("--plot draws one log, and %s is a folder", logs[0])
	}
	switch strings.ToLower(filepath.Ext(file)) {
	case ".svg", ".png":
		return nil
	}
	return usagef("--plot %q: the name must end in .svg or .png", file)
}

// drawTo writes the plot whole or not at all.
func drawTo(file, title string, c *curve.Curve, sessions []analyze.Session) error {
	format := strings.ToLower(strings.TrimPrefix(filepath.Ext(file), "."))
	err := writeWhole(file, "", func(w io.Writer) error { return plot.Draw(w, format, title, c, sessions) })
	if err != nil {
		return fmt.Errorf("--plot: %w", err)
	}
	return nil
}
