package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"amphora/cmd/amphora/config"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

func manualCommand(s streams) *cobra.Command {
	var date string
	c := &cobra.Command{
		Use:   "manual FOLDER",
		Short: "Write the manual pages",
		Long: "Writes into an existing folder what man(1) shows: a page for each command, made of the same text as its\n" +
			"--help, and amphora.yaml.5 for the configuration, which man looks for in the folder man5 beside man1.",
		Example: "  amphora manual ~/.local/share/man/man1\n  amphora manual --date 2026-11-25 pages",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if _, err := time.Parse(time.DateOnly, date); date != "" && err != nil {
				return usagef("--date %q: want a day like 2026-11-25", date)
			}
			pages := manual(c.Root(), date)
			for name, text := range pages {
				if err := os.WriteFile(filepath.Join(args[0], name), []byte(text), 0o644); err != nil {
					return fmt.Errorf("write the manual page: %w; name a folder that exists", err)
				}
			}
			_, err := fmt.Fprintf(s.out, "%s written to %s\n", counted(len(pages), "page"), args[0])
			return err
		},
	}
	c.Flags().StringVar(&date, "date", "", "the `day` that the pages bear, like 2026-11-25")
	return c
}

// exitMeanings are the exit statuses as the manual explains them.
var exitMeanings = []struct {
	status int
	means  string
}{
	{exitDone, "Done."},
	{exitFailed, "Failed while running."},
	{exitUsage, "Wrong use, or a configuration that cannot be used."},
	{exitUndecodable, "The input holds nothing that can be decoded."},
	{exitFound, "A finding was present that --fail-on asks for."},
}

// thing is what the manual explains by its name.
type thing struct{ name, means string }

var variables = []thing{
	{"AMPHORA_CONFIG", "The configuration, where no flag names one."},
	{"AMPHORA_DATA", "The data folder, where no flag names one."},
	{"NO_COLOR", "Where it is set, amphora watch uses no colour."},
}

var files = []thing{
	{"./amphora.yaml, ~/.config/amphora/amphora.yaml, /etc/amphora/amphora.yaml", "The configuration: the first that is there. The last is that of the service."},
	{"/var/lib/amphora", "The data folder of the service, as its configuration says: journal, logbook, and what waits to be sent."},
	{"~/.local/state/amphora", "The data folder where neither flag, nor variable, nor configuration names one."},
}

// manual makes all pages, by the name of their file.
func manual(root *cobra.Command, date string) map[string]string {
	pages := map[string]string{"amphora.yaml.5": configurationPage(root, date)}
	var add func(c *cobra.Command)
	add = func(c *cobra.Command) {
		pages[pageName(c)+".1"] = commandPage(c, date)
		for _, sub := range withPages(c) {
			add(sub)
		}
	}
	add(root)
	return pages
}

// pageName is what a command's page is called: man opens amphora-battery also when
// asked for "amphora battery".
func pageName(c *cobra.Command) string { return strings.ReplaceAll(c.CommandPath(), " ", "-") }

// withPages are the commands below one that have a page; help itself needs none.
func withPages(c *cobra.Command) (subs []*cobra.Command) {
	for _, sub := range c.Commands() {
		if sub.IsAvailableCommand() && sub.Name() != "help" {
			subs = append(subs, sub)
		}
	}
	return subs
}

func commandPage(c *cobra.Command, date string) string {
	p := newPage(pageName(c), "1", date, c.Root().Version, c.Short)
	p.section("SYNOPSIS")
	use := strings.TrimPrefix(c.UseLine(), c.CommandPath())
	if c.HasAvailableSubCommands() {
		use = " COMMAND"
	}
	p.line(`\fB` + roff(c.CommandPath()) + `\fR` + roff(use))
	p.section("DESCRIPTION")
	p.prose(c.Long)
	if c.Long == "" {
		p.prose(c.Short + ".")
	}
	see := []string{"amphora.yaml(5)"}
	if parent := c.Parent(); parent != nil {
		see = append(see, pageName(parent)+"(1)")
	}
	if subs := withPages(c); len(subs) > 0 {
		p.section("COMMANDS")
		for _, sub := range subs {
			p.item(`\fB`+roff(sub.Name())+`\fR`, sub.Short+".")
			see = append(see, pageName(sub)+"(1)")
		}
	}
	p.section("OPTIONS")
	c.InitDefaultHelpFlag()
	c.InitDefaultVersionFlag()
	c.LocalFlags().VisitAll(p.flag)
	c.InheritedFlags().VisitAll(p.flag)
	if !c.HasParent() {
		p.section("EXIT STATUS")
		for _, e := range exitMeanings {
			p.item(fmt.Sprintf(`\fB%d\fR`, e.status), e.means)
		}
		p.things("ENVIRONMENT", variables)
		p.things("FILES", files)
	}
	p.section("EXAMPLES")
	p.verbatim(c.Example)
	p.section("SEE ALSO")
	p.prose(strings.Join(see, ", "))
	return p.String()
}

// configurationPage is the commented example: its comments are the documentation.
func configurationPage(root *cobra.Command, date string) string {
	p := newPage("amphora.yaml", "5", date, root.Version, "Configuration of amphora")
	p.section("DESCRIPTION")
	p.prose("What amphora serve records, and where that is kept and shown. The example below, which amphora check --example prints, explains every setting.")
	p.section("EXAMPLES")
	p.verbatim(config.Example)
	p.things("FILES", files[:1])
	p.section("SEE ALSO")
	p.prose("amphora-serve(1), amphora-check(1)")
	return p.String()
}

// flag describes one flag, with its default where the text does not tell it.
func (p *page) flag(f *pflag.Flag) {
	if f.Hidden {
		return
	}
	value, usage := pflag.UnquoteUsage(f)
	name := `\fB` + roff("--"+f.Name) + `\fR`
	if f.Shorthand != "" {
		name = `\fB` + roff("-"+f.Shorthand) + `\fR, ` + name
	}
	if value != "" {
		name += ` \fI` + roff(value) + `\fR`
	}
	unset := f.DefValue == "" || f.DefValue == "false" || f.DefValue == "0"
	if !unset && !strings.Contains(usage, "(default") {
		usage += " (default: " + f.DefValue + ")"
	}
	p.item(name, usage)
}
