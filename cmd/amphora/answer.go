package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"
)

func jsonFlag(c *cobra.Command, asJSON *bool) {
	c.Flags().BoolVar(asJSON, "json", false, "print JSON")
}

func whenFlag(c *cobra.Command, at *time.Time, usage string) {
	c.Flags().Func("at", usage, func(text string) (err error) {
		*at, err = parseWhen(text)
		return err
	})
}

// tell answers a change: with what stands there now, or a few words.
func tell(w io.Writer, asJSON bool, record any, said string) error {
	if asJSON {
		return writeJSON(w, record)
	}
	_, err := fmt.Fprintln(w, said)
	return err
}

// doubted adds what looks mistyped, and which command helps.
func doubted(mistyped []string, command, helps string) string {
	if len(mistyped) == 0 {
		return ""
	}
	return "; " + strings.Join(mistyped, ", and ") + ": `" + command + "` " + helps
}

// orNone makes JSON say [] rather than null.
func orNone[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}
