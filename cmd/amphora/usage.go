package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"amphora/cmd/amphora/config"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// explainArgs tells of a command and of all below it what they take, with an example,
// where they are given something else.
func explainArgs(c *cobra.Command) {
	if check := c.Args; check != nil {
		c.Args = func(c *cobra.Command, args []string) error {
			if check(c, args) == nil {
				return nil
			}
			return usagef("%s takes %s, and was given %s; for instance: %s", c.CommandPath(), taken(c), listed(args), firstExample(c))
		}
	}
	for _, sub := range c.Commands() {
		explainArgs(sub)
	}
}

// taken is what a command's usage line says beside its name.
func taken(c *cobra.Command) string {
	if _, what, ok := strings.Cut(c.Use, " "); ok {
		return what
	}
	return "flags only"
}

func listed(args []string) string {
	if len(args) == 0 {
		return "nothing"
	}
	quoted := make([]string, len(args))
	for k, arg := range args {
		quoted[k] = strconv.Quote(arg)
	}
	return strings.Join(quoted, " and ")
}

func firstExample(c *cobra.Command) string {
	first, _, _ := strings.Cut(strings.TrimSpace(c.Example), "\n")
	return first
}

// explainFlag says what is wrong with a flag in our own words.
func explainFlag(c *cobra.Command, err error) error {
	if bad, ok := errors.AsType[*pflag.InvalidValueError](err); ok {
		return usagef("--%s: %w", bad.GetFlag().Name, plainCause(bad))
	}
	if missing, ok := errors.AsType[*pflag.NotExistError](err); ok && missing.GetSpecifiedShortnames() == "" {
		var known []string
		c.Flags().VisitAll(func(f *pflag.Flag) { known = append(known, f.Name) })
		if near := config.Nearest(missing.GetSpecifiedName(), known); near != "" {
			return usagef("%s has no flag --%s; did you mean --%s?", c.CommandPath(), missing.GetSpecifiedName(), near)
		}
		return usagef("%s has no flag --%s", c.CommandPath(), missing.GetSpecifiedName())
	}
	return usagef("%w", err)
}

// plainCause is why a value does not do, without the names of Go's functions.
func plainCause(bad *pflag.InvalidValueError) error {
	number, ok := errors.AsType[*strconv.NumError](bad)
	switch {
	case !ok:
		return bad.Unwrap()
	case bad.GetFlag().Value.Type() == "int":
		return fmt.Errorf("%q is not a whole number, want text like 6", number.Num)
	case bad.GetFlag().Value.Type() == "bool":
		return fmt.Errorf("%q is neither true nor false", number.Num)
	}
	return fmt.Errorf("%q is not a number", number.Num)
}
