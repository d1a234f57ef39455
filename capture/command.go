package capture

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"sync"
	"sync/atomic"
	"time"
)

// Command is a program whose standard output is read. It is started without a
// shell and gets no input. When it ends it is started again, as often as any
// lost source is tried.
type Command struct {
	Args []string // the program and its arguments, each as it is
}

// Source checks the settings.
func (c Command) Source() (Source, error) {
	if len(c.Args) == 0 || c.Args[0] == "" {
		return Source{}, errors.New("exec names no program, want a list like [read-meter, --once]")
	}
	return Source{Name: "exec:" + strings.Join(c.Args, " "), Open: c.open}, nil
}

func (c Command) open(context.Context) (Stream, error) {
	r := &running{cmd: exec.Command(c.Args[0], c.Args[1:]...), patience: silentFirst}
	r.cmd.Stderr = &r.complaints
	r.cmd.WaitDelay = time.Second // a grandchild may keep the pipe
	ownGroup(r.cmd)
	out, err := r.cmd.StdoutPipe()
	if err != nil {
		return nil, fmt.Errorf("run %s: %w", c.Args[0], err)
	}
	if err := r.cmd.Start(); err != nil {
		return nil, fmt.Errorf("run %s: %w", c.Args[0], err)
	}
	r.pump = newPump(out)
	r.wait = sync.OnceValue(func() error {
		defer r.over.Store(true)
		return r.cmd.Wait()
	})
	return r, nil
}

// running is a started command.
type running struct {
	*pump
	cmd        *exec.Cmd
	complaints complaints
	wait       func() error // for its end, once it is near; how it ended
	over       atomic.Bool  // its number may belong to another process now

	patience   time.Duration // with what it started, once it has ended itself
	heard      time.Time     // when its last byte came; once it was seen to have ended, since then at least
	ended      bool
	said       bool
	complained bool // the last read gave a complaint
}

// Read gives what the command wrote. What it wrote to standard error comes as
// remarks, without breaking a line. Behind each of them a reading has precedence.
func (r *running) Read(p []byte) (int, error) {
	if !r.complained || !r.pump.waits() {
		if text := r.complaints.next(); text != "" {
			r.complained = true
			return 0, Remark{Text: "stderr: " + text}
		}
	}
	r.complained = false
	n, err := r.pump.Read(p)
	if n > 0 {
		r.heard = time.Now()
	} else if err == nil {
		err = r.orphan()
	}
	if !errors.Is(err, io.EOF) {
		return n, err
	}
	// It has closed its output, so it is about to end, or is of no use.
	late := time.AfterFunc(time.Second, r.kill)
	defer late.Stop()
	if err := r.wait(); err != nil {
		return n, fmt.Errorf("the command ended: %w%s", err, r.complaints.last())
	}
	return n, errors.New("the command ended" + r.complaints.last())
}

// orphan looks whether the command has ended, while something that it started keeps its
// output open: that may be what reads the meter, or may never write a byte. It is said
// once; what is silent for as long as any source may be at first is taken for the end.
func (r *running) orphan() error {
	if !r.ended {
		if r.ended = hasEnded(r.cmd.Process); r.ended {
			r.heard = time.Now() // its output is about to end, as a rule
		}
		return nil
	}
	quiet := time.Since(r.heard)
	switch {
	case quiet >= r.patience:
		return fmt.Errorf("the command ended, and what it started has been silent for %s%s", Spoken(quiet), r.complaints.last())
	case quiet >= tick && !r.said:
		r.said = true
		return Remark{Text: "the command ended, but something that it started keeps its output open; listening to that"}
	}
	return nil
}

func (r *running) kill() {
	if !r.over.Load() {
		killGroup(r.cmd.Process)
	}
}

// Close kills the command and what it started, and waits for it.
func (r *running) Close() error {
	r.kill()
	err := r.pump.Close()
	_ = r.wait() // how it ended when it was killed tells nothing
	return err
}

func (r *running) String() string {
	return fmt.Sprintf("%s, process %d", r.cmd.Args[0], r.cmd.Process.Pid)
}

// complaints keeps whole lines of standard error until they are asked for. A
// command that floods it loses the rest of the flood, not its readings.
type complaints struct {
	mu   sync.Mutex
	text bytes.Buffer
}

const complaintsMost = 16 << 10

// Write never fails: the command must not be stopped by its complaints.
func (c *complaints) Write(p []byte) (int, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.text.Write(p[:min(len(p), complaintsMost-c.text.Len())])
	return len(p), nil
}

// next takes the next whole line; empty when there is none.
func (c *complaints) next() string {
	c.mu.Lock()
	defer c.mu.Unlock()
	for {
		end := bytes.IndexByte(c.text.Bytes(), '\n')
		if end < 0 && c.text.Len() < complaintsMost {
			return ""
		}
		if end < 0 {
			end = c.text.Len() - 1
		}
		if line := strings.TrimSpace(string(c.text.Next(end + 1))); line != "" {
			return line
		}
	}
}

// last is what was said at the end, for the reason of the loss.
func (c *complaints) last() string {
	c.mu.Lock()
	defer c.mu.Unlock()
	text := strings.TrimSpace(c.text.String())
	if text == "" {
		return ""
	}
	return "; it said: " + text
}
