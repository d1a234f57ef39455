package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestChemistriesAreReadByName(t *testing.T) {
	for _, c := range Chemistries() {
		got, err := ParseChemistry(string(c))
		require.NoError(t, err)
		assert.Equal(t, c, got)
		n := 0
		for _, is := range []bool{c.Lead(), c.Lithium(), c.Nickel()} {
			if is {
				n++
			}
		}
		assert.Equal(t, 1, n, "%s is of one family", c)
	}
	for text, want := range map[string]Chemistry{
		"LiFePO4": LiFePO4, "LiFePO\u2084": LiFePO4, "LFP": LiFePO4, "Li-Ion": LiIon, "li ion": LiIon, "LiPo": LiIon,
		"AGM": LeadAGM, "lead agm": LeadAGM, "GEL": LeadGel, "EFB": LeadFlooded, "wet": LeadFlooded,
		"lead-wet": LeadFlooded, "Lead-acid AGM": LeadAGM,
		"Ni-MH": NiMH, "NiCd": NiCd, "NiCad": NiCd,
	} {
		got, err := ParseChemistry(text)
		require.NoError(t, err)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"lead", "Lead-Acid", "SLA", "VRLA"} {
		_, err := ParseChemistry(text)
		assert.ErrorIs(t, err, ErrWhichLead, text)
	}
	_, err := ParseChemistry("zinc")
	require.ErrorContains(t, err, `"zinc" is not known; known are lead-flooded, lead-agm, lead-gel, li-ion, lifepo4, nimh, nicd`)
}
