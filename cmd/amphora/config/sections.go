package config

import (
	"strconv"
	"strings"
	"time"

	"amphora/analyze/logbook"
	"amphora/capture/journal"
)

// config reads the whole file.
func (r *reader) config(n node) *Config {
	c := &Config{File: r.file, Listen: DefaultListen}
	seen := r.mapping(n, keys{
		"data":     r.path(&c.Data, "a folder"),
		"listen":   r.address(&c.Listen),
		"channels": r.channels(&c.Channels),
		"journal":  r.journal(&c.Journal),
		"notify":   r.notify(&c.Notify),
		"telling":  r.telling(&c.Telling),
		"push":     r.push(&c.Push),
		"access":   r.access(&c.Access),
	})
	r.need(n, seen, "channels")
	r.checkAccess(seen["listen"], c)
	return c
}

func (r *reader) channels(p *[]Channel) func(node) {
	return func(n node) {
		if r.list(n, func(n node) { *p = append(*p, r.channel(n)) }) == 0 {
			r.fail(n, "there is none, so there is nothing to record; `amphora check --example` shows one")
		}
	}
}

// name reads a name that journal, logbook and page can all carry. The logbook
// is the strictest of them.
func (r *reader) name(p *string) func(node) {
	return func(n node) {
		text, ok := r.scalar(n, "a name")
		if !ok {
			return
		}
		if _, err := logbook.NewBattery(logbook.Fields{"name": text}); err != nil {
			r.fail(n, "%s", strings.TrimPrefix(err.Error(), "name "))
			return
		}
		*p = text
	}
}

// claim takes what only one channel can have; identity is what makes it the
// same thing.
func (r *reader) claim(n node, identity, problem string) bool {
	first, taken := r.claimed[identity]
	if taken {
		r.fail(n, "%s in line %d already", problem, first.at.line)
		return false
	}
	r.claimed[identity] = n
	return true
}

func (r *reader) journal(p *Journal) func(node) {
	return func(n node) {
		days := 0
		r.mapping(n, keys{
			"sync":      r.duration(&p.Sync, "s", journal.MaxSyncEvery),
			"keep-days": r.count(&days, 1, 36500),
			"min-free":  r.size(&p.MinFree),
		})
		p.Keep = time.Duration(days) * 24 * time.Hour
	}
}

// sizes are the units of a size, in bytes: those of the SI, and of IEC 80000-13.
var sizes = map[string]float64{
	"B": 1, "kB": 1e3, "MB": 1e6, "GB": 1e9, "TB": 1e12,
	"KiB": 1 << 10, "MiB": 1 << 20, "GiB": 1 << 30, "TiB": 1 << 40,
}

// size reads a number of bytes.
func (r *reader) size(p *uint64) func(node) {
	return func(n node) {
		const want = "want a size like 500MB or 2GiB"
		text, ok := r.scalar(n, "a size like 500MB")
		if !ok {
			return
		}
		text = strings.TrimSpace(text)
		number := strings.TrimRight(text, "BKMGTkbi ")
		value, err := strconv.ParseFloat(number, 64)
		unit, known := sizes[strings.TrimSpace(text[len(number):])]
		switch {
		case err != nil:
			r.fail(n, "%q is not a size, %s", text, want)
		case !known:
			r.fail(n, "%q: the unit is not one of B, kB, MB, GB, TB, KiB, MiB, GiB, TiB, %s", text, want)
		case !(value > 0 && value*unit <= 1<<60):
			r.fail(n, "%q is not what a disk can have free, %s", text, want)
		default:
			*p = uint64(value * unit)
		}
	}
}
