package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"strings"
	"time"

	"amphora/analyze"
	"amphora/analyze/madeup"
	"amphora/capture"
	"amphora/cmd/amphora/daemon"
	"amphora/dashboards/live"
	"amphora/dashboards/report"
	"amphora/dashboards/web"

	"github.com/spf13/cobra"
)

// demoNight is the made-up night that the demo plays.
const demoNight = "mower-float"

// demoLasts is how long the whole night takes unless told otherwise.
const demoLasts = 2 * time.Minute

func demoCommand(s streams) *cobra.Command {
	var d demo
	c := &cobra.Command{
		Use:   "demo",
		Short: "Show the whole thing with no hardware: a made-up night, recorded and judged",
		Long: "Opens a pseudo-terminal, or where there is none a TCP port, plays an invented night of charging into it\n" +
			"as a charger would, and runs the very daemon on it in a temporary folder: journal, analysis, page,\n" +
			"metrics. The battery, its charger and every reading are invented.",
		Example: "  amphora demo\n  amphora demo --speed 2000 --exit",
		Args:    cobra.NoArgs,
		RunE:    func(c *cobra.Command, _ []string) error { return d.run(c.Context(), s) },
	}
	f := c.Flags()
	f.Float64Var(&d.speed, "speed", 0, "how much faster than real time (default: so that the night takes about two minutes)")
	f.BoolVar(&d.exit, "exit", false, "end with the night instead of keeping the page up")
	f.StringVar(&d.listen, "listen", "127.0.0.1:0", "address of the page")
	f.StringVar(&d.night, "night", demoNight, "which made-up night: "+strings.Join(nightNames(), ", "))
	return c
}

type demo struct {
	speed  float64
	exit   bool
	listen string
	night  string
}

func nightNames() []string {
	var names []string
	for _, n := range madeup.All() {
		names = append(names, n.Name)
	}
	return names
}

func (d *demo) find() (madeup.Night, error) {
	for _, n := range madeup.All() {
		if n.Name == d.night {
			return n, nil
		}
	}
	return madeup.Night{}, usagef("no made-up night is called %q; there are %s", d.night, strings.Join(nightNames(), ", "))
}

func (d *demo) run(ctx context.Context, s streams) error {
	night, err := d.find()
	if err != nil {
		return err
	}
	if !(d.speed >= 0) { // nor what is no number
		return usagef("--speed %g: want a number above zero, like 300", d.speed)
	}
	length := lengthOf(night)
	if d.speed == 0 {
		d.speed = length / demoLasts.Seconds()
	}
	battery := demoBattery(night)
	data, err := demoFolder(ctx, battery)
	if err != nil {
		return err
	}
	defer os.RemoveAll(data)
	stage, err := openStage()
	if err != nil {
		return err
	}
	defer stage.Close()
	source, err := stage.source()
	if err != nil {
		return err
	}
	h, err := openHouse(ctx, daemon.Config{
		Data: data, Clock: capture.SystemClock{}, Log: slog.New(slog.DiscardHandler),
		Channels: []daemon.Settings{{
			Name: "demo", Source: source, Decoder: "auto",
			Options: analyze.Options{Channel: "demo", Battery: battery.Name}, Silence: time.Minute,
		}},
	}, d.listen, web.Access{}, slog.New(slog.DiscardHandler))
	if err != nil {
		return err
	}
	if h.listener == nil {
		return errors.Join(fmt.Errorf("another program holds %s: say another address with --listen", d.listen), h.close())
	}
	fmt.Fprintf(s.out, "Everything in this demo is invented: %s\n", night.Story)
	fmt.Fprintf(s.out, "  port   %s, played %.0f times faster than it happened\n", stage.name(), d.speed)
	if remark := stage.remark(); remark != "" {
		fmt.Fprintf(s.out, "         %s\n", remark)
	}
	fmt.Fprintf(s.out, "  data   %s, removed at the end\n  page   %s\n\n", data, h.address())

	running, stop := context.WithCancel(ctx)
	defer stop()
	ran := make(chan error, 1)
	go func() { ran <- h.run(running) }()
	played := make(chan error, 1)
	go func() { played <- stage.play(running, night, d.speed) }()
	err = d.watch(running, s.out, h.daemon.Hub(), length, played)
	if err == nil && !d.exit && ctx.Err() == nil {
		fmt.Fprintf(s.out, "\nThe night is over; the page stays up at %s until Ctrl-C.\n", h.address())
		<-ctx.Done()
	}
	stop()
	return errors.Join(err, <-ran, h.close())
}

func lengthOf(n madeup.Night) float64 {
	end := 0.0
	for s := range n.Samples() {
		end = s.At
	}
	return end
}

const glanceEvery = 50 * time.Millisecond

// watch shows progress until the night has been played and understood, then the
// summary. A line comes when the sums have been worked out anew: readings are newer than
// sums, and here seconds are hours.
func (d *demo) watch(ctx context.Context, out io.Writer, hub *live.Hub, length float64, played <-chan error) error {
	tick := time.NewTicker(glanceEvery)
	defer tick.Stop()
	told := -1.0
	for {
		select {
		case <-ctx.Done():
			return nil
		case <-tick.C:
			if c, ok := hub.Get("demo"); ok && c.Session != nil && lastSecond(c.Session) > told {
				told = lastSecond(c.Session)
				fmt.Fprintln(out, progress(c))
			}
		case err := <-played:
			if err != nil {
				return err
			}
			return d.summary(ctx, out, hub, length)
		}
	}
}

func progress(c live.Channel) string {
	line := fmt.Sprintf("  %11s", analyze.Clock(lastSecond(c.Session)))
	if r := c.LastReading; r != nil {
		line += fmt.Sprintf("  %6.2f V  %6.2f A", float64(r.Volts), float64(r.Amps))
	}
	return line + fmt.Sprintf("  %s, %.2f Ah in", c.Stage, float64(c.Session.ChargeInAh))
}

// summary waits until the last row has come through, and tells what was found. It gives
// up when nothing has come for ten seconds: a small machine may be far behind.
func (d *demo) summary(ctx context.Context, out io.Writer, hub *live.Hub, length float64) error {
	far := -1.0
	for idle := 0; idle < 200; idle++ {
		c, ok := hub.Get("demo")
		if ok && c.Session != nil && lastSecond(c.Session) >= length-1 {
			fmt.Fprintln(out)
			return report.Session(out, *c.Session)
		}
		if ok && c.LastReading != nil && float64(c.LastReading.AtS) > far {
			far, idle = float64(c.LastReading.AtS), 0
		}
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(50 * time.Millisecond):
		}
	}
	return errors.New("the demo's night did not come through to its end; please report this")
}

// lastSecond is the time of the last row that a summary knows of, s.
func lastSecond(s *analyze.Session) float64 {
	if len(s.Stages) == 0 {
		return float64(s.EndS) // no charge, and so all of the log
	}
	return float64(s.Stages[len(s.Stages)-1].EndS)
}
