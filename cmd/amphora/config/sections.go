package config

import (
	"time"

	"amphora/capture/journal"
)

// config reads the whole file.
func (r *reader) config(n node) *Config {
	c := &Config{File: r.file, Listen: DefaultListen}
	seen := r.mapping(n, keys{
		"data":     r.folder(&c.Data),
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
