package decoders

import "strings"

// siblings takes names that are alike but for their first letter, of a voltage and of a current, as what
// they are: vmain and imain, u_pack and i_pack. One such name alone tells nothing, for many a word begins
// with these letters.
func (t *table) siblings() {
	byName := map[string]*column{}
	for _, c := range t.cols {
		byName[strings.ToLower(c.name)] = c
	}
	for name, c := range byName {
		if len(name) < 3 || name[0] != 'v' && name[0] != 'u' {
			continue
		}
		if other := byName["i"+name[1:]]; other != nil && c.said.of == none && other.said.of == none {
			c.said, other.said = understand("v "+name[1:]), understand("i "+name[1:])
		}
	}
}
