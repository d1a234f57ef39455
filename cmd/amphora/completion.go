package main

import (
	"context"
	"io"
	"maps"
	"slices"
	"strings"

	"amphora/analyze"
	"amphora/analyze/logbook"
	"amphora/capture/journal"

	"github.com/spf13/cobra"
)

// shells are those that completion can be made for.
var shells = map[string]func(root *cobra.Command, w io.Writer) error{
	"bash":       func(root *cobra.Command, w io.Writer) error { return root.GenBashCompletionV2(w, true) },
	"fish":       func(root *cobra.Command, w io.Writer) error { return root.GenFishCompletion(w, true) },
	"powershell": (*cobra.Command).GenPowerShellCompletionWithDesc,
	"zsh":        (*cobra.Command).GenZshCompletion,
}

func completionCommand(s streams) *cobra.Command {
	names := slices.Sorted(maps.Keys(shells))
	return &cobra.Command{
		Use:   "completion " + strings.Join(names, "|"),
		Short: "Print what makes a shell complete amphora's commands",
		Long: "Prints a script for " + strings.Join(names, ", ") + ". Load it when the shell starts; in bash it needs the package\n" +
			"bash-completion.",
		Example:   "  source <(amphora completion bash)\n  amphora completion fish >~/.config/fish/completions/amphora.fish",
		ValidArgs: names,
		Args:      cobra.MatchAll(cobra.ExactArgs(1), cobra.OnlyValidArgs),
		RunE:      func(c *cobra.Command, args []string) error { return shells[args[0]](c.Root(), s.out) },
	}
}

// complete gives every command completion of the names that its arguments and
// flags mean. The first word behind the command in Use, such as BATTERY, says what its first
// argument is.
func complete(root *cobra.Command) {
	arguments := map[string]func(*cobra.Command) []string{"BATTERY": batteriesKnown, "ID": sessionsKnown}
	flags := map[string]func(*cobra.Command) []string{"battery": batteriesKnown, "chemistry": chemistriesKnown, "channel": channelsKnown, "before": sessionsKnown}
	for _, c := range root.Commands() {
		complete(c)
		for flag, known := range flags {
			if c.Flags().Lookup(flag) != nil {
				// It fails only for a flag that is not there.
				_ = c.RegisterFlagCompletionFunc(flag, func(c *cobra.Command, _ []string, _ string) ([]string, cobra.ShellCompDirective) {
					return known(c), cobra.ShellCompDirectiveNoFileComp
				})
			}
		}
		what := strings.Trim(strings.TrimPrefix(c.Use, c.Name()+" "), "[]")
		what, _, _ = strings.Cut(what, " ")
		if known := arguments[what]; known != nil {
			c.ValidArgsFunction = func(c *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
				if len(args) > 0 {
					return nil, cobra.ShellCompDirectiveNoFileComp
				}
				return known(c), cobra.ShellCompDirectiveNoFileComp
			}
		}
	}
}

// dataOf is the data folder that a command line being completed means. A
// command without the flag gets the default one.
func dataOf(c *cobra.Command) *dataFlag {
	d := &dataFlag{}
	if f := c.Flag("data"); f != nil {
		d.given = f.Value.String()
	}
	return d
}

func chemistriesKnown(*cobra.Command) []string { return analyze.ChemistryNames() }

// batteriesKnown and the others offer nothing where there is nothing to read:
// completion is no place for complaints.
func batteriesKnown(c *cobra.Command) (names []string) {
	_ = dataOf(c).readBook(contextOf(c), func(book *logbook.Book) error {
		all, err := book.Batteries(contextOf(c))
		for _, b := range all {
			names = append(names, b.Name)
		}
		return err
	})
	return names
}

func sessionsKnown(c *cobra.Command) (ids []string) {
	_ = dataOf(c).readBook(contextOf(c), func(book *logbook.Book) error {
		all, err := book.Sessions(contextOf(c), logbook.Filter{})
		for _, s := range all {
			ids = append(ids, s.Summary.ID)
		}
		return err
	})
	return ids
}

func channelsKnown(c *cobra.Command) []string {
	dir, err := dataOf(c).folder()
	if err != nil {
		return nil
	}
	names, err := journal.Channels(dir)
	if err != nil {
		return nil
	}
	return names
}

// contextOf is the command's context; while a line is being completed it may
// have none.
func contextOf(c *cobra.Command) context.Context {
	if ctx := c.Context(); ctx != nil {
		return ctx
	}
	return context.Background()
}
