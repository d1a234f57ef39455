package decoders

import "bytes"

// This file is about what stands around the name in a label and is no part of it.

// subscript is where the brackets end in which the number of one of several stands behind their name,
// CURR[0]=3.5; 0 for others.
func subscript(b []byte) int {
	_, n := digits(b[1:])
	if n == 0 || n > 2 || n+2 >= len(b) || b[n+1] != ']' || b[n+2] != '=' && b[n+2] != ':' && b[n+2] != ' ' {
		return 0
	}
	return n + 1
}

// braces is where braces end that say more of the name before them, name{id="1"}; 0 for
// others.
func braces(b []byte) int {
	end := bytes.IndexByte(b, '}')
	if end < 0 || !bytes.Contains(b[:end], []byte(`="`)) {
		return 0
	}
	return end
}

// plainLabel leaves out what is no name of the value: what stands in braces behind a name
// that has them, name{id="1"}, and the tags before the last one, </a><name>.
func plainLabel(label []byte) []byte {
	if at := bytes.IndexByte(label, '{'); at > 0 && braces(label[at:]) > 0 {
		label = label[:at]
	}
	if at := bytes.LastIndexByte(label, '<'); at > 0 && bytes.IndexByte(label[at:], '>') > 0 {
		label = label[at:]
	}
	return label
}
