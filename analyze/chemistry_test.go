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
	got, err := ParseChemistry("LiFePO4")
	require.NoError(t, err)
	assert.Equal(t, LiFePO4, got)
	_, err = ParseChemistry("zinc")
	require.ErrorContains(t, err, `"zinc" is not known; known are lead-flooded, lead-agm, lead-gel, li-ion, lifepo4, nimh, nicd`)
}
