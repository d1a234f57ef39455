package config

import (
	"errors"
	"io/fs"
	"os/exec"
	"time"

	"amphora/capture"

	"github.com/goccy/go-yaml/ast"
)

// A reading of one meter is merged with those of the other within the skew. By
// default that is one beat of a slow meter; more would merge a night with minutes
// that it does not belong to.
const (
	defaultSkew = 5 * time.Second
	skewMost    = 10 * time.Minute
)

// feeds reads source: of a channel: one meter into feed, two into the channel.
func (r *reader) feeds(c *Channel, feed *Feed) func(node) {
	return func(n node) {
		if !hasKey(n, "voltage") && !hasKey(n, "current") {
			r.oneOf(n, r.sources(&feed.Source))
			return
		}
		c.Feeds = []Feed{{Of: "voltage"}, {Of: "current"}}
		c.Skew = defaultSkew
		seen := r.mapping(n, keys{
			"voltage": r.half(&c.Feeds[0]),
			"current": r.half(&c.Feeds[1]),
			"skew":    r.duration(&c.Skew, "s", skewMost),
		})
		r.need(n, seen, "voltage", "current")
	}
}

// half reads one of two meters: a source with its decoder beside it.
func (r *reader) half(f *Feed) func(node) {
	return func(n node) {
		known := r.sources(&f.Source)
		known["decoder"] = r.decoder(&f.Decoder)
		seen := r.mapping(n, known)
		decoder := seen["decoder"]
		delete(seen, "decoder")
		if seen != nil && len(seen) != 1 {
			r.fail(n, "want exactly one source, got %d", len(seen))
		}
		if f.Source.File != nil && !f.Source.File.FromEnd {
			r.fail(n, "two meters are put in order by when their lines arrive, so of a log file only what is new can be used: add from-end: true")
		}
		f.settle()
		r.needBoth(n, f)
		r.readsBoth(decoder, f)
	}
}

// settle sets the decoder of a meter that is asked, unless the owner chose one.
func (f *Feed) settle() {
	if f.Decoder == nil {
		f.Decoder = f.Source.decoder()
	}
}

func hasKey(n node, name string) bool {
	m, ok := n.value.(*ast.MappingNode)
	if !ok {
		return false
	}
	for _, entry := range m.Values {
		if text, _ := scalar(entry.Key); text == name {
			return true
		}
	}
	return false
}

func (r *reader) sources(s *Source) keys {
	return keys{
		"serial": r.serial(&s.Serial),
		"tcp":    r.tcp(&s.TCP),
		"file":   r.logFile(&s.File),
		"stdin":  r.stdin(&s.Stdin),
		"exec":   r.exec(&s.Exec),
		"scpi":   r.scpi(&s.SCPI),
		"modbus": r.modbus(&s.Modbus),
	}
}

func (r *reader) serial(p **capture.Serial) func(node) {
	return func(n node) {
		c := &capture.Serial{}
		*p = c
		before := len(r.problems)
		var dtr, rts bool
		seen := r.mapping(n, keys{
			"port":   r.port(&c.Port),
			"baud":   r.baud(&c.Baud),
			"bits":   r.count(&c.Bits, 5, 8),
			"parity": r.word(&c.Parity, "none", "odd", "even", "mark", "space"),
			"stop":   r.word(&c.Stop, "1", "1.5", "2"),
			"dtr":    r.truth(&dtr),
			"rts":    r.truth(&rts),
			"expect": r.text(&c.Expect, "a regular expression that a line of this device matches"),
		})
		r.need(n, seen, "port")
		if _, ok := seen["dtr"]; ok {
			c.DTR = &dtr
		}
		if _, ok := seen["rts"]; ok {
			c.RTS = &rts
		}
		r.settled(n, before, func() error { _, err := c.Source(); return err })
	}
}

// settled asks capture itself for its opinion, where nothing else is wrong
// with a source, since it is the one that will have to run it.
func (r *reader) settled(n node, before int, ask func() error) {
	for _, p := range r.problems[before:] {
		if !p.Warning {
			return
		}
	}
	if err := ask(); err != nil {
		r.fail(n, "%v", err)
	}
}

func (r *reader) tcp(p **capture.TCP) func(node) {
	return func(n node) {
		c := &capture.TCP{}
		*p = c
		before := len(r.problems)
		seen := r.mapping(n, keys{
			"address": r.text(&c.Address, "host:port"),
			"silence": r.duration(&c.Silence, "s", 24*time.Hour),
		})
		r.need(n, seen, "address")
		r.settled(n, before, func() error { _, err := c.Source(); return err })
	}
}

func (r *reader) logFile(p **capture.File) func(node) {
	return func(n node) {
		c := &capture.File{}
		*p = c
		r.need(n, r.mapping(n, keys{
			"path":     r.logPath(&c.Path),
			"from-end": r.truth(&c.FromEnd),
		}), "path")
	}
}

// logPath reads where a log is, which may come later, as a port may.
func (r *reader) logPath(p *string) func(node) {
	return func(n node) {
		r.path(p, "a log file")(n)
		if *p == "" {
			return
		}
		info, err := r.host.stat(*p)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			r.warn(n, "%s is not there now; it is read once it is", *p)
		case err == nil && info.IsDir():
			r.fail(n, "%s is a folder, want a log file or a pipe", *p)
		}
	}
}

// stdin takes nothing or an empty mapping.
func (r *reader) stdin(p *bool) func(node) {
	return func(n node) {
		*p = true
		if _, empty := n.value.(*ast.NullNode); !empty {
			r.mapping(n, keys{})
		}
		r.claim(n, "stdin", "standard input is read by the channel")
	}
}

// program warns of one that cannot be started now. Whoever runs the recorder may find
// others than whoever asks.
func (r *reader) program(n node, args []string) {
	if len(args) == 0 || r.host.Root != "" {
		return
	}
	if _, err := exec.LookPath(args[0]); err != nil {
		r.warn(n, "the program %q is not found here; write its whole path, or install it", args[0])
	}
}

// exec takes a list of arguments, bare or under args.
func (r *reader) exec(p **capture.Command) func(node) {
	return func(n node) {
		c := &capture.Command{}
		*p = c
		args := r.texts(&c.Args, "a program and its arguments, like [read-meter, --once]")
		if _, bare := n.value.(*ast.SequenceNode); bare {
			args(n)
		} else {
			r.need(n, r.mapping(n, keys{"args": args}), "args")
		}
		r.program(n, c.Args)
		r.checkWriters(n)
	}
}
