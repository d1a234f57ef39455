package config

import (
	"slices"
	"time"

	"amphora/dashboards/push/influx"
	"amphora/dashboards/push/points"
)

// influx reads a server that takes line protocol.
func (r *reader) influx(p **influx.Server) func(node) {
	return func(n node) {
		s, limit := &influx.Server{}, uint64(0)
		*p = s
		seen := r.mapping(n, keys{
			"url":           r.url(&s.URL, "http", "https"),
			"database":      r.text(&s.Database, "the name of a database"),
			"org":           r.text(&s.Org, "the name of an organization"),
			"bucket":        r.text(&s.Bucket, "the name of a bucket"),
			"user":          r.text(&s.User, "a user's name"),
			"password-file": r.secret(&s.PasswordFile, firstLine),
			"token-file":    r.secret(&s.TokenFile, firstLine),
			"ca-file":       r.authorities(&s.CAFile),
			"tags":          r.tags(&s.Tags),
			"points":        r.count(&s.Points, 1, mostPoints),
			"age":           r.duration(&s.Age, "s", 5*time.Minute),
			"spool":         r.size(&limit),
		})
		if seen == nil {
			return
		}
		r.need(n, seen, "url")
		r.checkInflux(n, seen)
		s.Limit = int64(limit)
		if given, ok := seen["spool"]; ok && 0 < limit && limit < leastSpool {
			r.fail(given, "is too small, want 1MiB at least")
		}
		r.claim(n, "influx "+s.Name()+" "+s.URL, "points are sent to the same place")
	}
}

const (
	mostPoints = 50_000
	leastSpool = 1 << 20
)

// checkInflux looks at what must not stand together, or alone.
func (r *reader) checkInflux(n node, seen map[string]node) {
	has := func(key string) bool { _, ok := seen[key]; return ok }
	switch {
	case has("database") && (has("org") || has("bucket")):
		r.fail(n, "has a database, and an org or bucket as well; want database: for servers with /write, org: and bucket: for those with /api/v2/write")
	case !has("database") && !(has("org") && has("bucket")):
		r.fail(n, "want database: for servers with /write, or org: and bucket: for those with /api/v2/write")
	}
	switch {
	case has("user") != has("password-file"):
		r.fail(n, "user and password-file go together, but one is missing")
	case has("user") && has("token-file"):
		r.fail(n, "has a password and a token, want one of them")
	}
}

// mostTags bounds what is added to every point.
const mostTags = 8

var tagName = pattern(`^[A-Za-z][A-Za-z0-9_]{0,63}$`)

// tags reads names and texts that are added to every point.
func (r *reader) tags(p *map[string]string) func(node) {
	return func(n node) {
		*p = map[string]string{}
		count := r.pairs(n, "{site: north}", "a text like north", func(at place, name, text string, ok bool) {
			switch {
			case !tagName().MatchString(name):
				r.failAt(at, n.path, "%q is no name for a tag, want letters, digits and _", name)
			case slices.Contains(points.Own, name):
				r.failAt(at, n.path, "%q is a name that the points have already", name)
			case ok:
				(*p)[name] = text
			}
		})
		if count > mostTags {
			r.fail(n, "are %d, want %d at most: each makes more series of every one", count, mostTags)
		}
	}
}
