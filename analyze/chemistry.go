package analyze

import (
	"fmt"
	"strings"
)

// Chemistry is a battery's kind; empty, and null in JSON, where it is unknown.
type Chemistry string

// MarshalJSON writes null for an unknown kind.
func (c Chemistry) MarshalJSON() ([]byte, error) { return orNull(c, string(c)) }

// The chemistries that amphora knows.
const (
	LeadFlooded Chemistry = "lead-flooded"
	LeadAGM     Chemistry = "lead-agm"
	LeadGel     Chemistry = "lead-gel"
	LiIon       Chemistry = "li-ion"
	LiFePO4     Chemistry = "lifepo4"
	NiMH        Chemistry = "nimh"
	NiCd        Chemistry = "nicd"
)

// Chemistries lists them all.
func Chemistries() []Chemistry {
	return []Chemistry{LeadFlooded, LeadAGM, LeadGel, LiIon, LiFePO4, NiMH, NiCd}
}

// ChemistryNames are their names.
func ChemistryNames() []string {
	var names []string
	for _, c := range Chemistries() {
		names = append(names, string(c))
	}
	return names
}

// ParseChemistry reads a chemistry's name.
func ParseChemistry(s string) (Chemistry, error) {
	for _, c := range Chemistries() {
		if strings.EqualFold(s, string(c)) {
			return c, nil
		}
	}
	return "", fmt.Errorf("chemistry %q is not known; known are %s", s, strings.Join(ChemistryNames(), ", "))
}

// Lead reports whether c is one of the lead-acid kinds.
func (c Chemistry) Lead() bool { return c == LeadFlooded || c == LeadAGM || c == LeadGel }

// Lithium reports whether c is one of the lithium kinds.
func (c Chemistry) Lithium() bool { return c == LiIon || c == LiFePO4 }

// Nickel reports whether c is one of the nickel kinds.
func (c Chemistry) Nickel() bool { return c == NiMH || c == NiCd }
