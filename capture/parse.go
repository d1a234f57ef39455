package capture

import (
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Parse reads a source as it is written on a command line:
//
//	serial:/dev/serial/by-id/...?baud=9600&bits=8&parity=none&stop=1&dtr=off&rts=on
//	tcp:bridge.local:4001?silence=2m
//	file:/var/log/meter.csv?from=end     a FIFO too
//	stdin: or -
//	exec:read-meter --once               split at blanks, without a shell
//
// A bare path is a serial port if it lies in /dev, or on Windows is called COM3 or the like, else a file.
func Parse(spec string) (Source, error) {
	kind, rest, colon := strings.Cut(spec, ":")
	switch {
	case spec == "-" || spec == "stdin:" || spec == "stdin":
		return Stdin(os.Stdin), nil
	case colon && kind == "serial":
		return parseSerial(rest)
	case colon && kind == "tcp":
		return parseTCP(rest)
	case colon && kind == "file":
		return parseFile(rest)
	case colon && kind == "exec":
		return Command{Args: strings.Fields(rest)}.Source()
	case IsPort(spec):
		return parseSerial(spec)
	}
	if _, err := os.Stat(spec); err == nil {
		return File{Path: spec}.Source()
	}
	return Source{}, fmt.Errorf("source %q is no file here and none of serial:PORT, tcp:HOST:PORT, file:PATH, stdin: or exec:COMMAND", spec)
}

// IsPort says whether a bare path, with settings behind it or not, means a serial
// port, also one that is not plugged in just now.
func IsPort(path string) bool {
	path, _, _ = strings.Cut(path, "?")
	if namesPort(path, runtime.GOOS) {
		return true
	}
	info, err := os.Stat(path)
	return err == nil && info.Mode()&fs.ModeCharDevice != 0
}

// comPort is what Windows calls its ports; elsewhere a file may have that name.
const comPort = `(?i)^COM[1-9][0-9]*$`

func namesPort(path, system string) bool {
	if system == "windows" {
		return regexp.MustCompile(comPort).MatchString(path)
	}
	return strings.HasPrefix(path, "/dev/tty") || strings.HasPrefix(path, "/dev/serial/") || strings.HasPrefix(path, "/dev/cu.")
}

func parseSerial(spec string) (Source, error) {
	port, o, err := settings("serial", spec, "baud", "bits", "parity", "stop", "dtr", "rts", "expect")
	if err != nil {
		return Source{}, err
	}
	c := Serial{Port: port, Parity: o.get("parity"), Stop: o.get("stop"), Expect: o.get("expect")}
	c.Baud, c.Bits = o.number("baud"), o.number("bits")
	c.DTR, c.RTS = o.onOff("dtr"), o.onOff("rts")
	if o.err != nil {
		return Source{}, o.err
	}
	return c.Source()
}

func parseTCP(spec string) (Source, error) {
	address, o, err := settings("tcp", spec, "silence")
	if err != nil {
		return Source{}, err
	}
	c := TCP{Address: strings.TrimPrefix(address, "//")}
	if text := o.get("silence"); text != "" {
		if c.Silence, err = time.ParseDuration(text); err != nil || c.Silence <= 0 {
			return Source{}, fmt.Errorf("tcp silence %q is not a duration, want text like 90s or 5m", text)
		}
	}
	return c.Source()
}

// parseFile keeps a question mark that belongs to the file's name.
func parseFile(spec string) (Source, error) {
	if path, at, found := strings.Cut(spec, "?from="); found {
		if at != "start" && at != "end" {
			return Source{}, fmt.Errorf("file from %q is not known, want start or end", at)
		}
		return File{Path: path, FromEnd: at == "end"}.Source()
	}
	return File{Path: spec}.Source()
}

// options are the settings behind the question mark; the first that cannot be
// read is kept as the error.
type options struct {
	kind   string
	values url.Values
	err    error
}

func settings(kind, spec string, known ...string) (path string, o *options, err error) {
	path, query, _ := strings.Cut(spec, "?")
	values, err := url.ParseQuery(query)
	if err != nil {
		return "", nil, fmt.Errorf("%s settings %q: %w", kind, query, err)
	}
	for name := range values {
		if !slices.Contains(known, name) {
			return "", nil, fmt.Errorf("%s has no setting %q, want one of %s", kind, name, strings.Join(known, ", "))
		}
	}
	return path, &options{kind: kind, values: values}, nil
}

func (o *options) get(name string) string { return o.values.Get(name) }

func (o *options) number(name string) int {
	text := o.get(name)
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil || n <= 0 {
		o.fail(name, text, "want a number like 9600")
	}
	return n
}

func (o *options) onOff(name string) *bool {
	text := o.get(name)
	on := text == "on"
	switch text {
	case "":
		return nil
	case "on", "off":
	default:
		o.fail(name, text, "want on or off")
	}
	return &on
}

func (o *options) fail(name, text, want string) {
	if o.err == nil {
		o.err = fmt.Errorf("%s %s %q is not known, %s", o.kind, name, text, want)
	}
}
