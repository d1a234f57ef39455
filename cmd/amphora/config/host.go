package config

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Host is the machine on which a configuration is read: what is plugged in, who
// may read a file, where files usually are.
type Host struct {
	Getenv func(string) string
	Root   string // stands in front of every path; empty on the machine itself
}

// Here is this machine.
func Here() Host { return Host{Getenv: os.Getenv} }

// real is where a path is found.
func (h Host) real(path string) string {
	if h.Root == "" {
		return path
	}
	return filepath.Join(h.Root, path)
}

func (h Host) stat(path string) (fs.FileInfo, error) { return os.Stat(h.real(path)) }

// Load reads the configuration at path on this machine.
func Load(path string) (*Config, []Problem) { return Here().Load(path) }

// Load reads the configuration at path and checks all of it. The Config is nil
// if it must not be started, see Forbidding.
func (h Host) Load(path string) (*Config, []Problem) {
	c, problems := h.load(path, nil)
	if Forbidding(problems) > 0 {
		return nil, problems
	}
	return c, problems
}

// load is Load with the Config as far as it could be read; nil if it could not be
// at all. Which keys are known where is told to offer.
func (h Host) load(path string, offer func(string, []string)) (*Config, []Problem) {
	r := &reader{host: h, file: path, claimed: map[string]node{}, offer: offer}
	text, err := readSome(h.real(path))
	if err != nil {
		r.failAt(place{}, "", "cannot be read: %v", reason(err))
		return nil, r.problems
	}
	body, ok := r.parse(text)
	if !ok {
		return nil, r.problems
	}
	c := r.config(node{value: body, at: placeOf(body)})
	sortProblems(r.problems)
	return c, r.problems
}

// readSome reads one byte more than a configuration may have, and not a whole
// disk that somebody named by mistake.
func readSome(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, mostBytes+1))
}

// reason is a file's error without the path, which the message has already.
func reason(err error) error {
	if e, ok := errors.AsType[*fs.PathError](err); ok {
		return e.Err
	}
	return err
}
