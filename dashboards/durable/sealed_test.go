package durable

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// made is a sealed file of n lines, none of which is another.
func made(n int) (lines [][]byte, content []byte) {
	for k := range n {
		lines = append(lines, fmt.Appendf(nil, `{"line":%d,"text":"ü \\n end 3"}`, k))
	}
	return lines, Seal("mark 1", lines)
}

func TestSealedComesBack(t *testing.T) {
	for n := range 4 {
		want, content := made(n)
		got, err := Unseal("mark 1", content)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	_, content := made(3)
	_, err := Unseal("mark 2", content)
	assert.ErrorContains(t, err, `it does not begin with "mark 2"`)
	_, err = Unseal("mark 1", nil)
	assert.Error(t, err)
}

// Cut anywhere it has the lines in front of the cut; with any bit flipped it has all but the line that it hits, or two
// if that was between them; and it is said each time.
func TestSealedIsHarmed(t *testing.T) {
	want, content := made(5)
	for n := range len(content) - 1 { // without its last line feed it is whole
		got, err := Unseal("mark 1", content[:n])
		require.Error(t, err, "cut at %d", n)
		for k, line := range got {
			require.Equal(t, want[k], line)
		}
	}
	for bit := range 8 * len(content) {
		hurt := append([]byte(nil), content...)
		hurt[bit/8] ^= 1 << (bit % 8)
		got, err := Unseal("mark 1", hurt)
		if bit/8 == len(content)-1 {
			require.Equal(t, want, got)
			continue
		}
		require.Error(t, err, "bit %d", bit)
		require.GreaterOrEqual(t, len(got), len(want)-2, "bit %d", bit)
		require.Subset(t, want, got)
	}
}

// FuzzUnseal takes any bytes: it says of none that they are whole which Seal would not have written.
func FuzzUnseal(f *testing.F) {
	_, content := made(3)
	f.Add(content)
	f.Add(content[:len(content)/2])
	f.Fuzz(func(t *testing.T, b []byte) {
		lines, err := Unseal("mark 1", b)
		if err == nil {
			again, err := Unseal("mark 1", Seal("mark 1", lines))
			require.NoError(t, err)
			require.Equal(t, lines, again)
		}
	})
}
