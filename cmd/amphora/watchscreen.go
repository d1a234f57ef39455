package main

import (
	"context"
	"io"
	"os"
	"strings"

	"amphora/dashboards/terminal"

	"golang.org/x/term"
)

// screen is a terminal that is drawn on and left as it was found.
type screen struct {
	out    *os.File
	in     *os.File // nil where keys cannot be read
	before *term.State
}

// openScreen takes the terminal, nil where the output is none that can be drawn on.
func openScreen(s streams) *screen {
	out, ok := s.out.(*os.File)
	if !ok || !term.IsTerminal(int(out.Fd())) || !drawable() {
		return nil
	}
	sc := &screen{out: out}
	if in, ok := s.in.(*os.File); ok && term.IsTerminal(int(in.Fd())) {
		sc.in = in
	}
	return sc
}

// drawable tells whether the terminal shows more than plain text.
func drawable() bool {
	if t := os.Getenv("TERM"); t == "" || t == "dumb" {
		return false
	}
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := strings.ToLower(os.Getenv(name)); v != "" {
			return strings.Contains(v, "utf-8") || strings.Contains(v, "utf8")
		}
	}
	return true
}

// Control functions of ECMA-48, and the widespread modes for a second screen and
// the cursor.
const (
	enter = "\x1b[?1049h\x1b[?25l"
	leave = "\x1b[?25h\x1b[?1049l"
	home  = "\x1b[H"
	wipe  = "\x1b[K" // to the end of the line
	below = "\x1b[J"
)

func (s *screen) begin(ctx context.Context, keys chan<- byte) error {
	if s.in != nil {
		var err error
		if s.before, err = term.MakeRaw(int(s.in.Fd())); err != nil {
			return err
		}
		go s.read(ctx, keys)
	}
	_, err := io.WriteString(s.out, enter)
	return err
}

// read hands the keys on. It ends with the program: a read of a terminal cannot be
// called off.
func (s *screen) read(ctx context.Context, keys chan<- byte) {
	var b [1]byte
	for {
		if n, err := s.in.Read(b[:]); n == 0 || err != nil {
			return
		}
		select {
		case keys <- b[0]:
		case <-ctx.Done():
			return
		}
	}
}

// end leaves the terminal as it was.
func (s *screen) end() {
	_, _ = io.WriteString(s.out, leave) // who has hung up does not see it
	if s.before != nil {
		_ = term.Restore(int(s.in.Fd()), s.before)
	}
}

// draw shows the present state. The size is asked anew each time: windows change.
func (s *screen) draw(from watched, colour bool) error {
	width, height, err := term.GetSize(int(s.out.Fd()))
	if err != nil || width <= 0 || height <= 0 {
		width, height = 80, 24
	}
	v := terminal.View{Points: from.points(4 * width), Remark: from.remark(), Keys: "q ends, with the summary"}
	if s.in == nil {
		v.Keys = "Ctrl-C ends, with the summary"
	}
	v.Channel, _ = from.now()
	var b strings.Builder
	b.WriteString(home)
	for k, line := range terminal.Lines(v, terminal.Size{Width: width, Height: height, Colour: colour}) {
		if k > 0 {
			b.WriteString("\r\n")
		}
		b.WriteString(line + wipe)
	}
	b.WriteString(below)
	_, err = io.WriteString(s.out, b.String())
	return err
}
