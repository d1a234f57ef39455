package config

import (
	"crypto/tls"
	"errors"
	"io/fs"
	"strings"

	"amphora/dashboards/outside"
)

// secret reads the path of a file that holds a secret. What is in it is judged by sound as it
// will be when it is used, and is part of no message; nil judges it elsewhere.
func (r *reader) secret(p *string, sound func(file string) error) func(node) {
	return func(n node) {
		r.path(p, "the file that holds the secret")(n)
		if *p == "" {
			return
		}
		info, err := r.host.stat(*p)
		switch {
		case errors.Is(err, fs.ErrPermission):
			r.warn(n, "%s cannot be looked at by this user", *p)
			return
		case err != nil:
			r.lacks(n, "%s: %v; secrets come from files only", *p, reason(err))
			return
		case !info.Mode().IsRegular():
			r.lacks(n, "%s is not a file", *p)
			return
		case info.Size() == 0:
			r.lacks(n, "%s is empty", *p)
			return
		case modesTell && info.Mode().Perm()&0o007 != 0:
			r.warn(n, "%s can be read by every user of this machine; chmod o= %s", *p, *p)
		}
		if sound != nil {
			r.judged(n, *p, sound)
		}
	}
}

// lacks reports a file without which a setting is of no use. Who may see the page depends on some of
// them; without the others somebody is not told, which they say themselves once they are to tell.
func (r *reader) lacks(n node, format string, args ...any) {
	r.fail(n, format, args...)
	r.problems[len(r.problems)-1].Untold = !strings.HasPrefix(n.path, "access.")
}

// judged tells what is wrong with what a file holds. This user may not read what the recorder may.
func (r *reader) judged(n node, path string, sound func(file string) error) {
	err := sound(r.host.real(path))
	switch {
	case err == nil:
	case errors.Is(err, fs.ErrPermission):
		r.warn(n, "%s may not be read by this user, so it was not checked", path)
	default:
		why := strings.TrimPrefix(strings.ReplaceAll(err.Error(), r.host.real(path), path), "access: ")
		if !strings.Contains(why, path) {
			why = path + ": " + why
		}
		r.lacks(n, "%s", why)
	}
}

// authorities reads the path of a file with certificates that are trusted.
func (r *reader) authorities(p *string) func(node) {
	return func(n node) {
		r.path(p, "a file")(n)
		if *p == "" {
			return
		}
		switch info, err := r.host.stat(*p); {
		case errors.Is(err, fs.ErrPermission):
			r.warn(n, "%s cannot be looked at by this user", *p)
		case err != nil:
			r.lacks(n, "%s: %v", *p, reason(err))
		case !info.Mode().IsRegular():
			r.lacks(n, "%s is not a file", *p)
		default:
			r.judged(n, *p, func(file string) error { _, err := outside.Trusted(file); return err })
		}
	}
}

// firstLine is sound where a file begins with the secret.
func firstLine(file string) error { _, err := outside.Secret(file); return err }

// pair looks whether a certificate and its key belong together.
func (r *reader) pair(n node, cert, key string) {
	_, err := tls.LoadX509KeyPair(r.host.real(cert), r.host.real(key))
	switch {
	case err == nil:
	case errors.Is(err, fs.ErrPermission):
		r.warn(n, "this user may not read the pair, so it was not checked")
	case errors.Is(err, fs.ErrNotExist) && r.exists(cert):
		// The key is missing, which has been told.
	default:
		r.lacks(n, "the pair cannot be used: %v", reason(err))
	}
}
