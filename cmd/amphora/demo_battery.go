package main

import (
	"context"
	"errors"
	"os"
	"slices"
	"strings"

	"amphora/analyze/logbook"
	"amphora/analyze/madeup"
	"amphora/cmd/amphora/daemon"
)

// households are the batteries that made-up nights tell of.
var households = []string{"car", "mower", "caravan", "drill", "torch", "outboard", "lantern"}

// demoBattery is the battery of a made-up night as its owner would enter it, with what its label says.
func demoBattery(n madeup.Night) logbook.Battery {
	b := logbook.Battery{Name: "demo", Chemistry: &n.Battery.Chemistry, Cells: &n.Battery.Cells, CapacityAh: &n.Battery.CapacityAh, Note: "invented"}
	for word := range strings.FieldsFuncSeq(n.Name+" "+n.Story, func(r rune) bool { return r < 'A' || r > 'z' }) {
		if slices.Contains(households, word) {
			b.Name = word
			break
		}
	}
	return b
}

// demoFolder is a new data folder, whose logbook has the battery.
func demoFolder(ctx context.Context, b logbook.Battery) (string, error) {
	data, err := os.MkdirTemp("", "amphora-demo-")
	if err != nil {
		return "", err
	}
	book, err := logbook.Open(ctx, daemon.BookFile(data))
	if err == nil {
		err = errors.Join(book.AddBattery(ctx, b), book.Close())
	}
	if err != nil {
		return "", errors.Join(err, os.RemoveAll(data))
	}
	return data, nil
}
