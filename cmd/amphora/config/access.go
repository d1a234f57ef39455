package config

import (
	"crypto/tls"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"

	"amphora/dashboards/web"
)

// address reads listen:, the host and port of the page.
func (r *reader) address(p *string) func(node) {
	return parsed(r, p, "host:port", parseListen)
}

func parseListen(text string) (string, error) {
	_, port, err := net.SplitHostPort(text)
	if err != nil {
		return "", fmt.Errorf("%q is not host:port, want text like %s", text, DefaultListen)
	}
	if v, err := strconv.ParseUint(port, 10, 16); err != nil || strconv.FormatUint(v, 10) != port {
		return "", fmt.Errorf("%q: port %q is not a number from 0 to 65535", text, port)
	}
	return text, nil
}

// ListenAt shows the page at another address than the file says, by the same rules.
func (c *Config) ListenAt(address string) (err error) {
	if c.Listen, err = parseListen(address); err != nil {
		return err
	}
	return c.strangers()
}

// strangers keeps the page from them: beyond this machine only with a login.
func (c *Config) strangers() error {
	if isLoopback(c.Listen) || c.Access.TokenFile != "" || c.Access.UsersFile != "" {
		return nil
	}
	return fmt.Errorf("%s can be reached from other machines, so access: with token-file: or users-file: is needed; for this machine alone use %s", c.Listen, DefaultListen)
}

func (r *reader) access(p *web.Access) func(node) {
	return func(n node) {
		seen := r.mapping(n, keys{
			"token-file": r.secret(&p.TokenFile),
			"users-file": r.secret(&p.UsersFile),
			"tls-cert":   r.path(&p.TLSCert, "a file"),
			"tls-key":    r.secret(&p.TLSKey),
			"hosts":      r.hosts(&p.Hosts),
		})
		_, cert := seen["tls-cert"]
		_, key := seen["tls-key"]
		if cert != key {
			r.fail(n, "tls-cert and tls-key go together, but one is missing")
		}
		if p.TLSCert == "" || p.TLSKey == "" {
			return
		}
		_, err := tls.LoadX509KeyPair(r.host.real(p.TLSCert), r.host.real(p.TLSKey))
		switch {
		case err == nil:
		case errors.Is(err, fs.ErrPermission):
			r.warn(seen["tls-cert"], "this user may not read the pair, so it was not checked")
		case errors.Is(err, fs.ErrNotExist) && r.exists(p.TLSCert):
			// The key is missing, which has been told.
		default:
			r.fail(seen["tls-cert"], "the pair cannot be used: %v", reason(err))
		}
	}
}

// hosts reads the names that a browser may ask for.
func (r *reader) hosts(p *[]string) func(node) {
	return func(n node) {
		r.texts(p, "names like garage.local")(n)
		for _, name := range *p {
			if strings.ContainsAny(name, "/:* ") {
				r.fail(n, "%q is not a host's name, want text like garage.local without scheme and port", name)
			}
		}
	}
}

func (r *reader) exists(path string) bool {
	_, err := r.host.stat(path)
	return err == nil
}

// checkAccess tells who else can reach the page.
func (r *reader) checkAccess(n node, c *Config) {
	if n.value == nil || isLoopback(c.Listen) {
		return
	}
	if err := c.strangers(); err != nil {
		r.fail(n, "%v", err)
	} else if c.Access.TLSCert == "" {
		r.warn(n, "%s can be reached from other machines, and without tls-cert: and tls-key: the login can be read on the way", c.Listen)
	}
}

// isLoopback tells whether only this machine can reach an address. A name other
// than localhost may turn into any address, and an empty host is all of them.
func isLoopback(address string) bool {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return false
	}
	return host == "localhost" || net.ParseIP(host).IsLoopback()
}

// secret reads the path of a file that holds a secret, and looks at the file
// without reading it.
func (r *reader) secret(p *string) func(node) {
	return func(n node) {
		r.path(p, "the file that holds the secret")(n)
		if *p == "" {
			return
		}
		info, err := r.host.stat(*p)
		switch {
		case errors.Is(err, fs.ErrPermission):
			r.warn(n, "%s cannot be looked at by this user", *p)
		case err != nil:
			r.fail(n, "%s: %v; secrets come from files only", *p, reason(err))
		case !info.Mode().IsRegular():
			r.fail(n, "%s is not a file", *p)
		case info.Size() == 0:
			r.fail(n, "%s is empty", *p)
		case modesTell && info.Mode().Perm()&0o007 != 0:
			r.warn(n, "%s can be read by every user of this machine; chmod o= %s", *p, *p)
		}
	}
}

// modesTell is false where a file's mode says nothing about who may write it.
const modesTell = runtime.GOOS != "windows"

// checkWriters refuses a command in a file that others could change: they would
// run programs in the recorder's name. Whoever may rename files in its folder
// can change it too.
func (r *reader) checkWriters(n node) {
	if !modesTell {
		return
	}
	if info, err := r.host.stat(r.file); err == nil && info.Mode().Perm()&0o022 != 0 {
		r.fail(n, "others may write %s (mode %v), and a command in it would run in the recorder's name; chmod go-w %s", r.file, info.Mode().Perm(), r.file)
	}
	dir := filepath.Dir(r.file)
	if info, err := r.host.stat(dir); err == nil && info.Mode().Perm()&0o002 != 0 && info.Mode()&fs.ModeSticky == 0 {
		r.fail(n, "everybody may replace files in %s, and a command in one of them would run in the recorder's name; chmod o-w %s", dir, dir)
	}
}
