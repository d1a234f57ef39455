package notify

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"text/template"
	"time"
)

// Command runs a program, without a shell. The notification as JSON is its standard
// input, and its fields are in its environment as AMPHORA_TITLE and so on.
type Command struct {
	args []*template.Template
	text []string
}

// Fields are what the templates of a command may use. Where a notification is of
// several events, they are those of the worst.
type Fields struct {
	ID, Title, Message, Severity, Kind, Channel, Battery, Session, Code, Time string
}

const (
	commandLimit = 30 * time.Second
	// waitDelay is how long a grandchild may keep a pipe open after that.
	waitDelay = time.Second
)

// NewCommand reads a program and its arguments, each a template over Fields.
func NewCommand(args []string) (*Command, error) {
	if len(args) == 0 || args[0] == "" {
		return nil, fmt.Errorf("command names no program, want a list like [notify-send, %q]", "{{.Title}}")
	}
	if strings.Contains(args[0], "{{") {
		return nil, fmt.Errorf("the program %q is itself to be filled in, and no message may choose what runs", args[0])
	}
	c := &Command{text: args}
	for k, arg := range args {
		t, err := template.New("argument").Parse(arg)
		if err != nil {
			return nil, fmt.Errorf("argument %d %q cannot be filled in: %w", k, arg, err)
		}
		if err := t.Execute(io.Discard, Fields{}); err != nil {
			return nil, fmt.Errorf("argument %d %q cannot be filled in with what there is, {{.Title}}, {{.Message}}, {{.Severity}}, {{.Kind}}, {{.Code}}, {{.Channel}}, {{.Battery}}, {{.Session}}, {{.Time}} and {{.ID}}", k, arg)
		}
		c.args = append(c.args, t)
	}
	return c, nil
}

// Name is the kind and the program.
func (c *Command) Name() string { return "command " + filepath.Base(c.text[0]) }

func (c *Command) limit() time.Duration { return commandLimit }

// Send runs the program and waits until it has ended.
func (c *Command) Send(ctx context.Context, n *Notification) error {
	body, err := n.body()
	if err != nil {
		return err
	}
	f := n.fields()
	argv, err := c.fill(f)
	if err != nil {
		return err
	}
	cmd := exec.CommandContext(ctx, argv[0], argv[1:]...)
	cmd.Stdin = bytes.NewReader(body)
	cmd.Env = append(os.Environ(), f.environment()...)
	cmd.WaitDelay = waitDelay
	ownGroup(cmd)
	cmd.Cancel = func() error { return killGroup(cmd.Process) }
	err = cmd.Run()
	if cmd.Process != nil {
		_ = killGroup(cmd.Process) // what it left behind
	}
	if ctx.Err() != nil {
		return fmt.Errorf("the command was ended: it had not finished after %s", commandLimit)
	}
	if err != nil {
		return fmt.Errorf("the command failed: %w", err)
	}
	return nil
}

// fill makes the arguments. One that a text would turn into an option gets a blank
// in front.
func (c *Command) fill(f Fields) ([]string, error) {
	argv := make([]string, len(c.args))
	for k, t := range c.args {
		var b strings.Builder
		if err := t.Execute(&b, f); err != nil {
			return nil, fmt.Errorf("fill in argument %d: %w", k, err)
		}
		argv[k] = strings.ReplaceAll(b.String(), "\x00", "")
		if strings.HasPrefix(argv[k], "-") && !strings.HasPrefix(c.text[k], "-") {
			argv[k] = " " + argv[k]
		}
	}
	return argv, nil
}

func (n *Notification) fields() Fields {
	first := worst(n.Events)
	return Fields{
		ID: n.ID, Title: n.Title, Message: n.Message, Severity: string(n.Severity), Kind: string(first.Kind),
		Channel: clean(first.Channel), Battery: clean(first.Battery), Session: clean(first.Session), Code: first.Code,
		Time: n.At.Format(time.RFC3339),
	}
}

func (f Fields) environment() []string {
	return []string{
		"AMPHORA_ID=" + f.ID, "AMPHORA_TITLE=" + f.Title, "AMPHORA_MESSAGE=" + f.Message, "AMPHORA_SEVERITY=" + f.Severity,
		"AMPHORA_KIND=" + f.Kind, "AMPHORA_CHANNEL=" + f.Channel, "AMPHORA_BATTERY=" + f.Battery,
		"AMPHORA_SESSION=" + f.Session, "AMPHORA_CODE=" + f.Code, "AMPHORA_TIME=" + f.Time,
	}
}
