package capture

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Port is a serial port of this host, as can be told without opening it: to open
// one raises its lines, and may reset or disturb what is on it.
type Port struct {
	Device  string   // today's name, such as /dev/ttyUSB0
	ByID    []string // names that follow the adapter to any socket
	ByPath  []string // names that stay with the socket
	Kind    string   // what it is, in plain words
	USB     *USB     // nil if it is not on USB
	Twin    bool     // another adapter here cannot be told from it but by its socket
	Holders []Holder // who has it open, as far as this user may see
	Access  Access
}

// USB is what an adapter says about itself.
type USB struct {
	Vendor, Product string // four hexadecimal digits each
	Serial          string // empty: it has no number of its own
	Text            string // its own description
}

// Holder is a process that has a port open.
type Holder struct {
	PID     int
	Command string
}

func (h Holder) String() string { return fmt.Sprintf("%s (process %d)", h.Command, h.PID) }

// StableName is the name to put into a configuration: one that is still right
// after the next plugging, and the next boot.
func (p Port) StableName() string {
	names := slices.Concat(p.ByID, p.ByPath)
	if p.Twin {
		names = p.ByPath
	}
	if len(names) == 0 {
		return p.Device
	}
	return names[0]
}

// Advice is what to do before this port can be used, or what to know about its
// name; empty if all is well.
func (p Port) Advice() string {
	var advice []string
	if !p.Access.Allowed {
		advice = append(advice, p.Access.advice(p.Device))
	}
	if len(p.Holders) > 0 {
		advice = append(advice, heldBy(p.Holders))
	}
	switch {
	case p.Twin && len(p.ByPath) > 0:
		advice = append(advice, "another adapter here calls itself the same: use the name of its socket, and do not change sockets")
	case p.StableName() == p.Device && p.USB != nil:
		advice = append(advice, "it has no stable name, so it may be another device after the next plugging")
	}
	return strings.Join(advice, "; ")
}

// Access is who may open a port.
type Access struct {
	Allowed      bool // this user may read and write it; setting the rate needs both
	Owner, Group string
	Mode         string // such as crw-rw----
	User         string // who this program runs as
	groupMay     bool
}

// facts say who may open a port or a file, and who wants to.
func (a Access) facts(path string) string {
	if a.Mode == "" {
		return fmt.Sprintf("its owner and mode cannot be seen by %s", a.User)
	}
	return fmt.Sprintf("%s belongs to %s:%s, mode %s, and this is %s", path, a.Owner, a.Group, a.Mode, a.User)
}

// advice says what a user who may not open the port is to do.
func (a Access) advice(path string) string {
	facts := a.facts(path)
	if a.Mode == "" {
		return facts
	}
	if a.groupMay && a.Group != "root" {
		return fmt.Sprintf("%s; add the user to the group (sudo usermod -aG %s %s) and log in again; for a service set SupplementaryGroups=%s", facts, a.Group, a.User, a.Group)
	}
	return facts + "; its group may not open it either: give it to one with a udev rule (GROUP=\"dialout\", MODE=\"0660\") and join that group"
}

// markTwins finds the adapters that call themselves the same.
func markTwins(ports []Port) {
	seen := map[USB]int{}
	for _, p := range ports {
		if p.USB != nil {
			seen[*p.USB]++
		}
	}
	for i, p := range ports {
		ports[i].Twin = p.USB != nil && seen[*p.USB] > 1
	}
}

// sortPorts puts ttyUSB2 before ttyUSB10.
func sortPorts(ports []Port) {
	slices.SortFunc(ports, func(a, b Port) int {
		return cmp.Or(cmp.Compare(len(a.Device), len(b.Device)), cmp.Compare(a.Device, b.Device))
	})
}
