package analyze

import (
	"errors"
	"fmt"
	"slices"
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

// onLabels are the words that labels and shops have for them, as bare makes them (common usage,
// no source).
var onLabels = map[string]Chemistry{
	"flooded": LeadFlooded, "wet": LeadFlooded, "efb": LeadFlooded, "agm": LeadAGM, "gel": LeadGel,
	"leadwet": LeadFlooded, "leadacidwet": LeadFlooded, "leadacidflooded": LeadFlooded, "leadacidagm": LeadAGM, "leadacidgel": LeadGel,
	"lithiumion": LiIon, "lipo": LiIon, "lfp": LiFePO4, "lifepo": LiFePO4, "lithiumironphosphate": LiFePO4,
	"nickelmetalhydride": NiMH, "nickelcadmium": NiCd, "nicad": NiCd,
}

// ErrWhichLead is returned for a word that leaves open which kind of lead-acid battery it is.
var ErrWhichLead = errors.New("it leaves open which kind of lead-acid: lead-flooded (caps that open, or a car's usual battery), " +
	"lead-agm or lead-gel (sealed; the label says which)")

// anyLead are such words.
var anyLead = []string{"lead", "leadacid", "sla", "vrla", "pb"}

// bare is a word without what people write differently in it.
func bare(s string) string {
	return strings.NewReplacer(" ", "", "-", "", "_", "", "\u2082", "2", "\u2084", "4").Replace(strings.ToLower(s))
}

// ParseChemistry reads a chemistry's name, or what a label has for it.
func ParseChemistry(s string) (Chemistry, error) {
	word := bare(s)
	for _, c := range Chemistries() {
		if word == bare(string(c)) {
			return c, nil
		}
	}
	if c, ok := onLabels[word]; ok {
		return c, nil
	}
	if slices.Contains(anyLead, word) {
		return "", fmt.Errorf("chemistry %q: %w", s, ErrWhichLead)
	}
	return "", fmt.Errorf("chemistry %q is not known; known are %s", s, strings.Join(ChemistryNames(), ", "))
}

// Lead reports whether c is one of the lead-acid kinds.
func (c Chemistry) Lead() bool { return c == LeadFlooded || c == LeadAGM || c == LeadGel }

// Lithium reports whether c is one of the lithium kinds.
func (c Chemistry) Lithium() bool { return c == LiIon || c == LiFePO4 }

// Nickel reports whether c is one of the nickel kinds.
func (c Chemistry) Nickel() bool { return c == NiMH || c == NiCd }
