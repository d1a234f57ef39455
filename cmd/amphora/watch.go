package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"amphora/analyze"
	"amphora/dashboards/curve"
	"amphora/dashboards/live"
	"amphora/dashboards/report"
	"amphora/dashboards/terminal"

	"github.com/spf13/cobra"
)

func watchCommand(s streams) *cobra.Command {
	var w watch
	c := &cobra.Command{
		Use:   "watch SOURCE",
		Short: "Show one source live in the terminal",
		Long: "Shows readings, stage, ampere-hours, forecast, findings and a small curve of one source, and ends with\n" +
			"the summary when you press q. SOURCE is a serial port, a source like tcp:HOST:PORT, a file that grows,\n" +
			"- for standard input, or the address of a running daemon, like http://127.0.0.1:9724.\n" +
			"The lines are kept only while it runs, unless --data names a folder; `serve` records day and night.\n" +
			"Where the output is no terminal it prints a line now and then, and a file is read to its end.",
		Example: "  amphora watch '/dev/ttyUSB0?baud=9600'\n  amphora watch --battery mower --capacity 17Ah tcp:bridge.local:4001\n" +
			"  amphora watch http://127.0.0.1:9724 --channel bench",
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return w.run(c.Context(), s, args[0]) },
	}
	f := c.Flags()
	w.batteryFlags.register(f)
	f.StringVar(&w.decoder, "decoder", "auto", "how the lines are laid out: auto, or a setting as amphora shows it")
	f.StringVar(&w.data, "data", "", "keep the lines in this folder, as the daemon would")
	f.StringVar(&w.channel, "channel", "", "which channel of the daemon (default: its first)")
	f.StringVar(&w.tokenFile, "token-file", "", "a file with the daemon's token, where it wants one")
	f.BoolVar(&w.plain, "plain", false, "print a line now and then in place of the screen")
	f.BoolVar(&w.colourless, "no-color", false, "use no colour (also where NO_COLOR is set)")
	return c
}

type watch struct {
	batteryFlags
	decoder, data, channel, tokenFile string
	plain, colourless                 bool
}

// watched is a channel that can be looked at, here or in a daemon.
type watched interface {
	// run listens until the context ends or the source has ended.
	run(ctx context.Context) error
	// now is the channel as it stands; false before anything is known of it.
	now() (live.Channel, bool)
	// points is the curve so far, thinned to at most n points.
	points(n int) []curve.Point
	// remark is what is wrong with the watching itself.
	remark() string
	close() error
}

func (w *watch) run(ctx context.Context, s streams, source string) error {
	screen := openScreen(s)
	w.plain = w.plain || screen == nil
	from, err := w.open(ctx, s, source)
	if err != nil {
		return err
	}
	err = w.show(ctx, s, from, screen)
	if err = errors.Join(err, from.close()); err != nil {
		return err
	}
	return ending(s.out, from, source)
}

// ending tells at the end what was seen.
func ending(out io.Writer, from watched, source string) error {
	last, seen := from.now()
	if !seen && from.remark() != "" {
		return fmt.Errorf("%s: %s", report.Clean(source), from.remark())
	}
	if last.Session == nil {
		_, err := fmt.Fprintf(out, "No charge was seen on %s.\n", report.Clean(source))
		return err
	}
	return report.Session(out, *last.Session)
}

func (w *watch) open(ctx context.Context, s streams, source string) (watched, error) {
	if strings.HasPrefix(source, "http://") || strings.HasPrefix(source, "https://") {
		return openRemote(source, w.channel, w.tokenFile)
	}
	return w.openLocal(ctx, s, source)
}

const (
	drawEvery  = time.Second
	plainEvery = 10 * time.Second
)

// show draws until the source has ended, or somebody has seen enough.
func (w *watch) show(ctx context.Context, s streams, from watched, screen *screen) error {
	running, stop := context.WithCancel(ctx)
	defer stop()
	hangups := make(chan os.Signal, 1)
	signal.Notify(hangups, syscall.SIGHUP)
	defer signal.Stop(hangups)
	every, draw := plainEvery, func() error { return printPlain(s.out, from) }
	keys := make(chan byte)
	if !w.plain {
		if err := screen.begin(running, keys); err != nil {
			return err
		}
		defer screen.end()
		every, draw = drawEvery, func() error { return screen.draw(from, w.colour()) }
	}
	ran := make(chan error, 1)
	go func() { ran <- from.run(running) }()
	tick := time.NewTicker(every)
	defer tick.Stop()
	for err := draw(); ; err = draw() {
		if err != nil {
			stop()
			return errors.Join(err, <-ran)
		}
		select {
		case err := <-ran:
			return err
		case <-running.Done():
			return <-ran
		case <-hangups:
			stop()
		case k := <-keys:
			if k == 'q' || k == 3 { // Ctrl-C, which a raw terminal hands over as a byte
				stop()
			}
		case <-tick.C:
		}
	}
}

func (w *watch) colour() bool { return !w.colourless && os.Getenv("NO_COLOR") == "" }

// printPlain is the present state as one line, below what is wrong with the watching.
func printPlain(out io.Writer, from watched) error {
	if wrong := from.remark(); wrong != "" {
		if _, err := fmt.Fprintln(out, report.Clean(wrong)); err != nil {
			return err
		}
	}
	c, ok := from.now()
	if !ok {
		return nil
	}
	text, _ := terminal.Sentence(&c)
	at := ""
	if r := c.LastReading; r != nil && analyze.Known(r.AtS) {
		at = analyze.Clock(float64(r.AtS)) + "  "
	}
	_, err := fmt.Fprintln(out, at+report.Clean(text))
	return err
}
