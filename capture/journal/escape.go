package journal

import "bytes"

const hexDigits = "0123456789abcdef"

// appendEscaped adds text so that it is printable ASCII on one line. What most
// meters send comes through unchanged; a backslash is doubled; tab, CR and LF
// have their usual short forms; any other byte is \x and two hex digits.
func appendEscaped(dst, text []byte) []byte {
	for _, b := range text {
		switch {
		case b == '\\':
			dst = append(dst, '\\', '\\')
		case b >= 0x20 && b < 0x7f:
			dst = append(dst, b)
		case b == '\t':
			dst = append(dst, '\\', 't')
		case b == '\r':
			dst = append(dst, '\\', 'r')
		case b == '\n':
			dst = append(dst, '\\', 'n')
		default:
			dst = append(dst, '\\', 'x', hexDigits[b>>4], hexDigits[b&15])
		}
	}
	return dst
}

// unescape gives back the bytes that appendEscaped was given. Text without an
// escape is returned as it is; other text is built in scratch, which is handed
// back for the next call.
func unescape(text, scratch []byte) (plain, grown []byte, ok bool) {
	if bytes.IndexByte(text, '\\') < 0 {
		return text, scratch, true
	}
	out := scratch[:0]
	for i := 0; i < len(text); i++ {
		if text[i] != '\\' {
			out = append(out, text[i])
			continue
		}
		if i++; i == len(text) {
			return nil, scratch, false
		}
		switch text[i] {
		case '\\':
			out = append(out, '\\')
		case 't':
			out = append(out, '\t')
		case 'r':
			out = append(out, '\r')
		case 'n':
			out = append(out, '\n')
		case 'x':
			if i+2 >= len(text) {
				return nil, scratch, false
			}
			high, low := hexValue(text[i+1]), hexValue(text[i+2])
			if high < 0 || low < 0 {
				return nil, scratch, false
			}
			out = append(out, byte(high<<4|low))
			i += 2
		default:
			return nil, scratch, false
		}
	}
	return out, out, true
}

// hexValue is the value of one lower-case hex digit, or -1.
func hexValue(b byte) int {
	switch {
	case b >= '0' && b <= '9':
		return int(b - '0')
	case b >= 'a' && b <= 'f':
		return int(b-'a') + 10
	}
	return -1
}
