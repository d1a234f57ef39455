package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"strings"

	"amphora/decoders"

	"github.com/spf13/cobra"
)

// Exit statuses.
const (
	exitDone        = 0
	exitFailed      = 1
	exitUsage       = 2
	exitUndecodable = 3
	exitFound       = 4 // a finding that --fail-on asked for
)

// errUsage marks wrong use of a command or of the configuration.
var errUsage = errors.New("wrong use")

// errFound marks a result that --fail-on asked to be told of.
var errFound = errors.New("found")

func usagef(format string, args ...any) error {
	return fmt.Errorf("%w: %w", errUsage, fmt.Errorf(format, args...))
}

// streams are what a command talks to.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// run is the whole program: it runs the command and returns the exit status.
func run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer) int {
	root := rootCommand(streams{in, out, errOut})
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errOut)
	ran, err := root.ExecuteContextC(ctx)
	switch {
	case err == nil:
		return exitDone
	case errors.Is(err, errFound):
		return exitFound
	case errors.Is(err, decoders.ErrUndecodable):
		fmt.Fprintln(errOut, "amphora:", err)
		return exitUndecodable
	case errors.Is(err, errUsage):
		fmt.Fprintf(errOut, "amphora: %s\nSee: %s --help\n", withoutMark(err), ran.CommandPath())
		return exitUsage
	}
	fmt.Fprintln(errOut, "amphora:", err)
	return exitFailed
}

// withoutMark is the message of a usage error without the mark itself.
func withoutMark(err error) string {
	return strings.Replace(err.Error(), errUsage.Error()+": ", "", 1)
}

func rootCommand(s streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "amphora",
		Short: "Plan, record and judge the charging of batteries",
		Long: "amphora plans the charge of a battery from its label, records a meter's or charger's serial text\n" +
			"all night, finds the stages of the charge and says what went in, how sure that is, and how it came out.\n\n" +
			"It only listens: it never controls a charger, and it is no safety device.",
		Example:       "  amphora analyze night.csv\n  amphora demo",
		Version:       version(),
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.SetVersionTemplate("amphora {{.Version}}\n")
	root.SetFlagErrorFunc(explainFlag)
	root.AddCommand(analyzeCommand(s), identifyCommand(s), planCommand(s), batteryCommand(s), readingCommand(s), sessionCommand(s), logbookCommand(s), reportCommand(s),
		portsCommand(s), journalCommand(s), checkCommand(s), notifyCommand(s), serveCommand(s), demoCommand(s), watchCommand(s), completionCommand(s), manualCommand(s))
	asGroup(root)
	explainHelp(root)
	complete(root)
	explainArgs(root)
	return root
}

// stamp is the version that a release is given at its build:
// go build -ldflags "-X main.stamp=1.2.3".
var stamp string

// version is what the build knows of itself.
func version() string {
	if stamp != "" {
		return stamp
	}
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" {
		return "(unknown build)"
	}
	return info.Main.Version
}
