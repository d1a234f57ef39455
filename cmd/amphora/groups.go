package main

import (
	"strings"

	"github.com/spf13/cobra"
)

// asGroup makes a command that only holds others say what it has when it is
// called alone or with a word that it does not know. Both are wrong use, except
// that the bare program greets with its help.
func asGroup(c *cobra.Command) *cobra.Command {
	c.Args = cobra.ArbitraryArgs
	c.SuggestionsMinimumDistance = 2
	c.RunE = func(c *cobra.Command, args []string) error {
		if len(args) == 0 && !c.HasParent() {
			return c.Help()
		}
		var names []string
		for _, sub := range c.Commands() {
			if sub.IsAvailableCommand() {
				names = append(names, sub.Name())
			}
		}
		has := "it has " + strings.Join(names, ", ")
		if len(args) == 0 {
			return usagef("%s does nothing alone; %s", c.CommandPath(), has)
		}
		if near := c.SuggestionsFor(args[0]); len(near) > 0 {
			has = "did you mean " + strings.Join(near, " or ") + "?"
		}
		if args[0] == "version" && !c.HasParent() {
			has = "amphora --version tells it"
		}
		return usagef("there is no command %q in %s; %s", args[0], c.CommandPath(), has)
	}
	return c
}

// explainHelp gives the help command, which is not ours, an example like all others, and
// has it tell of a word that is no command.
func explainHelp(root *cobra.Command) {
	root.InitDefaultHelpCmd()
	help, _, err := root.Find([]string{"help"})
	if err != nil {
		return
	}
	help.Example = "  amphora help plan"
	explain := help.Run
	help.Run, help.RunE = nil, func(c *cobra.Command, args []string) error {
		if about, rest, _ := root.Find(args); len(rest) > 0 && about.HasSubCommands() {
			return about.RunE(about, rest)
		}
		explain(c, args)
		return nil
	}
}
