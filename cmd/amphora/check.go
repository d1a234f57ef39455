package main

import (
	"fmt"
	"io"

	"amphora/cmd/amphora/config"

	"github.com/spf13/cobra"
)

func checkCommand(s streams) *cobra.Command {
	var example bool
	c := &cobra.Command{
		Use:   "check [CONFIG]",
		Short: "Say what is wrong in a configuration",
		Long: "Reads a configuration as the daemon would, starts nothing, and says what is wrong with file, line and\n" +
			"column. Without CONFIG it checks the first that is there of\n" + config.UsualPlaces + ".",
		Example: "  amphora check amphora.yaml\n  amphora check --example > amphora.yaml",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if example {
				_, err := io.WriteString(s.out, config.Example)
				return err
			}
			return check(s, args)
		},
	}
	c.Flags().BoolVar(&example, "example", false, "print a commented configuration to begin with")
	return c
}

func check(s streams, args []string) error {
	path, found := config.Find()
	if len(args) > 0 {
		path, found = args[0], true
	}
	if !found {
		return usagef("there is no configuration at any of %s; name one, or begin with: amphora check --example > amphora.yaml", config.UsualPlaces)
	}
	c, problems := config.Load(path)
	for _, p := range problems {
		fmt.Fprintln(s.err, p)
	}
	errors := config.Errors(problems)
	warnings := counted(len(problems)-errors, "warning")
	if errors > 0 {
		return usagef("%s cannot be used: %s, %s", path, counted(errors, "error"), warnings)
	}
	_, err := fmt.Fprintf(s.out, "%s can be used: %s, %s\n", path, counted(len(c.Channels), "channel"), warnings)
	return err
}

// counted writes a number of things in words.
func counted(n int, thing string) string {
	switch n {
	case 0:
		return "no " + thing + "s"
	case 1:
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
