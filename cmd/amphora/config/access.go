package config

import (
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
			"token-file": r.secret(&p.TokenFile, func(file string) error { return web.Access{TokenFile: file}.Check() }),
			"users-file": r.secret(&p.UsersFile, func(file string) error { return web.Access{UsersFile: file}.Check() }),
			"tls-cert":   r.path(&p.TLSCert, "a file"),
			"tls-key":    r.secret(&p.TLSKey, nil),
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
		r.pair(seen["tls-cert"], p.TLSCert, p.TLSKey)
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
