package web

import (
	"net/netip"
	"strings"
)

// hosts are the names by which this host may be called. A page that resolves its
// own name to our address (DNS rebinding) calls us by its name, and that gives it
// away. An address typed as a number cannot be rebound.
type hosts map[string]bool

// newHosts takes the host's own name, also without its domain and with ".local",
// and further ones.
func newHosts(own string, further []string) hosts {
	h := hosts{"localhost": true}
	h.add(own)
	if short, _, _ := strings.Cut(own, "."); short != "" {
		h.add(short)
		h.add(short + ".local")
	}
	for _, name := range further {
		h.add(name)
	}
	return h
}

func (h hosts) add(name string) {
	if name = bare(name); name != "" {
		h[name] = true
	}
}

// allows reports whether a Host header is one of ours.
func (h hosts) allows(host string) bool {
	if end := strings.LastIndexByte(host, ']'); strings.HasPrefix(host, "[") && end > 0 {
		rest := host[end+1:]
		a, err := netip.ParseAddr(host[1:end])
		return err == nil && a.Is6() && a.Zone() == "" && (rest == "" || rest[0] == ':' && digits(rest[1:]))
	}
	name, port, hasPort := strings.Cut(host, ":")
	if hasPort && !digits(port) {
		return false
	}
	if a, err := netip.ParseAddr(name); err == nil {
		return a.Is4()
	}
	return h[bare(name)]
}

// bare is a name in the form in which names are compared.
func bare(name string) string { return strings.TrimSuffix(strings.ToLower(name), ".") }

func digits(port string) bool {
	return port != "" && len(port) <= 5 && strings.Trim(port, "0123456789") == ""
}
